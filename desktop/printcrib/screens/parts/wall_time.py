"""A time of day between a large - and a large +, in quarters of an hour."""

from printcrib.screens.parts.clock_words import DAY_MINUTES, QUARTER, minutes_of, wall_text
from printcrib.screens.parts.numbers import Stepper


class WallTime(Stepper):
    """A time of day in minutes after midnight; the keypad takes 730 for 07:30.

    Args:
        nearest: what is typed is taken to the nearest of so many minutes.
    """

    def __init__(self, minutes: int, *, says: str, nearest: int = QUARTER) -> None:
        super().__init__(
            minutes,
            least=0,
            most=DAY_MINUTES - nearest,
            step=QUARTER,
            says=says,
            shown=wall_text,
            asks="Time, as 730 for 07:30",
            explains="In quarters of an hour." if nearest == QUARTER else "",
            read=lambda typed: minutes_of(typed, nearest),
        )
