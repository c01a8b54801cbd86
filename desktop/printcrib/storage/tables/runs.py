"""Runs, the plan that orders them, and what failed."""

from datetime import datetime

from sqlalchemy import Index
from sqlalchemy.orm import Mapped, mapped_column

from printcrib.core.materials import Source
from printcrib.core.runs import PlanLane, PlanState, RunOrigin, RunState
from printcrib.storage.tables.columns import AsJson, AsText, RecordRow, key, once_only


class RunRow(RecordRow):
    """One run."""

    __tablename__ = "runs"
    __table_args__ = (
        *once_only("runs"),
        Index(None, "state"),
        Index(None, "printer_id", "planned_start"),
        Index(None, "happened_at"),
        Index(None, "taken_off_at"),
    )

    number: Mapped[int]
    printer_id: Mapped[int] = key("printers")
    bore_um: Mapped[int]
    nozzle_id: Mapped[int | None] = key("nozzles")
    material_id: Mapped[int | None] = key("materials")
    colour: Mapped[str]
    spool_ids: Mapped[tuple[int, ...]] = mapped_column(AsJson(tuple[int, ...]))
    origin: Mapped[RunOrigin] = mapped_column(AsText(RunOrigin))
    state: Mapped[RunState] = mapped_column(AsText(RunState))
    print_file_sha: Mapped[str]
    estimated_minutes: Mapped[float]
    at_most_minutes: Mapped[float]
    estimated_mg: Mapped[int]
    computed_minutes: Mapped[float]
    computed_start_minutes: Mapped[float]
    computed_mg: Mapped[int]
    planned_hands_on: Mapped[datetime | None]
    planned_start: Mapped[datetime | None]
    planned_end: Mapped[datetime | None]
    file_minutes: Mapped[float | None]
    file_minutes_source: Mapped[Source | None] = mapped_column(AsText(Source))
    file_mg: Mapped[int | None]
    file_mg_source: Mapped[Source | None] = mapped_column(AsText(Source))
    minutes: Mapped[float | None]
    minutes_source: Mapped[Source | None] = mapped_column(AsText(Source))
    mg: Mapped[int | None]
    grams_source: Mapped[Source | None] = mapped_column(AsText(Source))
    started_at: Mapped[datetime | None]
    started_by_id: Mapped[int | None] = key("people")
    stopped_at: Mapped[datetime | None]
    stopped_at_percent: Mapped[float | None]
    taken_off_at: Mapped[datetime | None]
    taken_off_by_id: Mapped[int | None] = key("people")
    free_again_at: Mapped[datetime | None]
    name: Mapped[str]
    swapped_nozzle: Mapped[bool]
    changed_material: Mapped[bool]


class PlanRow(RecordRow):
    """One plan."""

    __tablename__ = "plans"
    __table_args__ = (
        *once_only("plans"),
        Index(None, "state"),
    )

    starts_at: Mapped[datetime]
    state: Mapped[PlanState] = mapped_column(AsText(PlanState))
    kept_by_id: Mapped[int | None] = key("people")
    method: Mapped[str]
    lanes: Mapped[tuple[PlanLane, ...]] = mapped_column(AsJson(tuple[PlanLane, ...]))
    unplanned: Mapped[tuple[tuple[int, str], ...]] = mapped_column(AsJson(tuple[tuple[int, str], ...]))
    nozzle_swaps: Mapped[int]
    swaps_saved: Mapped[int]
    setup_minutes_saved: Mapped[int]
    late_minutes_saved: Mapped[int]


class FailureRow(RecordRow):
    """One failure."""

    __tablename__ = "failures"
    __table_args__ = (
        *once_only("failures"),
        Index(None, "run_id"),
        Index(None, "happened_at"),
    )

    run_id: Mapped[int] = key("runs")
    copy_ids: Mapped[tuple[int, ...]] = mapped_column(AsJson(tuple[int, ...]))
    cause: Mapped[str]
    cause_group: Mapped[str]
    percent: Mapped[float | None]
    mg_lost: Mapped[int]
    minutes_lost: Mapped[float]
    photo_sha: Mapped[str]
    done_about_it: Mapped[str]
    who_id: Mapped[int] = key("people")
