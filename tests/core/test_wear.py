"""The use rate, what nobody counted, and the day the next one must be there."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from printcrib.core.aids import Sure, UseEntry, UseKind
from printcrib.core.life import Forecast
from printcrib.core.patterns import Reliability
from printcrib.core.wear import (
    FARTHEST_DAYS,
    NO_USAGE,
    NOT_SOON,
    NOT_USED_LATELY,
    CountBand,
    KnownUse,
    Need,
    UseRate,
    calendar_count,
    count_band,
    days_a_unit,
    known_use,
    life_left,
    limit_of,
    must_be_set_aside,
    need_by_service,
    need_by_use,
    spare_life,
    use_rate,
    working_days_in,
)

MONDAY = date(2026, 11, 2)


def weekday(day: date) -> bool:
    """Open Monday to Friday."""
    return day.weekday() < 5


def days(*amounts: int | None, first: date = MONDAY) -> list[KnownUse]:
    """One entry a working day; None where nobody counted."""
    told, day = [], first
    for amount in amounts:
        while not weekday(day):
            day += timedelta(days=1)
        if amount is not None:
            told.append(KnownUse(day, day, amount))
        day += timedelta(days=1)
    return told


def rate(told: list[KnownUse], today: date) -> UseRate:
    """The rate, which is there."""
    found = use_rate(told, weekday, today)
    assert found is not None
    return found


def test_a_steady_use_is_its_rate() -> None:
    found = rate(days(40, 40, 40, 40, 40), MONDAY + timedelta(days=7))
    assert found.per_day == pytest.approx(40.0)
    assert (found.known_days, found.unknown_days) == (5, 0)
    assert 0.0 < found.sd < 0.3 * 40.0
    assert not found.assumed


def test_the_newest_day_weighs_a_fifth() -> None:
    assert rate(days(10, 20), MONDAY + timedelta(days=2)).per_day == pytest.approx(10 + 0.2 * 10)
    assert rate(days(10, 20, 0), MONDAY + timedelta(days=3)).per_day == pytest.approx(0.8 * 12)


def test_a_day_without_an_entry_is_unknown_not_zero() -> None:
    with_gap = rate(days(30, None, None, 30), MONDAY + timedelta(days=4))
    assert with_gap.per_day == pytest.approx(30.0)
    assert with_gap.known_days == 2


def test_days_nobody_counted_widen_the_doubt_and_are_assumed_after_five() -> None:
    told = days(30, 30, 30, 30, 30)
    rates = [rate(told, MONDAY + timedelta(days=7 + ahead)) for ahead in (0, 1, 4, 7)]
    assert [found.unknown_days for found in rates] == [0, 1, 4, 5]
    assert [found.assumed for found in rates] == [False, False, False, True]
    assert all(found.per_day == pytest.approx(30.0) for found in rates)
    assert rates[0].sd < rates[1].sd < rates[2].sd < rates[3].sd


def test_today_is_still_going_on() -> None:
    tuesday = MONDAY + timedelta(days=1)
    assert rate(days(30, 2), tuesday).per_day == pytest.approx(30.0)
    assert rate(days(None, 2), tuesday).per_day == pytest.approx(2.0)


def test_a_stretch_heals_the_days_nobody_counted() -> None:
    whole = [KnownUse(MONDAY, MONDAY + timedelta(days=6), 100)]
    found = rate(whole, MONDAY + timedelta(days=7))
    assert found.per_day == pytest.approx(20.0)
    assert (found.known_days, found.unknown_days) == (5, 0)


def test_use_on_a_closed_day_counts_for_the_working_day_before() -> None:
    saturday = MONDAY + timedelta(days=5)
    told = [*days(10, 10, 10, 10, 10), KnownUse(saturday, saturday, 10)]
    assert rate(told, MONDAY + timedelta(days=7)).per_day == pytest.approx(10 + 0.2 * 10)


def test_a_shop_that_is_always_closed_still_has_a_rate() -> None:
    found = use_rate([KnownUse(MONDAY, MONDAY, 7)], lambda day: False, MONDAY + timedelta(days=3))
    assert found is not None
    assert (found.per_day, found.unknown_days) == (7.0, 0)


def test_nothing_told_is_no_rate() -> None:
    assert use_rate([], weekday, MONDAY) is None
    assert use_rate([KnownUse(MONDAY, MONDAY, 5, counts=False)], weekday, MONDAY) is None


def test_what_was_assumed_is_known_but_teaches_nothing() -> None:
    friday = MONDAY + timedelta(days=4)
    told = [*days(30), KnownUse(MONDAY + timedelta(days=1), friday, 400, counts=False)]
    found = rate(told, MONDAY + timedelta(days=7))
    assert found.per_day == pytest.approx(30.0)
    assert found.unknown_days == 0


@given(st.lists(st.integers(0, 200), min_size=1, max_size=40))
def test_a_rate_lies_between_the_least_and_the_most(amounts: list[int]) -> None:
    found = use_rate(days(*amounts), weekday, MONDAY + timedelta(days=90))
    assert found is not None
    assert min(amounts) - 1e-9 <= found.per_day <= max(amounts) + 1e-9
    assert found.sd >= 0.0


def test_a_negative_mean_is_no_use() -> None:
    assert rate([KnownUse(MONDAY, MONDAY, -5)], MONDAY + timedelta(days=1)).per_day == 0.0


def entry(key: int, amount: int, kind: UseKind = UseKind.ADD, **fields: object) -> UseEntry:
    """A use entry."""
    told: dict[str, object] = {"id": key, "aid_id": 1, "kind": kind, "amount": amount, "who_id": 1, **fields}
    return UseEntry(happened_at=datetime(2026, 11, 2, 9, tzinfo=UTC), **told)  # type: ignore[arg-type]


def test_opposed_entries_corrections_and_void_ones_say_nothing_on_days() -> None:
    entries = [
        entry(1, 10),
        entry(2, 20),
        entry(3, -20, UseKind.OPPOSED, opposes_id=2),
        entry(4, -3, UseKind.CORRECTION),
        entry(5, 50, UseKind.SAME_AS_USUAL, sure=Sure.ASSUMED),
        entry(6, 60, void=True),
    ]
    told = known_use(entries, lambda each: (each.happened_at.date(), each.happened_at.date()))
    assert told == [KnownUse(MONDAY, MONDAY, 10), KnownUse(MONDAY, MONDAY, 50, counts=False)]


def test_working_days_within() -> None:
    assert working_days_in(MONDAY, MONDAY + timedelta(days=6), weekday) == 5
    assert working_days_in(MONDAY, MONDAY - timedelta(days=1), weekday) == 0


def test_a_count_with_what_nobody_told_since() -> None:
    known = UseRate(20.0, 4.0, 10)
    assert count_band(100, None) == CountBand(100, 100, 100, 100)
    assert count_band(100, known) == CountBand(100, 100, 100, 100)
    band = count_band(100, UseRate(20.0, 4.0, 10, 5))
    assert (band.counted, band.likely) == (100, 200.0)
    assert (band.low, band.high) == pytest.approx((200 - 1.645 * 20, 200 + 1.645 * 20))
    assert count_band(100, UseRate(2.0, 9.0, 1, 5)).low == 100


def test_needed_by_is_the_life_left_at_a_fast_rate() -> None:
    """The picture's spindle stop: 340 of about 600, 46 a working day, needed in two days."""
    life = Forecast(600.0)
    left = life_left(life, None, 340.0, Reliability.CONSUMABLE)
    assert left is not None
    assert left == pytest.approx(100.54, abs=0.01)
    assert need_by_use(left, UseRate(46.0, 0.0, 20), Reliability.CONSUMABLE) == Need(2)
    assert need_by_use(left, UseRate(46.0, 10.0, 20), Reliability.CONSUMABLE) == Need(1)


