"""Reprints: asked for once, in time, by the tool; and by a person at once."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import TUESDAY_MORNING, FakeClock

from printcrib.core.aids import Aid, AidState, RetireReason
from printcrib.core.estimating.learning import NO_PRINTS
from printcrib.core.patterns import CountedBy, Estimate, Reliability
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import CopyState, Request, RequestState
from printcrib.core.runs import Run
from printcrib.services.count_use import correct_count, count_use
from printcrib.services.due_reprints import (
    AidDue,
    aids_due,
    it_is_this_one,
    print_another,
    raise_due_reprints,
)
from printcrib.services.finish_copy import shelve
from printcrib.services.forecast_aids import ON_THE_SHELF, AidForecast, forecast_aids, read_books
from printcrib.services.hand_out_aid import To, hand_out
from printcrib.services.interfaces import Shop, Where
from printcrib.services.press import Press
from printcrib.services.release_use import Terms, release
from printcrib.services.retire_aid import retire
from printcrib.services.set_aside_aid import back_to_shelf, set_aside
from printcrib.services.withdraw_request import withdraw_request


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with a pattern expected to last 600 clamp cycles."""
    return aid_shop(shop, clock)


def used(desk: AidShop, a_day: int, days: int, aid: Aid | None = None) -> Aid:
    """An aid used so much on each of so many working days, ending on the morning after."""
    aid = aid or desk.in_use()
    for _ in range(days):
        if desk.clock.now().weekday() >= 5:
            desk.clock.move(days=7 - desk.clock.now().weekday())
        count_use(desk.shop, desk.own.press("Max"), aid.id, a_day)
        desk.clock.move(days=1)
    return aid


def forecast_of(desk: AidShop, aid: Aid) -> AidForecast:
    """The forecast of one aid now."""
    with desk.shop.read() as uow:
        books = read_books(uow)
    return next(each for each in forecast_aids(books) if each.aid.id == aid.id)


def due(desk: AidShop) -> tuple[AidDue, ...]:
    """The aids with a date now."""
    with desk.shop.read() as uow:
        return aids_due(uow, uow.now)


def raised(desk: AidShop) -> tuple[Request, ...]:
    """What one look of the tool raises."""
    return raise_due_reprints(desk.shop, Press(who_id=THE_TOOL, station="tool")).value


def reprints(desk: AidShop) -> list[Request]:
    """All reprint requests."""
    with desk.shop.read() as uow:
        return list(uow.requests.find(Where("replaces_aid_id", "not none")))


def test_an_aid_far_from_worn_is_not_due(desk: AidShop) -> None:
    aid = used(desk, 2, 4)
    (one,) = due(desk)
    assert (one.aid.id, one.is_due(desk.clock.now())) == (aid.id, False)
    assert raised(desk) == ()


def test_the_reprint_is_raised_once_in_time_and_accepted(desk: AidShop) -> None:
    aid = used(desk, 60, 4)
    (request,) = raised(desk)
    assert (request.asker_id, request.replaces_aid_id, request.follows_id) == (
        THE_TOOL,
        aid.id,
        aid.request_id,
    )
    assert (request.size_id, request.machine_id, request.safety_answers) == (desk.size.id, aid.machine_id, ())
    assert request.state is RequestState.ACCEPTED
    assert request.needed_by == forecast_of(desk, aid).needed_by
    assert "Reprint of T-0001 spindle stop 32 x 60: 240 of about 600 clamp cycles" in request.reason
    assert [copy.state for copy in desk.own.copies(request.id)] == [CopyState.ON_RUN]
    assert raised(desk) == ()
    assert len(reprints(desk)) == 1


def test_needed_by_is_the_life_left_in_working_days(desk: AidShop) -> None:
    aid = used(desk, 20, 4)
    made = forecast_of(desk, aid)
    assert made.rate is not None
    assert made.life is not None
    fastest = made.rate.per_day + 1.2816 * made.rate.sd
    assert made.need.days == int(made.life.remaining(80, 0.9) / fastest)
    # It is Saturday; five working days on is Friday of the week to come, when the shop opens.
    assert made.need.days == 5
    assert made.needed_by == datetime(2026, 12, 4, 6, 0, tzinfo=UTC)


def test_days_nobody_counted_are_lived_through(desk: AidShop) -> None:
    aid = used(desk, 20, 4)
    assert forecast_of(desk, aid).need.days == 5
    desk.clock.move(days=5)  # Thursday: three working days nobody counted
    assert forecast_of(desk, aid).need.days == 2
    desk.clock.move(days=4)
    quiet = forecast_of(desk, aid)
    assert quiet.rate is not None
    assert (quiet.count, quiet.band.likely, quiet.rate.assumed) == (80, 180.0, True)
    assert (quiet.need.assumed, quiet.needed_by) == (True, desk.clock.now())


