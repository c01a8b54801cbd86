"""Counting use: buttons, parts, readings, the weekly question; entries are never changed."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock, fake_shop

from printcrib.core.aids import RetireReason, Sure, UseKind
from printcrib.core.errors import ShopError
from printcrib.core.patterns import CountedBy
from printcrib.core.shop import Shift
from printcrib.services.ask_weekly import weekly_questions
from printcrib.services.count_use import (
    LARGEST,
    CounterLower,
    answer_none,
    answer_number,
    answer_same_as_usual,
    correct_count,
    count_use,
    parts_made,
    read_counter,
)
from printcrib.services.hand_out_aid import To
from printcrib.services.interfaces import Shop, is_
from printcrib.services.press import Press
from printcrib.services.retire_aid import retire
from printcrib.services.set_aside_aid import back_to_shelf
from printcrib.services.undo_press import undo


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with a pattern."""
    return aid_shop(shop, clock)


def counted_by(desk: AidShop, how: CountedBy, uses_a_part: int = 1, counter: int | None = None) -> int:
    """An aid in use at Lathe 1, counted one way."""
    to = To(machine_id=desk.machine().id, counted_by=how, uses_a_part=uses_a_part, counter=counter)
    return desk.in_use(to=to).id


def test_the_plus_buttons(desk: AidShop) -> None:
    aid = counted_by(desk, CountedBy.ADD)
    for amount, total in ((1, 1), (10, 11), (100, 111)):
        done = count_use(desk.shop, desk.own.press("Max"), aid, amount)
        assert (done.value.count, done.value.entry.kind, done.value.entry.amount) == (
            total,
            UseKind.ADD,
            amount,
        )
        assert done.changed == {"use_entries"}
    assert desk.count(aid) == 111


@pytest.mark.parametrize("amount", [0, -1, LARGEST + 1])
def test_a_slip_of_the_finger_is_refused(desk: AidShop, amount: int) -> None:
    aid = counted_by(desk, CountedBy.ADD)
    with pytest.raises(ShopError, match=f"{amount} cannot be counted"):
        count_use(desk.shop, desk.own.press(), aid, amount)


def test_parts_made_times_uses_a_part(desk: AidShop) -> None:
    aid = counted_by(desk, CountedBy.PARTS, uses_a_part=4)
    assert count_use(desk.shop, desk.own.press(), aid, 10).value.count == 40
    assert parts_made(desk.shop, desk.own.press(), aid, 5).value.count == 60


def test_parts_made_cover_the_days_since_the_last_count(desk: AidShop) -> None:
    aid = counted_by(desk, CountedBy.PARTS)
    began = desk.clock.now()
    desk.clock.move(days=2)
    first = parts_made(desk.shop, desk.own.press(), aid, 20).value.entry
    desk.clock.move(days=1)
    second = parts_made(desk.shop, desk.own.press(), aid, 7).value.entry
    assert (first.counted_from, first.counted_to) == (began, began + timedelta(days=2))
    assert (second.counted_from, second.counted_to) == (began + timedelta(days=2), desk.clock.now())


def test_what_was_undone_covers_nothing(desk: AidShop) -> None:
    aid = counted_by(desk, CountedBy.PARTS)
    began = desk.clock.now()
    desk.clock.move(days=2)
    wrong = parts_made(desk.shop, desk.own.press(), aid, 500)
    undo(desk.shop, desk.own.press(), wrong.press_number)
    right = parts_made(desk.shop, desk.own.press(), aid, 50).value
    assert (right.count, right.entry.counted_from) == (50, began)


def test_a_reading_counts_the_difference_for_every_aid_counted_there(desk: AidShop) -> None:
    first = counted_by(desk, CountedBy.READING, uses_a_part=2, counter=100)
    second = counted_by(desk, CountedBy.READING, counter=100)
    by_hand = counted_by(desk, CountedBy.ADD)
    elsewhere = desk.in_use(to=To(machine_id=desk.machine("Mill 2").id, counted_by=CountedBy.READING)).id
    desk.clock.move(days=4)
    taken = read_counter(desk.shop, desk.own.press("Max"), desk.machine().id, 150).value
    assert taken.parts == 50
    assert [(each.aid.id, each.count) for each in taken.counted] == [(first, 100), (second, 50)]
    assert all(each.entry.sure is Sure.COUNTED for each in taken.counted)
    assert (desk.count(by_hand), desk.count(elsewhere)) == (0, 0)


