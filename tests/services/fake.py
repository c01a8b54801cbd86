"""A shop in memory: the same books without a database, for tests of the use cases."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from types import TracebackType
from typing import Any, Generic, Self, TypeVar

from printcrib.core.errors import NotFound, ShopError
from printcrib.core.people import Person
from printcrib.core.records import NOT_YET, THE_TOOL, Record
from printcrib.core.shapes import Mesh, ReadModel, facts_of
from printcrib.core.shop import Attachment
from printcrib.services.book_rules import (
    COUNTERS,
    KINDS,
    NOT_IN_THE_TRAIL,
    ONCE_ONLY,
    OnceOnly,
    called,
    no_such,
    points_at,
    stale,
)
from printcrib.services.change_record import (
    FIRST_HASH,
    canonical,
    chain_faults,
    chain_hash,
    field_codecs,
    from_json,
    hashed_fields,
    to_json,
    whole_milliseconds,
)
from printcrib.services.interfaces import AlreadyBooked, Change, Shop, Table, UnitOfWork, Where
from printcrib.services.press import Press

R = TypeVar("R", bound=Record)
TUESDAY_MORNING = datetime(2026, 11, 24, 6, 0, tzinfo=UTC)
"""07:00 on a Tuesday in Vienna, in ISO week 2026-W48."""


class FakeClock:
    """A clock that stands still until it is moved."""

    def __init__(self, now: datetime = TUESDAY_MORNING) -> None:
        self._now = now

    def now(self) -> datetime:
        """The time it shows."""
        return self._now

    def set(self, now: datetime) -> None:
        """Show another time."""
        self._now = now

    def move(self, **span: float) -> datetime:
        """Move by timedelta's words: `clock.move(hours=3)`."""
        self._now += timedelta(**span)
        return self._now


def _first_books() -> dict[str, dict[int, Record]]:
    """Empty tables; the tool is a person who is in no list, so that every key of a person is somebody's."""
    tool = Person(id=THE_TOOL, version=1, name="The tool", roles=(), active=False, void=True)
    return {name: {THE_TOOL: tool} if name == "people" else {} for name in KINDS}


@dataclass
class Books:
    """Everything that was committed."""

    tables: dict[str, dict[int, Record]] = field(default_factory=_first_books)
    changes: list[Change] = field(default_factory=list)
    counters: dict[str, int] = field(default_factory=lambda: dict.fromkeys(COUNTERS, 0))
    writing: bool = False

    def copy(self) -> "Books":
        """The same records in new lists, so that a unit can be dropped."""
        tables = {name: dict(rows) for name, rows in self.tables.items()}
        return Books(tables, list(self.changes), dict(self.counters))


def checked(kind: type[Record], conditions: tuple[Where, ...], *names: str) -> None:
    """Refuse a misspelt field or a comparison that a database could not do."""
    known = field_codecs(kind)
    for name in [*names, *(where.field for where in conditions)]:
        if name not in known:
            raise AttributeError(f"{kind.__name__} has no field {name}; it has {', '.join(known)}")
    for where in conditions:
        listed = known[where.field].many or (isinstance(where.value, list | tuple) and where.op != "in")
        if listed and where.op not in ("is none", "not none"):
            raise TypeError(f"{where.field} is a list; ask for the records and look inside them")


def meets(record: Record, where: Where) -> bool:
    """Whether a record meets one condition."""
    have, wanted = getattr(record, where.field), where.value
    simple: dict[str, Callable[[], bool]] = {
        "==": lambda: bool(have == wanted),
        "!=": lambda: bool(have != wanted),
        "in": lambda: have in wanted,
        "is none": lambda: have is None,
        "not none": lambda: have is not None,
        "contains": lambda: have is not None and wanted.lower() in have.lower(),
    }
    if where.op in simple:
        return simple[where.op]()
    if have is None or wanted is None:
        return False
    ordered = {"<": have < wanted, "<=": have <= wanted, ">": have > wanted, ">=": have >= wanted}
    return bool(ordered[where.op])


