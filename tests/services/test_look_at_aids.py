"""What the place "Aids in service" and the page of one aid show."""

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import TUESDAY_MORNING, FakeClock

from printcrib.core.aids import Aid, AidState, RetireReason
from printcrib.core.errors import NotFound
from printcrib.core.patterns import CountedBy
from printcrib.services.count_use import answer_same_as_usual, correct_count, count_use, read_counter
from printcrib.services.due_reprints import it_is_this_one, print_another
from printcrib.services.finish_copy import shelve
from printcrib.services.forecast_aids import aid_name
from printcrib.services.hand_out_aid import To, hand_out
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_aid import aid_by_tag, look_at_aid
from printcrib.services.look_at_aids import AidRow, look_at_aids
from printcrib.services.read_calendar import calendar_of
from printcrib.services.read_use import MOST_ENTRIES, WINDOWS_DAYS, rates_of, recent_use
from printcrib.services.retire_aid import retire
from printcrib.services.set_aside_aid import set_aside
from printcrib.services.undo_press import undo


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with a pattern expected to last 600 clamp cycles."""
    return aid_shop(shop, clock)


def row(desk: AidShop, aid: Aid) -> AidRow:
    """The row of one aid."""
    return next(each for each in look_at_aids(desk.shop).rows if each.aid_id == aid.id)


def used(desk: AidShop, aid: Aid, a_day: int = 20, days: int = 4) -> Aid:
    """Use an aid on so many days in a row from Tuesday on."""
    for _ in range(days):
        count_use(desk.shop, desk.own.press("Max"), aid.id, a_day)
        desk.clock.move(days=1)
    return aid


def test_an_empty_place(desk: AidShop) -> None:
    page = look_at_aids(desk.shop)
    assert (page.head, page.rows, page.questions) == ("0 aids in use on 0 machines.", (), 0)


def test_a_row_says_it_all(desk: AidShop) -> None:
    aid = used(desk, desk.in_use())
    made = row(desk, aid)
    assert (made.tag, made.name, made.where, made.state) == (
        "T-0001",
        "spindle stop 32 x 60",
        "Lathe 1",
        AidState.IN_USE,
    )
    assert (made.count, made.expected, made.count_words, made.unit) == (
        80,
        610,
        "80 of about 610",
        "clamp cycles",
    )
    assert (made.reprint_words, made.note, made.note_bad, made.spares) == ("Fri 4 Dec", "no spare", True, 0)
    assert made.bar.count == 80.0
    assert made.bar.wears_from is not None
    assert made.bar.wears_to is not None
    assert made.bar.middle is not None
    assert made.bar.count < made.bar.wears_from < made.bar.middle < made.bar.wears_to < made.bar.scale
    assert not made.bar.past
    assert "t-0001" in made.search
    assert "lathe 1" in made.search


def test_what_is_set_aside_comes_first_then_by_date_then_the_shelf(desk: AidShop) -> None:
    spare = desk.ready()[0]
    shelve(desk.shop, desk.own.press(), spare.id, "B2")
    unused, slow, fast, aside = (desk.in_use() for _ in range(4))
    for _ in range(3):
        count_use(desk.shop, desk.own.press(), slow.id, 5)
        count_use(desk.shop, desk.own.press(), fast.id, 50)
        desk.clock.move(days=1)
    set_aside(desk.shop, desk.own.press(), aside.id, "cracked")
    page = look_at_aids(desk.shop)
    assert [each.tag for each in page.rows] == ["T-0005", "T-0004", "T-0003", "T-0002", "T-0001"]
    assert (page.rows[0].note, page.rows[0].note_bad) == ("set aside", True)
    assert (page.rows[3].reprint_words, page.rows[3].note) == ("no usage yet", "")
    assert (page.rows[4].where, page.rows[4].reprint_words, page.rows[4].spares) == ("B2", "on the shelf", 1)
    assert unused.tag == "T-0002"


def test_the_head_counts_what_is_due_and_aside(desk: AidShop) -> None:
    desk.edit_pattern(expected_life=100, reliability="locating")
    aid, other = desk.in_use(), desk.in_use(to=To(machine_id=desk.machine("Mill 2").id))
    count_use(desk.shop, desk.own.press(), other.id, 30)
    assert look_at_aids(desk.shop).head == "2 aids in use on 2 machines. 1 to reprint this week."
    count_use(desk.shop, desk.own.press(), aid.id, 101)
    assert look_at_aids(desk.shop).head == (
        "1 aid in use on 1 machine. 1 to reprint this week, 1 set aside, 1 past its limit."
    )
    set_aside(desk.shop, desk.own.press(), other.id, "cracked")
    assert look_at_aids(desk.shop).head == ("0 aids in use on 0 machines. 2 set aside, 1 past its limit.")
    made = row(desk, aid)
    assert made.bar.past
    assert made.reprint_words == "today"


def test_only_set_aside_for_another_reason(desk: AidShop) -> None:
    set_aside(desk.shop, desk.own.press(), desk.in_use().id, "cracked")
    assert look_at_aids(desk.shop).head == "0 aids in use on 0 machines. 1 set aside."


def test_past_its_limit_but_allowed_to_stay(desk: AidShop) -> None:
    desk.edit_pattern(expected_life=10)
    aid = desk.in_use()
    count_use(desk.shop, desk.own.press(), aid.id, 11)
    made = row(desk, aid)
    assert (made.note, made.note_bad, made.bar.past) == ("past its limit", True, True)


def test_notes_on_the_date(desk: AidShop) -> None:
    for _ in range(2):
        shelve(desk.shop, desk.own.press(), desk.ready()[0].id)
    by_calendar = desk.in_use(to=To(machine_id=desk.machine().id, counted_by=CountedBy.CALENDAR))
    soon = used(desk, desk.in_use(), 100)
    assert row(desk, by_calendar).note == "by calendar"
    made = row(desk, soon)
    assert (made.note, made.reprint_words) == ("in 5 days", "Thu 3 Dec")
    desk.clock.move(days=9)
    assert row(desk, soon).note == "assumed"
    assert (row(desk, soon).reprint_words, row(desk, soon).note_bad) == ("today", False)


def test_far_dates_are_named_by_month(desk: AidShop) -> None:
    aid = used(desk, desk.in_use(), 2)
    made = row(desk, aid)
    assert (made.reprint_words, made.note) == ("Mar 2027", "")


def test_a_bar_without_a_guess(desk: AidShop) -> None:
    desk.edit_pattern(expected_life=None)
    aid = used(desk, desk.in_use())
    made = row(desk, aid)
    assert (made.expected, made.count_words, made.bar.wears_from) == (None, "80", None)
    assert made.bar.scale == pytest.approx(88.0)
    page = look_at_aid(desk.shop, aid.id)
    assert (page.wears_words, page.limit) == ("", None)


def test_the_page_of_an_aid(desk: AidShop) -> None:
    with desk.shop.write(desk.own.press(), "place") as uow:
        uow.sizes.save(replace(uow.sizes.get(desk.size.id), shelf_place="shelf B2"))
        uow.commit()
    aid = used(desk, desk.in_use())
    shelve(desk.shop, desk.own.press(), desk.ready()[0].id)
    wrong = count_use(desk.shop, desk.own.press("Max"), aid.id, 500)
    undo(desk.shop, desk.own.press("Max"), wrong.press_number)
    page = look_at_aid(desk.shop, aid.id)
    assert (page.wears_words, page.rate_words) == ("wears out at 450 to 850", "20 a working day")
    assert (page.likely_words, page.spare_words, page.limit) == ("", "1, shelf B2", 600)
    assert (page.reprint_id, page.reprint_tag, page.can_count, page.why_not) == (None, "", True, "")
    said = [(line.words, line.who) for line in page.history]
    assert said[:3] == [("-500 undone", "Max"), ("+500 counted", "Max"), ("+20 counted", "Max")]
    assert said[-2:] == [("hand out", "Dora"), ("finish copies", "Dora")]
    asked = print_another(desk.shop, desk.own.press("Max"), aid.id).value
    page = look_at_aid(desk.shop, aid.id)
    assert (page.reprint_id, page.reprint_tag) == (asked.id, asked.tag)


def test_an_open_request_that_names_no_aid_is_asked_about(desk: AidShop) -> None:
    aid = desk.in_use()
    assert look_at_aid(desk.shop, aid.id).maybe_id is None
    own = desk.own.ask(file=None, size_id=desk.size.id, machine_id=aid.machine_id, safety_answers=())
    page = look_at_aid(desk.shop, aid.id)
    assert (page.maybe_id, page.maybe_tag) == (own.id, own.tag)
    it_is_this_one(desk.shop, desk.own.press(), aid.id, own.id, True)
    page = look_at_aid(desk.shop, aid.id)
    assert (page.reprint_id, page.maybe_id, page.maybe_tag) == (own.id, None, "")


def test_the_request_an_aid_came_from_is_not_its_reprint(desk: AidShop) -> None:
    lathe = desk.machine()
    copies = desk.ready(quantity=2, machine_id=lathe.id)
    handed = hand_out(desk.shop, desk.own.press(), copies[0].id).value
    assert handed.aid is not None
    assert look_at_aid(desk.shop, handed.aid.id).maybe_id is None


def test_a_page_when_nobody_counted_lately(desk: AidShop) -> None:
    aid = used(desk, desk.in_use(), 2)
    desk.clock.move(days=10)
    page = look_at_aid(desk.shop, aid.id)
    assert page.rate_words == "2.0 a working day, assumed"
    assert page.likely_words == "about 20 by now, nobody counted for 6 working days"
    assert page.spare_words == "0"
    answer_same_as_usual(desk.shop, desk.own.press("Max"), aid.id)
    page = look_at_aid(desk.shop, aid.id)
    assert (page.likely_words, page.history[0].words) == ("", "+12 same as usual, assumed")


@pytest.mark.parametrize(
    ("how", "rate", "why_not"),
    [
        (CountedBy.ADD, "no usage yet", ""),
        (CountedBy.PARTS, "no usage yet", ""),
        (CountedBy.CALENDAR, "by the calendar", "Counted by the calendar; there is nothing to enter."),
        (CountedBy.READING, "no usage yet", "Counted by the part counter of Lathe 1."),
    ],
)
def test_how_an_aid_is_counted(desk: AidShop, how: CountedBy, rate: str, why_not: str) -> None:
    aid = desk.in_use(to=To(machine_id=desk.machine().id, counted_by=how))
    page = look_at_aid(desk.shop, aid.id)
    assert (page.rate_words, page.why_not, page.can_count) == (rate, why_not, not why_not)


def test_a_spare_is_not_counted(desk: AidShop) -> None:
    (copy,) = desk.ready()
    page = look_at_aid(desk.shop, copy.aid_id or 0)
    assert (page.why_not, page.row.where) == ("Never handed out yet.", "shelf")
    with desk.shop.write(desk.own.press(), "by counter") as uow:
        uow.aids.save(replace(uow.aids.get(copy.aid_id or 0), counted_by=CountedBy.READING))
        uow.commit()
    assert look_at_aid(desk.shop, copy.aid_id or 0).why_not == "Counted by the part counter of its machine."


def test_a_retired_aid_has_no_page(desk: AidShop) -> None:
    aid = desk.in_use()
    retire(desk.shop, desk.own.press(), aid.id, RetireReason.WORN_OUT)
    assert look_at_aids(desk.shop).rows == ()
    with pytest.raises(NotFound, match=r"T-0001 is no longer in service \(worn out\)"):
        look_at_aid(desk.shop, aid.id)


@pytest.mark.parametrize(
    "scanned",
    ["T-0001", "t1", " T 0001 ", "1", "t-1", "http://desk:8080/count/T-0001", "https://desk/count?tag=1/"],
)
def test_a_tag_is_found_however_it_is_written(desk: AidShop, scanned: str) -> None:
    aid = desk.in_use()
    assert aid_by_tag(desk.shop, scanned) == aid.id


@pytest.mark.parametrize("scanned", ["T-0002", "S-1", "", "T-", "1; x"])
def test_other_words_are_no_tag(desk: AidShop, scanned: str) -> None:
    desk.in_use()
    with pytest.raises(NotFound, match="No aid has the tag"):
        aid_by_tag(desk.shop, scanned)


def test_an_aid_of_a_one_off_goes_by_its_request(desk: AidShop) -> None:
    with desk.shop.write(desk.own.press(), "look") as uow:
        pattern = replace(uow.patterns.get(desk.pattern.id), listed=False)
        size = uow.sizes.get(desk.size.id)
    assert aid_name(pattern, size, "left") == "32 x 60 left"


def test_rates_from_readings_and_from_very_many_entries(
    desk: AidShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    aid = desk.in_use(to=To(machine_id=desk.machine().id, counted_by=CountedBy.READING, counter=0))
    desk.clock.move(days=3)
    read_counter(desk.shop, desk.own.press(), desk.machine().id, 90)
    desk.clock.move(days=1)

    def rate(window: int) -> float:
        monkeypatch.setattr("printcrib.services.read_use.MOST_ENTRIES", window)
        with desk.shop.read() as uow:
            entries = recent_use(uow, [uow.aids.get(aid.id)])
            return rates_of(entries, calendar_of(uow), uow.now)[aid.id].per_day

    assert rate(MOST_ENTRIES) == pytest.approx(30.0)
    assert rate(0) == pytest.approx(30.0)
    desk.clock.move(days=WINDOWS_DAYS[0] + 7)  # nothing recent: the last entries still give the last rate
    assert rate(0) == pytest.approx(30.0)


def test_a_correction_alone_is_no_use(desk: AidShop) -> None:
    aid = desk.in_use()
    correct_count(desk.shop, desk.own.press(), aid.id, 40)
    assert look_at_aid(desk.shop, aid.id).rate_words == "no usage yet"
    assert row(desk, aid).count == 40


def test_moments_in_the_history_are_said_as_people_say_them(desk: AidShop) -> None:
    aid = desk.in_use()
    late = TUESDAY_MORNING + timedelta(hours=1)
    desk.clock.move(hours=3)
    count_use(desk.shop, desk.own.press("Max", late), aid.id, 1)
    lines = look_at_aid(desk.shop, aid.id).history
    assert [(line.when, line.words) for line in lines] == [
        ("08:00", "+1 counted"),
        ("07:00", "hand out"),
        ("07:00", "finish copies"),
    ]