def test_the_first_reading_only_begins(desk: AidShop) -> None:
    aid = counted_by(desk, CountedBy.READING)
    taken = read_counter(desk.shop, desk.own.press(), desk.machine().id, 900).value
    assert (taken.parts, taken.counted, desk.count(aid)) == (None, (), 0)


def test_an_aid_that_came_in_between_gets_its_share_by_the_clock(desk: AidShop) -> None:
    read_counter(desk.shop, desk.own.press(), desk.machine().id, 100)
    desk.clock.move(hours=6)
    aid = counted_by(desk, CountedBy.READING)
    desk.clock.move(hours=2)
    (counted,) = read_counter(desk.shop, desk.own.press(), desk.machine().id, 141).value.counted
    assert (counted.count, counted.entry.sure) == (11, Sure.ASSUMED)
    assert desk.count(aid) == 11


def test_an_aid_handed_out_at_the_reading_itself_is_not_counted(desk: AidShop) -> None:
    read_counter(desk.shop, desk.own.press(), desk.machine().id, 100)
    desk.clock.move(hours=6)
    aid = counted_by(desk, CountedBy.READING)
    assert read_counter(desk.shop, desk.own.press(), desk.machine().id, 141).value.counted == ()
    assert desk.count(aid) == 0


def test_a_lower_reading_asks_whether_the_counter_was_reset(desk: AidShop) -> None:
    aid = counted_by(desk, CountedBy.READING, counter=800)
    desk.clock.move(days=1)
    for answer in (None, False):
        with pytest.raises(CounterLower, match="Lathe 1 showed 800 before and 30 now") as asked:
            read_counter(desk.shop, desk.own.press(), desk.machine().id, 30, answer)
        assert (asked.value.before, asked.value.now) == (800, 30)
    taken = read_counter(desk.shop, desk.own.press(), desk.machine().id, 30, True).value
    assert (taken.parts, taken.reading.counter_reset) == (30, True)
    assert (taken.counted[0].entry.sure, desk.count(aid)) == (Sure.ASSUMED, 30)
    desk.clock.move(days=1)
    assert read_counter(desk.shop, desk.own.press(), desk.machine().id, 50).value.parts == 20


def test_a_reading_told_late_counts_nothing_twice(desk: AidShop) -> None:
    aid = counted_by(desk, CountedBy.READING, counter=0)
    noon = desk.clock.move(days=1)
    desk.clock.move(days=1)
    read_counter(desk.shop, desk.own.press(), desk.machine().id, 80)
    late = read_counter(desk.shop, desk.own.press("Max", noon), desk.machine().id, 30).value
    assert (late.parts, late.counted, late.reading.happened_at) == (None, (), noon)
    assert desk.count(aid) == 80


def test_missed_days_heal(desk: AidShop) -> None:
    """However the readings fall, the count is the last reading less the first."""
    aid = counted_by(desk, CountedBy.READING, uses_a_part=3, counter=1000)
    for day, counter in ((1, 1010), (5, 1100), (6, 1100), (16, 1400)):
        desk.clock.move(days=day)
        read_counter(desk.shop, desk.own.press(), desk.machine().id, counter)
    assert desk.count(aid) == 3 * 400


@pytest.mark.parametrize(
    ("how", "words"),
    [
        (CountedBy.READING, "is counted by the part counter of Lathe 1"),
        (CountedBy.CALENDAR, "is counted by the calendar"),
    ],
)
def test_one_kind_of_counting_an_aid(desk: AidShop, how: CountedBy, words: str) -> None:
    aid = counted_by(desk, how)
    for press in (count_use, parts_made):
        with pytest.raises(ShopError, match=f"T-0001 {words}"):
            press(desk.shop, desk.own.press(), aid, 1)


