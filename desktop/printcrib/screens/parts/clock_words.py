"""Times of day as people say and type them. No Qt."""

QUARTER = 15
DAY_MINUTES = 24 * 60


def wall_text(minutes: int) -> str:
    """Minutes after midnight as on the clock: "07:00"."""
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def wall_minutes(text: str) -> int:
    """Minutes after midnight of a time as it is kept: "07:00" is 420."""
    hours, _, minutes = text.partition(":")
    return int(hours) * 60 + int(minutes)


def minutes_of(typed: int, nearest: int = QUARTER) -> int:
    """Minutes after midnight of what was typed: 7 is 07:00, 730 is 07:30, 30 is 00:30.

    Args:
        nearest: to the nearest of so many minutes; the last of them in a day at most.
    """
    hours, minutes = divmod(typed, 100) if typed > 24 else (typed, 0)
    told = hours * 60 + min(minutes, 59)
    return min(DAY_MINUTES - nearest, round(told / nearest) * nearest)
