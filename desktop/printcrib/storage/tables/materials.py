"""What is on the rack and its ledgers."""

from datetime import datetime

from sqlalchemy import Index
from sqlalchemy.orm import Mapped, mapped_column

from printcrib.core.materials import Source, SpoolEntryKind, SpoolState
from printcrib.storage.tables.columns import AsText, RecordRow, key, once_only


class MaterialRow(RecordRow):
    """One material."""

    __tablename__ = "materials"
    __table_args__ = (*once_only("materials"),)

    name: Mapped[str]
    density: Mapped[float]
    density_source: Mapped[str]
    keep_below_c: Mapped[int | None]
    softens_words: Mapped[str]
    strength_words: Mapped[str]
    nozzle_c_words: Mapped[str]
    bed_c_words: Mapped[str]
    drying_words: Mapped[str]
    drying_c: Mapped[int | None]
    drying_hours: Mapped[float | None]
    contact: Mapped[str]
    abrasive: Mapped[bool]
    price_per_kg_thousandths: Mapped[int | None]
    source: Mapped[str]
    active: Mapped[bool]


class SpoolRow(RecordRow):
    """One spool."""

    __tablename__ = "spools"
    __table_args__ = (
        *once_only("spools"),
        Index(None, "state"),
    )

    number: Mapped[int]
    material_id: Mapped[int] = key("materials")
    colour: Mapped[str]
    lot: Mapped[str]
    nominal_mg: Mapped[int]
    tare_mg: Mapped[int | None]
    tare_guessed: Mapped[bool]
    density: Mapped[float | None]
    density_source: Mapped[str]
    price_thousandths: Mapped[int | None]
    state: Mapped[SpoolState] = mapped_column(AsText(SpoolState))
    place: Mapped[str]
    opened_at: Mapped[datetime | None]
    dried_at: Mapped[datetime | None]
    dryer_until: Mapped[datetime | None]
    damp: Mapped[bool]


class SpoolEntryRow(RecordRow):
    """One spool booking."""

    __tablename__ = "spool_entries"
    __table_args__ = (
        *once_only("spool_entries"),
        Index("ix_spool_entries_of_spool", "spool_id", "void", "mg"),
        Index(None, "run_id"),
        Index(None, "happened_at"),
    )

    spool_id: Mapped[int] = key("spools")
    kind: Mapped[SpoolEntryKind] = mapped_column(AsText(SpoolEntryKind))
    mg: Mapped[int]
    who_id: Mapped[int] = key("people")
    source: Mapped[Source] = mapped_column(AsText(Source))
    run_id: Mapped[int | None] = key("runs")
    gross_mg: Mapped[int | None]
    opposes_id: Mapped[int | None] = key("spool_entries")
    note: Mapped[str]


class StockMinimumRow(RecordRow):
    """One stock minimum."""

    __tablename__ = "stock_minimums"
    __table_args__ = (*once_only("stock_minimums"),)

    material_id: Mapped[int] = key("materials")
    colour: Mapped[str]
    minimum_mg: Mapped[int]


class InsertRow(RecordRow):
    """One insert."""

    __tablename__ = "inserts"
    __table_args__ = (*once_only("inserts"),)

    name: Mapped[str]
    minimum: Mapped[int]
    maximum: Mapped[int]
    price_thousandths: Mapped[int | None]
    active: Mapped[bool]


class InsertEntryRow(RecordRow):
    """One insert booking."""

    __tablename__ = "insert_entries"
    __table_args__ = (
        *once_only("insert_entries"),
        Index(None, "insert_id"),
    )

    insert_id: Mapped[int] = key("inserts")
    kind: Mapped[str]
    amount: Mapped[int]
    who_id: Mapped[int] = key("people")
    copy_id: Mapped[int | None] = key("copies")
    opposes_id: Mapped[int | None] = key("insert_entries")