class FakeTable(Generic[R]):
    """One kind of record in a unit of work."""

    def __init__(self, unit: "FakeUnit", name: str) -> None:
        self._unit, self._name = unit, name
        self._kind = KINDS[name].record

    @property
    def _rows(self) -> dict[int, Record]:
        return self._unit.books.tables[self._name]

    def _matching(self, where: tuple[Where, ...], with_void: bool = False) -> list[Any]:
        checked(self._kind, where)
        return [
            record
            for record in self._rows.values()
            if (with_void or not record.void) and all(meets(record, each) for each in where)
        ]

    def get(self, key: int) -> R:
        if key not in self._rows:
            raise no_such(self._name, key)
        return self._rows[key]  # type: ignore[return-value]

    def find(
        self,
        *where: Where,
        order_by: str = "id",
        newest_first: bool = False,
        limit: int | None = None,
        offset: int = 0,
        with_void: bool = False,
    ) -> tuple[R, ...]:
        checked(self._kind, (), order_by)
        found = self._matching(where, with_void)
        empty = [record for record in found if getattr(record, order_by) is None]
        filled = [record for record in found if getattr(record, order_by) is not None]
        filled.sort(key=lambda record: (getattr(record, order_by), record.id), reverse=newest_first)
        empty.sort(key=lambda record: record.id, reverse=newest_first)
        end = None if limit is None else offset + limit
        return tuple((filled + empty)[offset:end])

    def one(self, *where: Where) -> R | None:
        found: tuple[R, ...] = self.find(*where, limit=1)
        return found[0] if found else None

    def count(self, *where: Where) -> int:
        return len(self._matching(where))

    def _groups(self, field_name: str, by: str, where: tuple[Where, ...]) -> dict[Any, list[Any]]:
        checked(self._kind, (), field_name, by)
        groups: dict[Any, list[Any]] = {}
        for record in self._matching(where):
            values = groups.setdefault(getattr(record, by), [])
            if getattr(record, field_name) is not None:
                values.append(getattr(record, field_name))
        return groups

    def totals(self, field_name: str, by: str, *where: Where) -> dict[Any, int]:
        return {key: sum(values) for key, values in self._groups(field_name, by, where).items()}

    def latest(self, field_name: str, by: str, *where: Where) -> dict[Any, Any]:
        return {key: max(values, default=None) for key, values in self._groups(field_name, by, where).items()}

    def add(self, record: R) -> R:
        self._unit.must_write()
        if record.id:
            raise ValueError(f"{called(self._name, record)} is stored already; save it instead")
        happened_at = self._unit.happened_at if record.happened_at == NOT_YET else record.happened_at
        stored = replace(
            record,
            id=max(self._rows, default=0) + 1,
            version=1,
            recorded_at=self._unit.now,
            happened_at=happened_at,
        )
        return self._keep(stored, None)

    def save(self, record: R) -> R:
        self._unit.must_write()
        before: Record = self.get(record.id)
        if before.version != record.version:
            raise self._unit.stale(self._name, before)
        stored = replace(record, version=record.version + 1, recorded_at=before.recorded_at)
        return self._keep(stored, before)

    def _keep(self, record: R, before: Record | None) -> R:
        record = from_json(type(record), to_json(record))
        self._check(record)
        self._rows[record.id] = record
        self._unit.book(self._name, before, record)
        return record

    def _check(self, record: Record) -> None:
        for name in field_codecs(self._kind):
            table, key = points_at(self._name, name), getattr(record, name)
            if table and key is not None and key not in self._unit.books.tables[table]:
                raise no_such(table, key)
        for rule in ONCE_ONLY:
            if rule.table == self._name and rule.applies_to(record):
                self._check_once(rule, record)

    def _check_once(self, rule: OnceOnly, record: Record) -> None:
        mine = [getattr(record, name) for name in rule.fields]
        for other in self._rows.values():
            same = other.id != record.id and [getattr(other, name) for name in rule.fields] == mine
            if same and rule.applies_to(other):
                raise rule.refusal()


class FakeChanges:
    """The change record of a unit of work."""

    def __init__(self, unit: "FakeUnit") -> None:
        self._unit = unit

    @property
    def _all(self) -> list[Change]:
        return self._unit.books.changes

    def since(self, number: int, limit: int = 1000) -> tuple[Change, ...]:
        return tuple(change for change in self._all if change.number > number)[:limit]

    def last_number(self) -> int:
        return len(self._all)

    def of_press(self, press_number: int) -> tuple[Change, ...]:
        return tuple(change for change in self._all if change.press_number == press_number)

    def of_thing(self, thing: str, key: int, limit: int = 200) -> tuple[Change, ...]:
        mine = [change for change in self._all if (change.thing, change.thing_id) == (thing, key)]
        return tuple(mine[::-1][:limit])

    def newest_of_each(self, things: tuple[str, ...], limit: int = 50) -> tuple[Change, ...]:
        return tuple([change for change in self._all if change.thing in things][::-1][:limit])

    def faults(self) -> tuple[str, ...]:
        return tuple(chain_faults(self._all))


