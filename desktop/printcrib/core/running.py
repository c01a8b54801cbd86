"""What happens to a run and its copies between start and take-off."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from printcrib.core.causes import CauseGroup
from printcrib.core.errors import ShopError
from printcrib.core.materials import Source
from printcrib.core.requests import COPY_STEPS, Copy, CopyState
from printcrib.core.runs import Run, RunState

TRIES = 3
"""So many new copies the tool makes by itself for one wanted copy; then a person is asked."""


class AfterFailure(StrEnum):
    """What follows a failed copy."""

    NEW_COPY = "a new copy is wanted"
    ASK_DESK = "failed too often, the desk decides"
    ASK_ASKER = "back to the asker"


def stepped(copy: Copy, state: CopyState) -> Copy:
    """The copy in its next state; a step the shop does not know is refused."""
    if state not in COPY_STEPS[copy.state]:
        raise ShopError(
            f"Copy {copy.ordinal} is {copy.state} and cannot become {state}",
            "Look at it again; somebody may have been first.",
        )
    return replace(copy, state=state)


def tries_behind(copy: Copy, copies: Iterable[Copy]) -> int:
    """How many failed or scrapped copies this one already stands in for."""
    known = {each.id: each for each in copies}
    tries = 0
    while copy.replaces_id is not None and copy.replaces_id in known:
        copy = known[copy.replaces_id]
        tries += 1
    return tries


def after_failure(group: CauseGroup, tries: int) -> AfterFailure:
    """What a failure leads to: design goes back to the asker, all else is printed again.

    Args:
        group: of the cause. tries: new copies already made for the same wanted copy.
    """
    if group is CauseGroup.DESIGN:
        return AfterFailure.ASK_ASKER
    return AfterFailure.NEW_COPY if tries < TRIES else AfterFailure.ASK_DESK


def expected_minutes(run: Run) -> float:
    """How long the run takes as far as known: print file or panel before our own estimate."""
    return run.estimated_minutes if run.file_minutes is None else run.file_minutes


def expected_mg(run: Run) -> int:
    """How much the run takes as far as known: print file or panel before our own estimate, mg."""
    return run.estimated_mg if run.file_mg is None else run.file_mg


def expected_end(run: Run) -> datetime | None:
    """When the run should be over; None before its start or when nobody said."""
    if run.stopped_at is not None:
        return run.stopped_at
    if run.free_again_at is not None:
        return run.free_again_at
    if run.started_at is None:
        return run.planned_end
    minutes = expected_minutes(run)
    return run.started_at + timedelta(minutes=minutes) if minutes > 0 else None


def is_expected_over(run: Run, now: datetime) -> bool:
    """Whether a started run should be over by the clock; a guess, never stored."""
    end = expected_end(run)
    return run.state is RunState.STARTED and end is not None and end <= now


def minutes_left(run: Run, now: datetime) -> int | None:
    """Whole minutes until the run should be over, rounded up; 0 when it should be."""
    end = expected_end(run)
    if end is None:
        return None
    return max(-(-int((end - now).total_seconds()) // 60), 0)


def percent_done(run: Run, now: datetime) -> float | None:
    """How far the run should be by the clock, 0 to 100; told when it was stopped."""
    if run.stopped_at_percent is not None:
        return run.stopped_at_percent
    end = expected_end(run)
    if run.started_at is None or end is None or end <= run.started_at:
        return None
    share = (now - run.started_at) / (end - run.started_at)
    return 100.0 * min(max(share, 0.0), 1.0)


@dataclass(frozen=True)
class Lost:
    """What stopping a run now loses: filament already printed and printer time."""

    mg: int
    minutes: float
    percent: float


def lost_when_stopped(run: Run, at: datetime, percent: float | None = None) -> Lost:
    """What is lost when the run is stopped at a moment (by the clock unless the share is told)."""
    share = percent if percent is not None else (percent_done(run, at) or 0.0)
    whole_mg = expected_mg(run)
    minutes = (at - run.started_at).total_seconds() / 60.0 if run.started_at is not None else 0.0
    return Lost(round(whole_mg * share / 100.0), round(max(minutes, 0.0), 1), share)


@dataclass(frozen=True)
class Measured:
    """A figure and where it comes from."""

    value: float
    source: Source


def minutes_taken(run: Run, told: float | None, source: Source | None) -> Measured:
    """Printer minutes of a run at take-off.

    What is told now holds, then what the print file or the panel said at the start, then our own
    estimate. A run stopped early counts from start to stop. The times of presses never count as
    watched.
    """
    if told is not None:
        return Measured(told, source or Source.PANEL)
    if run.stopped_at is not None and run.started_at is not None:
        return Measured((run.stopped_at - run.started_at).total_seconds() / 60.0, Source.ASSUMED)
    if run.file_minutes is not None:
        return Measured(run.file_minutes, run.file_minutes_source or Source.FILE)
    if run.free_again_at is not None and run.started_at is not None:
        return Measured((run.free_again_at - run.started_at).total_seconds() / 60.0, Source.ASSUMED)
    return Measured(run.estimated_minutes, Source.ASSUMED)


def grams_taken(run: Run, told_mg: int | None, source: Source | None) -> Measured:
    """Filament of a run at take-off, mg: told now, else print file or panel, else our estimate.

    A run stopped early took its share of the whole.
    """
    if told_mg is not None:
        return Measured(told_mg, source or Source.WEIGHED)
    whole = Measured(run.estimated_mg, Source.ASSUMED)
    if run.file_mg is not None:
        whole = Measured(run.file_mg, run.file_mg_source or Source.FILE)
    if run.stopped_at_percent is None:
        return whole
    return Measured(whole.value * run.stopped_at_percent / 100.0, Source.ASSUMED)


def shares(total: int, spool_count: int, first_has: int) -> tuple[int, ...]:
    """Split a run's grams over the spools it used: the first one as far as it goes, then the next.

    Args:
        total: mg of the run. spool_count: spools named, at least one.
        first_has: mg the first spool can give.
    """
    if spool_count == 1:
        return (total,)
    first = min(total, max(first_has, 0))
    return (first, total - first, *([0] * (spool_count - 2)))


def may_stand_on(bore_um: int, hardened: bool, abrasive: bool) -> None:
    """Refuse an abrasive material on a nozzle that is not hardened."""
    if abrasive and not hardened:
        raise ShopError(
            f"This material wears a brass nozzle and the {bore_um / 1000:g} on it is not hardened",
            "Fit a hardened nozzle first.",
        )


def standing_mm(extents_mm: tuple[float, float, float], turn: int) -> tuple[float, float, float]:
    """Width, depth and height of a model in one of the 24 right-angled turns of `core.shapes`, mm."""
    width, depth, height = extents_mm
    top, quarter = divmod(turn % 24, 4)
    if top in (2, 3):
        depth, height = height, depth
    elif top in (4, 5):
        width, height = height, width
    return (depth, width, height) if quarter % 2 else (width, depth, height)
