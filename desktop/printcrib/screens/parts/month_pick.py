"""Days of a month to choose from, any number of them, as large buttons."""

from collections.abc import Iterable
from datetime import date, timedelta

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.core.calendar import WEEKDAYS
from printcrib.screens.parts import lettering
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import emptied
from printcrib.screens.parts.tokens import GAP_PX, SMALL_PX
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

    Put more parts into `side`, below the month's name.

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
        turn = QHBoxLayout()
        turn.addWidget(self.back_button)
        turn.addWidget(self._shown, 1)
        turn.addWidget(self.forward_button)
        self.side = QVBoxLayout()
        self.side.setSpacing(GAP_PX)
        self.side.addLayout(turn)
        self.back_button.clicked.connect(lambda: self.show_month(self._first - timedelta(days=1)))
        self.forward_button.clicked.connect(lambda: self.show_month(self._first + timedelta(days=31)))
        self._grid = QGridLayout()
        self._grid.setSpacing(8)
        days = QVBoxLayout()
        days.addLayout(self._grid)
        days.addStretch(1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(24)
        row.addLayout(days, 5)
        row.addLayout(self.side, 4)
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
        day, row = max(self._first, self._today - timedelta(days=self._today.weekday())), 1
        while day.month == self._first.month:
            button = self._button(day)
            self._grid.addWidget(button, row, day.weekday())
            button.setVisible(True)  # at once: what is not shown yet could take no focus
            row += day.weekday() == 6
            day += timedelta(days=1)
        self._stop_at(next((each for each in self.buttons if self._may(each)), None))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        at = next((day for day, button in self.buttons.items() if button.hasFocus()), None)
        step = _STEPS.get(Qt.Key(event.key()))
        if at is None or step is None:
            super().keyPressEvent(event)
            return
        to = at + timedelta(days=step)
        if to not in self.buttons and self._may(to):
            self.show_month(to)
        if to in self.buttons and self._may(to):
            self._stop_at(to)
            self.buttons[to].setFocus(Qt.FocusReason.TabFocusReason)

    def focus_day(self) -> None:
        """Put the focus on the first day that can be chosen."""
        stop = next((button for button in self.buttons.values() if button.isEnabled()), self.forward_button)
        stop.setFocus(Qt.FocusReason.OtherFocusReason)

    def _stop_at(self, day: date | None) -> None:
        """Tab stops at one day only; arrows go on from there."""
        for each, button in self.buttons.items():
            stops = Qt.FocusPolicy.StrongFocus if each == day else Qt.FocusPolicy.ClickFocus
            button.setFocusPolicy(stops)

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
