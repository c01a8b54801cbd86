"""How fast an aid is used, how sure that is, and the day its reprint must be there."""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from printcrib.core.aids import Sure, UseEntry, UseKind
from printcrib.core.life import Forecast
from printcrib.core.patterns import Reliability

ALPHA = 0.2
"""Weight of the newest known working day in the use rate."""

FIRST_DOUBT = 0.5
"""Doubt (one sd) of a rate known from a single day, as a share of it (ours, no source)."""

WIDEN_A_DAY = 0.1
"""How much the doubt grows for each working day nobody counted, as a share of the rate (ours, no source)."""

ASK_AFTER_DAYS = 5
"""In use without an entry for so many shop days: the count is assumed, and the desk is asked."""

FARTHEST_DAYS = 750
"""No date is named further ahead than so many working days."""

Q: dict[Reliability, float] = {
    Reliability.CONSUMABLE: 0.80,
    Reliability.NORMAL: 0.90,
    Reliability.LOCATING: 0.99,
}
"""How sure the shop wants to be that an aid still works, by its reliability class."""

Z: dict[Reliability, float] = {
    Reliability.CONSUMABLE: 0.8416,
    Reliability.NORMAL: 1.2816,
    Reliability.LOCATING: 2.3263,
}
"""The same as a distance in standard deviations (quantiles of the normal distribution)."""


@dataclass(frozen=True)
class UseRate:
    """How much an aid is used a working day.

    Attributes:
        per_day: use units a working day, exponentially weighted over the known days.
        sd: its doubt, one standard deviation.
        known_days: how many days it rests on.
        unknown_days: working days since the last known one.
        assumed: nobody counted for a week of shop days, so the last rate is only kept.
    """

    per_day: float
    sd: float
    known_days: int
    unknown_days: int = 0

    @property
    def assumed(self) -> bool:
        """Whether the rate is only kept, nobody having counted lately."""
        return self.unknown_days >= ASK_AFTER_DAYS


@dataclass(frozen=True)
class KnownUse:
    """Use somebody told for a stretch of shop days.

    Attributes:
        first, last: the days it covers, both included.
        amount: in use units, over all of them.
        counts: False for what was only assumed or corrected; it makes the days known but teaches no rate.
    """

    first: date
    last: date
    amount: int
    counts: bool = True


def known_use(entries: Iterable[UseEntry], day_of: Callable[[UseEntry], tuple[date, date]]) -> list[KnownUse]:
    """What the entries of one aid say about its days; opposed entries and their opposites cancel out.

    Args:
        entries: of one aid, in any order.
        day_of: first and last shop day an entry covers.
    """
    listed = [entry for entry in entries if not entry.void]
    opposed = {entry.opposes_id for entry in listed if entry.opposes_id is not None}
    kept = [entry for entry in listed if entry.opposes_id is None and entry.id not in opposed]
    told: list[KnownUse] = []
    for entry in kept:
        if entry.kind is not UseKind.CORRECTION:
            first, last = day_of(entry)
            told.append(KnownUse(first, last, entry.amount, entry.sure is Sure.COUNTED))
    return told


def use_rate(told: Sequence[KnownUse], is_working: Callable[[date], bool], today: date) -> UseRate | None:
    """The use rate a working day from the days that are known; None when nothing was ever counted.

    An exponentially weighted mean (weight 0.2 for the newest day). A day without an entry is unknown,
    not zero: it is left out, and each one since the last entry widens the doubt. Use on a day the
    shop is closed counts for the working day before it. Today is still going on and is left out
    while any other day is known.
    """
    if not told:
        return None
    days = _by_day((use for use in told if use.counts), is_working)
    if len(days) > 1:
        days.pop(today, None)
    if not days:
        return None
    last_known = max(use.last for use in told)
    unknown = working_days_in(last_known + timedelta(days=1), today - timedelta(days=1), is_working)
    return _weighted([days[day] for day in sorted(days)], unknown)


def _by_day(told: Iterable[KnownUse], is_working: Callable[[date], bool]) -> dict[date, float]:
    """Each stretch spread evenly over its working days."""
    days: dict[date, float] = {}
    for use in told:
        length = (use.last - use.first).days + 1
        stretch = [use.first + timedelta(days=ahead) for ahead in range(length)]
        working = [day for day in stretch if is_working(day)] or [_working_day_before(use.last, is_working)]
        for day in working:
            days[day] = days.get(day, 0.0) + use.amount / len(working)
    return days


def _working_day_before(day: date, is_working: Callable[[date], bool]) -> date:
    for back in range(15):
        earlier = day - timedelta(days=back)
        if is_working(earlier):
            return earlier
    return day  # the shop was closed for a fortnight: the day stands for itself


def _weighted(amounts: Sequence[float], unknown: int) -> UseRate:
    mean, spread, weight_squares = amounts[0], 0.0, 1.0
    for amount in amounts[1:]:
        off = amount - mean
        mean += ALPHA * off
        spread = (1 - ALPHA) * (spread + ALPHA * off * off)
        weight_squares = (1 - ALPHA) ** 2 * weight_squares + ALPHA**2
    mean = max(mean, 0.0)
    variance = (FIRST_DOUBT * mean) ** 2 / len(amounts)
    if weight_squares < 1.0:
        variance = max(variance, spread * weight_squares / (1.0 - weight_squares))
    variance += unknown * (WIDEN_A_DAY * mean) ** 2
    return UseRate(mean, math.sqrt(variance), len(amounts), unknown)


