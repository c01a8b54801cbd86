"""Conditions on records as conditions on rows."""

import json
from collections.abc import Callable, Mapping
from typing import Any

from sqlalchemy import Column, ColumnElement, Double, Table, bindparam, false, func, literal, or_, select
from sqlalchemy.dialects.postgresql import ARRAY

from printcrib.services.interfaces import Where
from printcrib.storage.tables.columns import AsJson, Words

MANY = 500
"""Above so many values a list is sent as one, since databases limit how many a question may hold."""


def column_of(table: Table, field: str) -> Column[Any]:
    """The column of a field; a misspelt one is refused."""
    if field not in table.c:
        raise AttributeError(f"{table.name} has no field {field}; it has {', '.join(table.c.keys())}")
    return table.c[field]


def condition(table: Table, where: Where, dialect: str) -> ColumnElement[bool]:
    """One condition in the database's words."""
    column = column_of(table, where.field)
    if where.op in ("is none", "not none"):
        return column.is_(None) if where.op == "is none" else column.is_not(None)
    if isinstance(column.type, AsJson) or (where.op != "in" and isinstance(where.value, list | tuple)):
        raise TypeError(f"{where.field} is a list; ask for the records and look inside them")
    if where.op == "in":
        return _among(column, tuple(_bound(column, value) for value in where.value), dialect)
    if where.op == "contains":
        return _contains(column, where.value, dialect)
    if where.value is None and where.op not in ("==", "!="):
        return false()  # nothing is before or after nothing
    return _COMPARE[where.op](column, _bound(column, where.value))


def _bound(column: Column[Any], value: Any) -> Any:
    """A whole number for a column of others: a server's driver would compare it as a small whole number."""
    return float(value) if isinstance(value, int) and isinstance(column.type, Double) else value


def _equal(column: Column[Any], value: Any) -> ColumnElement[bool]:
    return column.is_(None) if value is None else column == value


def _differs(column: Column[Any], value: Any) -> ColumnElement[bool]:
    if value is None:
        return column.is_not(None)
    return or_(column != value, column.is_(None)) if column.nullable else column != value


_COMPARE: Mapping[str, Callable[[Column[Any], Any], ColumnElement[bool]]] = {
    "==": _equal,
    "!=": _differs,
    "<": lambda column, value: column < value,
    "<=": lambda column, value: column <= value,
    ">": lambda column, value: column > value,
    ">=": lambda column, value: column >= value,
}


def _among(column: Column[Any], values: tuple[Any, ...], dialect: str) -> ColumnElement[bool]:
    filled = [value for value in values if value is not None]
    if not filled:
        found: ColumnElement[bool] = false()
    elif len(filled) <= MANY:
        found = column.in_(filled)
    else:
        found = _among_many(column, filled, dialect)
    return or_(found, column.is_(None)) if len(filled) < len(values) else found


def _among_many(column: Column[Any], values: list[Any], dialect: str) -> ColumnElement[bool]:
    if dialect == "postgresql":
        return column == func.any(bindparam(None, values, type_=ARRAY(column.type)))
    plain = [value if isinstance(value, int) else str(value) for value in values]
    listed = func.json_each(literal(json.dumps(plain), Words)).table_valued("value")
    return column.in_(select(listed.c.value))


def _contains(column: Column[Any], words: str, dialect: str) -> ColumnElement[bool]:
    if dialect == "postgresql":
        return func.strpos(func.lower(column.collate("und-x-icu")), words.lower()) > 0
    return func.instr(func.small_letters(column), words.lower()) > 0
