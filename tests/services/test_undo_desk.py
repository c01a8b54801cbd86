"""Undo of what the desk does with runs: starting, stopping, taking off, accepting."""

from typing import Any

import pytest
from tests.services.fake import FakeClock
from tests.services.own_shop import own_shop
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.requests import CopyState, RequestState
from printcrib.core.runs import Run, RunState
from printcrib.services.accept_request import accept_request
from printcrib.services.interfaces import Shop, is_
from printcrib.services.judge_copies import Outcome, Verdict
from printcrib.services.plan_runs import repair_plan
from printcrib.services.read_runs import doubt_of
from printcrib.services.start_run import Start, start_run
from printcrib.services.stop_run import stop_run
from printcrib.services.take_off_run import TakeOff, take_off_run
from printcrib.services.undo_press import undo


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    """Two printers with work to do."""
    return furnish(shop, clock)


def facts(desk: PrintDesk, run: Run) -> dict[str, Any]:
    """What an undone press must leave as it was: the run, its copies, grams, nozzles, aids."""
    with desk.shop.read() as uow:
        now = uow.runs.get(run.id)
        copies = uow.copies.find(is_("run_id", run.id))
        return {
            "run": (now.state, now.minutes, now.mg, now.started_at, now.stopped_at, now.taken_off_at),
            "copies": [(copy.id, copy.state, copy.aid_id, copy.ready_at) for copy in copies],
            "grams": {spool.id: doubt_of(uow, spool).left_mg for spool in uow.spools.find()},
            "nozzles": [(nozzle.minutes_used, nozzle.mg_used) for nozzle in uow.nozzles.find()],
            "printers": [(p.fitted_nozzle_id, p.mounted_spool_id) for p in uow.printers.find()],
            "aids": len(uow.aids.find()),
            "failures": len(uow.failures.find()),
            "holds": len(uow.holds.find(is_("closed_at", None))),
        }


def planned(desk: PrintDesk) -> Run:
    """One run of two copies on the kept plan."""
    desk.ask(quantity=2, printers=(desk.north,), minutes={400: 100.0})
    repair_plan(desk.shop, desk.press())
    return desk.runs(RunState.KEPT)[-1]


@pytest.mark.parametrize("outcome", [Outcome.GOOD, Outcome.FAILED, Outcome.TO_CHECK, Outcome.SCRAP])
def test_each_step_of_a_run_is_undone(desk: PrintDesk, outcome: Outcome) -> None:
    run = planned(desk)
    kept = facts(desk, run)
    start = start_run(desk.shop, desk.press(), run.id, Start())
    desk.clock.move(hours=2)
    begun = facts(desk, run)
    stop = stop_run(desk.shop, desk.press(), run.id, percent=80.0)
    stopped = facts(desk, run)
    first, _ = desk.copies(1)
    verdicts = {copy.id: Verdict() for copy in desk.copies(1)}
    verdicts[first.id] = Verdict(outcome, "corner lifted")
    off = take_off_run(desk.shop, desk.press(), run.id, TakeOff(verdicts=verdicts))
    assert facts(desk, run) != stopped
    undo(desk.shop, desk.press(), off.press_number)
    assert facts(desk, run) == stopped
    undo(desk.shop, desk.press(), stop.press_number)
    assert facts(desk, run) == begun
    undo(desk.shop, desk.press(), start.press_number)
    assert facts(desk, run)["grams"] == kept["grams"]
    assert facts(desk, run)["run"] == kept["run"]


def test_accepting_is_undone_though_the_tool_planned_it(shop: Shop) -> None:
    own = own_shop(shop)
    request = own.ask(safety_answers=(), material_id=own.material())
    done = accept_request(shop, own.press(), request.id)
    assert [copy.state for copy in own.copies(request.id)] == [CopyState.ON_RUN]
    undo(shop, own.press(), done.press_number)
    assert own.request(request.id).state is RequestState.RAISED
    with shop.read() as uow:
        assert uow.copies.find() == ()
        assert [promise.outcome for promise in uow.promises.find()] == ["void"]
        assert uow.runs.find(is_("state", RunState.KEPT)) == ()
