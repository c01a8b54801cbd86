"""When somebody is in, and how moments are said."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from printcrib.core import calendar as cal
from printcrib.core.errors import ShopError
from printcrib.core.shop import ClosedDay, Shift

BERLIN = "Europe/Berlin"
WEEK = tuple(cal.WeeklyShift(day, time(7), time(17)) for day in range(5))
SHOP = cal.ShopCalendar(BERLIN, WEEK, frozenset({date(2026, 11, 26)}))


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[arg-type, misc]


def test_a_week_of_shifts_without_the_closed_day() -> None:
    spans = cal.open_spans(SHOP, utc(2026, 11, 23), utc(2026, 11, 30))
    assert [start.day for start, _ in spans] == [23, 24, 25, 27]
    assert spans[0] == (utc(2026, 11, 23, 6), utc(2026, 11, 23, 16))


def test_spans_are_clipped_to_what_was_asked() -> None:
    assert cal.open_spans(SHOP, utc(2026, 11, 23, 9), utc(2026, 11, 23, 10)) == [
        (utc(2026, 11, 23, 9), utc(2026, 11, 23, 10))
    ]
    assert cal.open_spans(SHOP, utc(2026, 11, 23, 17), utc(2026, 11, 23, 20)) == []


def test_touching_and_overlapping_shifts_are_one_span() -> None:
    shifts = (
        cal.WeeklyShift(0, time(6), time(14)),
        cal.WeeklyShift(0, time(14), time(22)),
        cal.WeeklyShift(0, time(8), time(9)),
        cal.WeeklyShift(0, time(23), time(23, 30)),
    )
    shop = cal.ShopCalendar("UTC", shifts)
    assert cal.open_spans(shop, utc(2026, 11, 23), utc(2026, 11, 24)) == [
        (utc(2026, 11, 23, 6), utc(2026, 11, 23, 22)),
        (utc(2026, 11, 23, 23), utc(2026, 11, 23, 23, 30)),
    ]


def test_a_night_shift_belongs_to_the_day_it_opens() -> None:
    shop = cal.ShopCalendar("UTC", (cal.WeeklyShift(4, time(22), time(6)),), frozenset({date(2026, 11, 27)}))
    assert cal.open_spans(shop, utc(2026, 11, 21, 0), utc(2026, 11, 21, 12)) == [
        (utc(2026, 11, 21, 0), utc(2026, 11, 21, 6))
    ]
    assert cal.open_spans(shop, utc(2026, 11, 27), utc(2026, 11, 29)) == []


def test_a_skipped_wall_time_moves_forward_and_a_double_one_is_the_first() -> None:
    # Clocks in Berlin: 2026-03-29 02:00 -> 03:00, 2026-10-25 03:00 -> 02:00.
    assert cal.wall_time_utc(date(2026, 3, 29), time(2, 30), BERLIN) == utc(2026, 3, 29, 1, 30)
    assert cal.wall_time_utc(date(2026, 10, 25), time(2, 30), BERLIN) == utc(2026, 10, 25, 0, 30)
    assert cal.wall_time_utc(date(2026, 10, 25), time(2, 30, fold=1), BERLIN) == utc(2026, 10, 25, 0, 30)


def test_a_shift_the_clocks_swallow_is_no_shift() -> None:
    shop = cal.ShopCalendar(BERLIN, (cal.WeeklyShift(6, time(2, 30), time(3, 15)),))
    assert cal.open_spans(shop, utc(2026, 3, 29), utc(2026, 3, 30)) == []


def test_the_shift_over_the_end_of_summer_time_is_an_hour_longer() -> None:
    shop = cal.ShopCalendar(BERLIN, (cal.WeeklyShift(5, time(22), time(6)),))
    ((start, end),) = cal.open_spans(shop, utc(2026, 10, 24, 12), utc(2026, 10, 25, 12))
    assert end - start == timedelta(hours=9)


def test_is_open_and_next_opening() -> None:
    assert cal.is_open(SHOP, utc(2026, 11, 23, 6))
    assert not cal.is_open(SHOP, utc(2026, 11, 23, 16))
    assert cal.next_opening(SHOP, utc(2026, 11, 23, 6, 30)) == utc(2026, 11, 23, 6, 30)
    assert cal.next_opening(SHOP, utc(2026, 11, 25, 17)) == utc(2026, 11, 27, 6)
    assert cal.next_opening(cal.ShopCalendar(BERLIN), utc(2026, 11, 25, 17)) is None


def test_next_opening_after_a_long_closure() -> None:
    closed = frozenset(date(2026, 12, 1) + timedelta(days=ahead) for ahead in range(40))
    shop = cal.ShopCalendar("UTC", WEEK, closed)
    assert cal.next_opening(shop, utc(2026, 12, 1)) == utc(2027, 1, 11, 7)


def test_working_days() -> None:
    assert cal.add_working_days(SHOP, date(2026, 11, 25), 1) == date(2026, 11, 27)
    assert cal.add_working_days(SHOP, date(2026, 11, 27), -1) == date(2026, 11, 25)
    assert cal.add_working_days(SHOP, date(2026, 11, 28), 0) == date(2026, 11, 28)
    assert cal.working_days_between(SHOP, date(2026, 11, 25), date(2026, 11, 30)) == 2
    assert cal.working_days_between(SHOP, date(2026, 11, 30), date(2026, 11, 25)) == -2


def test_a_shop_without_shifts_has_no_working_days() -> None:
    with pytest.raises(ShopError, match="no working days"):
        cal.add_working_days(cal.ShopCalendar(BERLIN), date(2026, 11, 25), 1)


@given(st.dates(date(2020, 1, 1), date(2030, 1, 1)), st.integers(1, 60))
@settings(max_examples=50)
def test_adding_working_days_is_undone_by_counting_them(day: date, count: int) -> None:
    assert cal.working_days_between(SHOP, day, cal.add_working_days(SHOP, day, count)) == count


@pytest.mark.parametrize("name", ["", "Europe/Atlantis", "../etc/passwd"])
def test_an_unknown_zone_is_refused(name: str) -> None:
    with pytest.raises(ShopError, match="time zone"):
        cal.shop_zone(name)


def test_zones_of_a_wall_are_places_people_know() -> None:
    zones = cal.wall_zones()
    assert {"Europe/Vienna", "America/New_York", "Etc/UTC"} <= set(zones)
    assert not any(zone.startswith(("posix/", "US/", "Etc/GMT")) for zone in zones)
    assert cal.zone_words("America/New_York") == "America/New York"


@pytest.mark.parametrize(
    "text", ["", "2026", "2026-48", "2026-W54", "2025-W53", "26-W48", "2026-W4", "9999-W52x"]
)
def test_what_is_no_week_is_refused(text: str) -> None:
    with pytest.raises(ShopError, match="2026-W48"):
        cal.iso_week_span(text, BERLIN)


def test_the_last_week_of_the_calendar_is_refused_not_crashed() -> None:
    with pytest.raises(ShopError, match="2026-W48"):
        cal.iso_week_span("9999-W52", BERLIN)


@given(st.integers(0, 3_000_000_000))
@settings(max_examples=50)
def test_a_moment_lies_in_its_own_week(seconds: int) -> None:
    moment = datetime.fromtimestamp(seconds, UTC)
    start, end = cal.iso_week_span(cal.iso_week_text(moment, BERLIN), BERLIN)
    assert start <= moment < end


def test_the_shops_records_become_its_calendar() -> None:
    shifts = [
        Shift(weekday=0, opens="07:00", closes="17:00"),
        Shift(weekday=1, opens="14:00", closes="24:00"),
    ]
    made = cal.calendar_of(BERLIN, shifts, [ClosedDay(day="2026-12-25")])
    assert made.closed_days == {date(2026, 12, 25)}
    assert cal.open_spans(made, utc(2026, 11, 23), utc(2026, 11, 26)) == [
        (utc(2026, 11, 23, 6), utc(2026, 11, 23, 16)),
        (utc(2026, 11, 24, 13), utc(2026, 11, 24, 23)),
    ]


def test_moments_in_words() -> None:
    now = utc(2026, 11, 24, 9)
    assert cal.moment_words(now, utc(2026, 11, 24, 12, 40), BERLIN) == "13:40"
    assert cal.moment_words(now, utc(2026, 11, 26, 7, 10), BERLIN) == "Thu 08:10"
    assert cal.moment_words(now, utc(2026, 11, 19, 7, 10), BERLIN) == "Thu 08:10"
    assert cal.moment_words(now, utc(2026, 12, 1, 7, 10), BERLIN) == "Tue 1 Dec"
    assert cal.moment_words(now, utc(2027, 1, 4, 7, 10), BERLIN) == "Mon 4 Jan 2027"


def test_work_by_hand_rests_while_nobody_is_in() -> None:
    friday = utc(2026, 11, 27, 15, 40)  # 16:40 in the shop
    assert cal.after_open_minutes(SHOP, friday, 0) == friday
    assert cal.after_open_minutes(SHOP, friday, 20) == utc(2026, 11, 27, 16)
    assert cal.after_open_minutes(SHOP, friday, 50) == utc(2026, 11, 30, 6, 30)
    assert cal.after_open_minutes(SHOP, utc(2026, 11, 28, 9), 10) == utc(2026, 11, 30, 6, 10)


def test_work_by_hand_in_a_shop_without_hours_or_long_closed() -> None:
    moment = utc(2026, 11, 27, 15, 40)
    assert cal.after_open_minutes(cal.ShopCalendar("UTC"), moment, 30) == moment + timedelta(minutes=30)
    closed = frozenset(date(2026, 11, 27) + timedelta(days=ahead) for ahead in range(10))
    shop = cal.ShopCalendar("UTC", tuple(cal.WeeklyShift(day, time(7), time(17)) for day in range(7)), closed)
    assert cal.after_open_minutes(shop, moment, 30) == utc(2026, 12, 7, 7, 30)
