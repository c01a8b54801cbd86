"""The hours of a day to fill in, and days to close the shop on."""

from collections.abc import Iterable, Sequence
from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.core.calendar import day_words
from printcrib.core.errors import StaleEdit
from printcrib.core.shop import Shift
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.clock_words import wall_minutes, wall_text
from printcrib.screens.parts.fields import Field, TextField, TickList
from printcrib.screens.parts.month_pick import MonthPick
from printcrib.screens.parts.wall_time import WallTime
from printcrib.screens.parts.words import Words

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MOST_SHIFTS = 6
DAY_MINUTES = 24 * 60
USUAL = (7 * 60, 15 * 60 + 30)
MOST_LISTED = 8
NO_DAY = "Choose as many days as you like, in any month."

Hours = tuple[str, str]


class HoursLine(QWidget):
    """One stretch of hours of a day.

    Signals:
        removed(): take it out. changed(): another time.
    """

    removed = Signal()
    changed = Signal()

    def __init__(self, number: int, opens: int, closes: int) -> None:
        super().__init__()
        self.opens = WallTime(opens, says=f"shift {number} opens")
        self.closes = WallTime(closes, says=f"shift {number} closes")
        self.remove_button = Button("Take out", icon="close", says=f"take shift {number} out")
        self._note = Words("", tone="second")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        for widget in (self.opens, Words("to", tone="second"), self.closes, self._note):
            row.addWidget(widget)
        row.addStretch(1)
        row.addWidget(self.remove_button)
        for stepper in (self.opens, self.closes):
            stepper.value_changed.connect(lambda _minutes: self._on_changed())
        self.remove_button.clicked.connect(lambda: self.removed.emit())
        self._on_changed()

    @property
    def hours(self) -> Hours:
        """From and to, as the books write them."""
        return wall_text(self.opens.value), wall_text(self.closes.value)

    @property
    def fault(self) -> str:
        """What is wrong with it."""
        return "It closes when it opens; give another time." if self.opens.value == self.closes.value else ""

    def _on_changed(self) -> None:
        self._note.setText("the next day" if self.closes.value < self.opens.value else "")
        self.changed.emit()


