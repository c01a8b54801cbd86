"""Failures logged on the printer and afterwards, and causes named later."""

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.errors import ShopError
from printcrib.core.requests import CopyState, HoldKind
from printcrib.core.runs import Run, RunState
from printcrib.services.interfaces import Shop
from printcrib.services.judge_copies import Outcome, Verdict
from printcrib.services.log_failure import Trouble, log_failure, name_cause
from printcrib.services.plan_runs import repair_plan
from printcrib.services.start_run import start_next
from printcrib.services.take_off_run import TakenOff, TakeOff, take_off_run


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def started(desk: PrintDesk, quantity: int = 1) -> Run:
    desk.ask(quantity, minutes={400: 92.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    return start_next(desk.shop, desk.press(), desk.north).value


def lost(desk: PrintDesk, cause: str = "not known yet") -> TakenOff:
    run = started(desk)
    told = TakeOff(verdicts={desk.copies(1)[0].id: Verdict(Outcome.FAILED, cause)})
    return take_off_run(desk.shop, desk.press(), run.id, told).value


def test_a_failure_on_the_printer_stops_the_run(desk: PrintDesk) -> None:
    run = started(desk)
    desk.clock.move(minutes=50)
    trouble = Trouble(cause="heater or sensor stop", done_about_it="new thermistor")
    failure = log_failure(desk.shop, desk.press(), run.id, trouble).value
    assert (failure.cause_group, failure.percent, failure.copy_ids) == ("machine", 50.0, ())
    assert failure.done_about_it == "new thermistor"
    stopped = desk.run(run.id)
    assert (stopped.state, stopped.stopped_at_percent) == (RunState.STOPPED, 50.0)
    told = TakeOff(verdicts={desk.copies(1)[0].id: Verdict(Outcome.FAILED)})
    taken = take_off_run(desk.shop, desk.press(), run.id, told).value
    assert desk.copies(1)[0].cause == "heater or sensor stop"
    (line,) = taken.judged.failures
    assert (line.id, line.cause_group, line.done_about_it) == (failure.id, "machine", "new thermistor")
    assert (line.percent, line.mg_lost) == (50.0, 10_500)


def test_a_second_word_on_a_stopped_run(desk: PrintDesk) -> None:
    run = started(desk)
    log_failure(desk.shop, desk.press(), run.id, Trouble(percent=30.0))
    failure = log_failure(desk.shop, desk.press(), run.id, Trouble(cause="damp")).value
    assert (failure.percent, failure.cause_group) == (30.0, "material")


def test_a_cause_named_at_take_off_stands(desk: PrintDesk) -> None:
    run = started(desk)
    log_failure(desk.shop, desk.press(), run.id, Trouble(cause="damp"))
    told = TakeOff(verdicts={desk.copies(1)[0].id: Verdict(Outcome.FAILED, "knocked")})
    take_off_run(desk.shop, desk.press(), run.id, told)
    assert desk.copies(1)[0].cause == "knocked"


def test_copies_found_bad_after_take_off(desk: PrintDesk) -> None:
    run = started(desk, 2)
    take_off_run(desk.shop, desk.press(), run.id)
    with pytest.raises(ShopError, match="Name the copies that are bad"):
        log_failure(desk.shop, desk.press(), run.id, Trouble())
    other = desk.ask()
    with pytest.raises(ShopError, match="was not on run 1"):
        log_failure(desk.shop, desk.press(), run.id, Trouble(), [desk.copies(other.id)[0].id])
    bad = desk.copies(1)[1].id
    trouble = Trouble(cause="damaged on removal", photo_sha="ab", percent=100.0)
    failure = log_failure(desk.shop, desk.press(), run.id, trouble, [bad]).value
    assert (failure.copy_ids, failure.photo_sha, failure.mg_lost) == ((bad,), "ab", 20_500)
    assert desk.states(1) == [CopyState.READY, CopyState.FAILED, CopyState.ON_RUN]


def test_a_cause_named_later(desk: PrintDesk) -> None:
    taken = lost(desk)
    failure = taken.judged.failures[0]
    named = name_cause(desk.shop, desk.press(), failure.id, "damp", done_about_it="dried it").value
    assert (named.failure.cause_group, named.failure.done_about_it) == ("material", "dried it")
    assert (named.called_off, named.new) == ((), ())
    assert desk.copies(1)[0].cause == "damp"
    assert desk.states(1) == [CopyState.FAILED, CopyState.ON_RUN]


def test_changed_to_design_calls_the_new_copy_off(desk: PrintDesk) -> None:
    failure = lost(desk).judged.failures[0]
    named = name_cause(desk.shop, desk.press(), failure.id, "too thin").value
    assert [copy.ordinal for copy in named.called_off] == [2]
    assert desk.states(1) == [CopyState.FAILED, CopyState.CANCELLED]
    with desk.shop.read() as uow:
        (hold,) = uow.holds.find()
    assert hold.kind is HoldKind.QUESTION
    back = name_cause(desk.shop, desk.press(), failure.id, "damp").value
    assert [copy.ordinal for copy in back.new] == [3]
    again = name_cause(desk.shop, desk.press(), failure.id, "knocked").value
    assert again.new == ()


def test_a_new_copy_that_prints_already_goes_on(desk: PrintDesk) -> None:
    failure = lost(desk).judged.failures[0]
    start_next(desk.shop, desk.press(), desk.north)
    assert name_cause(desk.shop, desk.press(), failure.id, "too thin").value.called_off == ()
    assert desk.states(1) == [CopyState.FAILED, CopyState.PRINTING]
    assert name_cause(desk.shop, desk.press(), failure.id, "damp").value.new == ()
