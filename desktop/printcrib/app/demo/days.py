"""The days of the demo shop: working days before its present, and its machines' part counters."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from types import MappingProxyType
from zoneinfo import ZoneInfo

from printcrib.core.calendar import ShopCalendar, WeeklyShift, open_spans, wall_time_utc

SHIFT = (time(7), time(17))
PRESENT = time(9, 42)
CLOSED = -9
"""The shop was closed on the ninth weekday before the present."""

HISTORY_DAYS = 15
"""Working days of history, three weeks of them."""

PARTS_A_DAY: Mapping[str, int] = MappingProxyType({"Lathe 1": 130, "Lathe 2": 84, "Mill 1": 46, "Mill 2": 60})
COUNTERS: Mapping[str, int] = MappingProxyType(
    {"Lathe 1": 41_210, "Lathe 2": 8_064, "Mill 1": 15_530, "Mill 2": 2_917}
)


def present_of(real_now: datetime, zone: str) -> datetime:
    """The last weekday 09:42 that has passed: the demo shop's present."""
    wall = real_now.astimezone(ZoneInfo(zone))
    day = wall.date()
    if wall.time() < PRESENT:
        day -= timedelta(days=1)
    while day.weekday() > 4:
        day -= timedelta(days=1)
    return wall_time_utc(day, PRESENT, zone)


@dataclass(frozen=True)
class Days:
    """Working days counted from the present: 0 is today, -1 the working day before.

    Attributes:
        present: UTC. closed: the one weekday on which the shop was closed.
    """

    present: datetime
    zone: str
    closed: date
    working: tuple[date, ...]

    @staticmethod
    def before(present: datetime, zone: str) -> "Days":
        """The days that lead up to a present."""
        today = present.astimezone(ZoneInfo(zone)).date()
        weekdays = [day for back in range(60) if (day := today - timedelta(days=back)).weekday() < 5]
        closed = weekdays[-CLOSED]
        return Days(present, zone, closed, tuple(day for day in weekdays if day != closed))

    def day(self, number: int) -> date:
        """The date of a working day; days to come go on over weekends."""
        if number <= 0:
            return self.working[-number]
        day = self.working[0]
        while number:
            day += timedelta(days=1)
            number -= day.weekday() < 5
        return day

    def at(self, number: int, wall: str) -> datetime:
        """A time of day on a working day, UTC: at(-1, "16:40")."""
        return wall_time_utc(self.day(number), time.fromisoformat(wall), self.zone)

    @property
    def calendar(self) -> ShopCalendar:
        """The shop's hours."""
        shifts = tuple(WeeklyShift(day, *SHIFT) for day in range(5))
        return ShopCalendar(self.zone, shifts, frozenset({self.closed}))

    def counter(self, machine: str, moment: datetime) -> int:
        """What the part counter of a machine shows at a moment; it counts while somebody is in."""
        start = self.at(-HISTORY_DAYS, "00:00")
        spans = open_spans(self.calendar, start, max(moment, start + timedelta(minutes=1)))
        hours = sum((closes - opens).total_seconds() for opens, closes in spans) / 3600
        return COUNTERS[machine] + int(PARTS_A_DAY[machine] * hours / 10)


def real_now() -> datetime:
    """The wall clock."""
    return datetime.now(UTC)
