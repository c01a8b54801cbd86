"""What the use cases need from the outside: storage, files, models, workers, the clock."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Literal, Protocol, Self, TypeVar

from printcrib.core.advice import Advice
from printcrib.core.aids import Aid, Machine, MachineReading, UseEntry
from printcrib.core.errors import ShopError
from printcrib.core.materials import Insert, InsertEntry, Material, Spool, SpoolEntry, StockMinimum
from printcrib.core.patterns import Estimate, Model, Pattern, Size
from printcrib.core.people import Person
from printcrib.core.printers import FreshStart, Nozzle, Printer, PrintProfile, Unattended
from printcrib.core.records import Record
from printcrib.core.releases import SizeRelease
from printcrib.core.requests import Copy, Hold, Promise, Request
from printcrib.core.runs import Failure, Plan, Run
from printcrib.core.shop import Attachment, ClosedDay, Duty, Shift, ShopSettings
from printcrib.services.done import Done as Done
from printcrib.services.press import Press

if TYPE_CHECKING:  # shapes load numpy, which the window's first paint must not wait for
    from printcrib.core.shapes import Mesh, ReadModel

R = TypeVar("R", bound=Record)
T = TypeVar("T")

Op = Literal["==", "!=", "in", "<", "<=", ">", ">=", "is none", "not none", "contains"]


@dataclass(frozen=True)
class Where:
    """One condition on a record's field; void records are left out unless asked for.

    "contains" matches text without regard to case; "in" takes a tuple (empty finds nothing).
    """

    field: str
    op: Op
    value: Any = None


def is_(field_name: str, value: Any) -> Where:
    """The field equals the value."""
    return Where(field_name, "==", value)


def among(field_name: str, values: Any) -> Where:
    """The field is one of the values."""
    return Where(field_name, "in", tuple(values))


class Table(Protocol[R]):
    """One kind of record as the use cases see it: frozen records in, frozen records out."""

    def get(self, key: int) -> R:
        """The record; raises NotFound in shop words."""
        ...

    def find(
        self,
        *where: Where,
        order_by: str = "id",
        newest_first: bool = False,
        limit: int | None = None,
        offset: int = 0,
        with_void: bool = False,
    ) -> tuple[R, ...]:
        """All records that meet every condition, in the order of one field (then id)."""
        ...

    def one(self, *where: Where) -> R | None:
        """The first record that meets the conditions, or None."""
        ...

    def count(self, *where: Where) -> int:
        """How many meet the conditions."""
        ...

    def totals(self, field_name: str, by: str, *where: Where) -> dict[Any, int]:
        """Sum of an integer field for each value of another field."""
        ...

    def latest(self, field_name: str, by: str, *where: Where) -> dict[Any, Any]:
        """Largest value of a field for each value of another field."""
        ...

    def add(self, record: R) -> R:
        """Store a new record; gives it its key, version 1 and both times, and books the change."""
        ...

    def save(self, record: R) -> R:
        """Store an edited record; raises StaleEdit when somebody else was first. Books the change."""
        ...


@dataclass(frozen=True, kw_only=True)
class Change:
    """One line of the audit trail, in commit order, chained by hashes.

    Attributes:
        press_number: number of the first change of the same press (what undo takes back).
        before, after: the record's fields as JSON values; None where it did not exist.
    """

    number: int
    recorded_at: datetime
    happened_at: datetime
    who_id: int
    station: str
    verb: str
    thing: str
    thing_id: int
    thing_version: int
    press_number: int
    before: Mapping[str, Any] | None
    after: Mapping[str, Any] | None
    once_key: str | None
    previous_hash: str
    hash: str


class Changes(Protocol):
    """The change record: audit trail, undo source and refresh feed in one."""

    def since(self, number: int, limit: int = 1000) -> tuple[Change, ...]:
        """Changes with a higher number, oldest first."""
        ...

    def last_number(self) -> int:
        """Number of the newest change, 0 when there is none."""
        ...

    def of_press(self, press_number: int) -> tuple[Change, ...]:
        """All changes of one press."""
        ...

    def of_thing(self, thing: str, key: int, limit: int = 200) -> tuple[Change, ...]:
        """History of one record, newest first."""
        ...

    def newest_of_each(self, things: tuple[str, ...], limit: int = 50) -> tuple[Change, ...]:
        """The newest changes on these kinds of record, newest first."""
        ...

    def faults(self) -> tuple[str, ...]:
        """Sentences on every break of the hash chain; empty when whole."""
        ...


class UnitOfWork(Protocol):
    """One transaction on the shop's books: nothing is kept unless commit is called.

    A writing unit opened with a press whose once key is already booked raises AlreadyBooked.
    """

    people: Table[Person]
    printers: Table[Printer]
    nozzles: Table[Nozzle]
    print_profiles: Table[PrintProfile]
    unattended: Table[Unattended]
    fresh_starts: Table[FreshStart]
    materials: Table[Material]
    spools: Table[Spool]
    spool_entries: Table[SpoolEntry]
    stock_minimums: Table[StockMinimum]
    inserts: Table[Insert]
    insert_entries: Table[InsertEntry]
    patterns: Table[Pattern]
    sizes: Table[Size]
    models: Table[Model]
    estimates: Table[Estimate]
    advice: Table[Advice]
    requests: Table[Request]
    copies: Table[Copy]
    holds: Table[Hold]
    promises: Table[Promise]
    releases: Table[SizeRelease]
    runs: Table[Run]
    plans: Table[Plan]
    failures: Table[Failure]
    aids: Table[Aid]
    use_entries: Table[UseEntry]
    machines: Table[Machine]
    machine_readings: Table[MachineReading]
    shifts: Table[Shift]
    closed_days: Table[ClosedDay]
    settings: Table[ShopSettings]
    duties: Table[Duty]
    attachments: Table[Attachment]
    changes: Changes

    @property
    def press(self) -> Press:
        """Who is doing this; a reading unit has the tool's."""
        ...

    @property
    def now(self) -> datetime:
        """The moment of this unit, one for all its records (recorded_at)."""
        ...

    @property
    def happened_at(self) -> datetime:
        """When it really happened: the press's own time, else now."""
        ...

    @property
    def press_number(self) -> int:
        """Number of this press's first change, 0 while nothing is written."""
        ...

    @property
    def changed(self) -> frozenset[str]:
        """Names of the tables written to in this unit."""
        ...

    def next_number(self, counter: str) -> int:
        """The next number people see (request, run, aid, spool, pattern, nozzle); never reused."""
        ...

    def commit(self) -> None:
        """Keep everything."""
        ...

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...


