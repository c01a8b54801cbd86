"""The wall clock of this PC, in aware UTC and whole milliseconds."""

from datetime import UTC, datetime, timedelta


def whole_milliseconds(moment: datetime) -> datetime:
    """The same moment with anything finer than a millisecond dropped."""
    return moment.replace(microsecond=moment.microsecond // 1000 * 1000)


class WallClock:
    """What this PC says the time is."""

    def now(self) -> datetime:
        """Aware UTC now."""
        return whole_milliseconds(datetime.now(UTC))


class SetClock:
    """A clock that is set by hand: the demo shop's three weeks pass on it.

    Attributes:
        moment: what it shows; every reading moves it on by one millisecond, so that
            bookings keep their order.
    """

    def __init__(self, moment: datetime) -> None:
        self.moment = whole_milliseconds(moment)

    def now(self) -> datetime:
        """Aware UTC, one millisecond later at every reading."""
        self.moment += timedelta(milliseconds=1)
        return self.moment

    def go_to(self, moment: datetime) -> None:
        """Set the clock; it never goes back."""
        self.moment = max(self.moment, whole_milliseconds(moment))
