"""Why each run stands where it does, and what makes a late task late, in one line each.

Everything is found by changing the plan a little and decoding it again.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from printcrib.core.planning.decoder import decode
from printcrib.core.planning.problem import PlanPrinter, PlanTask, Problem
from printcrib.core.planning.tables import tables_of
from printcrib.core.planning.timeline import Plan, PlannedRun, Slot, TaskTime, Timeline
from printcrib.core.units import bore_text, duration_words

SayMoment = Callable[[int], str]


def clock_of_day(minute: int) -> str:
    """A planner's minute as a time of day, for plans without a calendar: 544 is "09:04"."""
    return f"{minute // 60 % 24:02d}:{minute % 60:02d}"


@dataclass(frozen=True, slots=True)
class Names:
    """How lines speak of runs and moments.

    Attributes:
        runs: what a run is called, by the key of its first task ("run 35").
        moment: a planner's minute in words.
    """

    runs: dict[str, str] = field(default_factory=dict)
    moment: SayMoment = clock_of_day

    def run(self, problem: Problem, run: PlannedRun) -> str:
        """What people call a run."""
        return self.runs.get(run.tasks[0]) or f"the run with {_called(problem, run.tasks[0])}"


def _called(problem: Problem, key: str) -> str:
    return _task(problem, key).called


def _task(problem: Problem, key: str) -> PlanTask:
    return next(task for task in problem.tasks if task.key == key)


def _printer(problem: Problem, key: str) -> PlanPrinter:
    return next(printer for printer in problem.printers if printer.key == key)


def _lanes(timeline: Timeline, problem: Problem) -> dict[str, list[PlannedRun]]:
    return {printer.key: timeline.runs_on(printer.key) for printer in problem.printers}


def _plan(lanes: dict[str, list[PlannedRun]]) -> Plan:
    return Plan(
        {
            key: tuple(Slot(task, run.bore, at > 0) for run in runs for at, task in enumerate(run.tasks))
            for key, runs in lanes.items()
        }
    )


def _count(number: int, word: str) -> str:
    return f"one {word}" if number == 1 else f"{number} {word}s"


def why_runs(problem: Problem, plan: Plan, names: Names | None = None) -> list[str]:
    """One line a run, in the order of the timeline's runs."""
    names = names or Names()
    timeline = decode(problem, plan)
    lanes = _lanes(timeline, problem)
    return [_why_run(problem, timeline, lanes, run, names) for run in timeline.runs]


def _why_run(
    problem: Problem, timeline: Timeline, lanes: dict[str, list[PlannedRun]], run: PlannedRun, names: Names
) -> str:
    lane = lanes[run.printer]
    at = lane.index(run)
    kind = f"nozzle {bore_text(run.bore)} and {run.material}"
    if at and lane[at - 1].bore == run.bore and lane[at - 1].material == run.material:
        first = at - 1
        while first and not _changes(lane[first]):
            first -= 1
        swap = _swap_words(lane[first])
        whom = "both" if first == at - 1 else "all of them"
        once = f": {swap} for {whom}" if swap else ""
        return f"Shares {kind} with {names.run(problem, lane[at - 1])}{once}."
    if at + 1 < len(lane):
        words = _other_way_round(problem, timeline, lanes, run, names)
        if words:
            return words
    if len(run.tasks) > 1:
        return (
            f"{_count(len(run.tasks), 'task')} in one go with {kind}: one clearing and one heat-up for all."
        )
    if not _changes(run):
        return f"{_printer(problem, run.printer).called} has {kind} on it already."
    return _room_words(problem, timeline, run)


def _changes(run: PlannedRun) -> bool:
    return run.swaps_nozzle or run.loads_spool


def _swap_words(run: PlannedRun) -> str:
    if run.swaps_nozzle:
        return "one swap"
    return "one spool load" if run.loads_spool else ""


