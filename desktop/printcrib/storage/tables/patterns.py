"""The pattern book, its models and their estimates."""

from sqlalchemy import Index
from sqlalchemy.orm import Mapped, mapped_column

from printcrib.core.advice import NozzleFit, Rest, Thread
from printcrib.core.patterns import CountedBy, Fineness, Reliability
from printcrib.storage.tables.columns import AsJson, AsText, RecordRow, key, once_only


class PatternRow(RecordRow):
    """One pattern."""

    __tablename__ = "patterns"
    __table_args__ = (*once_only("patterns"),)

    number: Mapped[int]
    name: Mapped[str]
    kind: Mapped[str]
    use_unit: Mapped[str]
    counted_by: Mapped[CountedBy] = mapped_column(AsText(CountedBy))
    uses_a_part: Mapped[int]
    expected_life: Mapped[int | None]
    days_in_service: Mapped[int | None]
    reliability: Mapped[Reliability] = mapped_column(AsText(Reliability))
    how_fine: Mapped[Fineness] = mapped_column(AsText(Fineness))
    material_id: Mapped[int | None] = key("materials")
    colour: Mapped[str]
    finishing_steps: Mapped[tuple[str, ...]] = mapped_column(AsJson(tuple[str, ...]))
    inserts: Mapped[tuple[tuple[int, int], ...]] = mapped_column(AsJson(tuple[tuple[int, int], ...]))
    safety_answers: Mapped[tuple[int, ...] | None] = mapped_column(AsJson(tuple[int, ...]))
    take_out_before_start: Mapped[bool]
    listed: Mapped[bool]
    notes: Mapped[str]


class SizeRow(RecordRow):
    """One size."""

    __tablename__ = "sizes"
    __table_args__ = (
        *once_only("sizes"),
        Index(None, "pattern_id"),
    )

    pattern_id: Mapped[int] = key("patterns")
    name: Mapped[str]
    model_id: Mapped[int | None] = key("models", later=True)
    minimum_spares: Mapped[int]
    shelf_place: Mapped[str]
    count_limit: Mapped[int | None]
    active: Mapped[bool]


class ModelRow(RecordRow):
    """One model."""

    __tablename__ = "models"
    __table_args__ = (
        *once_only("models"),
        Index(None, "sha256"),
    )

    size_id: Mapped[int] = key("sizes")
    revision: Mapped[str]
    sha256: Mapped[str]
    file_name: Mapped[str]
    file_kind: Mapped[str]
    unit_scale: Mapped[float]
    turn: Mapped[int]
    triangles: Mapped[int]
    volume_cm3: Mapped[float]
    extents_mm: Mapped[tuple[float, float, float]] = mapped_column(AsJson(tuple[float, float, float]))
    findings: Mapped[tuple[tuple[str, str], ...]] = mapped_column(AsJson(tuple[tuple[str, str], ...]))
    trustworthy: Mapped[bool]
    source: Mapped[str]
    licence: Mapped[str]
    doubt: Mapped[float]
    mended: Mapped[str]


class EstimateRow(RecordRow):
    """One estimate."""

    __tablename__ = "estimates"
    __table_args__ = (
        *once_only("estimates"),
        Index(None, "model_id"),
        Index(None, "settings_hash"),
    )

    model_id: Mapped[int] = key("models")
    printer_id: Mapped[int] = key("printers")
    bore_um: Mapped[int]
    material_id: Mapped[int] = key("materials")
    settings_hash: Mapped[str]
    part_minutes: Mapped[float]
    start_minutes: Mapped[float]
    likely_minutes: Mapped[float]
    at_most_minutes: Mapped[float]
    part_mg: Mapped[int]
    mg: Mapped[int]
    cost_thousandths: Mapped[int | None]
    layers: Mapped[int]
    tier: Mapped[int]
    busy_minutes: Mapped[float]
    cooling_minutes: Mapped[float]


class AdviceRow(RecordRow):
    """What was found on one model."""

    __tablename__ = "advice"
    __table_args__ = (
        *once_only("advice"),
        Index(None, "model_id"),
    )

    model_id: Mapped[int] = key("models")
    made_for: Mapped[str]
    nozzles: Mapped[tuple[NozzleFit, ...]] = mapped_column(AsJson(tuple[NozzleFit, ...]))
    threads: Mapped[tuple[Thread, ...]] = mapped_column(AsJson(tuple[Thread, ...]))
    rests: Mapped[tuple[Rest, ...]] = mapped_column(AsJson(tuple[Rest, ...]))
    places: Mapped[str]
