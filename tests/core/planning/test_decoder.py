"""What the decoder makes of plans: conventions one by one, and what must hold for any plan."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from tests.core.planning.problems import DAY, days, lane, printer, problem, problems_with_plans, task

from printcrib.core.planning import decoder
from printcrib.core.planning.decoder import cost_of, decode, lanes_of, plan_of
from printcrib.core.planning.problem import (
    FrozenRun,
    PlanPrinter,
    PlanSpool,
    PlanTask,
    Problem,
    SetupMinutes,
    Shift,
    with_minutes,
)
from printcrib.core.planning.rows import place_in_rows
from printcrib.core.planning.tables import tables_of
from printcrib.core.planning.timeline import Plan, PlannedRun, Slot, Timeline


def test_an_empty_platform_needs_no_clearing_a_used_one_does() -> None:
    shop = problem(task("1", {400: 50}), task("2", {400: 50}))
    first, second = decode(shop, lane(("1", 400), ("2", 400))).runs
    assert (first.hands_on_from, first.starts, first.ends) == (420, 420, 478)
    assert (second.clear_minutes, second.hands_on_from, second.starts) == (3, 478, 481)


def test_every_piece_of_a_set_up_is_counted() -> None:
    shop = problem(task("1", {400: 50}), task("2", {600: 50}, material="PLA red"))
    timeline = decode(shop, lane(("1", 400), ("2", 600)))
    last = timeline.runs[1]
    assert (last.clear_minutes, last.nozzle_minutes, last.material_minutes, last.setup_minutes) == (
        3,
        12,
        4,
        19,
    )
    assert (timeline.nozzle_swaps, timeline.material_swaps, timeline.setup_minutes) == (1, 1, 19)
    assert timeline.runs_on("P1") == list(timeline.runs)


def test_tasks_that_share_a_run_are_all_ready_at_its_end() -> None:
    shop = problem(task("1", {400: 50}), task("2", {400: 30}), travel=2)
    timeline = decode(shop, lane(("1", 400), ("2", 400, True)))
    assert [(run.tasks, run.ends) for run in timeline.runs] == [(("1", "2"), 510)]
    assert [time.ready for time in timeline.tasks] == [510, 510]


def test_what_may_not_share_starts_its_own_run() -> None:
    pairs = {
        "bore": task("2", {600: 30}),
        "material": task("2", {400: 30}, material="PLA red"),
        "alone": task("2", {400: 30}, alone=True),
        "area": task("2", {400: 30}, footprints=((160.0, 160.0),)),
        "rows": task("2", {400: 30}, footprints=((120.0, 120.0),)),
    }
    for other in pairs.values():
        wide = task("1", {400: 50, 600: 50}, footprints=((120.0, 90.0),))
        bore = min(other.minutes)
        timeline = decode(problem(wide, other), lane(("1", 400), ("2", bore, True)))
        assert [run.tasks for run in timeline.runs] == [("1",), ("2",)]


def test_a_joint_run_longer_than_every_shift_is_parted_where_somebody_must_be_in() -> None:
    shop = problem(task("1", {400: 400}), task("2", {400: 400}), printers=(printer(unattended=frozenset()),))
    timeline = decode(shop, lane(("1", 400), ("2", 400, True)))
    assert [(run.hands_on_from, run.ends) for run in timeline.runs] == [(420, 828), (1860, 2271)]


def test_an_end_outside_a_shift_is_ready_at_the_next_opening() -> None:
    shop = problem(task("1", {400: 700}, due=1130))
    timeline = decode(shop, lane(("1", 400)))
    assert timeline.runs[0].ends == 1128
    assert (timeline.tasks[0].ready, timeline.tasks[0].late, timeline.makespan) == (1860, 730, 708)
    assert timeline.late() == [timeline.tasks[0]]
    assert timeline.late_weighted == timeline.late_minutes == 730


def test_the_same_plan_with_at_most_minutes() -> None:
    shop = problem(task("1", {400: 50}), task("2", {400: 30}))
    plan = lane(("1", 400), ("2", 400, True))
    slower = with_minutes(shop, {"1": {"P1": {400: 65}}})
    assert decode(slower, plan).tasks[1].ready == decode(shop, plan).tasks[1].ready + 15


def test_safety_minutes_make_a_late_end_wait_for_the_morning() -> None:
    shop = problem(task("1", {400: 585}), safety_minutes=15)
    assert decode(shop, lane(("1", 400))).tasks[0].ready == 1860
    assert decode(problem(task("1", {400: 585})), lane(("1", 400))).tasks[0].ready == 1013


def test_a_set_up_that_does_not_fit_waits_for_the_next_shift() -> None:
    shop = problem(task("1", {400: 587}), task("2", {600: 10}))
    second = decode(shop, lane(("1", 400), ("2", 600))).runs[1]
    assert (second.hands_on_from, second.starts) == (1860, 1875)


def test_a_set_up_waits_for_the_release_of_every_task() -> None:
    shop = problem(task("1", {400: 10}), task("2", {400: 10}, release=600))
    assert decode(shop, lane(("1", 400), ("2", 400, True))).runs[0].hands_on_from == 600


def test_one_person_serves_all_printers_two_serve_two() -> None:
    tasks = (task("1", {600: 60}), task("2", {600: 60}))
    both = (printer("P1"), printer("P2"))
    plan = Plan({"P1": (Slot("1", 600),), "P2": (Slot("2", 600),)})
    one = decode(problem(*tasks, printers=both), plan)
    two = decode(problem(*tasks, printers=both, persons=2), plan)
    assert [run.hands_on_from for run in one.runs] == [420, 432]
    assert [run.hands_on_from for run in two.runs] == [420, 420]


def test_a_run_on_the_printer_now_is_left_alone_and_cleared_afterwards() -> None:
    started = printer(frozen=FrozenRun("31", ends=500, by_hand=True))
    run = decode(problem(task("1", {400: 10}), printers=(started,)), lane(("1", 400))).runs[0]
    assert (run.hands_on_from, run.clear_minutes, run.starts) == (500, 3, 503)


def test_a_printer_can_have_its_own_set_up_minutes() -> None:
    slow = printer(setups=SetupMinutes(5, 20, 6, 30), fitted=None)
    run = decode(problem(task("1", {400: 10}), printers=(slow,)), lane(("1", 400))).runs[0]
    assert (run.nozzle_minutes, run.ends) == (20, 420 + 20 + 30 + 10)


def _spools(*grams: int) -> tuple[PlanSpool, ...]:
    return tuple(PlanSpool(f"S{n}", "ASA grey", g * 1000) for n, g in enumerate(grams, start=1))


def _drawn(shop: Problem, plan: Plan) -> list[tuple[str | None, int, bool]]:
    return [(run.spool, run.mg, run.loads_spool) for run in decode(shop, plan).runs]


def test_the_spool_on_the_printer_goes_first_then_the_smallest_that_is_enough() -> None:
    shop = problem(
        task("1", {400: 10}, mg={400: 40_000}),
        task("2", {400: 10}, mg={400: 30_000}),
        printers=(printer(loaded_spool="S1"),),
        spools=_spools(60, 900, 50),
        start_mg=1000,
        purge_mg=2000,
    )
    assert _drawn(shop, lane(("1", 400), ("2", 400))) == [("S1", 41_000, False), ("S3", 33_000, True)]


def test_a_run_that_no_spool_can_feed_is_parted_then_refused_in_words() -> None:
    shop = problem(
        *(task(str(n), {400: 10}, mg={400: 40_000}) for n in (1, 2, 3)),
        printers=(printer(loaded_spool="S1"),),
        spools=_spools(85, 30),
    )
    timeline = decode(shop, lane(("1", 400), ("2", 400), ("3", 400)))
    assert [run.tasks for run in timeline.runs] == [("1",), ("2",)]
    assert [(left.task, left.reason) for left in timeline.unplanned] == [
        ("3", "no spool of ASA grey with 40 g left")
    ]
    assert timeline.cost > 1000 * (DAY * 7)


def test_a_joint_run_loses_its_last_task_when_the_spool_ran_low_before() -> None:
    shop = problem(
        *(task(str(n), {400: 10}, mg={400: 40_000}) for n in (1, 2, 3)),
        printers=(printer(loaded_spool="S1"),),
        spools=_spools(85, 45),
    )
    timeline = decode(shop, lane(("1", 400), ("2", 400), ("3", 400, True)))
    assert [(run.tasks, run.spool) for run in timeline.runs] == [
        (("1",), "S1"),
        (("2",), "S1"),
        (("3",), "S2"),
    ]


def test_more_than_every_spool_holds_does_not_share() -> None:
    shop = problem(
        task("1", {400: 10}, mg={400: 40_000}), task("2", {400: 10}, mg={400: 40_000}), spools=_spools(50, 50)
    )
    assert _drawn(shop, lane(("1", 400), ("2", 400, True))) == [("S1", 40_000, True), ("S2", 40_000, True)]


def test_a_spool_moves_between_printers_once_its_run_has_ended() -> None:
    shop = problem(
        task("1", {400: 100}, mg={400: 1000}),
        task("2", {400: 10}, mg={400: 1000}),
        task("3", {400: 10}, mg={400: 1000}),
        printers=(printer("P1", loaded_spool="S1"), printer("P2", loaded=None)),
        spools=_spools(50),
    )
    plan = Plan({"P1": (Slot("1", 400), Slot("3", 400)), "P2": (Slot("2", 400),)})
    timeline = decode(shop, plan)
    assert [(run.printer, run.hands_on_from, run.loads_spool) for run in timeline.runs] == [
        ("P1", 420, False),
        ("P1", 528, False),
        ("P2", 549, True),
    ]


def test_a_spool_in_the_dryer_or_under_a_started_run_comes_later() -> None:
    drying = (PlanSpool("S1", "ASA grey", 50_000, available_from=700),)
    shop = problem(task("1", {400: 10}, mg={400: 1000}), spools=drying)
    assert decode(shop, lane(("1", 400))).runs[0].hands_on_from == 700
    busy = printer("P2", loaded_spool="S1", frozen=FrozenRun("31", ends=800))
    shop = problem(task("1", {400: 10}, mg={400: 1000}), spools=_spools(50), printers=(printer(), busy))
    assert decode(shop, lane(("1", 400))).runs[0].hands_on_from == 800


def test_a_spool_on_the_shelf_is_taken_before_one_on_another_printer() -> None:
    shop = problem(
        task("1", {400: 10}, mg={400: 1000}),
        printers=(printer(), printer("P2", loaded_spool="S1")),
        spools=_spools(20, 900),
    )
    assert _drawn(shop, lane(("1", 400))) == [("S2", 1000, True)]


def test_what_does_not_fit_the_shifts_is_named() -> None:
    shop = problem(task("1", {400: 300}), task("2", {400: 300}), shifts=days(1))
    timeline = decode(shop, lane(("1", 400), ("2", 400)))
    assert [(left.task, left.reason) for left in timeline.unplanned] == [
        ("2", "does not fit into the shifts")
    ]


def test_an_attended_run_too_long_with_its_set_up_is_named() -> None:
    shop = problem(task("1", {600: 585}), printers=(printer(unattended=frozenset()),))
    timeline = decode(shop, lane(("1", 600)))
    assert timeline.unplanned[0].reason == "needs 593 min with nobody in"


def test_a_shop_without_shifts_plans_nothing() -> None:
    timeline = decode(problem(task("1", {400: 10}), shifts=()), lane(("1", 400)))
    assert (timeline.runs, timeline.makespan) == ((), 0)
    assert timeline.unplanned[0].reason == "does not fit into the shifts"


def test_a_plan_kept_from_before_still_reads() -> None:
    shop = problem(task("2", {400: 10}), task("3", {400: 10}), task("4", {400: 10}))
    kept = Plan({"P1": (Slot("1", 400), Slot("2", 400, True), Slot("3", 400, True)), "P9": (Slot("4", 400),)})
    timeline = decode(shop, kept)
    assert [run.tasks for run in timeline.runs] == [("2", "3")]
    assert timeline.unplanned[0].reason == "is not on the plan yet"
    assert kept.tasks() == ["1", "2", "3", "4"]


def test_a_follower_that_is_gone_leaves_its_run_as_it_is() -> None:
    shop = problem(task("1", {400: 10}), task("3", {400: 10}))
    plan = lane(("1", 400), ("2", 400, True), ("3", 400, True), ("1", 400))
    assert [run.tasks for run in decode(shop, plan).runs] == [("1", "3")]


def test_a_leader_that_may_not_be_printed_leaves_its_mates_together() -> None:
    shop = problem(task("1", {600: 10}), task("2", {400: 10}), task("3", {400: 10}), task("4", {600: 10}))
    plan = lane(("1", 400), ("2", 400, True), ("4", 400, True), ("3", 400, True))
    assert [run.tasks for run in decode(shop, plan).runs] == [("2", "3")]


def test_refused_tasks_keep_their_place_and_their_reason() -> None:
    shop = problem(task("1", {400: 300}), task("2", {400: 300}), shifts=days(1))
    tables = tables_of(shop)
    plan = plan_of(tables, lanes_of(tables, lane(("1", 400), ("2", 400))))
    assert plan == lane(("1", 400), ("2", 400))


@settings(max_examples=150, deadline=None)
@given(problems_with_plans())
def test_whatever_the_plan_the_timeline_holds(given_problem: tuple[Problem, Plan]) -> None:
    shop, plan = given_problem
    timeline = decode(shop, plan)
    _no_task_twice_or_lost(shop, timeline)
    _printers_and_people_once(shop, timeline)
    _set_ups_inside_shifts(shop, timeline)
    _runs_share_what_they_must(shop, timeline)
    _grams_never_below_zero(shop, timeline)
    _cost_adds_up(shop, plan, timeline)


def _by_key(shop: Problem) -> tuple[dict[str, PlanPrinter], dict[str, PlanTask]]:
    return {made.key: made for made in shop.printers}, {made.key: made for made in shop.tasks}


def _no_task_twice_or_lost(shop: Problem, timeline: Timeline) -> None:
    printed = [key for run in timeline.runs for key in run.tasks]
    left_out = [left.task for left in timeline.unplanned]
    assert sorted(printed + left_out) == sorted(made.key for made in shop.tasks)
    assert sorted(time.task for time in timeline.tasks) == sorted(printed)
    assert all(time.task in timeline.runs[time.run].tasks for time in timeline.tasks)
    assert all(left.reason for left in timeline.unplanned)


def _printers_and_people_once(shop: Problem, timeline: Timeline) -> None:
    for made in shop.printers:
        runs = timeline.runs_on(made.key)
        free = max(shop.start, made.free_from, made.frozen.ends if made.frozen else 0)
        assert all(run.hands_on_from >= free for run in runs)
        assert all(before.ends <= after.hands_on_from for before, after in pairwise(runs))
    hands = sorted((run.hands_on_from, run.starts) for run in timeline.runs)
    for begin, _ in hands:
        assert sum(start <= begin < end for start, end in hands) <= shop.persons


def _inside(shifts: tuple[Shift, ...], start: int, end: int) -> bool:
    return any(shift.open <= start and end <= shift.close for shift in shifts)


def _set_ups_inside_shifts(shop: Problem, timeline: Timeline) -> None:
    printers, tasks = _by_key(shop)
    for run in timeline.runs:
        made = printers[run.printer]
        assert _inside(shop.shifts, run.hands_on_from, run.starts)
        pieces = run.clear_minutes + run.nozzle_minutes + run.material_minutes
        assert run.starts - run.hands_on_from == pieces
        if run.material not in made.unattended:
            assert _inside(shop.shifts, run.hands_on_from, run.ends)
        assert _inside(shop.shifts, run.ready, run.ready)
        assert run.ready >= run.ends
        assert all(tasks[key].release <= run.hands_on_from for key in run.tasks)
        minutes = (made.setups or shop.setups).heat_up + sum(
            tasks[key].minutes[run.bore] for key in run.tasks
        )
        assert run.ends == run.starts + minutes + shop.travel * (len(run.tasks) - 1)


def _runs_share_what_they_must(shop: Problem, timeline: Timeline) -> None:
    printers, tasks = _by_key(shop)
    for run in timeline.runs:
        made, mates = printers[run.printer], [tasks[key] for key in run.tasks]
        assert run.bore in made.nozzles
        assert {mate.material for mate in mates} == {run.material}
        assert made.materials is None or run.material in made.materials
        assert not any(mate.alone for mate in mates) or len(mates) == 1
        assert not any(mate.abrasive for mate in mates) or run.bore in made.hardened
        assert not any(mate.waits for mate in mates)
        assert all(mate.printers is None or made.key in mate.printers for mate in mates)
        in_order = sorted(mates, key=shop.tasks.index)
        footprints = [size for mate in in_order for size in mate.footprints]
        assert place_in_rows(made.platform_mm, footprints, shop.gap_mm) is not None


def _grams_never_below_zero(shop: Problem, timeline: Timeline) -> None:
    if shop.spools is None:
        assert all(run.spool is None for run in timeline.runs)
        return
    left = {spool.key: spool.mg for spool in shop.spools}
    spools = {spool.key: spool for spool in shop.spools}
    used: dict[str, list[PlannedRun]] = {}
    for run in timeline.runs:
        assert run.spool is not None
        assert spools[run.spool].material == run.material
        left[run.spool] -= run.mg
        used.setdefault(run.spool, []).append(run)
    assert all(mg >= 0 for mg in left.values())
    for runs in used.values():
        assert all(before.ends <= after.hands_on_from for before, after in pairwise(runs))


def _cost_adds_up(shop: Problem, plan: Plan, timeline: Timeline) -> None:
    _, tasks = _by_key(shop)
    assert timeline.late_weighted == sum(tasks[time.task].weight * time.late for time in timeline.tasks)
    assert timeline.setup_minutes == sum(run.setup_minutes for run in timeline.runs)
    least = 1000 * timeline.late_weighted + 20 * timeline.setup_minutes + timeline.makespan
    assert timeline.cost >= least
    if not timeline.unplanned:
        assert timeline.cost == least
    tables = tables_of(shop)
    assert cost_of(tables, lanes_of(tables, plan)) == timeline.cost
    if not timeline.unplanned:
        assert decode(shop, plan_of(tables, lanes_of(tables, plan))) == timeline


def test_an_attended_run_grows_only_within_a_shift() -> None:
    attended = printer(unattended=frozenset())
    shop = problem(task("1", {400: 200}), task("2", {400: 200}), task("3", {400: 300}), printers=(attended,))
    plan = lane(("1", 400), ("2", 400, True), ("3", 400, True))
    assert [run.tasks for run in decode(shop, plan).runs] == [("1", "2"), ("3",)]


def test_remembered_lists_are_let_go_when_there_are_many(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(decoder, "MOST_FORMED", 2)
    tables = tables_of(problem(task("1", {400: 50}), task("2", {400: 60}), task("3", {400: 70})))
    lists = [((0, 400, False),), ((1, 400, False),), ((2, 400, False),)]
    formed = [decoder.form_groups(tables, 0, each) for each in lists]
    assert [group[0].tasks for group in formed] == [(0,), (1,), (2,)]
    assert len(tables.formed) == 1


def test_a_run_short_of_grams_loses_its_last_copies_until_it_can_start() -> None:
    shop = problem(
        task("1", {400: 50}, mg={400: 60_000}),
        *(task(key, {600: 50}, mg={600: 20_000}) for key in ("2", "3", "4", "5")),
        spools=(PlanSpool("S-1", "ASA grey", 110_000),),
    )
    plan = lane(("1", 400), ("2", 600), ("3", 600, True), ("4", 600, True), ("5", 600, True))
    timeline = decode(shop, plan)
    assert [run.tasks for run in timeline.runs] == [("1",), ("2", "3")]
    assert sorted(left.task for left in timeline.unplanned) == ["4", "5"]