def test_two_aids_of_a_size_at_one_date(desk: AidShop) -> None:
    desk.edit_pattern(days_in_service=30)
    first, second = desk.in_use(), desk.in_use()
    assert [each.needed_by for each in due(desk)] == [datetime(2026, 12, 24, 6, 0, tzinfo=UTC)] * 2
    assert [each.aid.id for each in due(desk)] == [first.id, second.id]


def busy(desk: AidShop, hours: int) -> None:
    """Every printer has a run on the kept plan for so many hours."""
    with desk.shop.write(desk.own.press(), "plan") as uow:
        for printer in uow.printers.find():
            number = uow.next_number("run")
            end = uow.now + timedelta(hours=hours)
            uow.runs.add(Run(number=number, printer_id=printer.id, bore_um=400, planned_end=end))
        uow.runs.add(Run(number=uow.next_number("run"), printer_id=printer.id, bore_um=400))
        uow.commit()


def test_an_open_one_is_used_and_only_moved_forward(desk: AidShop) -> None:
    aid = used(desk, 20, 4)
    busy(desk, 240)
    (request,) = raised(desk)
    assert request.needed_by == datetime(2026, 12, 4, 6, 0, tzinfo=UTC)
    count_use(desk.shop, desk.own.press("Max"), aid.id, 300)
    assert raised(desk) == ()
    assert desk.own.request(request.id).needed_by == datetime(2026, 11, 28, 6, 0, tzinfo=UTC)
    correct_count(desk.shop, desk.own.press("Max"), aid.id, 10)
    assert raised(desk) == ()
    assert desk.own.request(request.id).needed_by == datetime(2026, 11, 28, 6, 0, tzinfo=UTC)
    assert len(reprints(desk)) == 1


def test_a_held_aid_waits_for_the_desk_and_its_reviewer(desk: AidShop) -> None:
    (copy,) = desk.ready(safety_answers=(2,), machine_id=desk.machine().id)
    terms = Terms(until=TUESDAY_MORNING + timedelta(days=2))
    release(desk.shop, desk.own.press("Rita"), copy.request_id, terms)
    aid = hand_out(desk.shop, desk.own.press(), copy.id).value.aid
    assert aid is not None
    used(desk, 60, 4, aid)
    (request,) = raised(desk)
    assert (request.state, request.safety_answers) == (RequestState.RAISED, (2,))
    release(desk.shop, desk.own.press("Rita"), request.id, Terms())
    assert raised(desk) == ()
    assert desk.own.request(request.id).state is RequestState.ACCEPTED


def test_withdrawn_it_is_not_raised_again_before_the_day_named(desk: AidShop) -> None:
    aid = used(desk, 60, 4)
    (request,) = raised(desk)
    until = desk.clock.now() + timedelta(days=4)
    withdraw_request(desk.shop, desk.own.press(), request.id, "machine is down", not_before=until)
    desk.clock.move(days=2)
    assert raised(desk) == ()
    assert due(desk)[0].quiet_until == until
    desk.clock.move(days=3)
    (again,) = raised(desk)
    assert (again.replaces_aid_id, again.id != request.id) == (aid.id, True)
    assert due(desk)[0].quiet_until is None


def test_withdrawn_without_a_day_it_is_quiet_for_a_fortnight(desk: AidShop) -> None:
    used(desk, 60, 4)
    (request,) = raised(desk)
    withdraw_request(desk.shop, desk.own.press(), request.id)
    desk.clock.move(days=13)
    assert raised(desk) == ()
    desk.clock.move(days=2)
    assert len(raised(desk)) == 1


def test_a_spare_on_the_shelf_moves_the_date(desk: AidShop) -> None:
    aid = used(desk, 20, 4)
    without = forecast_of(desk, aid)
    (spare,) = desk.ready()
    assert forecast_of(desk, aid).needed_by == without.needed_by  # ready, but somebody waits for it
    shelve(desk.shop, desk.own.press(), spare.id)
    with_one = forecast_of(desk, aid)
    assert with_one.spares == 1
    assert with_one.need.days is not None
    assert without.need.days is not None
    assert with_one.need.days > without.need.days
    assert forecast_of(desk, desk.aid(spare.aid_id or 0)).need.why == ON_THE_SHELF