class FakeUnit:
    """One transaction on the books in memory; leaving without commit drops it."""

    def __init__(self, home: "FakeStore", press: Press | None, verb: str = "") -> None:
        self._home, self._press, self._verb = home, press, verb
        self._open = False
        self._changed: set[str] = set()
        self._press_number = 0
        self._now = NOT_YET
        self.books = Books()
        self.changes = FakeChanges(self)
        for name in KINDS:
            table: FakeTable[Any] = FakeTable(self, name)
            setattr(self, name, table)

    @property
    def press(self) -> Press:
        return self._press or Press(who_id=THE_TOOL)

    @property
    def now(self) -> datetime:
        return self._now

    @property
    def happened_at(self) -> datetime:
        return whole_milliseconds(self.press.happened_at) if self.press.happened_at else self._now

    @property
    def press_number(self) -> int:
        return self._press_number

    @property
    def changed(self) -> frozenset[str]:
        return frozenset(self._changed)

    def next_number(self, counter: str) -> int:
        self.must_write()
        self.books.counters[counter] += 1
        return self.books.counters[counter]

    def must_write(self) -> None:
        """Writing needs an open writing unit."""
        if not self._open or self._press is None:
            raise RuntimeError("this unit is closed, committed or only for reading")

    def stale(self, table: str, record: Record) -> ShopError:
        """The sentence that names who was first."""
        newest = self.changes.of_thing(table, record.id, limit=1)
        who_id = newest[0].who_id if newest else THE_TOOL
        person: Any = self.books.tables["people"][who_id]
        settings: list[Any] = list(self.books.tables["settings"].values())
        when = newest[0].recorded_at if newest else record.recorded_at
        return stale(table, record, person.name, when, settings[0].zone if settings else "UTC")

    def book(self, table: str, before: Record | None, after: Record) -> None:
        """Write the change into the chain."""
        self._changed.add(table)
        if table in NOT_IN_THE_TRAIL:
            return
        number = len(self.books.changes) + 1
        first = not self._press_number
        self._press_number = self._press_number or number
        change = Change(
            number=number,
            recorded_at=self.now,
            happened_at=self.happened_at,
            who_id=self.press.who_id,
            station=self.press.station,
            verb=self._verb,
            thing=table,
            thing_id=after.id,
            thing_version=after.version,
            press_number=self._press_number,
            before=None if before is None else to_json(before),
            after=to_json(after),
            once_key=self.press.once_key if first else None,
            previous_hash=self.books.changes[-1].hash if self.books.changes else FIRST_HASH,
            hash="",
        )
        hash_ = chain_hash(change.previous_hash, hashed_fields(change))
        self.books.changes.append(replace(change, hash=hash_))

    def commit(self) -> None:
        self.must_write()
        self._home.books = self.books.copy()
        self._close()

    def _close(self) -> None:
        if self._open and self._press is not None:
            self._home.books.writing = False
        self._open = False

    def __enter__(self) -> Self:
        if self._press is not None:
            if self._home.books.writing:
                raise RuntimeError("another writing unit is open; the database would wait for ever")
            for change in self._home.books.changes:
                if change.once_key == self._press.once_key:
                    raise AlreadyBooked(change.press_number)
            self._home.books.writing = True
        self.books = self._home.books.copy()
        self._now = whole_milliseconds(self._home.clock.now())
        self._open = True
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._close()


class FakeStore:
    """The books in memory and how units on them are opened."""

    def __init__(self, clock: FakeClock) -> None:
        self.clock = clock
        self.books = Books()

    def write(self, press: Press, verb: str) -> UnitOfWork:
        """A writing unit for a press."""
        return FakeUnit(self, press, verb)  # type: ignore[return-value]

    def read(self) -> UnitOfWork:
        """A reading unit."""
        return FakeUnit(self, None)  # type: ignore[return-value]


class FakeFiles:
    """Attachments in memory, each with its line in the books."""

    def __init__(self, store: FakeStore) -> None:
        self._store = store
        self.kept: dict[str, bytes] = {}

    def put(self, content: bytes, kind: str) -> str:
        """Keep the bytes; not while a writing unit is open, since the line needs one of its own."""
        name = sha256(content).hexdigest()
        if name not in self.kept:
            with self._store.write(Press(who_id=THE_TOOL, station="files"), "keep file") as unit:
                unit.attachments.add(Attachment(sha256=name, bytes=len(content), kind=kind))
                unit.commit()
        self.kept[name] = content
        return name

    def get(self, sha256: str) -> bytes:
        """The bytes."""
        if sha256 not in self.kept:
            raise NotFound("That file is not kept here", "Look for it where it came from.")
        return self.kept[sha256]

    def has(self, sha256: str) -> bool:
        """Whether they are kept."""
        return sha256 in self.kept


