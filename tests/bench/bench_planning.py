"""How good and how quick the run sheet is: `python tests/bench/bench_planning.py [--problems N]`.

Weeks are drawn with fixed seeds; figures are means over the problems. Nothing here is asserted.
"""

import argparse
import statistics
import time
from collections.abc import Callable
from random import Random

from printcrib.core.planning.decoder import cost_of, decode, lanes_of
from printcrib.core.planning.dispatch import best_dispatch
from printcrib.core.planning.problem import PlanPrinter, PlanTask, Problem, Shift
from printcrib.core.planning.rules import due_date, first_come
from printcrib.core.planning.tables import tables_of
from printcrib.core.planning.timeline import Plan

FACTORS = {400: 1.0, 600: 0.62, 800: 0.45, 1000: 0.36}
MATERIALS = ("ASA grey", "PETG black", "PLA red", "PETG white", "TPU black")
SHARES = (36, 15, 9, 25, 15)
DAY = 1440
OPEN_MINUTES = 600


def _bores(chance: Random) -> tuple[int, ...]:
    draw = chance.random()
    if draw < 0.35:
        return (400,)
    return (400, 600) if draw < 0.70 else (600, 800, 1000)


def _in_open_time(minutes: float) -> int:
    """Minutes of open time from Monday's opening as a minute of the week (Monday-Friday 07:00-17:00)."""
    day, rest = divmod(round(minutes), OPEN_MINUTES)
    week, weekday = divmod(day, 5)
    return (week * 7 + weekday) * DAY + 420 + rest


def _due(chance: Random, stretch: float) -> int:
    draw = chance.random()
    if draw < 0.15:
        hours = chance.uniform(4, 10)
    elif draw < 0.75:
        hours = chance.uniform(10, 30)
    else:
        hours = chance.uniform(30, 60)
    return _in_open_time(hours * 60 * stretch)


def shop_week(seed: int, tasks: int, printers: int) -> Problem:
    """A normally loaded week: tasks, needed-by and printers in the proportions of a small shop."""
    chance = Random(seed)
    stretch = tasks / (25 * printers)
    made = []
    for number in range(tasks):
        base = min(900.0, max(15.0, chance.lognormvariate(4.605, 0.8)))
        release = 0 if chance.random() < 0.7 else round(chance.uniform(0, 2 * OPEN_MINUTES))
        size = (55 * chance.lognormvariate(0, 0.5), 45 * chance.lognormvariate(0, 0.5))
        made.append(
            PlanTask(
                key=f"R{number + 1}",
                minutes={bore: max(1, round(base * FACTORS[bore])) for bore in _bores(chance)},
                material=chance.choices(MATERIALS, SHARES)[0],
                footprints=((min(200.0, size[0]), min(200.0, size[1])),),
                due=_in_open_time(release) + _due(chance, stretch) - 420,
                release=_in_open_time(release),
                weight=chance.choices((1, 2, 5), (60, 30, 10))[0],
                alone=chance.random() < 0.07,
            )
        )
    shifts = tuple(
        Shift((week * 7 + day) * DAY + 420, (week * 7 + day) * DAY + 1020)
        for week in range(8)
        for day in range(5)
    )
    machines = tuple(
        PlanPrinter(
            f"P{number + 1}",
            (220.0, 220.0),
            (400, 600, 800, 1000),
            400,
            None,
            MATERIALS[0],
            None,
            frozenset(MATERIALS),
        )
        for number in range(printers)
    )
    return Problem(machines, tuple(made), shifts, start=420)


def _row(name: str, problems: list[Problem], method: Callable[[Problem], Plan]) -> None:
    seconds, lines = [], []
    for problem in problems:
        begun = time.perf_counter()
        plan = method(problem)
        seconds.append(time.perf_counter() - begun)
        lines.append(decode(problem, plan))
    mean = statistics.mean
    print(
        f"{name:<12} late {mean(len(line.late()) for line in lines):6.1f}  "
        f"weighted late {mean(line.late_weighted for line in lines):9.0f}  "
        f"swaps {mean(line.nozzle_swaps for line in lines):5.1f}  "
        f"set-up {mean(line.setup_minutes for line in lines):6.0f}  "
        f"runs {mean(len(line.runs) for line in lines):5.1f}  "
        f"seconds {statistics.median(seconds):6.3f} (longest {max(seconds):.3f})"
    )


def main() -> None:
    """Print the tables."""
    options = argparse.ArgumentParser()
    options.add_argument("--problems", type=int, default=3)
    count = options.parse_args().problems
    for tasks, printers in ((25, 1), (50, 2), (100, 4)):
        problems = [shop_week(seed, tasks, printers) for seed in range(count)]
        print(f"{tasks} tasks, {printers} printers, {count} weeks")
        _row("first come", problems, first_come)
        _row("due date", problems, due_date)
        _row("dispatch", problems, best_dispatch)
        tables = tables_of(problems[0])
        lanes = lanes_of(tables, best_dispatch(problems[0]))
        begun, judged = time.perf_counter(), 200
        for _ in range(judged):
            cost_of(tables, lanes)
        print(f"{judged / (time.perf_counter() - begun):.0f} plans a second\n")


if __name__ == "__main__":
    main()
