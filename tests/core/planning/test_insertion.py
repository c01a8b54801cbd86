"""Putting one more task into a plan that stays."""

from hypothesis import given, settings
from tests.core.planning.problems import DAY, days, lane, printer, problem, problems_with_plans, task

from printcrib.core.planning.decoder import decode
from printcrib.core.planning.insertion import repaired, what_if
from printcrib.core.planning.problem import Problem
from printcrib.core.planning.timeline import Plan, Slot


def test_a_new_task_joins_the_run_it_shares_nozzle_and_colour_with() -> None:
    shop = problem(task("1", {400: 50}), task("2", {600: 50}), task("3", {400: 20, 600: 15}))
    plan = repaired(shop, lane(("1", 400), ("2", 600), ("9", 400)))
    assert [run.tasks for run in decode(shop, plan).runs] == [("1",), ("2", "3")]


def test_what_cannot_be_planned_stays_out_of_a_repair() -> None:
    shop = problem(task("1", {250: 50}), task("2", {400: 50}))
    assert repaired(shop, Plan()).tasks() == ["2"]


def test_what_if_answers_for_every_nozzle() -> None:
    shop = problem(
        task("1", {400: 500}, due=940),
        task("2", {400: 120, 600: 60}, due=1000),
        task("3", {400: 10}, due=5 * DAY),
        printers=(printer("P1"), printer("P2", fitted=600, nozzles=(600,))),
    )
    kept = Plan({"P1": (Slot("1", 400), Slot("3", 400, True)), "P2": ()})
    fine, rough = what_if(shop, kept, "2")
    assert (rough.bore, rough.printer, rough.ready, rough.late, rough.delays) == (600, "P2", 488, 0, ())
    assert (fine.bore, fine.printer, fine.runs_with, fine.late) == (400, "P1", (), 860)
    assert fine.delays == ()
    assert sorted(fine.plan.tasks()) == ["1", "2", "3"]


def test_what_if_names_whom_it_would_delay() -> None:
    shop = problem(task("1", {400: 500}, due=930), task("2", {400: 120}, due=600, weight=5))
    (answer,) = what_if(shop, lane(("1", 400), ("2", 400)), "2")
    assert (answer.ready, answer.late) == (548, 0)
    assert answer.delays == (("1", 930),)


def test_a_nozzle_with_which_it_cannot_be_ready_is_not_answered() -> None:
    shop = problem(task("1", {400: 700, 600: 100}), shifts=days(1))
    assert [answer.bore for answer in what_if(shop, Plan(), "1")] == [600]
    assert what_if(problem(task("1", {250: 7})), Plan(), "1") == []


@settings(max_examples=40, deadline=None)
@given(problems_with_plans())
def test_a_repair_leaves_nothing_out_that_it_can_place(given_problem: tuple[Problem, Plan]) -> None:
    shop, plan = given_problem
    mended = decode(shop, repaired(shop, plan))
    assert not [left for left in mended.unplanned if left.reason == "is not on the plan yet"]
    assert len(mended.tasks) + len(mended.unplanned) == len(shop.tasks)