def test_an_aid_off_its_machine_names_no_machine(desk: AidShop) -> None:
    aid = counted_by(desk, CountedBy.READING)
    back_to_shelf(desk.shop, desk.own.press(), aid)
    with pytest.raises(ShopError, match="by the part counter of its machine"):
        count_use(desk.shop, desk.own.press(), aid, 1)


def test_only_aids_in_service_that_were_handed_out_count(desk: AidShop) -> None:
    (spare,) = desk.ready()
    with pytest.raises(ShopError, match="T-0001 was never handed out"):
        count_use(desk.shop, desk.own.press(), spare.aid_id or 0, 1)
    aid = counted_by(desk, CountedBy.ADD)
    retire(desk.shop, desk.own.press(), aid, RetireReason.LOST)
    with pytest.raises(ShopError, match="T-0002 is no longer in service"):
        count_use(desk.shop, desk.own.press(), aid, 1)


def test_a_correction_books_the_difference(desk: AidShop) -> None:
    aid = counted_by(desk, CountedBy.ADD)
    count_use(desk.shop, desk.own.press(), aid, 100)
    corrected = correct_count(desk.shop, desk.own.press("Max"), aid, 80).value
    assert (corrected.count, corrected.entry.amount, corrected.entry.kind) == (80, -20, UseKind.CORRECTION)
    assert corrected.entry.counted_to is None
    with pytest.raises(ShopError, match="T-0001 stands at 80 already"):
        correct_count(desk.shop, desk.own.press(), aid, 80)
    with desk.shop.read() as uow:
        assert [entry.amount for entry in uow.use_entries.find(is_("aid_id", aid))] == [100, -20]


def test_what_the_calendar_counts_is_not_corrected(desk: AidShop) -> None:
    aid = counted_by(desk, CountedBy.CALENDAR)
    with pytest.raises(ShopError, match="Set a new limit for it instead"):
        correct_count(desk.shop, desk.own.press(), aid, 10)


def used_for_a_week(desk: AidShop) -> int:
    """An aid counted 20 a day from Tuesday to Friday, then nothing for a week of shop days."""
    aid = counted_by(desk, CountedBy.ADD)
    for _ in range(4):
        count_use(desk.shop, desk.own.press("Max"), aid, 20)
        desk.clock.move(days=1)
    desk.clock.move(days=6)  # Friday of the week after
    return aid


def test_after_five_shop_days_the_desk_is_asked(desk: AidShop) -> None:
    aid = used_for_a_week(desk)
    (question,) = weekly_questions(desk.shop)
    assert (question.aid_id, question.tag, question.name) == (aid, "T-0001", "spindle stop 32 x 60")
    assert (question.asked, question.usual, question.machine_id) == (
        "clamp cycles since Fri 27 Nov?",
        80,
        None,
    )


def test_same_as_usual_is_assumed_and_quiets_the_question(desk: AidShop) -> None:
    aid = used_for_a_week(desk)
    answered = answer_same_as_usual(desk.shop, desk.own.press("Max"), aid).value
    assert (answered.entry.kind, answered.entry.amount, answered.entry.sure) == (
        UseKind.SAME_AS_USUAL,
        80,
        Sure.ASSUMED,
    )
    assert (answered.count, weekly_questions(desk.shop)) == (160, ())


def test_none_is_known_then(desk: AidShop) -> None:
    aid = used_for_a_week(desk)
    answered = answer_none(desk.shop, desk.own.press("Max"), aid).value
    assert (answered.entry.amount, answered.entry.sure, answered.count) == (0, Sure.COUNTED, 80)
    assert weekly_questions(desk.shop) == ()


