"""Requests, their copies and what holds them."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from printcrib.core.patterns import Fineness
from printcrib.core.records import Record


class Purpose(StrEnum):
    """What a copy is for."""

    FOR_USE = "for use"
    TRY_FIT = "to try the fit"
    LOOK_AT = "to look at"
    PRIVATE = "private"


class RequestState(StrEnum):
    """Stored states of a request; "2 of 4 ready" and "done" are summed up from its copies."""

    DRAFT = "draft"
    RAISED = "raised"
    SENT_BACK = "sent back"
    ACCEPTED = "accepted"
    WITHDRAWN = "withdrawn"
    DONE = "done"


@dataclass(frozen=True, kw_only=True)
class Request(Record):
    """R 214: one person asks for one thing in a quantity, or with a list of labels.

    Attributes:
        asker_id: who asks; THE_TOOL (0) for a reprint raised by itself.
        words: what was asked in words; photo_sha: a picture with it.
        size_id: pattern size or the one-off size made for it; None while it is words only.
        needed_by: UTC; program_ready_at: needed when the program is ready.
        safety_answers: ticked question ids, () for "none of these", None while not answered.
        same_use: answer to "same use as released?" for a released size.
        weight: 1 normal, 2 important, 5 rush; bore_um: nozzle chosen by the desk, None for free.
        not_before: a withdrawn reprint is not raised again before this.
    """

    number: int
    asker_id: int
    entered_by_id: int
    words: str = ""
    photo_sha: str = ""
    size_id: int | None = None
    material_id: int | None = None
    colour: str = ""
    how_fine: Fineness = Fineness.NORMAL
    purpose: Purpose = Purpose.FOR_USE
    scale: float = 1.0
    quantity: int = 1
    labels: tuple[str, ...] = ()
    needed_by: datetime | None = None
    program_ready_at: datetime | None = None
    machine_id: int | None = None
    job: str = ""
    job_revision: str = ""
    touches: str = ""
    critical_sizes: str = ""
    reason: str = ""
    follows_id: int | None = None
    replaces_aid_id: int | None = None
    safety_answers: tuple[int, ...] | None = None
    same_use: bool | None = None
    state: RequestState = RequestState.RAISED
    sent_back_reason: str = ""
    accepted_at: datetime | None = None
    accepted_by_id: int | None = None
    done_at: datetime | None = None
    weight: int = 1
    bore_um: int | None = None
    wait_for_release: bool = False
    not_before: datetime | None = None

    @property
    def tag(self) -> str:
        """How people name it."""
        return f"R {self.number}"


class CopyState(StrEnum):
    """How far one copy has come."""

    WANTED = "wanted"
    ON_RUN = "on run"
    PRINTING = "printing"
    TO_CHECK = "to check"
    FINISHING = "finishing"
    READY = "ready"
    HANDED_OUT = "handed out"
    SHELVED = "shelved"
    FAILED = "failed"
    SCRAP = "scrap"
    CANCELLED = "cancelled"


COPY_ENDS = frozenset({CopyState.FAILED, CopyState.SCRAP, CopyState.CANCELLED})
COPY_DONE = frozenset({CopyState.HANDED_OUT, CopyState.SHELVED})
COPY_LIVE_ON_RUN = frozenset({CopyState.ON_RUN, CopyState.PRINTING, CopyState.TO_CHECK})

COPY_STEPS: dict[CopyState, frozenset[CopyState]] = {
    CopyState.WANTED: frozenset({CopyState.ON_RUN, CopyState.PRINTING, CopyState.CANCELLED}),
    CopyState.ON_RUN: frozenset({CopyState.WANTED, CopyState.PRINTING, CopyState.CANCELLED}),
    CopyState.PRINTING: frozenset(
        {CopyState.TO_CHECK, CopyState.FINISHING, CopyState.READY, CopyState.FAILED, CopyState.SCRAP}
    ),
    CopyState.TO_CHECK: frozenset({CopyState.FINISHING, CopyState.READY, CopyState.FAILED, CopyState.SCRAP}),
    CopyState.FINISHING: frozenset({CopyState.READY, CopyState.FAILED, CopyState.SCRAP}),
    CopyState.READY: frozenset({CopyState.HANDED_OUT, CopyState.SHELVED, CopyState.FAILED, CopyState.SCRAP}),
    CopyState.HANDED_OUT: frozenset({CopyState.SHELVED, CopyState.SCRAP}),
    CopyState.SHELVED: frozenset({CopyState.HANDED_OUT, CopyState.SCRAP}),
    CopyState.FAILED: frozenset(),
    CopyState.SCRAP: frozenset(),
    CopyState.CANCELLED: frozenset(),
}
"""Which steps a copy may take; everything else is refused."""


@dataclass(frozen=True, kw_only=True)
class Copy(Record):
    """One piece of a request (R 214/2); it carries the progress.

    Attributes:
        ordinal: 1, 2, ... within the request. label: for numbered sets, "" otherwise.
        size_id: the request's size, repeated so that the books hold a label once within a size.
        model_id: the model revision, fixed when printing starts.
        replaces_id: the failed or scrap copy it stands in for.
        steps_done: how many finishing steps are behind it.
    """

    request_id: int
    ordinal: int
    label: str = ""
    size_id: int | None = None
    model_id: int | None = None
    replaces_id: int | None = None
    state: CopyState = CopyState.WANTED
    run_id: int | None = None
    aid_id: int | None = None
    cause: str = ""
    fit_result: str = ""
    steps_done: int = 0
    ready_at: datetime | None = None


class HoldKind(StrEnum):
    """Why a request may not go on; a hold is not a state and there may be several."""

    NEEDS_MODEL = "needs a model"
    QUESTION = "question open"
    REVIEW = "review open"
    NO_SPOOL = "no spool"
    SAFETY = "needs the safety answers"


@dataclass(frozen=True, kw_only=True)
class Hold(Record):
    """One reason a request waits, who opened it and who closed it."""

    request_id: int
    kind: HoldKind
    words: str = ""
    opened_by_id: int = 0
    closed_at: datetime | None = None
    closed_by_id: int | None = None
    why: str = ""


@dataclass(frozen=True, kw_only=True)
class Promise(Record):
    """What was said to a person, so that kept promises can be counted."""

    request_id: int
    to_person_id: int
    said_at: datetime
    likely: datetime
    at_most: datetime
    plan_id: int | None = None
    outcome: str = ""  # "", "kept", "not kept", "void"
    why: str = ""
