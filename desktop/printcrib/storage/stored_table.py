"""One kind of record on a database: frozen records in, frozen records out, never rows."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from sqlalchemy import ColumnElement, Row, Select, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from printcrib.core.records import NOT_YET, Record
from printcrib.services.book_rules import KINDS, called, no_such, points_at
from printcrib.services.change_record import field_codecs, from_json, to_json
from printcrib.services.interfaces import Where
from printcrib.storage.conditions import column_of, condition
from printcrib.storage.refusals import broken_key, broken_rule, is_key_missing
from printcrib.storage.tables import TABLES

if TYPE_CHECKING:
    from printcrib.storage.unit import StoredUnit

R = TypeVar("R", bound=Record)

_NAMES: Mapping[str, tuple[str, ...]] = {
    name: tuple(field_codecs(kind.record)) for name, kind in KINDS.items()
}
_ALL: Mapping[str, Select[Any]] = {
    name: select(*(TABLES[name].c[field] for field in fields)) for name, fields in _NAMES.items()
}


def record_of(table: str, row: Row[Any]) -> Any:
    """The record of a row whose columns stand in the order of the record's fields.

    The fields are set at once instead of through the constructor: rows of our own tables are complete, and
    ten thousand requests of forty fields each are then on the screen in half the time.
    """
    record = object.__new__(KINDS[table].record)
    record.__dict__.update(zip(_NAMES[table], row, strict=True))
    return record


def all_of(table: str) -> Select[Any]:
    """The question for whole records."""
    return _ALL[table]


class StoredTable(Generic[R]):
    """One kind of record in a unit of work."""

    def __init__(self, unit: "StoredUnit", name: str) -> None:
        self._unit, self._name = unit, name
        self._table = TABLES[name]

    def _meets(self, where: Sequence[Where], with_void: bool = False) -> list[ColumnElement[bool]]:
        dialect = self._unit.dialect
        parts = [condition(self._table, each, dialect) for each in where]
        return parts if with_void else [*parts, self._table.c.void.is_(False)]

    def _records(self, question: Select[Any]) -> tuple[R, ...]:
        name = self._name
        return tuple(record_of(name, row) for row in self._unit.ask(question).all())

    def _by_key(self, key: int) -> R | None:
        found = self._records(_ALL[self._name].where(self._table.c.id == key))
        return found[0] if found else None

    def get(self, key: int) -> R:
        """The record; raises NotFound in shop words."""
        record = self._by_key(key)
        if record is None:
            raise no_such(self._name, key)
        return record

    def find(
        self,
        *where: Where,
        order_by: str = "id",
        newest_first: bool = False,
        limit: int | None = None,
        offset: int = 0,
        with_void: bool = False,
    ) -> tuple[R, ...]:
        """All records that meet every condition, in the order of one field (then id); empty fields last."""
        column, key = column_of(self._table, order_by), self._table.c.id
        order = [column.desc(), key.desc()] if newest_first else [column.asc(), key.asc()]
        if column.nullable:
            order[0] = order[0].nulls_last()
        question = _ALL[self._name].where(*self._meets(where, with_void)).order_by(*order)
        if limit is not None:
            question = question.limit(limit)
        if offset:
            question = question.offset(offset) if limit is not None else question.limit(2**62).offset(offset)
        return self._records(question)

    def one(self, *where: Where) -> R | None:
        """The first record that meets the conditions, or None."""
        found = self.find(*where, limit=1)
        return found[0] if found else None

    def count(self, *where: Where) -> int:
        """How many meet the conditions."""
        question = select(func.count()).select_from(self._table).where(*self._meets(where))
        return int(self._unit.ask(question).scalar_one())

    def totals(self, field_name: str, by: str, *where: Where) -> dict[Any, int]:
        """Sum of an integer field for each value of another field."""
        total = func.coalesce(func.sum(column_of(self._table, field_name)), 0)
        return {key: int(value) for key, value in self._groups(total, by, where)}

    def latest(self, field_name: str, by: str, *where: Where) -> dict[Any, Any]:
        """Largest value of a field for each value of another field."""
        column = column_of(self._table, field_name)
        return dict(self._groups(func.max(column, type_=column.type), by, where))

    def _groups(self, value: Any, by: str, where: Sequence[Where]) -> list[tuple[Any, Any]]:
        group = column_of(self._table, by)
        question = select(group, value).where(*self._meets(where)).group_by(group)
        rows: list[Any] = list(self._unit.ask(question))
        return [(row[0], row[1]) for row in rows]

    def add(self, record: R) -> R:
        """Store a new record with its key, version 1 and both times, and book the change."""
        self._unit.must_write()
        if record.id:
            raise ValueError(f"{called(self._name, record)} is stored already; save it instead")
        happened_at = self._unit.happened_at if record.happened_at == NOT_YET else record.happened_at
        stored = replace(record, version=1, recorded_at=self._unit.now, happened_at=happened_at)
        stored = self._as_stored(stored)
        values = self._values(stored)
        answer = self._write(insert(self._table), values, stored)
        stored = replace(stored, id=int(answer.inserted_primary_key[0]))
        self._unit.book(self._name, None, stored)
        return stored

    def save(self, record: R) -> R:
        """Store an edited record and book the change; raises StaleEdit when somebody else was first."""
        self._unit.must_write()
        before = self.get(record.id)
        stored = self._as_stored(replace(record, version=record.version + 1, recorded_at=before.recorded_at))
        values = self._values(stored)
        table = self._table
        guarded = update(table).where(table.c.id == record.id, table.c.version == record.version)
        if before.version != record.version or not self._write(guarded, values, stored).rowcount:
            raise self._unit.stale(self._name, before)
        self._unit.book(self._name, before, stored)
        return stored

    def _values(self, record: R) -> dict[str, Any]:
        return {name: getattr(record, name) for name in _NAMES[self._name] if name != "id"}

    def _as_stored(self, record: R) -> R:
        """As it will be read again: whole milliseconds, words as kinds, whole lists."""
        return from_json(type(record), to_json(record))

    def _write(self, statement: Any, values: dict[str, Any], record: R) -> Any:
        try:
            return self._unit.tell(statement, values)
        except IntegrityError as error:
            rule = broken_rule(error)
            if rule:
                raise rule.refusal() from error
            if is_key_missing(error):
                raise self._missing(record, broken_key(self._name, error)) from error
            raise

    def _missing(self, record: R, field: str | None) -> Exception:
        """Say which key is in no book; SQLite does not tell, so it is looked up."""
        for name in [field] if field else _NAMES[self._name]:
            table, key = points_at(self._name, name), getattr(record, name)
            if table and key is not None and self._unit.lacks(table, key):
                return no_such(table, key)
        return ValueError(f"{called(self._name, record)} points at a record that is not there")
