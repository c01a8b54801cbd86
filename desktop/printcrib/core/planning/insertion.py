"""Putting one more task into a plan that stays as it is: repairs, and "what if" for a new request."""

from collections.abc import Iterator
from dataclasses import dataclass

from printcrib.core.planning.decoder import cost_of, decode, lanes_of, plan_of
from printcrib.core.planning.problem import Problem
from printcrib.core.planning.rules import Lanes
from printcrib.core.planning.tables import Tables, tables_of
from printcrib.core.planning.timeline import Plan


def _insertions(tables: Tables, lanes: Lanes, t: int, bore: int) -> Iterator[Lanes]:
    """The plan with a task at every place: as its own run or sharing the one before it."""
    for p, options in enumerate(tables.options):
        if bore not in options[t]:
            continue
        lane = lanes[p]
        for at in range(len(lane) + 1):
            parts_a_run = at < len(lane) and lane[at][2]
            for joins in (True, False) if at else (False,):
                if joins and lane[at - 1][1] != bore:
                    continue
                if parts_a_run and not joins:
                    continue
                yield [*lanes[:p], [*lane[:at], (t, bore, joins), *lane[at:]], *lanes[p + 1 :]]


def _best_insertion(tables: Tables, lanes: Lanes, t: int, bores: list[int]) -> Lanes | None:
    trials = (trial for bore in bores for trial in _insertions(tables, lanes, t, bore))
    return min(trials, key=lambda trial: cost_of(tables, list(trial)), default=None)


def _bores(tables: Tables, t: int) -> list[int]:
    return sorted({bore for options in tables.options for bore in options[t]})


def _as_lists(tables: Tables, plan: Plan) -> Lanes:
    return [list(lane) for lane in lanes_of(tables, plan)]


def repaired(problem: Problem, plan: Plan) -> Plan:
    """The kept plan with few moves: what is gone drops out, new tasks go where they cost least.

    New tasks are put in the order they are needed; the order of the others stays.
    """
    tables = tables_of(problem)
    lanes = _as_lists(tables, plan)
    on_plan = {t for lane in lanes for t, _, _ in lane}
    missing = [t for t in range(len(problem.tasks)) if t not in on_plan and t not in tables.barred]
    for t in sorted(missing, key=tables.due.__getitem__):
        better = _best_insertion(tables, lanes, t, _bores(tables, t))
        lanes = lanes if better is None else better
    return plan_of(tables, list(lanes))


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What it would come to if a task were printed with one bore.

    Attributes:
        ready, late: minutes. runs_with: tasks it would share a run with.
        delays: tasks that would be later, or late, by how many late minutes more.
        plan: the plan with it.
    """

    bore: int
    printer: str
    ready: int
    late: int
    runs_with: tuple[str, ...]
    delays: tuple[tuple[str, int], ...]
    plan: Plan


def what_if(problem: Problem, plan: Plan, task: str) -> list[WhatIf]:
    """When a task that is not on the plan could be ready, for each bore it may use.

    The task is one of the problem's; a bore with which it cannot be planned is not in the list.
    """
    tables = tables_of(problem)
    t = tables.task_at[task]
    lanes = [[slot for slot in lane if slot[0] != t] for lane in _as_lists(tables, plan)]
    before = {time.task: time.late for time in decode(problem, plan_of(tables, list(lanes))).tasks}
    answers = []
    for bore in _bores(tables, t):
        trial = _best_insertion(tables, lanes, t, [bore])
        answer = None if trial is None else _answer(problem, plan_of(tables, list(trial)), task, before)
        if answer is not None:
            answers.append(answer)
    return answers


def _answer(problem: Problem, plan: Plan, task: str, before: dict[str, int]) -> WhatIf | None:
    timeline = decode(problem, plan)
    own = next((time for time in timeline.tasks if time.task == task), None)
    if own is None:
        return None
    run = timeline.runs[own.run]
    more = ((time.task, time.late - before.get(time.task, 0)) for time in timeline.tasks if time.task != task)
    return WhatIf(
        bore=run.bore,
        printer=run.printer,
        ready=own.ready,
        late=own.late,
        runs_with=tuple(key for key in run.tasks if key != task),
        delays=tuple((key, minutes) for key, minutes in more if minutes > 0),
        plan=plan,
    )