@pytest.mark.parametrize(("how", "amount"), [(CountedBy.ADD, 40), (CountedBy.PARTS, 120)])
def test_a_number_covers_the_days_since_the_last_count(desk: AidShop, how: CountedBy, amount: int) -> None:
    aid = counted_by(desk, how, uses_a_part=3)
    desk.clock.move(days=10)
    (question,) = weekly_questions(desk.shop)
    entry = answer_number(desk.shop, desk.own.press(), question.aid_id, 40).value.entry
    assert (entry.amount, entry.sure) == (amount, Sure.COUNTED)
    assert (entry.counted_from, entry.counted_to) == (desk.aid(aid).in_use_since, desk.clock.now())
    assert weekly_questions(desk.shop) == ()
    with pytest.raises(ShopError, match="cannot be counted"):
        answer_number(desk.shop, desk.own.press(), aid, -1)


def test_undoing_the_answer_asks_again(desk: AidShop) -> None:
    aid = used_for_a_week(desk)
    done = answer_none(desk.shop, desk.own.press("Max"), aid)
    undo(desk.shop, desk.own.press("Max"), done.press_number)
    assert [question.aid_id for question in weekly_questions(desk.shop)] == [aid]


def test_same_as_usual_needs_a_usual(desk: AidShop) -> None:
    aid = counted_by(desk, CountedBy.ADD)
    desk.clock.move(days=8)
    assert weekly_questions(desk.shop)[0].usual is None
    with pytest.raises(ShopError, match="Nobody ever counted T-0001"):
        answer_same_as_usual(desk.shop, desk.own.press(), aid)


def test_a_part_counter_is_asked_for_by_its_machine(desk: AidShop) -> None:
    counted_by(desk, CountedBy.READING)
    counted_by(desk, CountedBy.CALENDAR)
    desk.clock.move(days=6)
    assert weekly_questions(desk.shop) == ()  # Monday: four shop days
    desk.clock.move(hours=24)
    (question,) = weekly_questions(desk.shop)
    assert (question.asked, question.machine_id) == ("parts since Tue 24 Nov?", desk.machine().id)


def test_a_shop_that_is_never_open_is_not_asked(desk: AidShop) -> None:
    counted_by(desk, CountedBy.ADD)
    with desk.shop.write(desk.own.press(), "close") as uow:
        for shift in uow.shifts.find():
            uow.shifts.save(replace(shift, void=True))
        uow.commit()
    desk.clock.move(days=30)
    assert weekly_questions(desk.shop) == ()


def test_a_recent_day_is_named_by_its_weekday(desk: AidShop) -> None:
    with desk.shop.write(desk.own.press(), "open at weekends") as uow:
        for weekday in (5, 6):
            uow.shifts.add(Shift(weekday=weekday, opens="07:00", closes="12:00"))
        uow.commit()
    counted_by(desk, CountedBy.PARTS)
    desk.clock.move(days=5)
    assert weekly_questions(desk.shop)[0].asked == "parts since Tue?"


@given(st.lists(st.tuples(st.sampled_from(["add", "correct", "undo"]), st.integers(1, 500)), max_size=12))
def test_the_count_is_always_the_sum_of_what_was_told(steps: list[tuple[str, int]]) -> None:
    """Adds, corrections and undos in any order: the count is what the last word on it says."""
    clock = FakeClock()
    desk = aid_shop(fake_shop(clock=clock), clock)
    aid = counted_by(desk, CountedBy.ADD)
    told: list[tuple[int, int]] = []  # press number, count before it
    expected = 0
    for what, number in steps:
        clock.move(minutes=7)
        if what == "undo":
            if told:
                press_number, before = told.pop()
                undo(desk.shop, Press(who_id=desk.own.who("Dora")), press_number)
                expected = before
            continue
        if what == "correct" and number == expected:
            continue
        press = desk.own.press("Max")
        before = expected
        if what == "add":
            done, expected = count_use(desk.shop, press, aid, number), expected + number
        else:
            done, expected = correct_count(desk.shop, press, aid, number), number
        told.append((done.press_number, before))
        assert done.value.count == expected
    assert desk.count(aid) == expected
    with desk.shop.read() as uow:
        assert sum(entry.amount for entry in uow.use_entries.find(is_("aid_id", aid))) == expected