def test_spares_go_to_those_that_need_them_first(desk: AidShop) -> None:
    slow, fast = desk.in_use(), desk.in_use()
    for _ in range(4):
        count_use(desk.shop, desk.own.press(), slow.id, 3)
        count_use(desk.shop, desk.own.press(), fast.id, 40)
        desk.clock.move(days=1)
    before = forecast_of(desk, slow).need, forecast_of(desk, fast).need
    (spare,) = desk.ready()
    shelve(desk.shop, desk.own.press(), spare.id)
    after = forecast_of(desk, slow).need, forecast_of(desk, fast).need
    assert after[0] == before[0]
    assert (after[1].days or 0) > (before[1].days or 0)


def test_more_spares_than_can_be_dated_are_enough(desk: AidShop) -> None:
    aid = used(desk, 1, 4)
    for copy in desk.ready(quantity=8):
        shelve(desk.shop, desk.own.press(), copy.id)
    made = forecast_of(desk, aid)
    assert (made.spares, made.needed_by, made.need.why) == (8, None, "not soon")


def test_never_counted_goes_by_days_in_service(desk: AidShop) -> None:
    aid = desk.in_use()
    assert forecast_of(desk, aid).need.why == "no usage yet"
    assert due(desk) == ()
    desk.edit_pattern(days_in_service=30)
    made = forecast_of(desk, aid)
    assert (made.need.days, made.need.assumed, made.need.calendar) == (30, True, True)
    assert made.needed_by == datetime(2026, 12, 24, 6, 0, tzinfo=UTC)
    (spare,) = desk.ready()
    shelve(desk.shop, desk.own.press(), spare.id)
    assert forecast_of(desk, aid).need.days == 60


def test_the_calendar_counts_days_or_weeks(desk: AidShop) -> None:
    desk.edit_pattern(use_unit="weeks", expected_life=10)
    aid = desk.in_use(to=To(machine_id=desk.machine().id, counted_by=CountedBy.CALENDAR))
    desk.clock.move(days=22)
    made = forecast_of(desk, aid)
    assert (made.count, made.need.calendar) == (3, True)
    assert made.life is not None
    assert made.need.days == int(7 * made.life.remaining(3, 0.9))


def test_the_calendar_takes_one_past_its_limit(desk: AidShop) -> None:
    desk.edit_pattern(use_unit="days", expected_life=20, reliability=Reliability.LOCATING)
    aid = desk.in_use(to=To(machine_id=desk.machine().id, counted_by=CountedBy.CALENDAR))
    desk.clock.move(days=20)
    raised(desk)
    assert desk.aid(aid.id).state is AidState.IN_USE
    desk.clock.move(days=1)
    raised(desk)
    aside = desk.aid(aid.id)
    assert (aside.state, aside.aside_why) == (AidState.ASIDE, "past its limit of 20 days")
    assert forecast_of(desk, aside).past_limit


def test_what_wore_out_shortens_the_life_of_the_size(desk: AidShop) -> None:
    aid = used(desk, 20, 4)
    before = forecast_of(desk, aid)
    for _ in range(3):
        worn = desk.in_use()
        count_use(desk.shop, desk.own.press(), worn.id, 200)
        retire(desk.shop, desk.own.press(), worn.id, RetireReason.WORN_OUT)
    after = forecast_of(desk, aid)
    assert before.life is not None
    assert after.life is not None
    assert (after.life.failures, after.life.median < before.life.median) == (3, True)


def test_no_guess_of_a_life_is_no_forecast(desk: AidShop) -> None:
    desk.edit_pattern(expected_life=None)
    made = forecast_of(desk, used(desk, 20, 4))
    assert (made.life, made.limit, made.past_limit, made.need.why) == (None, None, False, "no usage yet")
    desk.edit_pattern(days_in_service=50)
    assert forecast_of(desk, made.aid).need.days == 46


def test_an_open_request_for_the_same_machine_is_asked_about(desk: AidShop) -> None:
    aid = used(desk, 60, 4)
    own = desk.own.ask(file=None, size_id=desk.size.id, machine_id=aid.machine_id, safety_answers=())
    assert raised(desk) == ()
    assert [each.maybe_request.id for each in due(desk) if each.maybe_request] == [own.id]
    it_is_this_one(desk.shop, desk.own.press(), aid.id, own.id, True)
    assert desk.own.request(own.id).replaces_aid_id == aid.id
    assert raised(desk) == ()
    (one,) = due(desk)
    assert (one.open_request and one.open_request.id, one.maybe_request) == (own.id, None)


