"""Let the plan roll forward with the clock: mend it when reality has moved away from it."""

from datetime import timedelta

from printcrib.core.runs import Run
from printcrib.services.interfaces import Done, Shop
from printcrib.services.plan_runs import repair_plan
from printcrib.services.press import Press
from printcrib.services.read_open_work import OpenWork, read_open_work
from printcrib.services.read_timeline import TimedRun, timeline_of

DRIFT = timedelta(minutes=15)
"""So far a run may slip from what its row says before the rows are written again."""


def roll_forward(shop: Shop, press: Press) -> Done[bool]:
    """Mend the kept plan if its runs slipped, or something is on it or missing that should not be.

    Called by a timer; the value says whether something was written. Nothing is booked for a run that
    should be over: "expected over" is computed whenever it is shown.
    """
    with shop.read() as uow:
        work = read_open_work(uow, shop.clock.now())
    if not has_moved(work):
        return Done(False)
    done = repair_plan(shop, press)
    return Done(True, done.changed, done.press_number)


def has_moved(work: OpenWork) -> bool:
    """Whether the kept plan says something else than its rows, or leaves something out."""
    sheet = timeline_of(work)
    if {run.run_id for run in sheet.runs} != set(work.kept_runs):
        return True
    known = () if work.plan is None else work.plan.unplanned
    if set(sheet.unplanned) - {key for key, _ in known}:
        return True
    return any(_slipped(run, work.kept_runs[run.run_id or 0]) for run in sheet.runs)


def _slipped(run: TimedRun, row: Run) -> bool:
    said = row.planned_hands_on or run.hands_on_from
    return abs(run.hands_on_from - said) > DRIFT
