"""One full record of every kind, with everything it points at."""

from dataclasses import MISSING, fields, is_dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from itertools import count
from types import NoneType
from typing import Any, get_args, get_origin, get_type_hints

from printcrib.core.records import Record
from printcrib.services.book_rules import KINDS, points_at
from printcrib.services.interfaces import UnitOfWork

_NUMBERS = count(1000)
_MOMENT = datetime(2026, 3, 29, 0, 30, 15, 123000, tzinfo=UTC)
OF_A_RECORD = frozenset(field.name for field in fields(Record))


def value_of(hint: Any) -> Any:
    """A value that is not the usual one, different each time where that is possible."""
    number = next(_NUMBERS)
    options = [part for part in get_args(hint) if part is not NoneType]
    if NoneType in get_args(hint):
        return value_of(options[0])
    if get_origin(hint) is tuple:
        return tuple(value_of(part) for part in options if part is not Ellipsis)
    if get_origin(hint) is dict:
        return {f"größe {number}": value_of(options[1])}
    if issubclass(hint, StrEnum):
        return list(hint)[-1]
    if is_dataclass(hint):
        hints = get_type_hints(hint)
        make: Any = hint
        return make(**{field.name: value_of(hints[field.name]) for field in fields(hint)})
    plain = {int: number, float: number / 7, bool: True, str: f"Übermaß {number} ☂"}
    return _MOMENT + timedelta(minutes=number) if hint is datetime else plain[hint]


def sample(unit: UnitOfWork, table: str, *, needed_only: bool = False, **given: Any) -> Any:
    """A record of that table, not stored; what it points at is stored in the unit.

    Args:
        unit: an open writing unit. table: its name there.
        needed_only: leave out all that may be left out.
        given: values of fields.
    """
    kind = KINDS[table].record
    hints, values = get_type_hints(kind), dict(given)
    for field in fields(kind):
        usual = field.default is not MISSING or field.default_factory is not MISSING
        if field.name in OF_A_RECORD or field.name in values or (usual and needed_only):
            continue
        there = points_at(table, field.name)
        if there is None:
            values[field.name] = value_of(hints[field.name])
        elif not usual or there not in (table, "aids", "copies"):
            values[field.name] = stored(unit, there).id
    return kind(**values)


def stored(unit: UnitOfWork, table: str, **given: Any) -> Any:
    """A record of that table with only what is needed, stored in the unit."""
    return getattr(unit, table).add(sample(unit, table, needed_only=True, **given))
