"""When somebody is in: the shop's zone, weekly shifts, closed days, ISO weeks, words for moments.

Everything handed in and out is aware UTC; shifts and closed days are wall times in the shop's one zone.
A wall time that the clocks skip moves forward by the skipped hour, one that comes twice means the first
(RFC 5545, section 3.3.5, rules for local times; `fold=0` of PEP 495 does both).
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from printcrib.core.errors import ShopError
from printcrib.core.shop import ClosedDay, Shift

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

LOOK_AHEAD_DAYS = 400
ONE_DAY = timedelta(days=1)

PLAIN_ZONE = "Etc/UTC"
_NO_WALL = ("Etc/", "SystemV/", "US/", "posix/", "right/", "Canada/", "Mexico/", "Chile/", "Brazil/")
"""Regions of zones that no wall has, or of old names for places that have one of their own."""

Span = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True)
class WeeklyShift:
    """One stretch of a week in which somebody is in.

    Attributes:
        weekday: 0 is Monday.
        opens: wall time in the shop's zone.
        closes: wall time; not after `opens` means on the next day (a night shift).
    """

    weekday: int
    opens: time
    closes: time


@dataclass(frozen=True, slots=True)
class ShopCalendar:
    """The shop's zone, its weekly shifts and the days it is closed.

    Attributes:
        zone: IANA name ("Europe/Berlin").
        shifts: in any order; overlapping ones count once.
        closed_days: dates in the shop's zone; a night shift belongs to the day it opens.
    """

    zone: str
    shifts: tuple[WeeklyShift, ...] = ()
    closed_days: frozenset[date] = field(default_factory=frozenset)


def _wall(text: str) -> time:
    return time() if text.startswith("24:00") else time.fromisoformat(text)


def calendar_of(zone: str, shifts: Iterable[Shift], closed_days: Iterable[ClosedDay]) -> ShopCalendar:
    """The calendar of the shop's records; their times are "07:00", a shift until "24:00" ends at midnight."""
    weekly = (WeeklyShift(shift.weekday, _wall(shift.opens), _wall(shift.closes)) for shift in shifts)
    return ShopCalendar(
        zone, tuple(weekly), frozenset(date.fromisoformat(closed.day) for closed in closed_days)
    )


@lru_cache(maxsize=8)
def shop_zone(name: str) -> ZoneInfo:
    """The zone of an IANA name.

    Raises:
        ShopError: there is no such zone.
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        do = "Choose one from the list in Shop settings, for instance Europe/Berlin."
        raise ShopError(f'"{name}" is not a time zone', do) from None


def wall_zones() -> tuple[str, ...]:
    """IANA names the shop's wall may have, in order: a region and a place, and plain UTC."""
    places = {zone for zone in available_timezones() if "/" in zone and not zone.startswith(_NO_WALL)}
    return tuple(sorted(places | {PLAIN_ZONE}))


def zone_words(zone: str) -> str:
    """A zone's name as people read it: "America/New York"."""
    return zone.replace("_", " ")


def wall_time_utc(day: date, wall: time, zone: str) -> datetime:
    """The UTC moment of a wall time; a skipped one moves forward, one that comes twice is the first."""
    return datetime.combine(day, wall.replace(fold=0), shop_zone(zone)).astimezone(UTC)


def shop_day(moment: datetime, zone: str) -> date:
    """The date on the shop's wall at a moment."""
    return moment.astimezone(shop_zone(zone)).date()


def _shift_spans(calendar: ShopCalendar, first: date, last: date) -> Iterator[Span]:
    day = first
    while day <= last:
        if day not in calendar.closed_days:
            for shift in calendar.shifts:
                if shift.weekday == day.weekday():
                    closing_day = day if shift.closes > shift.opens else day + ONE_DAY
                    opens = wall_time_utc(day, shift.opens, calendar.zone)
                    closes = wall_time_utc(closing_day, shift.closes, calendar.zone)
                    if opens < closes:
                        yield opens, closes
        day += ONE_DAY


def open_spans(shop_calendar: ShopCalendar, from_utc: datetime, to_utc: datetime) -> list[Span]:
    """The stretches in which somebody is in, clipped to the asked time; touching ones are one."""
    first = shop_day(from_utc, shop_calendar.zone) - ONE_DAY
    last = shop_day(to_utc, shop_calendar.zone)
    merged: list[Span] = []
    for opens, closes in sorted(_shift_spans(shop_calendar, first, last)):
        start, end = max(opens, from_utc), min(closes, to_utc)
        if start >= end:
            continue
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, end))
    return merged


