"""What a request says of itself: its copies summed up, what is missing, and whether it is late."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from printcrib.core.requests import (
    COPY_DONE,
    COPY_ENDS,
    Copy,
    CopyState,
    Request,
    RequestState,
)

NOT_PRINTED = frozenset({CopyState.WANTED, CopyState.ON_RUN})
"""States in which a copy still moves over to a new model."""
PRINTED = frozenset({CopyState.TO_CHECK, CopyState.FINISHING, CopyState.READY, *COPY_DONE})
"""States in which a copy is a thing one can hold; it keeps its revision."""
SHOWN_READY = frozenset({CopyState.READY, *COPY_DONE})


def quantity_of(request: Request) -> int:
    """How many copies are asked for: one a label, else the quantity."""
    return len(request.labels) or request.quantity


def needed_of(request: Request) -> datetime | None:
    """When it is needed: the time named, else when the program is ready."""
    return request.needed_by or request.program_ready_at


def standing(copies: Iterable[Copy]) -> tuple[Copy, ...]:
    """The copies that count: a replaced failed or scrap copy counts through its replacement."""
    counted = [copy for copy in copies if not copy.void]
    replaced = {copy.replaces_id for copy in counted}
    return tuple(copy for copy in counted if copy.id not in replaced)


def ready_count(copies: Iterable[Copy]) -> int:
    """How many standing copies are ready, handed out or shelved."""
    return sum(copy.state in SHOWN_READY for copy in standing(copies))


def all_ready(request: Request, copies: Iterable[Copy]) -> bool:
    """Whether the last wanted copy is ready."""
    stand = standing(copies)
    if any(copy.state not in SHOWN_READY | COPY_ENDS for copy in stand):
        return False
    settled = sum(copy.state in SHOWN_READY or _withdrawn(copy) for copy in stand)
    return bool(stand) and settled >= quantity_of(request)


def all_done(request: Request, copies: Iterable[Copy]) -> bool:
    """Whether the quantity is handed out, shelved or cancelled."""
    stand = standing(copies)
    if any(copy.state not in COPY_DONE | COPY_ENDS for copy in stand):
        return False
    settled = sum(copy.state in COPY_DONE or _withdrawn(copy) for copy in stand)
    return bool(stand) and settled >= quantity_of(request)


def _withdrawn(copy: Copy) -> bool:
    """Cancelled because nobody wants it; a cancelled replacement leaves its copy missing."""
    return copy.state is CopyState.CANCELLED and copy.replaces_id is None


def state_words(request: Request, copies: Sequence[Copy]) -> str:
    """The state as people read it: raised, accepted, "2 of 4 ready", done, withdrawn."""
    if request.state is not RequestState.ACCEPTED:
        return request.state.value
    if all_done(request, copies):
        return RequestState.DONE.value
    ready = ready_count(copies)
    return f"{ready} of {quantity_of(request)} ready" if ready else request.state.value


def ready_at(request: Request, copies: Iterable[Copy]) -> datetime | None:
    """When its last wanted copy was ready; None while one is not."""
    kept = tuple(copies)
    if not all_ready(request, kept):
        return None
    return max((copy.ready_at for copy in standing(kept) if copy.ready_at), default=None)


class Timing(StrEnum):
    """How a request stands against the time it is needed."""

    FINE = ""
    AT_RISK = "at risk"
    LATE = "late"


@dataclass(frozen=True)
class Lateness:
    """Late or at risk, and by how many whole clock minutes.

    Attributes:
        timing: late by the likely time (or in fact), at risk where only the at-most time is late.
        minutes: how late, 0 when in time.
    """

    timing: Timing = Timing.FINE
    minutes: int = 0

    @property
    def words(self) -> str:
        """As shown: "late 1 h 20 min", "at risk", or nothing."""
        if self.timing is not Timing.LATE:
            return self.timing.value
        hours, minutes = divmod(self.minutes, 60)
        if hours >= 48:
            return f"late {hours // 24} days"
        return f"late {hours} h {minutes} min" if hours else f"late {minutes} min"


def lateness(
    needed: datetime | None,
    ready: datetime | None,
    now: datetime,
    likely: datetime | None = None,
    at_most: datetime | None = None,
) -> Lateness:
    """Judge a request against the time it is needed.

    Args:
        needed: needed by. ready: when the last wanted copy was ready, None while one is not.
        now: the present. likely, at_most: ready by the kept plan, None where it is not planned.
    """
    if needed is None:
        return Lateness()
    expected = ready or max(now, likely or now)
    if expected > needed:
        return Lateness(Timing.LATE, -int((needed - expected).total_seconds() // 60))
    if ready is None and at_most is not None and at_most > needed:
        return Lateness(Timing.AT_RISK)
    return Lateness()


def missing_to_accept(request: Request, model_id: int | None) -> tuple[str, ...]:
    """What the desk still lacks before it can accept, in words; how fine always has a value."""
    missing = []
    if model_id is None:
        missing.append("a model")
    if request.material_id is None:
        missing.append("a material")
    if request.safety_answers is None:
        missing.append("the safety answers")
    return tuple(missing)


def new_copies(request: Request, existing: Sequence[Copy] = ()) -> tuple[Copy, ...]:
    """Wanted copies that bring a request up to its quantity, not yet stored.

    Each label gets one copy; ordinals go on after the highest given, because a reprint is a new copy.
    """
    stand = standing(existing)
    labels = list(request.labels)
    for copy in stand:
        if copy.state not in COPY_ENDS and copy.label in labels:
            labels.remove(copy.label)
    if not request.labels:
        labels = [""] * (request.quantity - sum(copy.state not in COPY_ENDS for copy in stand))
    lost = [copy for copy in stand if _lost(copy)]
    ordinal = max((copy.ordinal for copy in existing), default=0)
    made = []
    for label in labels:
        ordinal += 1
        instead = next((copy for copy in lost if copy.label == label), None)
        if instead is None:
            made.append(Copy(request_id=request.id, size_id=request.size_id, ordinal=ordinal, label=label))
        else:
            lost.remove(instead)
            made.append(replaced(instead, ordinal))
    return tuple(made)


def _lost(copy: Copy) -> bool:
    """A standing copy that failed, or whose replacement was called off."""
    return copy.state is CopyState.FAILED or (
        copy.state is CopyState.CANCELLED and copy.replaces_id is not None
    )


def replaced(copy: Copy, ordinal: int) -> Copy:
    """A new wanted copy that stands in for a failed or scrap one, not yet stored."""
    return Copy(
        request_id=copy.request_id,
        size_id=copy.size_id,
        ordinal=ordinal,
        label=copy.label,
        replaces_id=copy.id,
    )


def revision_after(revision: str) -> str:
    """The next revision letter: "" A, A B, Z AA, AZ BA."""
    letters = list(revision)
    for i in reversed(range(len(letters))):
        if letters[i] != "Z":
            letters[i] = chr(ord(letters[i]) + 1)
            return "".join(letters)
        letters[i] = "A"
    return "A" + "".join(letters)
