"""The change record on a database: audit trail, undo source and refresh feed in one."""

import json
from collections.abc import Iterator
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any

from sqlalchemy import Row, Select, func, insert, select

from printcrib.core.records import Record
from printcrib.services.change_record import (
    FIRST_HASH,
    canonical,
    chain_faults,
    chain_hash,
    hashed_fields,
    to_json,
)
from printcrib.services.interfaces import Change
from printcrib.storage.tables import CHANGES

if TYPE_CHECKING:
    from printcrib.storage.unit import StoredUnit

_NAMES = tuple(field.name for field in fields(Change))
_ALL = select(*(CHANGES.c[name] for name in _NAMES))
_AT_ONCE = 2000


def all_changes() -> Select[Any]:
    """The question for whole changes."""
    return _ALL


def change_of(row: Row[Any]) -> Change:
    """The change of a row."""
    values = dict(zip(_NAMES, row, strict=True))
    for name in ("before", "after"):
        values[name] = None if values[name] is None else json.loads(values[name])
    return Change(**values)


class StoredChanges:
    """The change record of a unit of work."""

    def __init__(self, unit: "StoredUnit") -> None:
        self._unit = unit
        self._last: tuple[int, str] | None = None

    def _changes(self, question: Any) -> tuple[Change, ...]:
        return tuple(change_of(row) for row in self._unit.ask(question))

    def since(self, number: int, limit: int = 1000) -> tuple[Change, ...]:
        """Changes with a higher number, oldest first."""
        return self._changes(_ALL.where(CHANGES.c.number > number).order_by(CHANGES.c.number).limit(limit))

    def last_number(self) -> int:
        """Number of the newest change, 0 when there is none."""
        return int(self._unit.ask(select(func.max(CHANGES.c.number))).scalar_one() or 0)

    def of_press(self, press_number: int) -> tuple[Change, ...]:
        """All changes of one press."""
        return self._changes(_ALL.where(CHANGES.c.press_number == press_number).order_by(CHANGES.c.number))

    def of_thing(self, thing: str, key: int, limit: int = 200) -> tuple[Change, ...]:
        """History of one record, newest first."""
        mine = _ALL.where(CHANGES.c.thing == thing, CHANGES.c.thing_id == key)
        return self._changes(mine.order_by(CHANGES.c.number.desc()).limit(limit))

    def newest_of_each(self, things: tuple[str, ...], limit: int = 50) -> tuple[Change, ...]:
        """The newest changes on these kinds of record, newest first."""
        theirs = _ALL.where(CHANGES.c.thing.in_(things))
        return self._changes(theirs.order_by(CHANGES.c.number.desc()).limit(limit))

    def faults(self) -> tuple[str, ...]:
        """Sentences on every break of the hash chain; empty when whole."""
        return tuple(chain_faults(self.every()))

    def every(self) -> Iterator[Change]:
        """All changes, oldest first, some thousand in memory at a time."""
        number = 0
        while found := self.since(number, _AT_ONCE):
            yield from found
            number = found[-1].number

    def number_of_once_key(self, once_key: str) -> int | None:
        """The press that already carries a once key."""
        question = select(CHANGES.c.press_number).where(CHANGES.c.once_key == once_key)
        number: int | None = self._unit.ask(question).scalar_one_or_none()
        return number

    def book(self, verb: str, table: str, before: Record | None, after: Record) -> int:
        """Write one change at the end of the chain; gives its number.

        Nobody else writes between reading the last one and this, since a writing unit has the books alone.
        """
        last_number, last_hash = self._last or self._newest()
        unit, press, number = self._unit, self._unit.press, last_number + 1
        change = Change(
            number=number,
            recorded_at=unit.now,
            happened_at=unit.happened_at,
            who_id=press.who_id,
            station=press.station,
            verb=verb,
            thing=table,
            thing_id=after.id,
            thing_version=after.version,
            press_number=unit.press_number or number,
            before=None if before is None else to_json(before),
            after=to_json(after),
            once_key=None if unit.press_number else press.once_key,
            previous_hash=last_hash,
            hash="",
        )
        change = replace(change, hash=chain_hash(last_hash, hashed_fields(change)))
        values = {name: getattr(change, name) for name in _NAMES}
        for name in ("before", "after"):
            values[name] = None if values[name] is None else canonical(values[name])
        unit.tell(insert(CHANGES), values)
        self._last = (number, change.hash)
        return number

    def _newest(self) -> tuple[int, str]:
        question = select(CHANGES.c.number, CHANGES.c.hash).order_by(CHANGES.c.number.desc()).limit(1)
        row: Any = self._unit.ask(question).first()
        return (int(row[0]), str(row[1])) if row else (0, FIRST_HASH)
