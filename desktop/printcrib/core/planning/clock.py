"""Moments of the shop as the planner's whole minutes, and back."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from printcrib.core.planning.problem import Shift

MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class PlanClock:
    """Minute 0 of a plan is a moment in UTC; ends and openings round up, closings down."""

    starts_at: datetime

    def at_or_after(self, moment: datetime) -> int:
        """The first whole minute not before a moment (ends, openings, releases)."""
        return -((self.starts_at - moment) // MINUTE)

    def at_or_before(self, moment: datetime) -> int:
        """The last whole minute not after a moment (closings, needed by)."""
        return (moment - self.starts_at) // MINUTE

    def moment(self, minute: int) -> datetime:
        """The moment of a planner's minute."""
        return self.starts_at + minute * MINUTE

    def shifts(self, spans: Iterable[tuple[datetime, datetime]]) -> tuple[Shift, ...]:
        """The stretches with somebody in as shifts from the plan's start on."""
        found = ((max(0, self.at_or_after(opens)), self.at_or_before(closes)) for opens, closes in spans)
        return tuple(Shift(opens, closes) for opens, closes in found if opens < closes)
