"""The run sheet: proposed, kept, mended."""

from dataclasses import replace

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.aids import Machine
from printcrib.core.errors import ShopError
from printcrib.core.planning.problem import Problem
from printcrib.core.planning.timeline import Plan as Order
from printcrib.core.planning.timeline import Slot
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import CopyState, HoldKind
from printcrib.core.runs import Plan, PlanState, RunState
from printcrib.services import plan_runs
from printcrib.services.build_problem import Basis
from printcrib.services.interfaces import Done, Shop
from printcrib.services.plan_runs import (
    compare_with_first_come,
    keep_plan,
    live_plan,
    propose_plan,
    repair_after,
    repair_plan,
)
from printcrib.services.press import Press
from printcrib.services.write_plan import plan_record


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def test_a_proposal_is_only_data(desk: PrintDesk) -> None:
    request = desk.ask(3)
    done = propose_plan(desk.shop, desk.press())
    assert done.value.state is PlanState.PROPOSED
    assert done.changed == {"plans"}
    assert desk.runs() == []
    assert desk.states(request.id) == [CopyState.WANTED] * 3
    placed = [key for lane in done.value.lanes for slot in lane.slots for key in slot.copy_ids]
    assert sorted(placed) == [copy.id for copy in desk.copies(request.id)]


def test_keeping_gives_runs_numbers_and_copies_their_run(desk: PrintDesk) -> None:
    first, second = desk.ask(2), desk.ask(1, material="asa", colour="black")
    plan = keep_plan(desk.shop, desk.press(), propose_plan(desk.shop, desk.press()).value.id).value
    assert plan.state is PlanState.KEPT
    assert plan.kept_by_id == desk.ann
    runs = desk.runs(RunState.KEPT)
    assert sorted(run.number for run in runs) == [1, 2]
    by_material = {run.material_id: run for run in runs}
    assert {copy.run_id for copy in desk.copies(first.id)} == {by_material[desk.pla].id}
    assert {copy.run_id for copy in desk.copies(second.id)} == {by_material[desk.asa].id}
    assert set(desk.states(first.id)) == {CopyState.ON_RUN}
    pla = by_material[desk.pla]
    assert pla.estimated_mg == 41_000
    assert pla.spool_ids == (desk.spools["grey"],)
    assert pla.planned_start is not None
    assert pla.planned_end is not None
    minutes = (pla.planned_end - pla.planned_start).total_seconds() / 60
    assert minutes == pla.estimated_minutes == 8 + 2 * {400: 100, 600: 60}[pla.bore_um] + 1


def test_only_one_plan_is_live(desk: PrintDesk) -> None:
    desk.ask()
    first = propose_plan(desk.shop, desk.press()).value
    second = propose_plan(desk.shop, desk.press()).value
    keep_plan(desk.shop, desk.press(), first.id)
    keep_plan(desk.shop, desk.press(), second.id)
    with desk.shop.read() as uow:
        kept = live_plan(uow)
        assert kept is not None
        assert kept.id == second.id
        assert uow.plans.get(first.id).state is PlanState.OLD
    with pytest.raises(ShopError, match="old one"):
        keep_plan(desk.shop, desk.press(), first.id)
    keep_plan(desk.shop, desk.press(), second.id)


def test_a_regrouped_run_keeps_its_number(desk: PrintDesk) -> None:
    desk.ask(1, hours=3)
    repair_plan(desk.shop, desk.press())
    (before,) = desk.runs(RunState.KEPT)
    desk.ask(1, hours=4)
    repair_plan(desk.shop, desk.press())
    numbers = {run.number: run.id for run in desk.runs(RunState.KEPT)}
    assert numbers[before.number] == before.id