def test_days_nobody_counted_wear_it_all_the_same() -> None:
    known, quiet = UseRate(10.0, 0.0, 20), UseRate(10.0, 0.0, 20, 3)
    assert need_by_use(85.0, known, Reliability.NORMAL).days == 8
    assert need_by_use(85.0, quiet, Reliability.NORMAL).days == 5
    assert need_by_use(25.0, quiet, Reliability.NORMAL).days == 0


def test_the_class_of_reliability_moves_the_day() -> None:
    life, use = Forecast(600.0), UseRate(5.0, 0.5, 20)
    needs = []
    for reliability in (Reliability.CONSUMABLE, Reliability.NORMAL, Reliability.LOCATING):
        left = life_left(life, None, 100.0, reliability)
        assert left is not None
        needs.append(need_by_use(left, use, reliability).days or 0)
    assert needs[0] > needs[1] > needs[2]


def test_a_limit_ends_the_life_before_the_forecast() -> None:
    life = Forecast(600.0)
    assert life_left(life, 120, 100.0, Reliability.CONSUMABLE) == 20.0
    assert life_left(life, 90, 100.0, Reliability.CONSUMABLE) == 0.0
    assert life_left(None, 120, 100.0, Reliability.NORMAL) == 20.0
    assert life_left(None, None, 100.0, Reliability.NORMAL) is None


