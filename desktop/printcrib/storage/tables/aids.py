"""Aids in service, the counting of their use, and the machines."""

from datetime import datetime

from sqlalchemy import Index
from sqlalchemy.orm import Mapped, mapped_column

from printcrib.core.aids import AidState, RetireReason, Sure, UseKind
from printcrib.core.patterns import CountedBy
from printcrib.storage.tables.columns import AsText, RecordRow, key, once_only


class AidRow(RecordRow):
    """One aid."""

    __tablename__ = "aids"
    __table_args__ = (
        *once_only("aids"),
        Index(None, "state"),
        Index(None, "size_id"),
        Index(None, "machine_id"),
    )

    number: Mapped[int]
    copy_id: Mapped[int] = key("copies")
    request_id: Mapped[int] = key("requests")
    size_id: Mapped[int] = key("sizes")
    model_id: Mapped[int | None] = key("models")
    label: Mapped[str]
    state: Mapped[AidState] = mapped_column(AsText(AidState))
    machine_id: Mapped[int | None] = key("machines")
    since: Mapped[datetime | None]
    in_use_since: Mapped[datetime | None]
    counted_by: Mapped[CountedBy] = mapped_column(AsText(CountedBy))
    uses_a_part: Mapped[int]
    limit: Mapped[int | None]
    aside_why: Mapped[str]
    checked_at: Mapped[datetime | None]
    retired_reason: Mapped[RetireReason | None] = mapped_column(AsText(RetireReason))
    retired_at: Mapped[datetime | None]
    place: Mapped[str]


class UseEntryRow(RecordRow):
    """One use entry."""

    __tablename__ = "use_entries"
    __table_args__ = (
        *once_only("use_entries"),
        Index("ix_use_entries_of_aid", "aid_id", "happened_at", "void", "amount", "counted_to"),
        Index(None, "happened_at"),
    )

    aid_id: Mapped[int] = key("aids")
    kind: Mapped[UseKind] = mapped_column(AsText(UseKind))
    amount: Mapped[int]
    who_id: Mapped[int] = key("people")
    counted_from: Mapped[datetime | None]
    counted_to: Mapped[datetime | None]
    sure: Mapped[Sure] = mapped_column(AsText(Sure))
    opposes_id: Mapped[int | None] = key("use_entries")


class MachineRow(RecordRow):
    """One machine."""

    __tablename__ = "machines"
    __table_args__ = (*once_only("machines"),)

    name: Mapped[str]
    active: Mapped[bool]


class MachineReadingRow(RecordRow):
    """One machine reading."""

    __tablename__ = "machine_readings"
    __table_args__ = (
        *once_only("machine_readings"),
        Index(None, "machine_id", "happened_at"),
    )

    machine_id: Mapped[int] = key("machines")
    counter: Mapped[int]
    who_id: Mapped[int] = key("people")
    counter_reset: Mapped[bool]
