"""Days of a month to choose from, any number of them, as large buttons."""

from collections.abc import Iterable
from datetime import date, timedelta

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QWidget

from printcrib.core.calendar import WEEKDAYS
from printcrib.screens.parts import lettering
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import emptied
from printcrib.screens.parts.tokens import SMALL_PX
from printcrib.screens.parts.words import Words

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_STEPS = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Up: -7, Qt.Key.Key_Down: 7}


class MonthPick(QWidget):
    """One month at a time; a press on a day chooses it, another lets go of it.

    Args:
        today: the earliest day that can be chosen. taken: days that cannot be chosen any more.

    Signals:
        days_changed(): somebody chose a day or let go of one.
    """

    days_changed = Signal()

    def __init__(self, today: date, taken: Iterable[date] = ()) -> None:
        super().__init__()
        self._today = today
        self._taken = frozenset(taken)
        self._first = today.replace(day=1)
        self._days: set[date] = set()
        self.buttons: dict[date, Button] = {}
        self._shown = Words("", points=lettering.CARD_PT, weight="strong")
        self._shown.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.back_button = Button("", icon="back", says="the month before")
        self.forward_button = Button("", icon="forward", says="the month after")
        top = QHBoxLayout()
        top.addWidget(self.back_button)
        top.addWidget(self._shown, 1)
        top.addWidget(self.forward_button)
        self.back_button.clicked.connect(lambda: self.show_month(self._first - timedelta(days=1)))
        self.forward_button.clicked.connect(lambda: self.show_month(self._first + timedelta(days=31)))
        self._grid = QGridLayout()
        self._grid.setSpacing(8)
        column = QGridLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addLayout(top, 0, 0)
        column.addLayout(self._grid, 1, 0)
        column.setRowStretch(2, 1)
        self.show_month(today)

    @property
    def days(self) -> tuple[date, ...]:
        """The days chosen, in order."""
        return tuple(sorted(self._days))

    def set_days(self, days: Iterable[date]) -> None:
        """Choose days without telling anybody."""
        self._days = {day for day in days if self._may(day)}
        self.show_month(self._first)

    def show_month(self, day: date) -> None:
        """Turn to the month of a day."""
        self._first = day.replace(day=1)
        self._shown.setText(f"{MONTHS[self._first.month - 1]} {self._first.year}")
        self.back_button.setEnabled(self._first > self._today)
        emptied(self._grid)
        self.buttons = {}
        for column, name in enumerate(WEEKDAYS):
            heading = Words(name[:2], tone="second")
            heading.setAlignment(Qt.AlignmentFlag.AlignCenter)
            self._grid.addWidget(heading, 0, column)
        day, row = self._first, 1
        while day.month == self._first.month:
            self._grid.addWidget(self._button(day), row, day.weekday())
            row += day.weekday() == 6
            day += timedelta(days=1)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        at = next((day for day, button in self.buttons.items() if button.hasFocus()), None)
        step = _STEPS.get(Qt.Key(event.key()))
        if at is None or step is None:
            super().keyPressEvent(event)
            return
        to = at + timedelta(days=step)
        if to not in self.buttons and self._may(to):
            self.show_month(to)
        if to in self.buttons:
            self.buttons[to].setFocus(Qt.FocusReason.TabFocusReason)

    def _may(self, day: date) -> bool:
        return day >= self._today and day not in self._taken

    def _button(self, day: date) -> Button:
        button = Button(str(day.day), kind="choice", says=f"{day.day} {MONTHS[day.month - 1]}")
        button.setMinimumHeight(SMALL_PX)
        button.setFixedHeight(SMALL_PX)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        button.setEnabled(self._may(day))
        button.setChecked(day in self._days)
        button.clicked.connect(lambda down: self._on_day(day, down))
        self.buttons[day] = button
        return button

    def _on_day(self, day: date, down: bool) -> None:
        (self._days.add if down else self._days.discard)(day)
        self.days_changed.emit()