def working_days_in(first: date, last: date, is_working: Callable[[date], bool]) -> int:
    """How many working days lie between two dates, both included; 0 when last is earlier."""
    return sum(is_working(first + timedelta(days=ahead)) for ahead in range((last - first).days + 1))


@dataclass(frozen=True)
class CountBand:
    """A count with what nobody told since.

    Attributes:
        counted: sum of the entries.
        likely: with the last rate kept through the days nobody counted. low, high: its 90 % band.
    """

    counted: int
    likely: float
    low: float
    high: float


def count_band(counted: int, rate: UseRate | None) -> CountBand:
    """What the count is likely to be by now: what was told, then the last rate with its doubt."""
    if rate is None or not rate.unknown_days:
        return CountBand(counted, counted, counted, counted)
    likely = counted + rate.per_day * rate.unknown_days
    half = 1.645 * rate.sd * rate.unknown_days
    return CountBand(counted, likely, max(counted, likely - half), likely + half)


@dataclass(frozen=True)
class Need:
    """When the next one must be there.

    Attributes:
        days: working days from today (calendar days when counted by the calendar);
            None when no day can be named. calendar: the days are calendar days.
        assumed: rests on days in service or on a rate nobody told lately.
        why: words when no day can be named.
    """

    days: int | None
    calendar: bool = False
    assumed: bool = False
    why: str = ""


NO_USAGE = "no usage yet"
NOT_USED_LATELY = "not used lately"
NOT_SOON = "not soon"


def need_by_use(
    life_left: float, rate: UseRate, reliability: Reliability, spare_life: float = 0.0, calendar: bool = False
) -> Need:
    """How many working days the aid and its spares will do, for the class of reliability.

    days = (life left + life of the spares) / (u + z sd_u), rounded down, from the last day that is
    known: the aid was known good then, and a day nobody counted wore it all the same.

    Args:
        life_left: use units left at its last count, for the class of reliability.
        spare_life: those of the spares together.
        rate: units a working day (a calendar day for an aid counted by the calendar).
    """
    fastest = rate.per_day + Z[reliability] * rate.sd
    if fastest <= 0.0:
        return Need(None, calendar, rate.assumed, NOT_USED_LATELY)
    days = max(max(life_left + spare_life, 0.0) / fastest - rate.unknown_days, 0.0)
    if days > FARTHEST_DAYS:
        return Need(None, calendar, rate.assumed, NOT_SOON)
    return Need(int(days), calendar, rate.assumed)


def need_by_service(days_in_service: int | None, days_in_use: int, spares: int = 0) -> Need:
    """The fall-back for an aid nobody ever counted: its pattern's days in service, marked assumed."""
    if days_in_service is None:
        return Need(None, why=NO_USAGE)
    return Need(max(days_in_service * (1 + spares) - days_in_use, 0), calendar=True, assumed=True)


def life_left(
    forecast: Forecast | None, limit: int | None, age: float, reliability: Reliability
) -> float | None:
    """Use units the aid may still do: the forecast at its class's reliability, never past its limit."""
    lefts = []
    if forecast is not None:
        lefts.append(forecast.remaining(age, Q[reliability]))
    if limit is not None:
        lefts.append(max(limit - age, 0.0))
    return min(lefts) if lefts else None


def spare_life(forecast: Forecast | None, limit: int | None, reliability: Reliability, spares: int) -> float:
    """Use units the spares on the shelf add, each its own predictive life."""
    if not spares:
        return 0.0
    one = life_left(forecast, limit, 0.0, reliability)
    return spares * one if one is not None else 0.0


def limit_of(aid_limit: int | None, size_limit: int | None, expected_life: int | None) -> int | None:
    """The count past which an aid is checked: set by a check, else the size's, else the expected life."""
    return next((limit for limit in (aid_limit, size_limit, expected_life) if limit is not None), None)


HOLDING_OR_TURNING = frozenset({1, 2})


def must_be_set_aside(
    count: float, limit: int | None, answers: Iterable[int], reliability: Reliability
) -> bool:
    """Past its limit and holding, locating or turning: the tool sets it aside until checked.

    Args:
        answers: ticked safety questions of request and pattern together (1 turns, 2 holds or locates).
    """
    if limit is None or count <= limit:
        return False
    return reliability is Reliability.LOCATING or bool(HOLDING_OR_TURNING & set(answers))


def calendar_count(use_unit: str, days: int) -> int:
    """Days or weeks an aid has been in service, counted by the calendar alone."""
    return days // days_a_unit(use_unit)


def days_a_unit(use_unit: str) -> int:
    """How many calendar days one use unit of a calendar-counted pattern is: 7 for weeks, 30 for months."""
    units: Mapping[str, int] = {"week": 7, "month": 30, "year": 365}
    word = use_unit.strip().lower()
    return next((days for name, days in units.items() if word.startswith(name)), 1)
