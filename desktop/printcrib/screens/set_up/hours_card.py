"""The fifth step: when somebody is in."""

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, Scroll
from printcrib.screens.parts.fields import TickList
from printcrib.screens.parts.wall_time import WallTime
from printcrib.screens.parts.words import Words
from printcrib.screens.set_up.edits import add_shift, swapped, without
from printcrib.screens.set_up.faults import Faults
from printcrib.screens.set_up.form import Form, ShiftRow

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
WHY = (
    "Runs are started and taken off while somebody is in; the run sheet is planned around these hours."
    " Closed days are entered in Shop settings."
)


class ShiftLine(QWidget):
    """Days and hours of one shift.

    Signals:
        edited(object): the ShiftRow, changed by a person. removed(): take it out.
    """

    edited = Signal(object)
    removed = Signal()

    def __init__(self, number: int) -> None:
        super().__init__()
        self._row = ShiftRow()
        one = number + 1
        self.days = TickList(
            [(str(day), words) for day, words in enumerate(DAYS)],
            columns=len(DAYS),
            says=f"days of shift {one}",
            holding=False,
        )
        for button in self.days.buttons.values():
            button.setAccessibleName(f"{button.text()}, shift {one}")
        self.opens = WallTime(self._row.opens, says=f"shift {one} opens")
        self.closes = WallTime(self._row.closes, says=f"shift {one} closes")
        self.remove_button = Button("Take out", icon="close", says=f"take shift {one} out")
        self._night = Words("", tone="second")
        self._error = Words("", tone="signal", weight="medium", wrap=True)
        self._error.hide()
        times = QHBoxLayout()
        times.setSpacing(12)
        for widget in (Words("from", tone="second"), self.opens, Words("to", tone="second"), self.closes):
            times.addWidget(widget)
        times.addWidget(self._night)
        times.addStretch(1)
        times.addWidget(self.remove_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        column.addWidget(Words(f"Shift {one}", weight="strong"))
        column.addWidget(self.days)
        column.addLayout(times)
        column.addWidget(self._error)
        self.days.ticks_changed.connect(self._on_days)
        self.opens.value_changed.connect(lambda at: self._tell(replace(self._row, opens=at)))
        self.closes.value_changed.connect(lambda at: self._tell(replace(self._row, closes=at)))
        self.remove_button.clicked.connect(lambda: self.removed.emit())

    def show_row(self, row: ShiftRow, may_go: bool) -> None:
        """Show what is filled in."""
        self._row = row
        self.days.set_ticked(frozenset(str(day) for day in row.days))
        self.opens.set_value(row.opens)
        self.closes.set_value(row.closes)
        self._night.setText("the next day" if row.closes < row.opens else "")
        self.remove_button.setVisible(may_go)

    def set_error(self, sentence: str) -> None:
        """Say what is missing below the line."""
        self._error.setText(sentence)
        self._error.setVisible(bool(sentence))

    def _on_days(self) -> None:
        self._tell(replace(self._row, days=tuple(sorted(int(day) for day in self.days.ticked))))

    def _tell(self, row: ShiftRow) -> None:
        self.edited.emit(row)


class HoursCard(Card):
    """All shifts.

    Signals:
        edited(object): the Form, changed by a person.
    """

    edited = Signal(object)

    def __init__(self) -> None:
        super().__init__(padding=24, spacing=12)
        self._form = Form()
        self.lines: list[ShiftLine] = []
        self.add_button = Button("Add a shift", icon="plus")
        self._scroll = Scroll(spacing=20)
        self._scroll.body.addStretch(1)
        self.add(Words(WHY, weight="medium", wrap=True))
        self.body.addWidget(self._scroll, 1)
        self.body.addWidget(self.add_button, 0, Qt.AlignmentFlag.AlignLeft)
        self.add_button.clicked.connect(lambda: self.edited.emit(add_shift(self._form)))

    def show_form(self, form: Form) -> None:
        """Show what is filled in."""
        self._form = form
        while len(self.lines) > len(form.shifts):
            line = self.lines.pop()
            line.hide()
            line.deleteLater()
        while len(self.lines) < len(form.shifts):
            self._add_line(len(self.lines))
        for line, row in zip(self.lines, form.shifts, strict=True):
            line.show_row(row, len(form.shifts) > 1)

    def show_faults(self, faults: Faults) -> None:
        """Say below each shift what is missing."""
        for number, line in enumerate(self.lines):
            line.set_error(faults.get(f"shift {number}", ""))

    def _add_line(self, number: int) -> None:
        line = ShiftLine(number)
        line.edited.connect(
            lambda row: self.edited.emit(replace(self._form, shifts=swapped(self._form.shifts, number, row)))
        )
        line.removed.connect(
            lambda: self.edited.emit(replace(self._form, shifts=without(self._form.shifts, number)))
        )
        self.lines.append(line)
        self._scroll.body.insertWidget(number, line)
