"""What the columns of every table have in common: keys, moments, words, lists and the rules of the books."""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from functools import lru_cache
from typing import Any, Generic, TypeVar, get_origin

from sqlalchemy import (
    BigInteger,
    Boolean,
    ColumnElement,
    Dialect,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Text,
    TypeDecorator,
    and_,
    column,
    false,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from printcrib.services.book_rules import ONCE_ONLY, OnceOnly
from printcrib.services.change_record import canonical, codec_of, whole_milliseconds

E = TypeVar("E", bound=StrEnum)

CONVENTION = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}
"""Every constraint has a name from the first day on, so that a later migration can speak of it."""

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
ONE_MILLISECOND = timedelta(milliseconds=1)

WholeNumber = BigInteger().with_variant(Integer(), "sqlite")
"""64 bits; SQLite gives keys of its own only to a column that says INTEGER."""

Words = Text().with_variant(Text(collation="C"), "postgresql")
"""Text in the order of its characters' numbers on every database."""


SAME_LINES = 1000
"""How many different lists of a column are remembered; most requests have one of a few."""


def _moment(value: int | None) -> datetime | None:
    return None if value is None else EPOCH + value * ONE_MILLISECOND


class Moment(TypeDecorator[datetime]):
    """A moment as whole milliseconds since 1970 (UTC), the same on every database."""

    impl = WholeNumber
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> int | None:
        """The moment as a whole number."""
        return None if value is None else (whole_milliseconds(value) - EPOCH) // ONE_MILLISECOND

    def result_processor(self, dialect: Dialect, coltype: Any) -> Callable[[int | None], datetime | None]:
        """The moment again, aware and in UTC."""
        return _moment


class AsText(TypeDecorator[E], Generic[E]):
    """One of a kind's words, stored as the word."""

    impl = Words
    cache_ok = True

    def __init__(self, kind: type[E]) -> None:
        self.kind = kind
        super().__init__()

    def process_bind_param(self, value: E | None, dialect: Dialect) -> str | None:
        """The word; one that is not of this kind is refused."""
        return None if value is None else self.kind(value).value

    def result_processor(self, dialect: Dialect, coltype: Any) -> Callable[[str | None], E | None]:
        """The member again, looked up instead of made: long lists have one in every line."""
        members: dict[str | None, E | None] = {member.value: member for member in self.kind}
        return (members | {None: None}).__getitem__


class AsJson(TypeDecorator[Any]):
    """A list or a set of lines, stored as JSON text."""

    impl = Words
    cache_ok = True

    def __init__(self, hint: Any) -> None:
        self.hint = hint
        super().__init__()

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:
        """The JSON text."""
        return None if value is None else canonical(codec_of(self.hint).to_json(value))

    def result_processor(self, dialect: Dialect, coltype: Any) -> Callable[[str | None], Any]:
        """The tuple, dict or lines again; what cannot be changed is read once for all that have the same."""
        codec = codec_of(self.hint)

        def lines(value: str | None) -> Any:
            return None if value is None else codec.from_json(json.loads(value))

        return lines if get_origin(self.hint) is dict else lru_cache(SAME_LINES)(lines)


class Books(DeclarativeBase):
    """All tables of the shop."""

    metadata = MetaData(naming_convention=CONVENTION)
    type_annotation_map = {  # noqa: RUF012 - SQLAlchemy's own way to be told
        int: WholeNumber,
        str: Words,
        float: Double(),
        bool: Boolean(),
        datetime: Moment(),
    }


class RecordRow(Books):
    """What every record carries; see `core.records.Record`."""

    __abstract__ = True

    id: Mapped[int] = mapped_column(primary_key=True, sort_order=-5)
    version: Mapped[int] = mapped_column(sort_order=-4)
    recorded_at: Mapped[datetime] = mapped_column(sort_order=-3)
    happened_at: Mapped[datetime] = mapped_column(sort_order=-2)
    void: Mapped[bool] = mapped_column(sort_order=-1)


def key(table: str, *, later: bool = False) -> Any:
    """A column that holds the key of another record.

    Args:
        table: whose key. later: the two tables point at each other, so a database that can adds this
            rule after both are there.
    """
    return mapped_column(ForeignKey(f"{table}.id", use_alter=later))


def once_only(table: str) -> tuple[Index, ...]:
    """The unique indexes of a table, from the rules of the books."""
    return tuple(_index(rule) for rule in ONCE_ONLY if rule.table == table)


def _index(rule: OnceOnly) -> Index:
    """The rows are told for one database only: naming the other loads its driver, a tenth of a second.

    The steps name them for both, and `migrations/env.py` copies them over when steps are written.
    """
    return Index(rule.name, *rule.fields, unique=True, sqlite_where=_where(rule))


def _where(rule: OnceOnly) -> ColumnElement[bool] | None:
    parts: list[ColumnElement[bool]] = []
    if not rule.void_too:
        parts.append(column("void", Boolean()) == false())
    if rule.among:
        name, words = rule.among
        parts.append(column(name, Text()).in_(words))
    parts += [column(name) != "" for name in rule.filled if not name.endswith("_id")]
    return and_(*parts) if parts else None
