"""Plans by simple rules, by the dispatch family, and what they save."""

from hypothesis import given, settings
from tests.core.planning.problems import days, lane, printer, problem, problems, task

from printcrib.core.planning.decoder import decode
from printcrib.core.planning.dispatch import best_dispatch
from printcrib.core.planning.problem import Problem
from printcrib.core.planning.rules import due_date, first_come, saving
from printcrib.core.planning.timeline import Plan, Slot


def test_first_come_goes_by_release_then_by_the_list() -> None:
    shop = problem(task("1", {400: 10}, release=500), task("2", {400: 10}), task("3", {400: 10}))
    assert first_come(shop) == lane(("2", 400), ("3", 400), ("1", 400))


def test_due_date_goes_by_needed_by() -> None:
    shop = problem(task("1", {400: 10}, due=900), task("2", {400: 10}, due=800))
    assert due_date(shop) == lane(("2", 400), ("1", 400))


def test_the_fitted_nozzle_stays_where_allowed_else_the_smallest() -> None:
    shop = problem(task("1", {600: 10, 800: 5}), task("2", {400: 10, 600: 5}), task("3", {400: 10, 800: 5}))
    assert first_come(shop) == lane(("1", 600), ("2", 600), ("3", 400))


def test_a_task_goes_where_it_is_ready_first_then_to_the_first_listed() -> None:
    shop = problem(
        *(task(str(number), {400: 100}) for number in (1, 2, 3)),
        printers=(printer("P1"), printer("P2", free_from=450)),
    )
    assert first_come(shop).lanes == {"P1": (Slot("1", 400), Slot("3", 400)), "P2": (Slot("2", 400),)}
    assert first_come(problem(task("1", {400: 9}), printers=(printer("P1"), printer("P2")))).lanes["P1"]


def test_what_has_no_place_is_left_out_or_last_with_its_reason() -> None:
    shop = problem(
        task("1", {250: 10}),
        task("2", {400: 700}),
        task("3", {400: 10}),
        shifts=days(1),
        printers=(printer("P1"), printer("P2")),
    )
    plan = first_come(shop)
    assert [left.reason for left in decode(shop, plan).unplanned] == [
        "no printer has a nozzle it may use",
        "does not fit into the shifts",
    ]


def test_what_grouping_saves() -> None:
    shop = problem(task("1", {400: 10}), task("2", {600: 10}, due=450), task("3", {400: 10}))
    grouped = lane(("1", 400), ("3", 400, True), ("2", 600))
    saved = saving(shop, grouped)
    assert (saved.runs, saved.nozzle_swaps, saved.setup_minutes, saved.material_swaps) == (1, 1, 15, 0)
    assert (saved.late_tasks, saved.late_minutes) == (0, -10)
    assert saving(shop, grouped, against=grouped).runs == 0


def test_the_dispatch_rules_group_what_shares_nozzle_and_colour() -> None:
    shop = problem(
        *(
            task(str(number), {400: 50}, material="ASA grey" if number % 2 else "PLA red")
            for number in range(6)
        )
    )
    timeline = decode(shop, best_dispatch(shop))
    assert (len(timeline.runs), timeline.material_swaps) == (2, 1)


def test_the_best_is_never_dearer_than_the_simple_rules_and_plans_all_it_can() -> None:
    shop = problem(
        *(
            task(str(n), {400: 60 + n, 600: 40}, due=600 + 90 * (n % 4), release=100 * (n % 3))
            for n in range(8)
        ),
        printers=(printer("P1"), printer("P2", nozzles=(600,), fitted=600)),
    )
    best = decode(shop, best_dispatch(shop))
    assert best.unplanned == ()
    assert best.cost <= min(decode(shop, rule(shop)).cost for rule in (first_come, due_date))


@settings(max_examples=40, deadline=None)
@given(problems())
def test_never_dearer_than_the_simple_rules_on_any_problem(shop: Problem) -> None:
    best = decode(shop, best_dispatch(shop)).cost
    assert best <= decode(shop, first_come(shop)).cost
    assert best <= decode(shop, due_date(shop)).cost


def test_progress_is_told_and_cancel_gives_the_best_so_far() -> None:
    shop = problem(*(task(str(number), {400: 50, 600: 30}) for number in range(5)))
    told: list[float] = []
    whole = best_dispatch(shop, progress=told.append)
    assert told == sorted(told)
    assert 0 < told[0] < told[-1] <= 1
    for answers in ([True], [False] * 60 + [True]):
        plan = best_dispatch(shop, cancelled=iter(answers).__next__)
        assert sorted(plan.tasks()) == sorted(whole.tasks())
    assert best_dispatch(shop) == whole


def test_nothing_to_plan_is_a_plan() -> None:
    assert best_dispatch(problem()) == Plan({"P1": ()})