def test_a_withdrawn_request_leaves_the_plan(desk: PrintDesk) -> None:
    request = desk.ask(1)
    repair_plan(desk.shop, desk.press())
    desk.hold(request.id, HoldKind.QUESTION)
    plan = repair_plan(desk.shop, desk.press()).value
    assert desk.states(request.id) == [CopyState.WANTED]
    assert desk.copies(request.id)[0].run_id is None
    assert [run.state for run in desk.runs()] == [RunState.CANCELLED]
    assert plan.unplanned == ((request.id, "held: question open"),)


def test_a_repair_is_kept_by_the_tool_and_leaves_a_good_plan_alone(desk: PrintDesk) -> None:
    desk.ask(2)
    first = repair_plan(desk.shop, desk.press()).value
    assert first.kept_by_id == THE_TOOL
    again = repair_plan(desk.shop, desk.press())
    assert again.value.id == first.id
    assert "plans" not in again.changed


def test_a_repair_moves_nothing_that_stands(desk: PrintDesk) -> None:
    for hours in (30, 10, 20):
        desk.ask(1, hours=hours)
    before = repair_plan(desk.shop, desk.press()).value
    desk.ask(1, hours=60)
    after = repair_plan(desk.shop, desk.press()).value
    for old, new in zip(before.lanes, after.lanes, strict=True):
        stayed = [s.copy_ids for s in new.slots if s.copy_ids in [o.copy_ids for o in old.slots]]
        assert stayed == [o.copy_ids for o in old.slots]


