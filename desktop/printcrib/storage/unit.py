"""One transaction on the shop's books: nothing is kept unless commit is called."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from types import TracebackType
from typing import Any, Self

from sqlalchemy import CursorResult, Engine, insert, select, text, update
from sqlalchemy.engine import Connection
from sqlalchemy.exc import DBAPIError, IntegrityError

from printcrib.core.errors import StaleEdit
from printcrib.core.records import NOT_YET, THE_TOOL, Record
from printcrib.services.book_rules import COUNTERS, KINDS, NOT_IN_THE_TRAIL, stale
from printcrib.services.change_record import whole_milliseconds
from printcrib.services.interfaces import AlreadyBooked, Clock
from printcrib.services.press import Press
from printcrib.storage.refusals import in_words
from printcrib.storage.stored_changes import StoredChanges
from printcrib.storage.stored_table import StoredTable
from printcrib.storage.tables import COUNTERS as COUNTER_ROWS
from printcrib.storage.tables import TABLES

BOOKS_LOCK = 7_214_412
"""The advisory lock a writing unit holds on a server, so that number order is commit order."""


class Turn:
    """Lets the threads of one process write one after the other."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._holder: int | None = None

    def take(self) -> None:
        """Wait for one's turn; a second writing unit inside the first would wait for ever."""
        if self._holder == threading.get_ident():
            raise RuntimeError("another writing unit is open here; the database would wait for ever")
        self._lock.acquire()
        self._holder = threading.get_ident()

    def give_back(self) -> None:
        """Let the next one write."""
        self._holder = None
        self._lock.release()


@contextmanager
def spoken() -> Iterator[None]:
    """Turn what went wrong outside the program into a sentence."""
    try:
        yield
    except IntegrityError:
        raise
    except DBAPIError as error:
        words = in_words(error)
        if words is None:
            raise
        raise words from error


class StoredUnit:
    """A unit of work on a database; see `services.interfaces.UnitOfWork`.

    Attributes:
        dialect: "sqlite" or "postgresql".
    """

    def __init__(self, engine: Engine, clock: Clock, turn: Turn, press: Press | None, verb: str = "") -> None:
        self._engine, self._clock, self._turn = engine, clock, turn
        self._press, self._verb = press, verb
        self._connection: Connection | None = None
        self._changed: set[str] = set()
        self._press_number = 0
        self._now = NOT_YET
        self.dialect = engine.dialect.name
        self.changes = StoredChanges(self)
        for name in KINDS:
            table: StoredTable[Any] = StoredTable(self, name)
            setattr(self, name, table)

    @property
    def press(self) -> Press:
        """Who is doing this; a reading unit has the tool's."""
        return self._press or Press(who_id=THE_TOOL)

    @property
    def now(self) -> datetime:
        """The moment of this unit, one for all its records."""
        return self._now

    @property
    def happened_at(self) -> datetime:
        """When it really happened: the press's own time, else now."""
        return (
            whole_milliseconds(self._press.happened_at)
            if self._press and self._press.happened_at
            else self._now
        )

    @property
    def press_number(self) -> int:
        """Number of this press's first change, 0 while nothing is written."""
        return self._press_number

    @property
    def changed(self) -> frozenset[str]:
        """Names of the tables written to in this unit."""
        return frozenset(self._changed)

    def __enter__(self) -> Self:
        if self._press is not None:
            self._turn.take()
        try:
            with spoken():
                self._begin()
        except BaseException:
            self._end()
            raise
        return self

    def _begin(self) -> None:
        self._connection = self._engine.connect()
        self._connection.begin()
        if self._press is not None:
            if self.dialect == "postgresql":
                self._connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": BOOKS_LOCK})
            booked = self.changes.number_of_once_key(self._press.once_key)
            if booked is not None:
                raise AlreadyBooked(booked)
        self._now = whole_milliseconds(self._clock.now())

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._connection is not None:
            self._end()

    def _end(self) -> None:
        connection, self._connection = self._connection, None
        try:
            if connection is not None:
                connection.close()  # rolls back what was not committed
        finally:
            if self._press is not None:
                self._turn.give_back()

    def commit(self) -> None:
        """Keep everything; the unit is then closed."""
        self.must_write()
        with spoken():
            self._open.commit()
        self._end()

    @property
    def _open(self) -> Connection:
        if self._connection is None:
            raise RuntimeError("this unit is closed or committed")
        return self._connection

    def must_write(self) -> None:
        """Writing needs an open writing unit."""
        if self._connection is None or self._press is None:
            raise RuntimeError("this unit is closed, committed or only for reading")

    def ask(self, question: Any) -> CursorResult[Any]:
        """Put a question to the database."""
        with spoken():
            answer: CursorResult[Any] = self._open.execute(question)
            return answer

    def tell(self, statement: Any, values: dict[str, Any]) -> CursorResult[Any]:
        """Write; what is refused leaves the rest of the unit as it was."""
        connection = self._open
        with spoken():
            if self.dialect != "postgresql":
                return connection.execute(statement, values)
            with connection.begin_nested():  # a server drops the whole transaction otherwise
                return connection.execute(statement, values)

    def lacks(self, table: str, key: int) -> bool:
        """Whether no record has that key."""
        return self.ask(select(TABLES[table].c.id).where(TABLES[table].c.id == key)).first() is None

    def next_number(self, counter: str) -> int:
        """The next number people see; never reused once committed."""
        self.must_write()
        if counter not in COUNTERS:
            raise KeyError(counter)
        mine = COUNTER_ROWS.c.name == counter
        last = self.ask(select(COUNTER_ROWS.c.last).where(mine)).scalar_one_or_none()
        if last is None:
            self.tell(insert(COUNTER_ROWS), {"name": counter, "last": 1})
            return 1
        self.tell(update(COUNTER_ROWS).where(mine), {"last": last + 1})
        return int(last) + 1

    def book(self, table: str, before: Record | None, after: Record) -> None:
        """Write the change into the chain, in this same transaction."""
        self._changed.add(table)
        if table not in NOT_IN_THE_TRAIL:
            number = self.changes.book(self._verb, table, before, after)
            self._press_number = self._press_number or number

    def stale(self, table: str, record: Record) -> StaleEdit:
        """The sentence that names who was first and when, on the shop's clock."""
        newest = self.changes.of_thing(table, record.id, limit=1)
        people, settings = TABLES["people"], TABLES["settings"]
        who = self.ask(select(people.c.name).where(people.c.id == (newest[0].who_id if newest else THE_TOOL)))
        zone = self.ask(select(settings.c.zone).order_by(settings.c.id).limit(1)).scalar_one_or_none()
        when = newest[0].recorded_at if newest else record.recorded_at
        return stale(table, record, str(who.scalar_one()), when, zone or "UTC")
