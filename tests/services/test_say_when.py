"""When it can be ready: per nozzle, and as a promise."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.patterns import Fineness
from printcrib.core.requests import HoldKind, Request, RequestState
from printcrib.core.runs import RunState
from printcrib.services.estimate_run import together
from printcrib.services.interfaces import Shop, is_
from printcrib.services.plan_runs import repair_plan
from printcrib.services.read_open_work import read_open_work
from printcrib.services.read_timeline import late_lines, timeline, timeline_of, why_lines
from printcrib.services.roll_forward import has_moved, roll_forward
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.say_when import at_risk, judge_promises, promise_in_plan, when_ready
from printcrib.services.start_run import start_next


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def test_an_answer_for_each_nozzle(desk: PrintDesk) -> None:
    request = desk.ask(2, hours=2, state=RequestState.RAISED)
    desk.change("copies", 1, void=True)
    desk.change("copies", 2, void=True)
    fine, coarse = when_ready(desk.shop, request.id)
    assert (fine.bore_um, coarse.bore_um) == (400, 600)
    assert fine.words == "on 0.4 about 3 h 29 to 4 h 22, 41 g; can be ready by 10:29, 1 h 29 late"
    assert coarse.words == "on 0.6 about 2 h 09 to 2 h 41, 41 g; can be ready by 09:13, 13 min late"
    assert coarse.cost_thousandths == 1025
    assert coarse.at_most_ready is not None
    assert coarse.ready is not None
    assert coarse.at_most_ready - coarse.ready == timedelta(minutes=33)
    with desk.shop.read() as uow:
        assert uow.plans.count() == 0


def test_a_model_not_to_be_trusted_is_answered_by_a_range(desk: PrintDesk) -> None:
    request = desk.ask(hours=30, state=RequestState.RAISED)
    sound = when_ready(desk.shop, request.id)[1]
    desk.change("models", 1, trustworthy=False, doubt=1.0)
    fine, coarse = when_ready(desk.shop, request.id)
    assert fine.words.startswith("on 0.4 about 54 min to 4 h 30, 11 to 42 g")
    assert coarse.likely_minutes == sound.likely_minutes == sound.least_minutes
    assert (coarse.least_minutes, coarse.at_most_minutes) == (
        sound.likely_minutes / 2,
        sound.at_most_minutes * 2,
    )


def test_a_draft_is_answered_too(desk: PrintDesk) -> None:
    known = desk.ask(hours=30)
    draft = Request(
        number=0, asker_id=desk.ann, entered_by_id=desk.ann, size_id=known.size_id, material_id=desk.pla
    )
    answers = when_ready(desk.shop, draft)
    assert [answer.allowed for answer in answers] == [True, True]
    assert all(answer.ready is not None and not answer.late_minutes for answer in answers)
    assert answers[0].words.endswith("can be ready by 10:29")
    words_only = replace(draft, size_id=None)
    assert when_ready(desk.shop, words_only) == ()


def test_the_patterns_material_answers_for_a_draft_without_one(desk: PrintDesk) -> None:
    known = desk.ask(hours=30)
    desk.change("patterns", 1, material_id=desk.pla)
    draft = Request(number=0, asker_id=desk.ann, entered_by_id=desk.ann, size_id=known.size_id)
    assert len(when_ready(desk.shop, draft)) == 2


def test_a_size_without_model_is_not_answered(desk: PrintDesk) -> None:
    request = desk.ask(state=RequestState.RAISED)
    desk.change("sizes", 1, model_id=None)
    desk.hold(request.id, HoldKind.NEEDS_MODEL)
    assert when_ready(desk.shop, request.id) == ()


def test_a_nozzle_that_is_too_coarse_is_said(desk: PrintDesk) -> None:
    request = desk.ask(how_fine=Fineness.FINE)
    repair_plan(desk.shop, desk.press())
    fine, coarse = when_ready(desk.shop, request.id)
    assert fine.allowed
    assert (coarse.allowed, coarse.ready) == (False, None)
    assert coarse.words == "on 0.6 about 1 h 08 to 1 h 25, 21 g; not for how fine it is asked"


def test_a_nozzle_of_a_printer_that_is_gone_is_not_answered(desk: PrintDesk) -> None:
    request = desk.ask(printers=(desk.north,))
    desk.change("printers", desk.north, active=False)
    assert when_ready(desk.shop, request.id) == ()


def test_no_spool_is_said(desk: PrintDesk) -> None:
    request = desk.ask(colour="pink")
    answer = when_ready(desk.shop, request.id)[0]
    assert answer.why_not == "no spool of PLA pink with 21 g left"
    assert answer.words.endswith("not planned: no spool of PLA pink with 21 g left")


def test_what_is_planned_already_is_answered_anew(desk: PrintDesk) -> None:
    request = desk.ask(minutes={400: 52.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    (answer,) = when_ready(desk.shop, request.id)
    with desk.shop.read() as uow:
        sheet = timeline(uow, desk.now())
    assert answer.ready == sheet.requests[request.id].ready == desk.later(1)


def test_a_promise_is_what_the_plan_says(desk: PrintDesk) -> None:
    request = desk.ask(minutes={400: 92.0}, printers=(desk.north,))
    assert promise_in_plan(desk.shop, desk.press(), request.id) is None
    repair_plan(desk.shop, desk.press())
    promise = promise_in_plan(desk.shop, desk.press(), request.id)
    assert promise is not None
    assert promise.id
    assert promise.likely == desk.now() + timedelta(minutes=100)
    assert promise.at_most == desk.now() + timedelta(minutes=126)
    assert (promise.to_person_id, promise.said_at, promise.plan_id) == (desk.ann, desk.now(), 1)
    assert promise_in_plan(desk.shop, desk.press(), 99) is None


def test_a_doubtful_model_widens_what_is_promised_at_most(desk: PrintDesk) -> None:
    """Planned and printing alike: at most reaches as far as the range of the model, likely stays."""
    request = desk.ask(minutes={400: 92.0}, printers=(desk.north,))
    desk.change("models", 1, trustworthy=False, doubt=1.0)
    repair_plan(desk.shop, desk.press())
    planned = promise_in_plan(desk.shop, desk.press(), request.id)
    start_next(desk.shop, desk.press(), desk.north)
    printing = promise_in_plan(desk.shop, desk.press(), request.id)
    for promise in (planned, printing):
        assert promise is not None
        assert promise.likely == desk.now() + timedelta(minutes=100)
        at_most = promise.at_most - desk.now()
        assert timedelta(minutes=2 * 125) <= at_most <= timedelta(minutes=2 * 126)


def test_a_doubtful_copy_widens_its_part_of_a_run(desk: PrintDesk) -> None:
    for minutes in (60.0, 20.0):
        desk.ask(minutes={400: minutes})
    with desk.shop.read() as uow:
        long, short = uow.estimates.find(is_("printer_id", desk.north), is_("bore_um", 400))
    sound, doubtful = together([long, short]), together([long, short], doubts={short.model_id: 1.0})
    assert doubtful.minutes == sound.minutes
    assert doubtful.at_most_minutes == pytest.approx(1.25 * sound.at_most_minutes)
    assert together([replace(long, part_minutes=0.0)], doubts={long.model_id: 1.0}).at_most_minutes > 0


def test_a_promise_for_what_prints_already(desk: PrintDesk) -> None:
    request = desk.ask(minutes={400: 92.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    start_next(desk.shop, desk.press(), desk.north)
    promise = promise_in_plan(desk.shop, desk.press(), request.id)
    assert promise is not None
    assert promise.likely == desk.now() + timedelta(minutes=100)
    assert promise.at_most == desk.now() + timedelta(minutes=126)


def test_promises_are_judged(desk: PrintDesk) -> None:
    kept, void, waiting = (desk.ask(minutes={400: 60.0}, hours=90) for _ in range(3))
    repair_plan(desk.shop, desk.press())
    for request in (kept, void, waiting):
        promise_in_plan(desk.shop, desk.press(), request.id)
    desk.change("requests", void.id, state=RequestState.WITHDRAWN)
    desk.change("copies", desk.copies(kept.id)[0].id, state="ready", ready_at=desk.now())
    with desk.shop.write(desk.press(), "judge") as uow:
        assert judge_promises(uow) == 2
        assert [p.outcome for p in uow.promises.find()] == ["kept", "void", ""]
        assert judge_promises(uow) == 0
        uow.commit()


def test_late_at_most_is_a_risk(desk: PrintDesk) -> None:
    request = desk.ask(minutes={400: 92.0}, printers=(desk.north,), hours=1.9)
    desk.ask(minutes={400: 92.0}, printers=(desk.north,), hours=None)
    desk.ask(colour="pink")
    repair_plan(desk.shop, desk.press())
    with desk.shop.read() as uow:
        work = read_open_work(uow, desk.now())
    likely, at_most = timeline_of(work), timeline_of(work, at_most=True)
    assert at_risk(likely, at_most) == {request.id: 12}


def test_the_timeline_rolls_with_the_clock(desk: PrintDesk) -> None:
    request = desk.ask(minutes={400: 52.0}, printers=(desk.north,), hours=2)
    repair_plan(desk.shop, desk.press())
    with desk.shop.read() as uow:
        first = timeline(uow, desk.now())
        later = timeline(uow, desk.later(3))
    assert first.requests[request.id].spare_minutes == 60
    assert first.runs[0].called == "run 1"
    assert (first.runs[0].minutes, first.runs[0].hands_on_minutes) == (60, 0)
    assert later.requests[request.id].late_minutes == 120
    assert why_lines(later) == ("North has nozzle 0.4 and PLA grey on it already.",)
    assert late_lines(later)[request.id].startswith("Printed first of all it is ready at 11:00")
    assert late_lines(first) == {}


def test_a_night_run_is_ready_when_somebody_is_in(desk: PrintDesk) -> None:
    desk.clock.set(datetime(2026, 11, 24, 15, 30, tzinfo=UTC))  # 16:30 in Vienna
    request = desk.ask(minutes={400: 92.0}, printers=(desk.north,), hours=1)
    repair_plan(desk.shop, desk.press())
    with desk.shop.read() as uow:
        sheet = timeline(uow, desk.now())
    assert sheet.requests[request.id].ready == datetime(2026, 11, 25, 6, 0, tzinfo=UTC)
    start_next(desk.shop, desk.press(), desk.north)
    with desk.shop.read() as uow:
        sheet = timeline(uow, desk.now())
    assert sheet.requests[request.id].ready == datetime(2026, 11, 25, 6, 0, tzinfo=UTC)


def test_roll_forward_mends_only_what_moved(desk: PrintDesk) -> None:
    assert not roll_forward(desk.shop, desk.press()).value
    desk.ask(minutes={400: 60.0}, printers=(desk.north,))
    assert roll_forward(desk.shop, desk.press()).value
    assert not roll_forward(desk.shop, desk.press()).value
    desk.clock.move(minutes=14)
    assert not roll_forward(desk.shop, desk.press()).value
    desk.clock.move(minutes=2)
    done = roll_forward(desk.shop, desk.press())
    assert done.value
    assert done.changed == {"runs"}
    assert desk.runs(RunState.KEPT)[0].planned_hands_on == desk.now()


def test_a_run_by_hand_moves_the_plan(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 60.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    run_by_hand(desk.shop, desk.press(), desk.north, desk.later(2))
    with desk.shop.read() as uow:
        assert not has_moved(read_open_work(uow, desk.now()))
        assert has_moved(read_open_work(uow, desk.later(3)))


def test_rows_without_times_are_left(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 60.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    desk.change("runs", 1, planned_hands_on=None)
    with desk.shop.read() as uow:
        assert not has_moved(read_open_work(uow, desk.now()))


def test_two_runs_of_one_row_are_told_apart(desk: PrintDesk) -> None:
    desk.ask(2, minutes={400: 60.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    with desk.shop.write(desk.press(), "split") as uow:
        plan = uow.plans.get(1)
        (slot,) = plan.lanes[0].slots
        parts = tuple(replace(slot, copy_ids=(key,)) for key in slot.copy_ids)
        lanes = (replace(plan.lanes[0], slots=parts), *plan.lanes[1:])
        uow.plans.save(replace(plan, lanes=lanes))
        uow.commit()
    with desk.shop.read() as uow:
        sheet = timeline(uow, desk.now())
    assert [run.run_id for run in sheet.runs] == [1, None]
    assert sheet.runs[1].called == "a new run"


def test_what_cannot_be_planned_moves_the_plan_once(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 60.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    desk.ask(colour="pink")
    assert roll_forward(desk.shop, desk.press()).value
    assert not roll_forward(desk.shop, desk.press()).value


def test_a_run_without_copies_moves_the_plan(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 60.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    desk.change("copies", 1, state="cancelled")
    assert roll_forward(desk.shop, desk.press()).value
    assert desk.runs(RunState.KEPT) == []


def test_finishing_steps_count_before_it_is_ready_and_before_it_is_late(desk: PrintDesk) -> None:
    request = desk.ask(2, hours=3, state=RequestState.RAISED)
    desk.change("copies", 1, void=True)
    desk.change("copies", 2, void=True)
    plain = when_ready(desk.shop, request.id)[1]
    desk.change("patterns", 1, finishing_steps=("deburr", "press the magnets in"))
    finished = when_ready(desk.shop, request.id)[1]
    assert plain.ready is not None
    assert finished.ready == plain.ready + timedelta(minutes=20)
    assert (plain.late_minutes, finished.late_minutes) == (0, 0)
    desk.change("requests", request.id, needed_by=plain.ready + timedelta(minutes=5))
    assert when_ready(desk.shop, request.id)[1].late_minutes == 15
