"""The planner's problem from the open work, in whole minutes, and what its keys stand for."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from printcrib.core.planning.clock import PlanClock
from printcrib.core.planning.problem import Costs, Problem
from printcrib.core.runs import Plan
from printcrib.services.build_floor import plan_printers, plan_spools, spans_of, text_of
from printcrib.services.build_tasks import TaskCopies, TaskMaker, stop_words, tasks_of
from printcrib.services.estimate_run import TRAVEL_MINUTES, start_mg
from printcrib.services.interfaces import UnitOfWork
from printcrib.services.read_open_work import OpenWork, read_open_work

MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class Basis:
    """A problem and what its keys stand for.

    Attributes:
        tasks: by task key. held: (request key, words) of accepted requests that no task was made of.
        kinds: (material key, colour) by the planner's material text.
    """

    work: OpenWork
    clock: PlanClock
    problem: Problem
    tasks: Mapping[str, TaskCopies]
    held: tuple[tuple[int, str], ...]
    kinds: Mapping[str, tuple[int, str]]


def build_problem(uow: UnitOfWork, now: datetime) -> Problem:
    """What there is to plan now."""
    return basis_of(read_open_work(uow, now)).problem


def basis_of(work: OpenWork, *, keep: Plan | None = None, at_most: bool = False) -> Basis:
    """The problem of the open work.

    Args:
        keep: a plan whose grouping of copies into tasks is kept; copies it does not know make new ones.
        at_most: with at-most instead of likely minutes (the tasks stay the same).
    """
    clock = PlanClock(whole_minute(work.now))
    kinds = {text_of(work, spool): (spool.material_id, spool.colour) for spool in work.spools}
    tasks: dict[str, TaskCopies] = {}
    held: list[tuple[int, str]] = []
    makers: list[TaskMaker] = []
    for request in (work.requests[key] for key in work.copies):
        maker = TaskMaker(work, request, at_most)
        why = stop_words(work, request) or maker.missing()
        if why:
            held.append((request.id, why))
            continue
        makers.append(maker)
        kinds.setdefault(maker.text, (maker.material_id, maker.colour))
        tasks.update((made.plan_task.key, made) for made in tasks_of(maker, clock, keep))
    problem = _problem(work, clock, kinds, tasks, makers)
    return Basis(work, clock, problem, tasks, tuple(held), kinds)


def whole_minute(moment: datetime) -> datetime:
    """The first whole minute not before a moment."""
    down = moment.replace(second=0, microsecond=0)
    return down if down == moment else down + MINUTE


def _problem(
    work: OpenWork,
    clock: PlanClock,
    kinds: Mapping[str, tuple[int, str]],
    tasks: Mapping[str, TaskCopies],
    makers: list[TaskMaker],
) -> Problem:
    settings = work.settings
    heat_up: dict[int, float] = {}
    start = 0
    for printer, options in (pair for maker in makers for pair in maker.options.items()):
        for estimate in options.values():
            taught = work.taught.of(printer, estimate.bore_um)
            heat_up[printer] = max(heat_up.get(printer, 0.0), taught.minutes.once(estimate.start_minutes))
            start = max(start, round(taught.grams.likely(start_mg(estimate))))
    return Problem(
        printers=plan_printers(work, clock, kinds, heat_up),
        tasks=tuple(made.plan_task for made in tasks.values()),
        shifts=clock.shifts(spans_of(work, clock.starts_at)),
        costs=Costs(settings.late_cost, settings.setup_cost, settings.makespan_cost),
        gap_mm=settings.gap_mm,
        fill_limit=settings.fill_limit,
        persons=settings.persons,
        spools=plan_spools(work, clock),
        start_mg=start,
        purge_mg=settings.purge_mg,
        travel=TRAVEL_MINUTES,
        safety_minutes=settings.safety_minutes,
    )