def test_no_it_is_another_one(desk: AidShop) -> None:
    aid = used(desk, 60, 4)
    own = desk.own.ask(file=None, size_id=desk.size.id, machine_id=aid.machine_id, safety_answers=())
    done = it_is_this_one(desk.shop, desk.own.press(), aid.id, own.id, False)
    assert (done.value.replaces_aid_id, done.value.needed_by) == (aid.id, own.needed_by)
    assert desk.own.request(done.value.id).state is RequestState.ACCEPTED
    assert desk.own.request(own.id).replaces_aid_id is None


def test_print_another_asks_at_once_and_only_once(desk: AidShop) -> None:
    aid = desk.in_use()
    first = print_another(desk.shop, desk.own.press("Max"), aid.id).value
    assert (first.asker_id, first.replaces_aid_id, first.state) == (
        desk.own.who("Max"),
        aid.id,
        RequestState.RAISED,
    )
    assert first.needed_by == TUESDAY_MORNING + timedelta(days=2)
    assert first.reason == "Print another spindle stop 32 x 60 for T-0001"
    late, soon = TUESDAY_MORNING + timedelta(days=9), TUESDAY_MORNING + timedelta(days=1)
    later = print_another(desk.shop, desk.own.press("Max"), aid.id, late).value
    assert (later.id, later.needed_by) == (first.id, first.needed_by)
    sooner = print_another(desk.shop, desk.own.press("Max"), aid.id, soon).value
    assert (sooner.id, sooner.needed_by) == (first.id, soon)


def test_a_retired_aid_can_still_be_printed_again(desk: AidShop) -> None:
    aid = desk.in_use()
    retire(desk.shop, desk.own.press(), aid.id, RetireReason.BROKEN)
    assert print_another(desk.shop, desk.own.press("Max"), aid.id).value.replaces_aid_id == aid.id


def test_queue_print_and_finishing_come_off_the_date(desk: AidShop) -> None:
    used(desk, 20, 4)
    (plain,) = due(desk)
    desk.edit_pattern(finishing_steps=("ream",))
    (finished,) = due(desk)
    assert finished.raise_by < plain.raise_by
    busy(desk, 30)
    (queued,) = due(desk)
    assert finished.raise_by - queued.raise_by == timedelta(hours=30)
    with desk.shop.write(desk.own.press(), "estimate") as uow:
        uow.estimates.add(
            Estimate(
                model_id=desk.size.model_id or 0,
                printer_id=desk.own.printer().id,
                bore_um=400,
                material_id=desk.own.material(),
                settings_hash="x",
                part_minutes=80.0,
                start_minutes=10.0,
                likely_minutes=90.0,
                at_most_minutes=0.0,
                part_mg=9000,
                mg=10000,
            )
        )
        uow.commit()
    (estimated,) = due(desk)
    at_most = NO_PRINTS.at_most(90.0, 10.0)
    assert (estimated.raise_by - queued.raise_by) / timedelta(minutes=1) == pytest.approx(
        1.1 * (240 - at_most)
    )


def test_a_size_without_a_model_takes_the_usual_time(desk: AidShop) -> None:
    used(desk, 20, 4)
    (with_model,) = due(desk)
    with desk.shop.write(desk.own.press(), "lose the model") as uow:
        uow.sizes.save(replace(uow.sizes.get(desk.size.id), model_id=None))
        uow.commit()
    (without,) = due(desk)
    assert without.raise_by == with_model.raise_by


def test_a_shop_without_shifts_counts_every_day(desk: AidShop) -> None:
    aid = used(desk, 60, 4)
    with desk.shop.write(desk.own.press(), "no shifts") as uow:
        for shift in uow.shifts.find():
            uow.shifts.save(replace(shift, void=True))
        uow.commit()
    (one,) = due(desk)
    assert one.raise_by < one.needed_by
    asked = print_another(desk.shop, desk.own.press("Max"), aid.id).value
    assert asked.needed_by == datetime(2026, 11, 29, 23, 0, tzinfo=UTC)


def test_what_lies_on_the_shelf_or_is_set_aside(desk: AidShop) -> None:
    aid = used(desk, 60, 4)
    set_aside(desk.shop, desk.own.press(), aid.id, "cracked")
    assert [each.aid.state for each in due(desk)] == [AidState.ASIDE]
    back_to_shelf(desk.shop, desk.own.press(), aid.id)
    assert due(desk) == ()


def test_a_reprint_named_without_a_limit(desk: AidShop) -> None:
    desk.edit_pattern(expected_life=None, days_in_service=2)
    aid = desk.in_use()
    (request,) = raised(desk)
    assert request.reason == f"Reprint of {aid.tag} spindle stop 32 x 60"