def is_open(shop_calendar: ShopCalendar, moment: datetime) -> bool:
    """Whether somebody is in; at the minute of closing nobody is any more."""
    return bool(open_spans(shop_calendar, moment, moment + timedelta(microseconds=1)))


def next_opening(shop_calendar: ShopCalendar, moment: datetime) -> datetime | None:
    """When somebody is in next: the moment itself while open, None if not within the next 400 days."""
    for days in (8, LOOK_AHEAD_DAYS):
        spans = open_spans(shop_calendar, moment, moment + timedelta(days=days))
        if spans:
            return spans[0][0]
    return None


def after_open_minutes(shop_calendar: ShopCalendar, moment: datetime, minutes: int) -> datetime:
    """When work by hand of so many minutes is done that begins at a moment: it rests while nobody is in.

    Where no shift is known within 400 days the minutes are simply added.
    """
    left = timedelta(minutes=minutes)
    for opens, closes in open_spans(shop_calendar, moment, moment + timedelta(days=8)):
        if closes - opens >= left:
            return opens + left
        left -= closes - opens
    opening = next_opening(shop_calendar, moment + timedelta(days=8))
    return (opening or moment) + left


def is_working_day(shop_calendar: ShopCalendar, day: date) -> bool:
    """Whether a shift opens on that date."""
    opens = any(shift.weekday == day.weekday() for shift in shop_calendar.shifts)
    return opens and day not in shop_calendar.closed_days


def add_working_days(shop_calendar: ShopCalendar, day: date, count: int) -> date:
    """The working day `count` working days after (before, if negative) a date; 0 is the date itself.

    Raises:
        ShopError: no working day was found within 400 days in a row.
    """
    step = ONE_DAY if count >= 0 else -ONE_DAY
    left, idle = abs(count), 0
    while left:
        day += step
        if is_working_day(shop_calendar, day):
            left, idle = left - 1, 0
        else:
            idle += 1
            if idle > LOOK_AHEAD_DAYS:
                raise ShopError("The shop has no working days", "Enter its shifts in Shop settings.")
    return day


def working_days_between(shop_calendar: ShopCalendar, first: date, last: date) -> int:
    """Working days after the first date up to and with the last; negative when last is earlier."""
    if last < first:
        return -working_days_between(shop_calendar, last, first)
    days = range(1, (last - first).days + 1)
    return sum(is_working_day(shop_calendar, first + timedelta(days=ahead)) for ahead in days)


def iso_week_text(moment: datetime, zone: str) -> str:
    """The ISO 8601 week a moment falls in on the shop's wall: "2026-W48"."""
    year, week, _ = shop_day(moment, zone).isocalendar()
    return f"{year:04d}-W{week:02d}"


def iso_week_span(text: str, zone: str) -> Span:
    """The week "2026-W48" from Monday 00:00 to the next, wall time of the shop, as UTC.

    Raises:
        ShopError: the text is not a week of the calendar.
    """
    year, mark, week = text.strip().upper().partition("-W")
    try:
        if not mark or len(year) != 4 or len(week) != 2:
            raise ValueError(text)
        monday = date.fromisocalendar(int(year), int(week), 1)
        after = monday + timedelta(days=7)
    except (ValueError, OverflowError):
        raise ShopError(f'"{text}" is not a week', "Write the year and the week, 2026-W48.") from None
    return wall_time_utc(monday, time(), zone), wall_time_utc(after, time(), zone)


def clock_words(moment: datetime, zone: str) -> str:
    """The time on the shop's wall: "13:40"."""
    wall = moment.astimezone(shop_zone(zone))
    return f"{wall.hour:02d}:{wall.minute:02d}"


def day_words(day: date, this_year: int) -> str:
    """A date as people say it: "Mon 30 Nov", with the year when it is another one."""
    words = f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"
    return words if day.year == this_year else f"{words} {day.year}"


def moment_words(now: datetime, t: datetime, zone: str) -> str:
    """A moment as people say it: "13:40" today, "Thu 08:10" within six days, else "Mon 30 Nov"."""
    today, day = shop_day(now, zone), shop_day(t, zone)
    if day == today:
        return clock_words(t, zone)
    if abs((day - today).days) < 7:
        return f"{WEEKDAYS[day.weekday()]} {clock_words(t, zone)}"
    return day_words(day, today.year)