def box(width: float, depth: float, height: float) -> Mesh:
    """A closed box with a corner at the origin, millimetres."""
    corners = [(x, y, z) for z in (0.0, height) for y in (0.0, depth) for x in (0.0, width)]
    faces = [
        *((0, 2, 1), (1, 2, 3), (4, 5, 6), (5, 7, 6), (0, 1, 4), (1, 5, 4)),
        *((2, 6, 3), (3, 6, 7), (0, 4, 2), (2, 4, 6), (1, 3, 5), (3, 7, 5)),
    ]
    return Mesh(corners, faces)  # type: ignore[arg-type]


class FakeMeshReader:
    """Reads "box W D H" as a box of that size; anything else is refused in one sentence."""

    def read(self, content: bytes, name: str) -> ReadModel:
        """The box and its facts."""
        words = content.decode("ascii", "replace").split()
        if len(words) != 4 or words[0] != "box":
            raise ShopError(f"{name} cannot be read as a model", "Export it again from the model.")
        mesh = box(*(float(word) for word in words[1:]))
        return ReadModel(mesh, facts_of(mesh, name), "stl")

    def read_merged(self, content: bytes, name: str) -> ReadModel:
        """A box is one body already."""
        return self.read(content, name)

    def close(self) -> None:
        """Nothing is waiting."""


class FakeMeshWriter:
    """Writes the names and places instead of the triangles."""

    def one_3mf(self, items: tuple[tuple[str, Mesh, tuple[float, float]], ...]) -> bytes:
        """A line a copy: name, corner and number of triangles."""
        return "\n".join(f"{name} at {x:g},{y:g} {len(mesh.faces)}" for name, mesh, (x, y) in items).encode()

    def stl(self, mesh: Mesh) -> bytes:
        """The number of triangles."""
        return f"stl {len(mesh.faces)}".encode()


class FakeReports:
    """Keeps what was to be printed."""

    def __init__(self) -> None:
        self.printed: list[Mapping[str, Any]] = []

    def week_pdf(self, data: Mapping[str, Any]) -> bytes:
        """The data as text."""
        self.printed.append(data)
        return b"%PDF " + canonical(dict(data)).encode()

    def week_pages(self, data: Mapping[str, Any], pixels_per_inch: float) -> tuple[bytes, ...]:
        """One page."""
        self.printed.append(data)
        return (f"page at {pixels_per_inch:g}".encode(),)


class DoneTask:
    """Work that is over when submit returns."""

    def cancel(self) -> None:
        """Too late."""


class FakeWorker:
    """Does the work at once, in the caller."""

    def submit(
        self,
        work: Callable[..., Any],
        *args: Any,
        on_done: Callable[[Any], None] | None = None,
        on_error: Callable[[BaseException], None] | None = None,
        on_progress: Callable[[float], None] | None = None,
        process: bool = False,
    ) -> DoneTask:
        """Call the work, then one of the callbacks."""
        wanted = work.__code__.co_varnames if hasattr(work, "__code__") else ()
        extra: dict[str, Any] = {}
        if "progress" in wanted:
            extra["progress"] = on_progress or (lambda share: None)
        if "cancelled" in wanted:
            extra["cancelled"] = lambda: False
        try:
            answer = work(*args, **extra)
        except Exception as error:
            if on_error is None:
                raise
            on_error(error)
        else:
            if on_done is not None:
                on_done(answer)
        return DoneTask()


def fake_shop(now: datetime = TUESDAY_MORNING, clock: FakeClock | None = None) -> Shop:
    """An empty shop in memory; its clock is a FakeClock."""
    clock = clock or FakeClock(now)
    store = FakeStore(clock)
    return Shop(
        write=store.write,
        read=store.read,
        clock=clock,
        files=FakeFiles(store),
        meshes=FakeMeshReader(),
        mesh_writer=FakeMeshWriter(),
        reports=FakeReports(),
        worker=FakeWorker(),
    )


def table_of(unit: UnitOfWork, name: str) -> Table[Any]:
    """A unit's table by its name."""
    table: Table[Any] = getattr(unit, name)
    return table
