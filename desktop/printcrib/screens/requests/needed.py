"""By when something is needed: quick picks and steps, said in shop time and kept in UTC. No Qt."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from printcrib.core.calendar import clock_words, moment_words, wall_time_utc

SOON_HOURS = 2
END_OF_DAY = time(16, 0)
NOON = time(12, 0)
STEP_MINUTES = 15
SOON, TODAY, TOMORROW, SET, PROGRAM = "soon", "today", "tomorrow", "set", "program"


@dataclass(frozen=True)
class QuickPick:
    """One way to say when.

    Attributes:
        id: SOON, TODAY, TOMORROW, SET or PROGRAM. moment: UTC; None where more is asked.
    """

    id: str
    words: str
    moment: datetime | None = None


def quick_picks(now: datetime, zone: ZoneInfo) -> tuple[QuickPick, ...]:
    """What is offered now; "today 16:00" only while that lies ahead."""
    today = now.astimezone(zone).date()
    end = wall_time_utc(today, END_OF_DAY, zone.key)
    noon = wall_time_utc(today + timedelta(days=1), NOON, zone.key)
    picks = [QuickPick(SOON, f"In {SOON_HOURS} h", whole_minute(now + timedelta(hours=SOON_HOURS)))]
    if end > now:
        picks.append(QuickPick(TODAY, "Today 16:00", end))
    picks.append(QuickPick(TOMORROW, "Tomorrow noon", noon))
    picks.append(QuickPick(SET, "At a set time"))
    picks.append(QuickPick(PROGRAM, "When my program is ready"))
    return tuple(picks)


def whole_minute(moment: datetime) -> datetime:
    """The moment without seconds, rounded up to the next quarter of an hour."""
    past = timedelta(
        minutes=moment.minute % STEP_MINUTES, seconds=moment.second, microseconds=moment.microsecond
    )
    return moment if not past else moment - past + timedelta(minutes=STEP_MINUTES)


def day_and_minutes(moment: datetime, zone: ZoneInfo) -> tuple[date, int]:
    """Date and minutes after midnight on the shop's wall."""
    wall = moment.astimezone(zone)
    return wall.date(), wall.hour * 60 + wall.minute


def at_wall(day: date, minutes: int, zone: ZoneInfo) -> datetime:
    """The moment of a wall time in UTC."""
    return wall_time_utc(day, time(minutes // 60, minutes % 60), zone.key).astimezone(UTC)


def day_of_month(today: date, typed: int, most_days: int) -> int:
    """How many days ahead the next such day of the month is; 0 where there is none in reach."""
    for ahead in range(most_days + 1):
        if (today + timedelta(days=ahead)).day == typed:
            return ahead
    return 0


def needed_words(now: datetime, moment: datetime, zone: ZoneInfo) -> str:
    """When it is needed, with the clock time always: "13:40 today", "Thu 08:10", "Mon 30 Nov 12:00"."""
    words = moment_words(now, moment, zone.key)
    clock = clock_words(moment, zone.key)
    if words == clock:
        return f"{clock} today"
    return words if words.endswith(clock) else f"{words} {clock}"