class AlreadyBooked(ShopError):
    """The same press came twice; the first one stands."""

    def __init__(self, press_number: int) -> None:
        self.press_number = press_number
        super().__init__("This press is already booked", "Nothing more to do.")


class Attachments(Protocol):
    """The shop's files, whole or absent, named by their SHA-256."""

    def put(self, content: bytes, kind: str) -> str:
        """Keep the bytes and give their SHA-256; the same bytes twice are kept once."""
        ...

    def get(self, sha256: str) -> bytes:
        """The bytes; raises NotFound."""
        ...

    def has(self, sha256: str) -> bool:
        """Whether the bytes are kept here."""
        ...


class MeshReader(Protocol):
    """Reads model files in a limited child process."""

    def read(self, content: bytes, name: str) -> "ReadModel":
        """The mesh and what was found; raises ShopError with one plain sentence."""
        ...

    def read_merged(self, content: bytes, name: str) -> "ReadModel":
        """The same with all bodies made one; raises ShopError also where they cannot be merged."""
        ...

    def close(self) -> None:
        """Let the waiting child go."""
        ...


class MeshWriter(Protocol):
    """Writes copies in place for whatever makes the print file."""

    def one_3mf(self, items: "tuple[tuple[str, Mesh, tuple[float, float]], ...]") -> bytes:
        """One 3MF with each named mesh at its corner (x, y) on the platform, millimetres."""
        ...

    def stl(self, mesh: "Mesh") -> bytes:
        """A binary STL."""
        ...


class Task(Protocol):
    """Background work under way."""

    def cancel(self) -> None:
        """Ask it to stop soon; its result is then dropped."""
        ...


class Worker(Protocol):
    """Runs long work outside the caller: a thread by default, a kept process when asked."""

    def submit(
        self,
        work: Callable[..., T],
        *args: Any,
        on_done: Callable[[T], None] | None = None,
        on_error: Callable[[BaseException], None] | None = None,
        on_progress: Callable[[float], None] | None = None,
        process: bool = False,
    ) -> Task:
        """Start work; callbacks come from another thread. `work` gets `progress` and `cancelled`
        keyword arguments when it names them."""
        ...


class Clock(Protocol):
    """Tells the time, so that tests and the demo can tell another."""

    def now(self) -> datetime:
        """Aware UTC, whole milliseconds."""
        ...


class Reports(Protocol):
    """Makes paper."""

    def week_pdf(self, data: Mapping[str, Any]) -> bytes:
        """The weekly usage report as a PDF."""
        ...

    def week_pages(self, data: Mapping[str, Any], pixels_per_inch: float) -> tuple[bytes, ...]:
        """The same pages as PNG pictures for the screen."""
        ...


@dataclass(frozen=True)
class Shop:
    """Everything a use case needs, wired once in app/wiring.py.

    Attributes:
        write: opens a writing unit for a press. read: opens a reading unit.
            The verb names the use case in the change record ("take off run").
        home: the shop's folder, None for a shop on a server.
    """

    write: Callable[[Press, str], UnitOfWork]
    read: Callable[[], UnitOfWork]
    clock: Clock
    files: Attachments
    meshes: MeshReader
    mesh_writer: MeshWriter
    reports: Reports
    worker: Worker | None = None
    home: Path | None = None
