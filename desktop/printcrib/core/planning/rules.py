"""Plans by simple rules: first come, first served, and by needed-by date; what another plan saves.

Both make one run a task, put it on the printer where it is ready first (the first listed on a tie), and
keep the fitted nozzle where the task allows it, else take the smallest it allows.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from printcrib.core.planning.decoder import cost_of, decode, plan_of, walk
from printcrib.core.planning.problem import Problem
from printcrib.core.planning.tables import Lane, Tables, tables_of
from printcrib.core.planning.timeline import Plan

Lanes = list[list[tuple[int, int, bool]]]


def _bore_by_habit(tables: Tables, p: int, lane: Lane, t: int) -> int | None:
    """The bore fitted at the end of a list if the task may use it, else its smallest; None if barred."""
    options = tables.options[p][t]
    if not options:
        return None
    fitted = lane[-1][1] if lane else tables.fitted[p]
    return fitted if fitted in options else min(options)


def _ready_of(tables: Tables, lanes: Lanes, t: int) -> int | None:
    for _, group, step in walk(tables, list(lanes)).runs:
        if t in group.tasks:
            return step.ready
    return None


def one_by_one(tables: Tables, order: Iterable[int]) -> Lanes:
    """A run a task in the given order, each where it is ready first."""
    lanes: Lanes = [[] for _ in tables.problem.printers]
    for t in order:
        choices = [(p, _bore_by_habit(tables, p, lane, t)) for p, lane in enumerate(lanes)]
        open_to = [(p, bore) for p, bore in choices if bore is not None]
        best: tuple[int, int, int] | None = None
        for p, bore in open_to:
            if len(open_to) == 1:
                best = (0, p, bore)
                break
            lanes[p].append((t, bore, False))
            ready = _ready_of(tables, lanes, t)
            lanes[p].pop()
            if ready is not None and (best is None or ready < best[0]):
                best = (ready, p, bore)
        if best is None and open_to:
            best = (0, *open_to[0])
        if best is not None:
            lanes[best[1]].append((t, best[2], False))
    return lanes


def first_come_lanes(tables: Tables) -> Lanes:
    """First come, first served by numbers: by release, then in the order listed."""
    return one_by_one(tables, sorted(range(len(tables.due)), key=tables.release.__getitem__))


def due_date_lanes(tables: Tables) -> Lanes:
    """By needed-by by numbers, then in the order listed."""
    return one_by_one(tables, sorted(range(len(tables.due)), key=tables.due.__getitem__))


def first_come(problem: Problem) -> Plan:
    """First come, first served: what the shop would do without grouping."""
    tables = tables_of(problem)
    return plan_of(tables, list(first_come_lanes(tables)))


def due_date(problem: Problem) -> Plan:
    """One run a task in the order they are needed."""
    tables = tables_of(problem)
    return plan_of(tables, list(due_date_lanes(tables)))


@dataclass(frozen=True, slots=True)
class Saving:
    """What a plan saves against first come, first served; negative where it costs more."""

    runs: int
    nozzle_swaps: int
    material_swaps: int
    setup_minutes: int
    late_minutes: int
    late_tasks: int


def saving(problem: Problem, plan: Plan, against: Plan | None = None) -> Saving:
    """What grouping saves against first come, first served (or against another plan)."""
    ours = decode(problem, plan)
    theirs = decode(problem, first_come(problem) if against is None else against)
    return Saving(
        runs=len(theirs.runs) - len(ours.runs),
        nozzle_swaps=theirs.nozzle_swaps - ours.nozzle_swaps,
        material_swaps=theirs.material_swaps - ours.material_swaps,
        setup_minutes=theirs.setup_minutes - ours.setup_minutes,
        late_minutes=theirs.late_minutes - ours.late_minutes,
        late_tasks=len(theirs.late()) - len(ours.late()),
    )


def cheapest(tables: Tables, candidates: Iterable[Lanes]) -> tuple[int, Lanes]:
    """The cheapest of some plans, the first on a tie."""
    return min(((cost_of(tables, list(lanes)), lanes) for lanes in candidates), key=lambda pair: pair[0])