def test_a_better_plan_from_scratch_is_taken_for_something_new(
    desk: PrintDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    for hours in (90, 80):
        desk.ask(1, hours=hours, printers=(desk.north,), minutes={400: 200.0}, size_mm=(150, 150, 20))
    repair_plan(desk.shop, desk.press())
    desk.ask(1, hours=4, printers=(desk.north,), minutes={400: 200.0}, size_mm=(150, 150, 20))
    monkeypatch.setattr(plan_runs, "repaired", _put_last)
    assert repair_plan(desk.shop, desk.press()).value.method == plan_runs.DISPATCH


def _put_last(problem: Problem, order: Order) -> Order:
    """A mend that cannot put anything before what stands."""
    known = set(order.tasks())
    (key, lane), *_ = order.lanes.items()
    new = tuple(Slot(task.key, 400) for task in problem.tasks if task.key not in known)
    return Order({**order.lanes, key: (*lane, *new)})


def test_what_came_in_while_it_was_planned_is_planned_too(
    desk: PrintDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk.ask()

    def meanwhile(basis: Basis, order: Order, method: str) -> Plan:
        desk.ask()
        return plan_record(basis, order, method)

    monkeypatch.setattr(plan_runs, "plan_record", meanwhile)
    repair_plan(desk.shop, desk.press())
    assert desk.states(1) == desk.states(2) == [CopyState.ON_RUN]


def test_what_else_was_booked_meanwhile_leaves_the_mended_order(
    desk: PrintDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk.ask()

    def meanwhile(basis: Basis, order: Order, method: str) -> Plan:
        with desk.shop.write(desk.press(), "add machine") as uow:
            uow.machines.add(Machine(name="Lathe 9"))
            uow.commit()
        return plan_record(basis, order, method)

    monkeypatch.setattr(plan_runs, "plan_record", meanwhile)
    plan = repair_plan(desk.shop, desk.press()).value
    assert [len(lane.slots) for lane in plan.lanes] == [1, 0]
    assert desk.states(1) == [CopyState.ON_RUN]


def test_a_new_late_request_may_turn_the_plan_over(desk: PrintDesk) -> None:
    for _ in range(3):
        desk.ask(1, hours=200, minutes={600: 400.0}, size_mm=(150, 150, 20))
    repair_plan(desk.shop, desk.press())
    desk.ask(1, hours=2.2, weight=5, minutes={600: 60.0}, size_mm=(150, 150, 20))
    plan = repair_plan(desk.shop, desk.press()).value
    assert plan.method in (plan_runs.DISPATCH, plan_runs.REPAIR)
    urgent = desk.runs(RunState.KEPT)
    assert min(run.planned_end for run in urgent if run.planned_end) <= desk.later(2.2)


def test_what_is_late_whatever_happens_is_not_turned_over(desk: PrintDesk) -> None:
    desk.ask(1, hours=50)
    repair_plan(desk.shop, desk.press())
    desk.ask(1, hours=-1)
    assert repair_plan(desk.shop, desk.press()).value.method == plan_runs.REPAIR


def test_unknown_method_and_cancel(desk: PrintDesk) -> None:
    desk.ask()
    with pytest.raises(ShopError, match="no way of planning called"):
        propose_plan(desk.shop, desk.press(), "by the moon")
    with pytest.raises(ShopError, match="cancelled"):
        propose_plan(desk.shop, desk.press(), cancelled=lambda: True)
    told: list[float] = []
    propose_plan(desk.shop, desk.press(), progress=told.append, cancelled=lambda: False)
    assert told == sorted(told)
    assert told[-1] <= 1.0


@pytest.mark.parametrize("method", list(plan_runs.PLANNERS))
def test_every_method_plans_everything(desk: PrintDesk, method: str) -> None:
    for hours in (4, 8, 30):
        desk.ask(2, hours=hours)
    plan = propose_plan(desk.shop, desk.press(), method).value
    assert plan.unplanned == ()
    assert sum(len(slot.copy_ids) for lane in plan.lanes for slot in lane.slots) == 6


def test_the_plan_never_stops_an_act(
    desk: PrintDesk, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(shop: Shop, press: Press) -> None:
        raise RuntimeError("no plan")

    monkeypatch.setattr(plan_runs, "repair_plan", broken)
    done = Done("the act", frozenset({"runs"}), 7)
    assert repair_after(desk.shop, desk.press(), done) == done
    assert "could not be mended" in caplog.text


def test_changes_of_the_repair_are_told_with_the_act(desk: PrintDesk) -> None:
    desk.ask()
    done = repair_after(desk.shop, desk.press(), Done("the act", frozenset({"failures"}), 7))
    assert done.changed >= {"failures", "plans", "runs", "copies"}
    assert done.press_number == 7


def test_comparison_with_first_come(desk: PrintDesk) -> None:
    assert compare_with_first_come(desk.shop).words == "As good as first come, first served."
    for material, colour in (("pla", "grey"), ("asa", "black")) * 4:
        desk.ask(1, material=material, colour=colour, hours=60)
    plan = propose_plan(desk.shop, desk.press()).value
    compared = compare_with_first_come(desk.shop, plan.id)
    assert compared.saving.nozzle_swaps == plan.swaps_saved
    assert compared.saving.setup_minutes == plan.setup_minutes_saved > 0
    assert "hands-on against first come" in compared.words


def test_one_swap_is_said_as_one() -> None:
    from printcrib.core.planning.rules import Saving

    saved = Saving(0, 1, 0, 70, 0, 0)
    words = "Grouping saves 1 nozzle swap and 1 h 10 hands-on against first come, first served."
    assert plan_runs.saving_words(saved) == words
    assert "5 nozzle swaps" in plan_runs.saving_words(replace(saved, nozzle_swaps=5))
    assert plan_runs.saving_words(replace(saved, nozzle_swaps=0)) == (
        "Grouping saves 1 h 10 hands-on against first come, first served."
    )
    assert plan_runs.saving_words(replace(saved, setup_minutes=0)) == (
        "Grouping saves 1 nozzle swap against first come, first served."
    )


def test_a_plan_is_mended_when_it_is_kept(desk: PrintDesk) -> None:
    first = desk.ask(1)
    proposed = propose_plan(desk.shop, desk.press()).value
    desk.hold(first.id, HoldKind.QUESTION)
    second = desk.ask(1)
    keep_plan(desk.shop, desk.press(), proposed.id)
    assert desk.states(first.id) == [CopyState.WANTED]
    assert desk.states(second.id) == [CopyState.ON_RUN]
