"""The decoder: a plan becomes a timeline with its cost. Screen, explanations and rules all ask it.

Conventions: an empty platform needs no clearing; the next run to be set up is the one whose set-up can
begin first (the printer listed first on a tie); set-ups begin no earlier than every task of the run is
released; heat-up and printing follow at once; all tasks of a run are ready at its end, or at the next
opening if nobody is in.
"""

from typing import NamedTuple

from printcrib.core.planning.floor import Floor, Refused, Step
from printcrib.core.planning.problem import Problem
from printcrib.core.planning.tables import (
    NO_SHIFT,
    NOT_ON_PLAN,
    PLANNED_LATER_MINUTES,
    Group,
    Lane,
    Tables,
    no_spool_words,
    nobody_in_words,
    tables_of,
)
from printcrib.core.planning.timeline import Plan, PlannedRun, Slot, TaskTime, Timeline, Unplanned

MOST_FORMED = 4096  # lists whose runs are remembered, a few hundred bytes each


class Walked(NamedTuple):
    """What a plan comes to, by numbers: runs as (printer, group, step), refused tasks with the reason."""

    runs: list[tuple[int, Group, Step]]
    refused: dict[int, str]


def alone(tables: Tables, p: int, bore: int, t: int) -> Group:
    """The run a task makes by itself on a printer with a bore it may use there."""
    mg = tables.problem.start_mg + tables.mg[t].get(bore, 0)
    minutes = tables.options[p][t][bore]
    return Group(bore, tables.material[t], (t,), minutes, mg, tables.release[t], tables.area[t])


def grown(tables: Tables, p: int, group: Group, t: int) -> Group:
    """The run with one more task."""
    bore = group.bore
    return Group(
        bore,
        group.material,
        (*group.tasks, t),
        group.minutes + tables.problem.travel + tables.options[p][t][bore],
        group.mg + tables.mg[t].get(bore, 0),
        max(group.release, tables.release[t]),
        group.area + tables.area[t],
    )


def make_group(tables: Tables, p: int, bore: int, tasks: tuple[int, ...]) -> Group:
    """The run these tasks make together."""
    group = alone(tables, p, bore, tasks[0])
    for t in tasks[1:]:
        group = grown(tables, p, group, t)
    return group


def can_join(tables: Tables, p: int, group: Group, t: int) -> bool:
    """Whether a task may share the run of a group: bore, material, alone, platform, shift, spool."""
    minutes = tables.options[p][t].get(group.bore)
    if minutes is None or tables.material[t] != group.material:
        return False
    if tables.alone[t] or tables.alone[group.tasks[0]]:
        return False
    if group.area + tables.area[t] > tables.capacity[p] + 1e-6:
        return False
    if tables.attended[p][group.material]:
        run = tables.setups[p].heat_up + group.minutes + tables.problem.travel + minutes
        if run > tables.longest_shift:
            return False
    most = tables.most_on_a_spool(p, group.material)
    if most is not None and group.mg + tables.mg[t].get(group.bore, 0) > most:
        return False
    return tables.stand_together(p, (*group.tasks, t))


def form_groups(tables: Tables, p: int, lane: Lane) -> tuple[Group, ...]:
    """The runs a printer's list makes; a join that is not possible starts a run."""
    key = (p, tuple(lane))
    known = tables.formed.get(key)
    if known is not None:
        return known
    groups: list[Group] = []
    for t, bore, joins in lane:
        if joins and groups and groups[-1].bore == bore and can_join(tables, p, groups[-1], t):
            groups[-1] = grown(tables, p, groups[-1], t)
        else:
            groups.append(alone(tables, p, bore, t))
    if len(tables.formed) >= MOST_FORMED:
        tables.formed.clear()
    found = tables.formed[key] = tuple(groups)
    return found


def _refusal_words(tables: Tables, p: int, group: Group, refused: Refused) -> str:
    if refused is Refused.SPOOL:
        return no_spool_words(tables.materials[group.material], group.mg)
    if refused is Refused.TOO_LONG:
        return nobody_in_words(group.minutes + tables.setups[p].heat_up)
    return NO_SHIFT


def _next_step(floor: Floor, p: int, queue: list[Group], refused: dict[int, str]) -> Step | None:
    """The next run of a printer that can be done; a run that cannot loses its last task until it can."""
    while queue:
        group = queue[-1]
        step = floor.step(p, group)
        if isinstance(step, Step):
            return step
        queue.pop()
        if len(group.tasks) == 1:
            refused[group.tasks[0]] = _refusal_words(floor.tables, p, group, step)
            continue
        queue.append(make_group(floor.tables, p, group.bore, group.tasks[-1:]))
        queue.append(make_group(floor.tables, p, group.bore, group.tasks[:-1]))
    return None


def walk(tables: Tables, lanes: list[Lane]) -> Walked:
    """Walk through a plan in the order of set-ups."""
    floor = Floor(tables)
    refused: dict[int, str] = {}
    runs: list[tuple[int, Group, Step]] = []
    queues = [list(form_groups(tables, p, lane)[::-1]) for p, lane in enumerate(lanes)]
    steps = [_next_step(floor, p, queue, refused) for p, queue in enumerate(queues)]
    while True:
        chosen, first = 0, None
        for p, step in enumerate(steps):
            if step is not None and step.hands_on_from < floor.person_free:
                step = steps[p] = _next_step(floor, p, queues[p], refused)
            if step is not None and (first is None or step.hands_on_from < first.hands_on_from):
                chosen, first = p, step
        if first is None:
            return Walked(runs, refused)
        group = queues[chosen].pop()
        floor.take(chosen, group, first)
        runs.append((chosen, group, first))
        for p, queue in enumerate(queues):
            same_spools = first.spool >= 0 and queue and queue[-1].material == group.material
            if p == chosen or same_spools:
                steps[p] = _next_step(floor, p, queue, refused)


