"""Dispatch rules with set-ups and grouping, and the best plan they make.

The index is that of Lee, Bhaskaran & Pinedo (1997), "Scheduling jobs on parallel machines with
sequence-dependent setup times", IIE Transactions 29, 45-52 (apparent tardiness cost with set-ups):
(w / p) exp(-max(d - p - t, 0) / (k1 p_mean)) exp(-s / (k2 s_mean)), taken here as its logarithm over
every task and every bore it may use. Its two look-ahead parameters are not estimated but tried: 25 pairs.
What is chosen leads a run; tasks of the same nozzle, material and colour join it as long as that makes no
task of the run dearer than the set-up it saves.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import log

from printcrib.core.planning.decoder import alone, can_join, grown, plan_of
from printcrib.core.planning.floor import Floor, Step
from printcrib.core.planning.improve import improve
from printcrib.core.planning.problem import Problem
from printcrib.core.planning.rules import Lanes, cheapest, due_date_lanes, first_come_lanes
from printcrib.core.planning.tables import Group, Tables, tables_of
from printcrib.core.planning.timeline import Plan

PRINT_LOOK_AHEADS = (0.3, 0.8, 2.0, 4.5, 10.0)  # k1, the range of the paper's figure widened downwards
SETUP_LOOK_AHEADS = (0.3, 0.8, 2.0, 5.0, 15.0)  # k2

Progress = Callable[[float], None]
Cancelled = Callable[[], bool]


@dataclass(slots=True)
class _Rule:
    """One member of the family, and what it needs of the tables.

    Attributes:
        slack_scale: k1 x mean minutes; setup_scale: k2 x mean set-up.
        cautious: a mate may not push other waiting tasks past their needed-by.
    """

    tables: Tables
    slack_scale: float
    setup_scale: float
    cautious: bool
    logs: list[list[dict[int, float]]]


def _logs(tables: Tables) -> list[list[dict[int, float]]]:
    """log(weight / minutes) per printer, task and bore."""
    return [
        [
            {
                bore: log(max(tables.weight[t], 1e-3) / (minutes + tables.setups[p].heat_up + 1))
                for bore, minutes in options.items()
            }
            for t, options in enumerate(printer)
        ]
        for p, printer in enumerate(tables.options)
    ]


def _means(tables: Tables) -> tuple[float, float]:
    quickest = [min(options.values()) for printer in tables.options for options in printer if options]
    setups = [setup.clear + (setup.nozzle + setup.material) / 2 for setup in tables.setups]
    mean_minutes = sum(quickest) / len(quickest) if quickest else 1.0
    return max(1.0, mean_minutes), max(1.0, sum(setups) / max(1, len(setups)))


def _lead(rule: _Rule, floor: Floor, p: int, waiting: list[int], now: int) -> tuple[int, int] | None:
    """Task and bore with the highest index on a printer at a moment."""
    tables, setups = rule.tables, rule.tables.setups[p]
    fitted, loaded = floor.fitted[p], floor.loaded[p]
    best: tuple[int, int] | None = None
    highest = 0.0
    for t in waiting:
        options = tables.options[p][t]
        if not options or tables.release[t] > now:
            continue
        change = setups.material if tables.material[t] != loaded else 0
        slack = tables.due[t] - now - setups.heat_up
        logs = rule.logs[p][t]
        for bore, minutes in options.items():
            setup = change if bore == fitted else change + setups.nozzle
            left = slack - minutes - setup
            index = logs[bore] - setup / rule.setup_scale
            if left > 0:
                index -= left / rule.slack_scale
            if best is None or index > highest:
                best, highest = (t, bore), index
    return best


def _lateness(tables: Tables, tasks: tuple[int, ...], ready: int) -> int:
    return sum(tables.weight[t] * max(0, ready - tables.due[t]) for t in tasks)


def _joined(
    rule: _Rule, floor: Floor, p: int, group: Group, step: Step, waiting: list[int]
) -> tuple[Group, Step]:
    """Let waiting tasks join a run, the soonest needed first, while that pays."""
    tables = rule.tables
    costs, setups = tables.problem.costs, tables.setups[p]
    alone_again = setups.clear + setups.heat_up
    worth = costs.setup * setups.clear + costs.makespan * alone_again
    for t in waiting:
        if tables.release[t] > max(group.release, step.hands_on_from) or t in group.tasks:
            continue
        if not can_join(tables, p, group, t):
            continue
        larger = grown(tables, p, group, t)
        after = floor.step(p, larger)
        if not isinstance(after, Step):
            continue
        hurt = _lateness(tables, group.tasks, after.ready) - _lateness(tables, group.tasks, step.ready)
        later = floor.ready_at(after.ends + alone_again)
        gain = _lateness(tables, (t,), max(later, after.ready)) - _lateness(tables, (t,), after.ready)
        if costs.late * (hurt - gain) > worth:
            continue
        if rule.cautious and _pushes(tables, p, larger, step, after, waiting):
            continue
        group, step = larger, after
    return group, step


def _pushes(tables: Tables, p: int, group: Group, before: Step, after: Step, waiting: list[int]) -> bool:
    """Whether the longer run makes another waiting task late that would not be so."""
    for t in waiting:
        options = tables.options[p][t]
        if options and t not in group.tasks:
            need = min(options.values()) + tables.setups[p].heat_up + tables.setups[p].clear
            if before.ends + need <= tables.due[t] < after.ends + need:
                return True
    return False


def _dispatch(rule: _Rule) -> Lanes:
    """Build one plan: whenever a printer and a person are free, the highest index leads the next run."""
    tables = rule.tables
    floor = Floor(tables)
    lanes: Lanes = [[] for _ in tables.problem.printers]
    waiting = sorted(
        (t for t in range(len(tables.due)) if t not in tables.barred), key=tables.due.__getitem__
    )
    while waiting:
        p, now = _next_printer(tables, floor, waiting)
        chosen = _lead(rule, floor, p, waiting, now)
        assert chosen is not None
        lead, bore = chosen
        group = alone(tables, p, bore, lead)
        step = floor.step(p, group)
        if isinstance(step, Step):
            group, step = _joined(rule, floor, p, group, step, waiting)
            floor.take(p, group, step)
        lanes[p] += [(t, bore, position > 0) for position, t in enumerate(group.tasks)]
        waiting = [t for t in waiting if t not in group.tasks]
    return lanes


def _next_printer(tables: Tables, floor: Floor, waiting: list[int]) -> tuple[int, int]:
    """The printer that can be set up first for something that waits, and when."""
    best: tuple[int, int] | None = None
    for p in range(len(tables.problem.printers)):
        options = tables.options[p]
        first = min((tables.release[t] for t in waiting if options[t]), default=None)
        if first is None:
            continue
        now = max(floor.free[p], floor.person_free, first)
        opening = floor.opening(now)
        if best is None or opening < best[1]:
            best = (p, opening)
    assert best is not None
    return best


def dispatch_lanes(tables: Tables) -> Iterator[Lanes]:
    """The plans of the whole family, 25 pairs, each joining freely and cautiously."""
    logs = _logs(tables)
    mean_minutes, mean_setup = _means(tables)
    for k1 in PRINT_LOOK_AHEADS:
        for k2 in SETUP_LOOK_AHEADS:
            for cautious in (False, True):
                yield _dispatch(_Rule(tables, k1 * mean_minutes, k2 * mean_setup, cautious, logs))


def best_dispatch(
    problem: Problem, progress: Progress | None = None, cancelled: Cancelled | None = None
) -> Plan:
    """The cheapest plan of all rules, then improved a little; never dearer than any rule.

    Args:
        progress: told the part done, 0 to 1. cancelled: asked often; when true, the best so far is given.
    """
    tables = tables_of(problem)
    say, stop = progress or (lambda part: None), cancelled or (lambda: False)
    cost, lanes = cheapest(tables, (first_come_lanes(tables), due_date_lanes(tables)))
    tries = 2 * len(PRINT_LOOK_AHEADS) * len(SETUP_LOOK_AHEADS)
    for number, candidate in enumerate(dispatch_lanes(tables), start=1):
        cost, lanes = min((cost, lanes), cheapest(tables, (candidate,)), key=lambda pair: pair[0])
        say(0.6 * number / tries)
        if stop():
            return plan_of(tables, list(lanes))
    lanes = improve(tables, lanes, cost, lambda part: say(0.6 + 0.4 * part), stop)
    return plan_of(tables, list(lanes))
