"""A stepper for a day; the keypad takes 28 for the next 28th."""

from datetime import date, timedelta

from printcrib.core.calendar import day_words
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.requests.needed import day_of_month

MOST_DAYS = 365


class DayStepper(Stepper):
    """A day from today on; its value is days ahead."""

    def __init__(self, today: date, says: str = "day") -> None:
        self._today = today
        super().__init__(
            0,
            least=0,
            most=MOST_DAYS,
            says=says,
            shown=lambda _ahead: day_words(self.day, self.day.year),
            asks="Day of the month",
            read=lambda typed: day_of_month(self._today, typed, MOST_DAYS),
        )
        self.number_button.setMinimumWidth(150)

    @property
    def day(self) -> date:
        """The day shown."""
        return self._today + timedelta(days=self.value)

    def set_day(self, today: date, day: date) -> None:
        """Show a day; today moves on at midnight."""
        self._today = today
        self.set_value((day - today).days)
