"""Requests, their copies, holds, promises and releases."""

from datetime import datetime

from sqlalchemy import Index
from sqlalchemy.orm import Mapped, mapped_column

from printcrib.core.patterns import Fineness
from printcrib.core.requests import CopyState, HoldKind, Purpose, RequestState
from printcrib.storage.tables.columns import AsJson, AsText, RecordRow, key, once_only


class RequestRow(RecordRow):
    """One request."""

    __tablename__ = "requests"
    __table_args__ = (
        *once_only("requests"),
        Index(None, "state", "needed_by"),
        Index(None, "happened_at"),
        Index(None, "size_id"),
        Index(None, "replaces_aid_id"),
        Index(None, "asker_id"),
    )

    number: Mapped[int]
    asker_id: Mapped[int] = key("people")
    entered_by_id: Mapped[int] = key("people")
    words: Mapped[str]
    photo_sha: Mapped[str]
    size_id: Mapped[int | None] = key("sizes")
    material_id: Mapped[int | None] = key("materials")
    colour: Mapped[str]
    how_fine: Mapped[Fineness] = mapped_column(AsText(Fineness))
    purpose: Mapped[Purpose] = mapped_column(AsText(Purpose))
    scale: Mapped[float]
    quantity: Mapped[int]
    labels: Mapped[tuple[str, ...]] = mapped_column(AsJson(tuple[str, ...]))
    needed_by: Mapped[datetime | None]
    program_ready_at: Mapped[datetime | None]
    machine_id: Mapped[int | None] = key("machines")
    job: Mapped[str]
    job_revision: Mapped[str]
    touches: Mapped[str]
    critical_sizes: Mapped[str]
    reason: Mapped[str]
    follows_id: Mapped[int | None] = key("requests")
    replaces_aid_id: Mapped[int | None] = key("aids", later=True)
    safety_answers: Mapped[tuple[int, ...] | None] = mapped_column(AsJson(tuple[int, ...]))
    same_use: Mapped[bool | None]
    state: Mapped[RequestState] = mapped_column(AsText(RequestState))
    sent_back_reason: Mapped[str]
    accepted_at: Mapped[datetime | None]
    accepted_by_id: Mapped[int | None] = key("people")
    done_at: Mapped[datetime | None]
    weight: Mapped[int]
    bore_um: Mapped[int | None]
    wait_for_release: Mapped[bool]
    not_before: Mapped[datetime | None]


class CopyRow(RecordRow):
    """One copy."""

    __tablename__ = "copies"
    __table_args__ = (
        *once_only("copies"),
        Index(None, "request_id"),
        Index(None, "run_id"),
        Index(None, "state"),
    )

    request_id: Mapped[int] = key("requests")
    ordinal: Mapped[int]
    label: Mapped[str]
    size_id: Mapped[int | None] = key("sizes")
    model_id: Mapped[int | None] = key("models")
    replaces_id: Mapped[int | None] = key("copies")
    state: Mapped[CopyState] = mapped_column(AsText(CopyState))
    run_id: Mapped[int | None] = key("runs")
    aid_id: Mapped[int | None] = key("aids", later=True)
    cause: Mapped[str]
    fit_result: Mapped[str]
    steps_done: Mapped[int]
    ready_at: Mapped[datetime | None]


class HoldRow(RecordRow):
    """One hold."""

    __tablename__ = "holds"
    __table_args__ = (
        *once_only("holds"),
        Index(None, "request_id"),
    )

    request_id: Mapped[int] = key("requests")
    kind: Mapped[HoldKind] = mapped_column(AsText(HoldKind))
    words: Mapped[str]
    opened_by_id: Mapped[int] = key("people")
    closed_at: Mapped[datetime | None]
    closed_by_id: Mapped[int | None] = key("people")
    why: Mapped[str]


class PromiseRow(RecordRow):
    """One promise."""

    __tablename__ = "promises"
    __table_args__ = (
        *once_only("promises"),
        Index(None, "request_id"),
    )

    request_id: Mapped[int] = key("requests")
    to_person_id: Mapped[int] = key("people")
    said_at: Mapped[datetime]
    likely: Mapped[datetime]
    at_most: Mapped[datetime]
    plan_id: Mapped[int | None] = key("plans")
    outcome: Mapped[str]
    why: Mapped[str]


class SizeReleaseRow(RecordRow):
    """One release."""

    __tablename__ = "releases"
    __table_args__ = (
        *once_only("releases"),
        Index(None, "size_id"),
    )

    size_id: Mapped[int] = key("sizes")
    model_id: Mapped[int] = key("models")
    answers: Mapped[tuple[int, ...]] = mapped_column(AsJson(tuple[int, ...]))
    material_ids: Mapped[tuple[int, ...]] = mapped_column(AsJson(tuple[int, ...]))
    bores_um: Mapped[tuple[int, ...]] = mapped_column(AsJson(tuple[int, ...]))
    turn: Mapped[int]
    machine_ids: Mapped[tuple[int, ...]] = mapped_column(AsJson(tuple[int, ...]))
    top_speed_rpm: Mapped[int | None]
    pressure_limit: Mapped[str]
    conditions: Mapped[str]
    reviewer_id: Mapped[int] = key("people")
    outside_reviewer: Mapped[str]
    asker_id: Mapped[int] = key("people")
    valid_from: Mapped[datetime]
    until: Mapped[datetime | None]
    lapsed_at: Mapped[datetime | None]
    lapsed_by: Mapped[str]
