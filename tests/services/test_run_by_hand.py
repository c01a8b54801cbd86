"""Runs started without the run sheet, stopped early, and what is kept of them."""

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.errors import ShopError
from printcrib.core.materials import Source
from printcrib.core.requests import CopyState, HoldKind, RequestState
from printcrib.core.runs import RunOrigin, RunState
from printcrib.services.answer_safety import answer_safety
from printcrib.services.interfaces import Shop, Where
from printcrib.services.keep_by_hand import KeptByHand
from printcrib.services.plan_runs import repair_plan
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import start_next
from printcrib.services.stop_run import stop_run, what_stopping_loses
from printcrib.services.take_off_run import TakeOff, take_off_run


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def test_two_presses_freeze_the_printer(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 60.0}, printers=(desk.north,))
    by_hand = run_by_hand(desk.shop, desk.press(), desk.north, desk.later(3)).value
    assert by_hand.taken_off is None
    run = by_hand.run
    assert (run.origin, run.state, run.bore_um) == (RunOrigin.BY_HAND, RunState.STARTED, 400)
    assert (run.spool_ids, run.material_id, run.name) == ((), None, "")
    planned = desk.runs(RunState.KEPT)[0]
    assert planned.planned_hands_on == desk.later(3)


def test_a_time_over_already_is_refused(desk: PrintDesk) -> None:
    with pytest.raises(ShopError, match="That time is over already"):
        run_by_hand(desk.shop, desk.press(), desk.north, desk.now())


