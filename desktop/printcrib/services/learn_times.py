"""Learn likely and at-most minutes and grams from the runs the shop has logged, per printer and nozzle."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import lru_cache

from printcrib.core.estimating.learning import (
    GRAMS,
    MINUTES,
    NO_GRAMS,
    NO_PRINTS,
    Beginning,
    Learned,
    LoggedPrint,
    after_others,
    learn,
)
from printcrib.core.materials import Source
from printcrib.core.patterns import Estimate
from printcrib.core.printers import FreshStart
from printcrib.core.runs import Run, RunState
from printcrib.services.interfaces import UnitOfWork, Where, among, is_

MINUTES_COUNT = (Source.PANEL, Source.FILE, Source.WATCHED)
"""Minutes that teach something; the times of presses and our own estimate do not."""
GRAMS_COUNT = (Source.WEIGHED, Source.PANEL, Source.FILE)

MOST_RUNS = 100
"""So many of a printer's newest runs with a measured figure are looked at."""
MOST_PRINTS = 40
"""So many of the newest prints of one nozzle count; a printer changes over the years."""


@dataclass(frozen=True)
class Taught:
    """What is believed of one printer and nozzle: minutes and grams."""

    minutes: Learned = NO_PRINTS
    grams: Learned = NO_GRAMS


NOTHING = Taught()


@dataclass(frozen=True)
class Logged:
    """Runs of one printer and bore that count, newest first, as they teach minutes and grams."""

    minutes: tuple[LoggedPrint, ...] = ()
    grams: tuple[LoggedPrint, ...] = ()


@dataclass(frozen=True)
class ShopTaught:
    """What the shop has learned, worked out for a printer and nozzle when it is asked for.

    Attributes:
        logged: by printer and bore.
    """

    logged: Mapping[tuple[int, int], Logged] = field(default_factory=dict)

    def of(self, printer_id: int, bore_um: int) -> Taught:
        """Minutes and grams of a printer with a nozzle; one never used begins with the printer's others."""
        own = self.logged.get((printer_id, bore_um), Logged())
        others = [
            logged
            for (printer, bore), logged in sorted(self.logged.items())
            if printer == printer_id and bore != bore_um
        ]
        if not others and own == Logged():
            return NOTHING
        return Taught(
            _learned(own.minutes, tuple(each for one in others for each in one.minutes), MINUTES),
            _learned(own.grams, tuple(each for one in others for each in one.grams), GRAMS),
        )


@lru_cache(512)
def _learned(own: tuple[LoggedPrint, ...], others: tuple[LoggedPrint, ...], begun: Beginning) -> Learned:
    """Kept, since every look at the plan asks for the same until another run is logged."""
    return replace(learn(own, after_others(others, begun)), others=len(others))


def read_taught(uow: UnitOfWork, printer_ids: Iterable[int]) -> ShopTaught:
    """What the shop has learned of some printers."""
    found: dict[tuple[int, int], Logged] = {}
    starts = fresh_starts(uow)
    for printer_id in printer_ids:
        for (bore, kind), prints in _prints(whole_runs(uow, printer_id), starts).items():
            known = found.get((printer_id, bore), Logged())
            found[printer_id, bore] = replace(known, **{kind: tuple(prints[:MOST_PRINTS])})
    return ShopTaught(found)


def _prints(
    runs: Iterable[Run], starts: Mapping[tuple[int, int], FreshStart]
) -> dict[tuple[int, str], list[LoggedPrint]]:
    """Prints by bore and what they teach."""
    found: dict[tuple[int, str], list[LoggedPrint]] = {}
    for run in runs:
        if _later(run, starts.get((run.printer_id, run.bore_um))):
            for kind, each in (("minutes", minutes_print(run)), ("grams", grams_print(run))):
                if each is not None:
                    found.setdefault((run.bore_um, kind), []).append(each)
    return found


def fresh_starts(uow: UnitOfWork) -> dict[tuple[int, int], FreshStart]:
    """The newest fresh start of every printer and bore that has one."""
    starts = sorted(uow.fresh_starts.find(), key=lambda each: (each.happened_at, each.id))
    return {(each.printer_id, each.bore_um): each for each in starts}


def _later(run: Run, since: FreshStart | None) -> bool:
    return since is None or _off(run) >= since.happened_at


def _off(run: Run) -> datetime:
    return run.taken_off_at or run.happened_at


def whole_runs(uow: UnitOfWork, printer_id: int) -> list[Run]:
    """Newest measured runs that came to their end, nothing failed on them, with an estimate to compare."""
    runs: dict[int, Run] = {}
    for source, counts in (("minutes_source", MINUTES_COUNT), ("grams_source", GRAMS_COUNT)):
        found = uow.runs.find(
            is_("printer_id", printer_id),
            is_("state", RunState.TAKEN_OFF),
            among(source, counts),
            Where("computed_minutes", ">", 0.0),
            Where("stopped_at", "is none"),
            Where("stopped_at_percent", "is none"),
            order_by="taken_off_at",
            newest_first=True,
            limit=MOST_RUNS,
        )
        runs.update((run.id, run) for run in found)
    failed = {failure.run_id for failure in uow.failures.find(among("run_id", tuple(runs)))}
    whole = [run for run in runs.values() if run.id not in failed]
    return sorted(whole, key=lambda run: (_off(run), run.id), reverse=True)


def minutes_print(run: Run) -> LoggedPrint | None:
    """A whole run as it teaches minutes; None where nobody measured them."""
    if run.minutes_source not in MINUTES_COUNT or not run.minutes or run.minutes <= 0:
        return None
    if run.computed_minutes <= run.computed_start_minutes:
        return None
    return LoggedPrint(run.number, run.computed_minutes, run.minutes, run.computed_start_minutes)


def grams_print(run: Run) -> LoggedPrint | None:
    """A whole run as it teaches grams (in mg); None where nobody measured them."""
    if run.grams_source not in GRAMS_COUNT or not run.mg or run.mg <= 0 or run.computed_mg <= 0:
        return None
    return LoggedPrint(run.number, float(run.computed_mg), float(run.mg))


def with_taught(estimate: Estimate, taught: Taught) -> Estimate:
    """An estimate of one copy as it is said: likely and at most by what was learned."""
    start = estimate.start_minutes
    return replace(
        estimate,
        likely_minutes=taught.minutes.likely(estimate.likely_minutes, start),
        at_most_minutes=taught.minutes.at_most(estimate.likely_minutes, start),
        mg=round(taught.grams.likely(estimate.mg)),
    )
