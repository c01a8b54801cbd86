"""Looks through a shop's books for faults and says each in a sentence."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, cast

from sqlalchemy import and_, func, or_, select

from printcrib.core.errors import ShopError
from printcrib.core.records import THE_TOOL
from printcrib.services.book_rules import KINDS, NOT_IN_THE_TRAIL, called
from printcrib.services.change_record import chain_faults, from_json
from printcrib.services.interfaces import Attachments, Change, UnitOfWork, Where
from printcrib.storage.backup import DATABASE, faults_of_file
from printcrib.storage.books import OpenBooks
from printcrib.storage.stored_changes import all_changes, change_of
from printcrib.storage.tables import CHANGES, TABLES
from printcrib.storage.unit import StoredUnit

AT_ONCE = 1000
"""Records read in one go, so that no writer waits long for a check."""

LEDGERS = {
    "spool_entries": ("mg", "spool_id"),
    "use_entries": ("amount", "aid_id"),
    "insert_entries": ("amount", "insert_id"),
}
"""Books whose entries are opposed, never changed: the amount and whose it is."""


def check_books(books: OpenBooks, progress: Callable[[str], None] | None = None) -> tuple[str, ...]:
    """Sentences on everything that is wrong in a shop's books; empty when they are sound.

    Args:
        books: the open books. progress: told the name of each part before it is looked at.
    """
    parts: tuple[tuple[str, Callable[[], Iterable[str]]], ...] = (
        ("database", lambda: _database_faults(books.home)),
        ("change record", lambda: chain_faults(every_change(books.read))),
        ("records", lambda: _record_faults(books.read)),
        ("ledgers", lambda: _ledger_faults(books.read)),
        ("files", lambda: _file_faults(books.read, books.files)),
    )
    faults: list[str] = []
    for name, look in parts:
        if progress:
            progress(name)
        faults += look()
    return tuple(faults)


def _database_faults(home: Path | None) -> Iterable[str]:
    """A server looks after its own pages and keys; a file is looked through."""
    return faults_of_file(home / DATABASE) if home else ()


def every_change(read: Callable[[], UnitOfWork]) -> Iterator[Change]:
    """All changes, oldest first, in many short readings."""
    number = 0
    while True:
        with read() as unit:
            found = unit.changes.since(number, AT_ONCE)
        if not found:
            return
        yield from found
        number = found[-1].number


def _record_faults(read: Callable[[], UnitOfWork]) -> Iterator[str]:
    """Records that are not what the change record last said of them."""
    for table in KINDS:
        if table not in NOT_IN_THE_TRAIL:
            yield from _table_faults(read, table)


def _table_faults(read: Callable[[], UnitOfWork], table: str) -> Iterator[str]:
    last = THE_TOOL if table == "people" else -1
    while True:
        with read() as unit:
            page = getattr(unit, table).find(Where("id", ">", last), limit=AT_ONCE, with_void=True)
            said = _last_said(unit, table, last, page[-1].id) if page else {}
        if not page:
            return
        for record in page:
            change = said.get(record.id)
            named = f"{called(table, record)} (key {record.id})"
            if change is None:
                yield f"There is no change for {named}."
            elif change.after is None or from_json(KINDS[table].record, change.after) != record:
                yield f"Somebody altered {named} after change {change.number} without booking it."
        last = page[-1].id


def _last_said(unit: UnitOfWork, table: str, after: int, up_to: int) -> dict[int, Change]:
    mine = and_(CHANGES.c.thing == table, CHANGES.c.thing_id > after, CHANGES.c.thing_id <= up_to)
    newest = select(func.max(CHANGES.c.number)).where(mine).group_by(CHANGES.c.thing_id)
    rows = cast(StoredUnit, unit).ask(all_changes().where(CHANGES.c.number.in_(newest)))
    return {change.thing_id: change for change in map(change_of, rows)}


def _ledger_faults(read: Callable[[], UnitOfWork]) -> Iterator[str]:
    for table, (amount, owner) in LEDGERS.items():
        with read() as unit:
            ask = cast(StoredUnit, unit).ask
            wrong = [tuple(row) for row in ask(_wrongly_opposed(table, amount, owner))]
            twice = [row[0] for row in ask(_opposed_twice(table))]
            undone = [row[0] for row in ask(_void(table))]
        noun = KINDS[table].noun
        for key, opposed in wrong:
            yield f"The {noun} {key} does not take back exactly what {noun} {opposed} booked."
        for key in twice:
            yield f"The {noun} {key} was taken back more than once."
        for key in undone:
            yield f"The {noun} {key} was struck out; a ledger is only ever opposed."


def _wrongly_opposed(table: str, amount: str, owner: str) -> Any:
    entry, other = TABLES[table], TABLES[table].alias("other")
    differs = or_(entry.c[amount] + other.c[amount] != 0, entry.c[owner] != other.c[owner])
    joined = entry.join(other, entry.c.opposes_id == other.c.id)
    return select(entry.c.id, other.c.id).select_from(joined).where(differs)


def _opposed_twice(table: str) -> Any:
    opposed = TABLES[table].c.opposes_id
    return select(opposed).where(opposed.is_not(None)).group_by(opposed).having(func.count() > 1)


def _void(table: str) -> Any:
    return select(TABLES[table].c.id).where(TABLES[table].c.void.is_(True))


def _file_faults(read: Callable[[], UnitOfWork], files: Attachments) -> Iterator[str]:
    last = 0
    while True:
        with read() as unit:
            page = unit.attachments.find(Where("id", ">", last), limit=AT_ONCE)
        if not page:
            return
        for kept in page:
            try:
                content = files.get(kept.sha256)
            except ShopError as error:
                yield f"{error.what} (file {kept.id}, {kept.kind}, {kept.sha256[:12]})."
            else:
                if len(content) != kept.bytes:
                    yield f"The file {kept.sha256[:12]} has {len(content)} bytes instead of {kept.bytes}."
        last = page[-1].id