class DayPanel(AskPanel):
    """When somebody is in on a day, and on which others it is the same.

    Signals:
        told(object, object): the week as a list of Shift, and the week as it was seen.
    """

    told = Signal(object, object)

    def __init__(self, weekday: int, shifts: tuple[Shift, ...]) -> None:
        super().__init__(
            f"{DAYS[weekday]}: when is somebody in?",
            confirm="Keep these hours",
            sentence="Only then are runs started and taken off. A shift over midnight closes the next day.",
            width=900,
            stays=True,
        )
        self._weekday, self._seen = weekday, shifts
        self.lines: list[HoursLine] = []
        self._column = QVBoxLayout()
        self._column.setSpacing(12)
        self._nobody = Words("Nobody is in.", tone="second")
        self.add_button = Button("Another shift", icon="plus")
        self.add_button.clicked.connect(lambda: self._on_add())
        self.same = TickList(
            [(str(day), name[:3]) for day, name in enumerate(DAYS)],
            columns=7,
            says="The same hours on",
            holding=False,
        )
        for button in self.same.buttons.values():
            button.setAccessibleName(f"the same hours on {button.text()}")
        self.same.set_ticked(frozenset({str(weekday)}))
        self.same_field = Field("The same hours on", self.same)
        self.body.addLayout(self._column)
        self.body.addWidget(self._nobody)
        adds = QHBoxLayout()
        adds.addWidget(self.add_button)
        adds.addStretch(1)
        self.body.addLayout(adds)
        self.body.addWidget(self.same_field)
        self.body.addStretch(1)
        for opens, closes in hours_of(shifts, weekday):
            self._add(wall_minutes(opens), wall_minutes(closes))
        self._on_lines()
        self.confirmed.connect(self._on_told)

    def take_fresh(self, error: StaleEdit, fresh: Sequence[Shift]) -> None:
        """Somebody else was first: say what the day is now; the hours typed here stay."""
        self._seen = tuple(fresh)
        now = ", ".join(f"{opens} to {closes}" for opens, closes in hours_of(self._seen, self._weekday))
        self.set_error(f"{error} {error.who} made {DAYS[self._weekday]} {now or 'a day with nobody in'}.")

    def _add(self, opens: int, closes: int) -> HoursLine:
        line = HoursLine(len(self.lines) + 1, opens, closes)
        line.removed.connect(lambda: self._on_removed(line))
        self.lines.append(line)
        self._column.addWidget(line)
        return line

    def _on_add(self) -> None:
        opens, closes = USUAL
        if self.lines:
            opens = self.lines[-1].closes.value
            closes = (opens + USUAL[1] - USUAL[0]) % DAY_MINUTES
        line = self._add(opens, closes)
        self._on_lines()
        line.opens.setFocus()

    def _on_removed(self, line: HoursLine) -> None:
        self.lines.remove(line)
        self._column.removeWidget(line)
        line.hide()
        line.deleteLater()
        self._on_lines()
        self.add_button.setFocus()

    def _on_lines(self) -> None:
        self._nobody.setVisible(not self.lines)
        self.add_button.setEnabled(len(self.lines) < MOST_SHIFTS)

    def _on_told(self) -> None:
        fault = next((line.fault for line in self.lines if line.fault), "")
        days = sorted(int(day) for day in self.same.ticked)
        if not days:
            fault = "Tick at least one day."
        self.set_error(fault)
        if not fault:
            hours = [line.hours for line in self.lines]
            self.told.emit(week_of(self._seen, days, hours), self._seen)


class CloseDaysPanel(AskPanel):
    """Days on which nobody will be in.

    Signals:
        told(object, str): the days, and why.
    """

    told = Signal(object, str)

    def __init__(self, today: date, taken: Iterable[date]) -> None:
        super().__init__(
            "On which days is the shop closed?",
            confirm="Close",
            width=980,
            stays=True,
        )
        self._today = today
        self.month = MonthPick(today, taken)
        self.why = TextField(says="Why", example="Christmas")
        self.chosen = Words(NO_DAY, tone="second", wrap=True)
        self.month.side.addWidget(Field("Why", self.why))
        self.month.side.addWidget(self.chosen)
        self.month.side.addStretch(1)
        self.body.addWidget(self.month)
        self.month.days_changed.connect(self._show)
        self.confirmed.connect(lambda: self.told.emit(self.month.days, self.why.text().strip()))
        self._show()

    def focus_first(self) -> None:
        self.month.focus_day()

    def _show(self) -> None:
        days = self.month.days
        listed = [day_words(day, self._today.year) for day in days[:MOST_LISTED]]
        more = f" and {len(days) - MOST_LISTED} more" if len(days) > MOST_LISTED else ""
        self.chosen.setText((", ".join(listed) + more) or NO_DAY)
        self.confirm_button.setEnabled(bool(days))
        self.confirm_button.set_words(f"Close on {len(days)} days" if len(days) > 1 else "Close on that day")


def hours_of(shifts: Iterable[Shift], weekday: int) -> list[Hours]:
    """The hours of one day, in order."""
    return sorted((shift.opens, shift.closes) for shift in shifts if shift.weekday == weekday)


def week_of(shifts: Iterable[Shift], days: Sequence[int], hours: Sequence[Hours]) -> list[Shift]:
    """The week with other hours on some of its days."""
    kept = [
        Shift(weekday=shift.weekday, opens=shift.opens, closes=shift.closes)
        for shift in shifts
        if shift.weekday not in days
    ]
    new = [Shift(weekday=day, opens=opens, closes=closes) for day in days for opens, closes in hours]
    return [*kept, *new]
