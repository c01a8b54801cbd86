"""Moments of the shop as planner's minutes."""

from datetime import UTC, datetime, timedelta

from printcrib.core.planning.clock import PlanClock
from printcrib.core.planning.problem import Shift

START = datetime(2026, 11, 24, 8, 0, tzinfo=UTC)
CLOCK = PlanClock(START)


def test_ends_and_openings_round_up_closings_down() -> None:
    moment = START + timedelta(minutes=12, milliseconds=1)
    assert (CLOCK.at_or_after(moment), CLOCK.at_or_before(moment)) == (13, 12)
    before = START - timedelta(seconds=30)
    assert (CLOCK.at_or_after(before), CLOCK.at_or_before(before)) == (0, -1)
    assert CLOCK.at_or_after(CLOCK.moment(77)) == CLOCK.at_or_before(CLOCK.moment(77)) == 77


def test_shifts_begin_at_the_plans_start_at_the_earliest() -> None:
    hour = timedelta(hours=1)
    spans = [
        (START - 5 * hour, START - hour),
        (START - hour, START + hour),
        (START + 9 * hour, START + 10 * hour),
    ]
    assert CLOCK.shifts(spans) == (Shift(0, 60), Shift(540, 600))
