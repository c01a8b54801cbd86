"""Which grams of each spool are promised, to which run, and whether the spool will last."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from printcrib.core.materials import Spool
from printcrib.core.running import expected_end, expected_mg
from printcrib.core.runs import Run
from printcrib.core.spool_ledger import KAPPA, runs_out, usable_mg
from printcrib.services.read_open_work import OpenWork
from printcrib.services.read_timeline import TimedPlan

SAY_FROM = 0.05
"""From this probability of running out on, a spool is said not to last."""


@dataclass(frozen=True, kw_only=True)
class Draw:
    """What one run takes from a spool, in the order the runs take it.

    Attributes:
        called: "run 34". left_after_mg: on the spool by then, the end that never comes off included.
        chance: probability that the spool runs out before the run is over.
        out_at: when it runs out at the likely grams; None when it lasts.
    """

    spool_id: int
    run_id: int | None
    called: str
    mg: int
    starts: datetime
    ends: datetime
    left_after_mg: int
    chance: float
    out_at: datetime | None

    @property
    def will_not_last(self) -> bool:
        """Whether it should be said."""
        return self.chance > SAY_FROM


def draws_of(sheet: TimedPlan) -> dict[int, tuple[Draw, ...]]:
    """What is promised of each spool: runs on printers first, then the kept plan in order."""
    work = sheet.work
    wants: dict[int, list[tuple[int | None, str, int, datetime, datetime]]] = defaultdict(list)
    for run in work.runs:
        if run.spool_ids and run.stopped_at is None:
            start, end = _span(work, run)
            wants[run.spool_ids[0]].append((run.id, f"run {run.number}", expected_mg(run), start, end))
    for planned in sheet.runs:
        want = (planned.run_id, planned.called, planned.mg, planned.starts, planned.ends)
        wants[planned.spool_id or 0].append(want)
    spools = {spool.id: spool for spool in work.spools}
    return {key: tuple(_draws(work, spools[key], listed)) for key, listed in wants.items() if key in spools}


def _span(work: OpenWork, run: Run) -> tuple[datetime, datetime]:
    start = run.started_at or work.now
    return start, max(expected_end(run) or work.now, start)


def _draws(
    work: OpenWork, spool: Spool, wants: Iterable[tuple[int | None, str, int, datetime, datetime]]
) -> Iterable[Draw]:
    doubt = work.left[spool.id]
    usable = usable_mg(doubt.left_mg, work.settings.tail_mg)
    taken, variance = 0, 0.0
    for run_id, called, mg, starts, ends in wants:
        before = usable - taken
        taken += mg
        variance += (KAPPA * mg) ** 2
        yield Draw(
            spool_id=spool.id,
            run_id=run_id,
            called=called,
            mg=mg,
            starts=starts,
            ends=ends,
            left_after_mg=doubt.left_mg - taken,
            chance=runs_out(taken, variance**0.5, usable, doubt.sd_mg),
            out_at=_out_at(before, mg, starts, ends),
        )


def _out_at(has_mg: int, mg: int, starts: datetime, ends: datetime) -> datetime | None:
    """When the filament is gone, evenly used over the run."""
    if mg <= has_mg:
        return None
    share = max(has_mg, 0) / mg
    return starts + timedelta(seconds=(ends - starts).total_seconds() * share)
