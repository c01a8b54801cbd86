"""The change record, the counters of the numbers people see, and the pieces of files kept in a database."""

from datetime import datetime

from sqlalchemy import ForeignKey, Index, LargeBinary
from sqlalchemy.orm import Mapped, mapped_column

from printcrib.storage.tables.columns import Books, key


class ChangeRow(Books):
    """One line of the audit trail; its number is the order of commits."""

    __tablename__ = "changes"
    __table_args__ = (
        Index(None, "thing", "thing_id", "number"),
        Index(None, "thing", "number"),
        Index(None, "press_number"),
        Index("uq_changes_once_key", "once_key", unique=True),
        Index("uq_changes_hash", "hash", unique=True),
    )

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    recorded_at: Mapped[datetime]
    happened_at: Mapped[datetime]
    who_id: Mapped[int] = key("people")
    station: Mapped[str]
    verb: Mapped[str]
    thing: Mapped[str]
    thing_id: Mapped[int]
    thing_version: Mapped[int]
    press_number: Mapped[int]
    before: Mapped[str | None]
    after: Mapped[str | None]
    once_key: Mapped[str | None]
    previous_hash: Mapped[str]
    hash: Mapped[str]


class CounterRow(Books):
    """The last number given of each kind."""

    __tablename__ = "counters"

    name: Mapped[str] = mapped_column(primary_key=True)
    last: Mapped[int]


class PieceRow(Books):
    """A piece of at most 1 MiB of a file that is kept in the database."""

    __tablename__ = "pieces"

    attachment_id: Mapped[int] = mapped_column(ForeignKey("attachments.id"), primary_key=True)
    ordinal: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    content: Mapped[bytes] = mapped_column(LargeBinary)
