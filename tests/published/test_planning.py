"""The run sheet against a worked example whose optimum was proved.

Example A: five tasks, one printer; set-ups clear 3, nozzle 12, material 4, heat-up 8; unattended runs
allowed. The optimum 1143 was proved by enumeration of all plans, an exact dynamic programme and a
constraint solver; first come and due-date order follow by hand from the rules stated in `rules`:
J4 ends at 1031, 11 minutes after the shift, so that J5 waits for the next opening and is 945 minutes late.
"""

from collections.abc import Callable

import pytest

from printcrib.core.planning.decoder import decode
from printcrib.core.planning.dispatch import best_dispatch
from printcrib.core.planning.problem import Costs, PlanPrinter, PlanTask, Problem, SetupMinutes, Shift
from printcrib.core.planning.rules import due_date, first_come
from printcrib.core.planning.timeline import Plan, Slot, Timeline


def _task(key: str, material: str, minutes: dict[int, int], due: int, weight: int) -> PlanTask:
    # 145 x 95 mm with a gap of 5 mm are the example's 15000 mm2.
    return PlanTask(key, minutes, material, ((145.0, 95.0),), due, release=420, weight=weight)


def example_a() -> Problem:
    # 250 x 210 mm at 70 % are the example's capacity of 36750 mm2.
    printer = PlanPrinter(
        "P", (250.0, 210.0), (400, 600), 600, loaded="A black", unattended=frozenset({"A black", "B"})
    )
    tasks = (
        _task("J1", "A black", {400: 120}, 720, 2),
        _task("J2", "A black", {400: 150, 600: 93}, 900, 1),
        _task("J3", "A black", {600: 60}, 660, 1),
        _task("J4", "B", {400: 200}, 2040, 1),
        _task("J5", "A black", {400: 90, 600: 56}, 1020, 1),
    )
    shifts = tuple(Shift(420 + 1440 * day, 1020 + 1440 * day) for day in range(3))
    return Problem((printer,), tasks, shifts, start=420, fill_limit=0.7)


def _ends(timeline: Timeline) -> list[tuple[tuple[str, ...], int, int]]:
    return [(run.tasks, run.bore, run.ends) for run in timeline.runs]


def test_first_come_first_served() -> None:
    timeline = decode(example_a(), first_come(example_a()))
    assert timeline.cost == 1_091_665
    assert timeline.makespan == 1965 - 420
    assert [(time.task, time.late) for time in timeline.tasks if time.late] == [("J3", 144), ("J5", 945)]
    assert _ends(timeline)[3] == (("J4",), 400, 1031)


def test_due_date_order() -> None:
    timeline = decode(example_a(), due_date(example_a()))
    assert (timeline.cost, timeline.late_weighted) == (1248, 0)


def test_the_proved_optimum_decodes_to_its_stated_ends() -> None:
    best = Plan(
        {"P": (Slot("J5", 600), Slot("J3", 600, True), Slot("J1", 400), Slot("J2", 400), Slot("J4", 400))}
    )
    timeline = decode(example_a(), best)
    assert _ends(timeline) == [
        (("J5", "J3"), 600, 544),
        (("J1",), 400, 687),
        (("J2",), 400, 848),
        (("J4",), 400, 1063),
    ]
    assert (timeline.cost, timeline.setup_minutes, timeline.late_weighted) == (1143, 25, 0)
    assert (timeline.nozzle_swaps, timeline.material_swaps) == (1, 1)


def test_the_best_rule_is_never_under_the_optimum_nor_over_due_date_order() -> None:
    cost = decode(example_a(), best_dispatch(example_a())).cost
    assert 1143 <= cost <= 1248


def _one_open_shift(minutes: list[int], due: list[int], weight: list[int]) -> Problem:
    """A textbook machine: one open shift, no set-ups, every task alone, weighted lateness only."""
    tasks = tuple(
        PlanTask(str(number), {400: p}, "any", ((10.0, 10.0),), d, weight=w, alone=True)
        for number, (p, d, w) in enumerate(zip(minutes, due, weight, strict=True), start=1)
    )
    printer = PlanPrinter("P", (200.0, 200.0), (400,), 400, loaded="any")
    return Problem(
        (printer,), tasks, (Shift(0, 10_000),), setups=SetupMinutes(0, 0, 0, 0), costs=Costs(1, 0, 0)
    )


def _late_of(problem: Problem, order: str) -> int:
    slots = tuple(Slot(key, 400) for key in order.split("-"))
    return decode(problem, Plan({"P": slots})).late_weighted


# From memory of a scheduling textbook (Pinedo, Scheduling, total weighted tardiness); the optimum was
# proved again by enumeration: 408 with the order 1-4-2-3.
def test_weighted_tardiness_of_four_tasks() -> None:
    problem = _one_open_shift([10, 10, 13, 4], [4, 2, 1, 12], [14, 12, 1, 12])
    assert _late_of(problem, "1-4-2-3") == 408


@pytest.mark.parametrize("rule", [first_come, due_date, best_dispatch])
def test_no_rule_beats_a_proved_optimum(rule: Callable[[Problem], Plan]) -> None:
    four = _one_open_shift([10, 10, 13, 4], [4, 2, 1, 12], [14, 12, 1, 12])
    five = _one_open_shift([121, 79, 147, 83, 130], [260, 266, 266, 336, 337], [1] * 5)
    # Total tardiness of five tasks, optimum 370 (from memory of the same textbook, proved by enumeration).
    assert decode(four, rule(four)).cost >= 408
    assert decode(five, rule(five)).cost >= 370