def test_an_open_run_is_taken_off_with_its_copies_to_check(desk: PrintDesk) -> None:
    desk.ask(2, minutes={400: 60.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    planned = start_next(desk.shop, desk.press(), desk.north).value
    done = run_by_hand(desk.shop, desk.press(), desk.north, desk.later(3))
    assert done.value.taken_off is not None
    assert done.value.taken_off.run.id == planned.id
    assert desk.states(1) == [CopyState.TO_CHECK] * 2
    assert desk.run(planned.id).state is RunState.TAKEN_OFF


def test_nothing_to_keep_only_books(desk: PrintDesk) -> None:
    desk.change("printers", desk.north, needs_clearing=True)
    run = run_by_hand(
        desk.shop, desk.press(), desk.north, desk.later(1), spool_id=desk.spools["grey2"], name=" vase "
    ).value.run
    assert (run.name, run.colour, run.material_id) == ("vase", "grey", desk.pla)
    desk.clock.move(minutes=70)
    taken = take_off_run(desk.shop, desk.press(), run.id, TakeOff(mg=30_000)).value
    assert taken.kept_request_id is None
    assert (taken.run.minutes, taken.run.minutes_source) == (60, Source.ASSUMED)
    assert desk.entries(desk.spools["grey2"])[1:] == [("printed", -30_000)]
    with desk.shop.read() as uow:
        assert uow.requests.count() == 0
        assert uow.nozzles.get(desk.nozzles["4"]).mg_used == 30_000


def test_unknown_grams_are_assumed_none(desk: PrintDesk) -> None:
    desk.change("printers", desk.north, fitted_nozzle_id=None)
    run = run_by_hand(desk.shop, desk.press(), desk.north, desk.later(1)).value.run
    assert run.bore_um == 0
    taken = take_off_run(desk.shop, desk.press(), run.id, TakeOff(spool_id=desk.spools["grey2"])).value
    assert (taken.run.mg, taken.run.grams_source) == (0, Source.ASSUMED)
    assert taken.run.material_id == desk.pla
    assert desk.entries(desk.spools["grey2"])[1:] == []


def test_what_is_kept_gets_a_request_with_its_questions_open(desk: PrintDesk) -> None:
    run = run_by_hand(
        desk.shop, desk.press(), desk.north, desk.later(1), spool_id=desk.spools["grey2"], name="cover"
    ).value.run
    told = TakeOff(kept=KeptByHand(quantity=2), mg=20_000)
    taken = take_off_run(desk.shop, desk.press(), run.id, told).value
    assert taken.kept_request_id is not None
    with desk.shop.read() as uow:
        request = uow.requests.get(taken.kept_request_id)
        (hold,) = uow.holds.find()
        assert request.size_id is not None
        assert not uow.patterns.get(uow.sizes.get(request.size_id).pattern_id).listed
    assert (request.words, request.state, request.safety_answers) == ("cover", RequestState.ACCEPTED, None)
    assert (request.asker_id, request.material_id, request.colour) == (desk.ann, desk.pla, "grey")
    assert hold.kind is HoldKind.SAFETY
    assert desk.states(request.id) == [CopyState.TO_CHECK] * 2
    assert {copy.run_id for copy in desk.copies(request.id)} == {run.id}
    assert taken.words == f"Run {run.number} taken off North: 2 to check."


def test_what_is_printed_already_needs_no_model(desk: PrintDesk) -> None:
    run = run_by_hand(desk.shop, desk.press(), desk.north, desk.later(1)).value.run
    told = TakeOff(kept=KeptByHand(words="cover"))
    kept = take_off_run(desk.shop, desk.press(), run.id, told).value.kept_request_id
    assert kept is not None
    answer_safety(desk.shop, desk.press(), kept, ())
    with desk.shop.read() as uow:
        assert [hold.kind for hold in uow.holds.find(Where("closed_at", "is none"))] == []


def test_a_pattern_size_can_be_named(desk: PrintDesk) -> None:
    known = desk.ask()
    run = run_by_hand(desk.shop, desk.press(), desk.north, desk.later(1)).value.run
    told = TakeOff(kept=KeptByHand(size_id=known.size_id, asker_id=desk.ann))
    taken = take_off_run(desk.shop, desk.press(), run.id, told).value
    assert taken.kept_request_id is not None
    assert [copy.model_id for copy in desk.copies(taken.kept_request_id)] == [1]


@pytest.mark.parametrize(
    ("kept", "words"), [(KeptByHand(), "what it is"), (KeptByHand(words="x", quantity=0), "0 pieces")]
)
def test_what_makes_no_sense_is_refused(desk: PrintDesk, kept: KeptByHand, words: str) -> None:
    run = run_by_hand(desk.shop, desk.press(), desk.north, desk.later(1)).value.run
    with pytest.raises(ShopError, match=words):
        take_off_run(desk.shop, desk.press(), run.id, TakeOff(kept=kept))
    assert desk.run(run.id).state is RunState.STARTED


def test_stopping_says_what_it_loses(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 92.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    run = start_next(desk.shop, desk.press(), desk.north).value
    desk.clock.move(minutes=25)
    shown = what_stopping_loses(desk.shop, run.id)
    assert shown.words == "Run 1 stopped at 25 %: 5.2 g and 25 min are lost."
    assert desk.run(run.id).state is RunState.STARTED
    stopped = stop_run(desk.shop, desk.press(desk.later(-0.1)), run.id, percent=40.0).value.run
    assert (stopped.state, stopped.stopped_at_percent) == (RunState.STOPPED, 40.0)
    assert stopped.stopped_at == desk.later(-0.1)
    with pytest.raises(ShopError, match="Run 1 is stopped"):
        what_stopping_loses(desk.shop, run.id)
    with pytest.raises(ShopError, match="Only a started run is stopped"):
        stop_run(desk.shop, desk.press(), run.id)


def test_odd_stops_are_refused(desk: PrintDesk) -> None:
    run = run_by_hand(desk.shop, desk.press(), desk.north, desk.later(1)).value.run
    with pytest.raises(ShopError, match="120 % makes no sense"):
        stop_run(desk.shop, desk.press(), run.id, percent=120)
    with pytest.raises(ShopError, match="was started later than that"):
        stop_run(desk.shop, desk.press(desk.later(-2)), run.id)