def test_each_spare_adds_its_own_life() -> None:
    life = Forecast(600.0)
    one = life_left(life, 600, 0.0, Reliability.NORMAL)
    assert one is not None
    assert spare_life(life, 600, Reliability.NORMAL, 2) == pytest.approx(2 * one)
    assert spare_life(None, None, Reliability.NORMAL, 2) == 0.0
    assert spare_life(life, 600, Reliability.NORMAL, 0) == 0.0
    use = UseRate(10.0, 0.0, 20)
    without = need_by_use(50.0, use, Reliability.NORMAL)
    with_one = need_by_use(50.0, use, Reliability.NORMAL, one)
    assert (without.days, with_one.days) == (5, int((50 + one) / 10))


def test_words_where_no_day_can_be_named() -> None:
    none = UseRate(0.0, 0.0, 5)
    slow = UseRate(0.01, 0.0, 5)
    assert need_by_use(50.0, none, Reliability.NORMAL) == Need(None, why=NOT_USED_LATELY)
    assert need_by_use(50.0, slow, Reliability.NORMAL).why == NOT_SOON
    assert need_by_use(FARTHEST_DAYS * 0.01, slow, Reliability.NORMAL).days == FARTHEST_DAYS
    assert need_by_use(-5.0, UseRate(1.0, 0.0, 5), Reliability.NORMAL).days == 0


def test_an_aid_nobody_counted_goes_by_days_in_service() -> None:
    assert need_by_service(None, 10) == Need(None, why=NO_USAGE)
    assert need_by_service(120, 20) == Need(100, calendar=True, assumed=True)
    assert need_by_service(120, 20, spares=1) == Need(220, calendar=True, assumed=True)
    assert need_by_service(120, 500) == Need(0, calendar=True, assumed=True)


def test_the_limit_of_a_check_goes_before_all_others() -> None:
    assert limit_of(700, 500, 600) == 700
    assert limit_of(None, 500, 600) == 500
    assert limit_of(None, None, 600) == 600
    assert limit_of(None, None, None) is None


@pytest.mark.parametrize(
    ("count", "limit", "answers", "reliability", "aside"),
    [
        (101, 100, (1,), Reliability.NORMAL, True),
        (101, 100, (2,), Reliability.CONSUMABLE, True),
        (101, 100, (), Reliability.LOCATING, True),
        (101, 100, (6, 9), Reliability.NORMAL, False),
        (100, 100, (1, 2), Reliability.LOCATING, False),
        (101, None, (1, 2), Reliability.LOCATING, False),
    ],
)
def test_set_aside(
    count: float, limit: int | None, answers: tuple[int, ...], reliability: Reliability, aside: bool
) -> None:
    assert must_be_set_aside(count, limit, answers, reliability) is aside


@pytest.mark.parametrize(
    ("unit", "a_unit"), [("days", 1), ("Weeks", 7), ("months", 30), ("years", 365), ("uses", 1)]
)
def test_the_calendar_counts_in_the_patterns_unit(unit: str, a_unit: int) -> None:
    assert days_a_unit(unit) == a_unit
    assert calendar_count(unit, 365) == 365 // a_unit
