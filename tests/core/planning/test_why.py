"""One line why a run stands where it does, and one what makes a task late."""

from tests.core.planning.problems import DAY, days, lane, printer, problem, task

from printcrib.core.planning.problem import PlanTask, Problem
from printcrib.core.planning.timeline import Plan, Slot
from printcrib.core.planning.why import Names, clock_of_day, why_late, why_runs

NAMES = Names({"1": "run 35"}, lambda minute: f"minute {minute}")


def _why(*tasks: PlanTask, plan: Plan, at: int = 0, **more: object) -> str:
    return why_runs(problem(*tasks, **more), plan, NAMES)[at]


def test_a_run_that_needs_no_swap_says_with_whom_it_shares() -> None:
    tasks = [task(str(n), {600: 50}) for n in (1, 2, 3)]
    plan = lane(("1", 600), ("2", 600), ("3", 600))
    assert _why(*tasks, plan=plan, at=1) == "Shares nozzle 0.6 and ASA grey with run 35: one swap for both."
    assert _why(*tasks, plan=plan, at=2) == (
        "Shares nozzle 0.6 and ASA grey with the run with R 2: one swap for all of them."
    )


def test_it_says_when_only_the_spool_is_shared_or_nothing_had_to_be_changed() -> None:
    red = [task(str(n), {400: 50}, material="PLA red") for n in (1, 2)]
    grey = [task(str(n), {400: 50}) for n in (1, 2)]
    plan = lane(("1", 400), ("2", 400))
    assert (
        _why(*red, plan=plan, at=1) == "Shares nozzle 0.4 and PLA red with run 35: one spool load for both."
    )
    assert _why(*grey, plan=plan, at=1) == "Shares nozzle 0.4 and ASA grey with run 35."


def test_what_the_other_way_round_would_cost() -> None:
    urgent = task("2", {400: 60}, due=500)
    assert _why(urgent, task("1", {600: 100}), plan=lane(("2", 400), ("1", 600))) == (
        "Ahead of run 35: the other way round R 2 is 2 h 03 late."
    )
    swap = [task("2", {400: 60}), task("1", {600: 100}), task("3", {400: 9})]
    assert _why(*swap, plan=lane(("2", 400), ("1", 600))) == "Ahead of run 35: saves one nozzle swap."
    load = [task("2", {400: 60}), task("1", {400: 100}, material="PLA red")]
    assert _why(*load, plan=lane(("2", 400), ("1", 400))) == "Ahead of run 35: saves 4 min by hand."
    night = [task("2", {400: 60}), task("1", {400: 900})]
    assert _why(*night, plan=lane(("2", 400), ("1", 400))) == (
        "Ahead of run 35: everything is printed 8 h 52 sooner."
    )


def test_what_is_left_to_say_of_the_last_run() -> None:
    assert (
        _why(task("2", {400: 60}), plan=lane(("2", 400))) == "P1 has nozzle 0.4 and ASA grey on it already."
    )
    two = [task(str(n), {600: 60}) for n in (2, 3)]
    assert _why(*two, plan=lane(("2", 600), ("3", 600, True))) == (
        "2 tasks in one go with nozzle 0.6 and ASA grey: one clearing and one heat-up for all."
    )
    assert (
        _why(task("2", {600: 60}, due=620), plan=lane(("2", 600))) == "Nothing is late for it: 2 h to spare."
    )
    assert (
        _why(task("2", {600: 60}, due=450), plan=lane(("2", 600)))
        == "As early as it can be here, and still late."
    )


def test_a_run_whose_place_makes_no_difference_falls_back() -> None:
    same = [task("2", {600: 60}, material="PLA red"), task("3", {800: 60}, material="PETG black")]
    assert _why(*same, plan=lane(("2", 600), ("3", 800))).startswith("Nothing is late for it")


def _late(shop: Problem, plan: Plan) -> dict[str, str]:
    return why_late(shop, plan, NAMES)


def test_a_release_can_make_a_task_late() -> None:
    shop = problem(task("2", {400: 100}, due=600, release=550))
    assert _late(shop, lane(("2", 400))) == {
        "2": "May not begin before minute 550: late even if nothing else is printed."
    }


def test_a_task_can_be_too_long_for_its_date() -> None:
    shop = problem(task("2", {400: 300, 600: 200}, due=600), printers=(printer(), printer("P2")))
    assert _late(shop, lane(("2", 400))) == {
        "2": "Printed first of all it is ready at minute 640, after it is needed."
    }
    released = problem(task("2", {400: 300}, due=430, release=430))
    assert "May not begin before" in _late(released, lane(("2", 400)))["2"]


def test_run_mates_can_make_a_task_late() -> None:
    shop = problem(task("2", {400: 60}, due=500), task("1", {400: 60}))
    assert _late(shop, lane(("1", 400), ("2", 400, True))) == {
        "2": "Waits for its run-mates: by itself it is ready at minute 488."
    }


def test_mates_are_not_blamed_when_it_would_be_late_without_them() -> None:
    shop = problem(task("1", {600: 200}), task("2", {400: 60}, due=500), task("3", {400: 5}))
    assert _late(shop, lane(("1", 600), ("2", 400), ("3", 400, True))) == {
        "2": "P1 is busy with run 35 until minute 640."
    }


def test_nobody_in_to_take_it_off() -> None:
    shop = problem(task("1", {400: 500}), task("2", {400: 100}, due=1100))
    assert _late(shop, lane(("1", 400), ("2", 400))) == {
        "2": "Printed in time, but nobody is in to take it off before minute 1860."
    }


def test_waiting_for_a_shift_or_for_hands() -> None:
    shop = problem(task("1", {400: 590}), task("2", {600: 60}, due=1100))
    assert _late(shop, lane(("1", 400), ("2", 600))) == {"2": "Waits for hands or a shift until minute 1860."}


def test_another_printers_set_up_comes_first() -> None:
    shop = problem(
        task("1", {600: 60}),
        task("2", {600: 60}, due=500),
        printers=(printer("P1"), printer("P2", name="left one")),
    )
    plan = Plan({"P1": (Slot("1", 600),), "P2": (Slot("2", 600),)})
    assert _late(shop, plan) == {"2": "left one can be set up for it only at minute 432."}


def test_a_plan_without_late_tasks_has_no_lines() -> None:
    shop = problem(task("1", {400: 5}), shifts=days(1))
    assert why_late(shop, lane(("1", 400))) == {}
    assert why_runs(shop, Plan()) == []
    assert clock_of_day(DAY + 544) == "09:04"
