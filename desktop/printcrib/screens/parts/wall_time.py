"""A time of day between a large - and a large +, in quarters of an hour."""

from printcrib.screens.parts.clock_words import DAY_MINUTES, QUARTER, minutes_of, wall_text
from printcrib.screens.parts.numbers import KeypadPanel, Stepper


class WallTime(Stepper):
    """A time of day in minutes after midnight; the keypad takes 730 for 07:30."""

    def __init__(self, minutes: int, *, says: str) -> None:
        super().__init__(
            minutes, least=0, most=DAY_MINUTES - QUARTER, step=QUARTER, says=says, shown=wall_text
        )

    def open_keypad(self, first_key: str = "") -> None:
        panel = KeypadPanel("Time, as 730 for 07:30", sentence="In quarters of an hour.")
        panel.entered.connect(lambda number: self._person_set(minutes_of(int(number))))
        panel.confirmed.connect(panel.deleteLater)
        panel.backed.connect(panel.deleteLater)
        panel.open_over(self)
        if first_key:
            panel.keypad.press(first_key)
