"""Steppers for a day and for a time of day; the keypad takes 1630 for 16:30 and 28 for the next 28th."""

from collections.abc import Callable
from datetime import date, timedelta

from printcrib.screens.parts.numbers import KeypadPanel, Stepper
from printcrib.screens.requests.needed import (
    STEP_MINUTES,
    date_words,
    day_of_month,
    minutes_from,
    minutes_words,
)

MOST_DAYS = 365


class _TypedStepper(Stepper):
    """A stepper whose keypad is asked for something else than the number itself."""

    _title = ""
    _read: Callable[[int], int]

    def open_keypad(self, first_key: str = "") -> None:
        panel = KeypadPanel(self._title)
        panel.entered.connect(lambda number: self._person_set(self._read(int(number))))
        panel.confirmed.connect(panel.deleteLater)
        panel.backed.connect(panel.deleteLater)
        panel.open_over(self)
        if first_key:
            panel.keypad.press(first_key)


class TimeStepper(_TypedStepper):
    """A time of day in quarters of an hour; its value is minutes after midnight."""

    _title = "Time, as 1630 for 16:30"

    def __init__(self, says: str = "time") -> None:
        super().__init__(
            16 * 60,
            least=0,
            most=24 * 60 - 1,
            step=STEP_MINUTES,
            says=says,
            shown=minutes_words,
        )
        self._read = minutes_from


class DayStepper(_TypedStepper):
    """A day from today on; its value is days ahead."""

    _title = "Day of the month"

    def __init__(self, today: date, says: str = "day") -> None:
        self._today = today
        super().__init__(
            0,
            least=0,
            most=MOST_DAYS,
            says=says,
            shown=lambda ahead: date_words(self._today + timedelta(days=ahead)),
        )
        self.number_button.setMinimumWidth(150)
        self._read = lambda typed: day_of_month(self._today, typed, MOST_DAYS)

    @property
    def day(self) -> date:
        """The day shown."""
        return self._today + timedelta(days=self.value)

    def set_day(self, today: date, day: date) -> None:
        """Show a day; today moves on at midnight."""
        self._today = today
        self.set_value((day - today).days)