def _other_way_round(
    problem: Problem, timeline: Timeline, lanes: dict[str, list[PlannedRun]], run: PlannedRun, names: Names
) -> str:
    """What exchanging a run with the next one on its printer would cost."""
    lane = lanes[run.printer]
    at = lane.index(run)
    changed = [*lane[:at], lane[at + 1], run, *lane[at + 2 :]]
    other = decode(problem, _plan({**lanes, run.printer: changed}))
    after = names.run(problem, lane[at + 1])
    was = {time.task: time.late for time in timeline.tasks}
    worse = [time for time in other.tasks if time.late > was.get(time.task, 0)]
    if other.late_weighted > timeline.late_weighted and worse:
        most = max(worse, key=lambda time: time.late - was.get(time.task, 0))
        late = duration_words(most.late)
        return f"Ahead of {after}: the other way round {_called(problem, most.task)} is {late} late."
    swaps = other.nozzle_swaps - timeline.nozzle_swaps
    if swaps > 0:
        return f"Ahead of {after}: saves {_count(swaps, 'nozzle swap')}."
    minutes = other.setup_minutes - timeline.setup_minutes
    if minutes > 0:
        return f"Ahead of {after}: saves {duration_words(minutes)} by hand."
    sooner = other.makespan - timeline.makespan
    if sooner > 0:
        return f"Ahead of {after}: everything is printed {duration_words(sooner)} sooner."
    return ""


def _room_words(problem: Problem, timeline: Timeline, run: PlannedRun) -> str:
    """How much time the run leaves to its most pressing task."""
    due = min(_task(problem, key).due for key in run.tasks)
    spare = due - run.ready
    if spare < 0:
        return "As early as it can be here, and still late."
    return f"Nothing is late for it: {duration_words(spare)} to spare."


def why_late(problem: Problem, plan: Plan, names: Names | None = None) -> dict[str, str]:
    """One line for each late task: what binds."""
    names = names or Names()
    timeline = decode(problem, plan)
    return {time.task: _why_late(problem, timeline, time, names) for time in timeline.late()}


def _ready_if_first(problem: Problem, task: PlanTask) -> int | None:
    """When a task would be ready if nothing else were to be printed."""
    alone = replace(problem, tasks=(task,))
    tables = tables_of(alone)
    ready = [
        time.ready
        for p, options in enumerate(tables.options)
        for bore in options[0]
        for time in decode(alone, Plan({problem.printers[p].key: (Slot(task.key, bore),)})).tasks
    ]
    return min(ready, default=None)


def _why_late(problem: Problem, timeline: Timeline, time: TaskTime, names: Names) -> str:
    run = timeline.runs[time.run]
    task = _task(problem, time.task)
    earliest = _ready_if_first(problem, task)
    if earliest is not None and earliest > task.due:
        at_once = _ready_if_first(problem, replace(task, release=problem.start))
        if at_once is not None and at_once < earliest:
            return f"May not begin before {names.moment(task.release)}: late even if nothing else is printed."
        return f"Printed first of all it is ready at {names.moment(earliest)}, after it is needed."
    mates = _without_mates(problem, timeline, time)
    if mates:
        return f"Waits for its run-mates: by itself it is ready at {names.moment(mates)}."
    if run.ready > run.ends and run.ends <= task.due:
        return f"Printed in time, but nobody is in to take it off before {names.moment(run.ready)}."
    lane = timeline.runs_on(run.printer)
    at = lane.index(run)
    busy = lane[at - 1] if at else None
    printer = _printer(problem, run.printer).called
    if busy is None:
        return f"{printer} can be set up for it only at {names.moment(run.hands_on_from)}."
    if run.hands_on_from > busy.ready:
        return f"Waits for hands or a shift until {names.moment(run.hands_on_from)}."
    return f"{printer} is busy with {names.run(problem, busy)} until {names.moment(busy.ends)}."


def _without_mates(problem: Problem, timeline: Timeline, time: TaskTime) -> int | None:
    """When the task would be ready printed before its run-mates, if that is in time."""
    run = timeline.runs[time.run]
    if len(run.tasks) == 1:
        return None
    lanes = _lanes(timeline, problem)
    lane = lanes[run.printer]
    at = lane.index(run)
    rest = tuple(key for key in run.tasks if key != time.task)
    parted = [*lane[:at], replace(run, tasks=(time.task,)), replace(run, tasks=rest), *lane[at + 1 :]]
    other = decode(problem, _plan({**lanes, run.printer: parted}))
    ready = next(found.ready for found in other.tasks if found.task == time.task)
    return ready if ready <= _task(problem, time.task).due else None