class Totals(NamedTuple):
    """The sums a plan is judged by."""

    cost: int
    late_weighted: int
    late_minutes: int
    nozzle_swaps: int
    material_swaps: int
    setup_minutes: int
    makespan: int


def totals_of(tables: Tables, walked: Walked) -> Totals:
    """Cost and its parts of a plan that was walked through."""
    problem = tables.problem
    due, weight = tables.due, tables.weight
    late_weighted = late_minutes = nozzle_swaps = material_swaps = setup_minutes = 0
    last = problem.start
    missing = set(range(len(due))).difference(tables.barred)
    for _, group, step in walked.runs:
        setup_minutes += step.starts - step.hands_on_from
        nozzle_swaps += step.swaps
        material_swaps += step.loads
        last = max(last, step.ends)
        for t in group.tasks:
            missing.discard(t)
            late = step.ready - due[t]
            if late > 0:
                late_minutes += late
                late_weighted += weight[t] * late
    unplanned = sum(weight[t] * (max(0, tables.horizon - due[t]) + PLANNED_LATER_MINUTES) for t in missing)
    costs, makespan = problem.costs, last - problem.start
    cost = costs.late * (late_weighted + unplanned) + costs.setup * setup_minutes + costs.makespan * makespan
    return Totals(cost, late_weighted, late_minutes, nozzle_swaps, material_swaps, setup_minutes, makespan)


def cost_of(tables: Tables, lanes: list[Lane]) -> int:
    """What a plan costs; the quick way for searching."""
    return totals_of(tables, walk(tables, lanes)).cost


def lanes_of(tables: Tables, plan: Plan) -> list[Lane]:
    """A plan by numbers.

    Left out are tasks and printers that are no longer there, repeats, and tasks on a printer or with a
    bore they may not use (any more); the mates of a task that is left out stay together.
    """
    lanes: list[Lane] = []
    seen: set[int] = set()
    for p, printer in enumerate(tables.problem.printers):
        lane: list[tuple[int, int, bool]] = []
        leader_lost = True
        for slot in plan.lanes.get(printer.key, ()):
            t = tables.task_at.get(slot.task, -1)
            if t < 0 or t in seen or slot.bore not in tables.options[p][t]:
                leader_lost = leader_lost or not slot.joins
                continue
            seen.add(t)
            lane.append((t, slot.bore, slot.joins and not leader_lost))
            leader_lost = False
        lanes.append(lane)
    return lanes


def plan_of(tables: Tables, lanes: list[Lane]) -> Plan:
    """A plan by numbers as the plan people keep, with only the joins that really happen."""
    walked = walk(tables, lanes)
    problem = tables.problem
    made: dict[str, list[Slot]] = {printer.key: [] for printer in problem.printers}
    for p, group, _ in walked.runs:
        made[problem.printers[p].key] += [
            Slot(problem.tasks[t].key, group.bore, position > 0) for position, t in enumerate(group.tasks)
        ]
    for p, lane in enumerate(lanes):  # what was refused stays last on its list, so that it keeps its reason
        refused = [Slot(problem.tasks[t].key, bore) for t, bore, _ in lane if t in walked.refused]
        made[problem.printers[p].key] += refused
    return Plan({key: tuple(slots) for key, slots in made.items()})


def decode(problem: Problem, plan: Plan) -> Timeline:
    """What a plan comes to: every run with its times, every task's readiness, the cost.

    Never fails on a plan: what it cannot hold is named in `unplanned`.
    """
    tables = tables_of(problem)
    walked = walk(tables, lanes_of(tables, plan))
    runs = tuple(_planned_run(tables, *run) for run in walked.runs)
    ready: dict[int, TaskTime] = {}
    for index, (_, group, step) in enumerate(walked.runs):
        for t in group.tasks:
            late = max(0, step.ready - tables.due[t])
            ready[t] = TaskTime(problem.tasks[t].key, step.ready, late, index)
    unplanned = tuple(
        Unplanned(task.key, tables.barred.get(t) or walked.refused.get(t) or NOT_ON_PLAN)
        for t, task in enumerate(problem.tasks)
        if t not in ready
    )
    times = tuple(ready[t] for t in sorted(ready))
    return Timeline(runs, times, unplanned, **totals_of(tables, walked)._asdict())


def _planned_run(tables: Tables, p: int, group: Group, step: Step) -> PlannedRun:
    problem = tables.problem
    spools = problem.spools
    return PlannedRun(
        printer=problem.printers[p].key,
        bore=group.bore,
        material=tables.materials[group.material],
        tasks=tuple(problem.tasks[t].key for t in group.tasks),
        hands_on_from=step.hands_on_from,
        clear_minutes=step.clear,
        nozzle_minutes=step.nozzle,
        material_minutes=step.material,
        swaps_nozzle=step.swaps,
        loads_spool=step.loads,
        starts=step.starts,
        ends=step.ends,
        ready=step.ready,
        mg=step.mg,
        spool=spools[step.spool].key if spools is not None else None,
    )
