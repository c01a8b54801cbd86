"""Needed by: quick picks, a day and a time by steppers, or hours until the program is ready."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.screens.parts.fields import ChoiceRow, Field
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.wall_time import WallTime
from printcrib.screens.parts.words import Words
from printcrib.screens.requests.form import Form
from printcrib.screens.requests.needed import (
    PROGRAM,
    SET,
    QuickPick,
    at_wall,
    day_and_minutes,
    needed_words,
    quick_picks,
)
from printcrib.screens.requests.steppers import DayStepper


class WhenField(QWidget):
    """By when it is needed.

    Args:
        program: whether "when my program is ready" is offered.

    Signals:
        edited(object): dict of form fields a person changed.
    """

    edited = Signal(object)

    def __init__(self, zone: ZoneInfo, now: datetime, *, columns: int = 2) -> None:
        super().__init__()
        self._zone, self._now = zone, now
        self._picks: dict[str, QuickPick] = {pick.id: pick for pick in quick_picks(now, zone)}
        self.choices = ChoiceRow(
            [(pick.id, pick.words) for pick in self._picks.values()], says="needed by", columns=columns
        )
        self.field = Field("Needed by", self.choices)
        today, _ = day_and_minutes(now, zone)
        self.day, self.time = DayStepper(today), WallTime(16 * 60, says="time", nearest=1)
        self.hours = Stepper(5, least=1, most=400, unit="h", says="hours until the program is ready")
        self._said = Words("", weight="strong", wrap=True)
        self._set_row = _row(self.day, self.time)
        self._at = Words("", weight="strong")
        self._program_row = _row(Words("in about"), self.hours, self._at)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        for part in (self.field, self._set_row, self._program_row, self._said):
            column.addWidget(part)
        column.addStretch(1)
        self.choices.chosen_changed.connect(self._on_chosen)
        self.day.value_changed.connect(lambda _value: self._on_set())
        self.time.value_changed.connect(lambda _value: self._on_set())
        self.hours.value_changed.connect(lambda value: self.edited.emit({"hours": value}))
        self.show_form(Form(), now)

    def show_form(self, form: Form, now: datetime) -> None:
        """Show what is filled in, at this moment."""
        self._offer(now)
        self.choices.set_chosen(form.when if form.when in self._picks else SET if form.when else None)
        self._set_row.setVisible(self.choices.chosen == SET)
        self._program_row.setVisible(form.when == PROGRAM)
        self.hours.set_value(form.hours)
        needed = form.needed_by(now)
        today, minutes = day_and_minutes(needed or now, self._zone)
        self.day.set_day(day_and_minutes(now, self._zone)[0], today)
        if needed is not None:
            self.time.set_value(minutes)
        self._say(form, needed)

    def _say(self, form: Form, needed: datetime | None) -> None:
        """The moment in words, where the controls do not say it already."""
        words = needed_words(self._now, needed, self._zone) if needed else ""
        past = needed is not None and needed < self._now
        self._at.setText(f"at {words}" if words else "")
        self._said.setText(f"{words}, already past" if past else words)
        self._said.set_tone("signal" if past else "ink")
        self._said.setVisible(past or (bool(words) and form.when not in (PROGRAM, SET)))

    def _offer(self, now: datetime) -> None:
        """Quick picks move on with the clock."""
        self._now = now
        picks = {pick.id: pick for pick in quick_picks(now, self._zone)}
        if list(picks) != list(self._picks):
            self.choices.set_choices([(pick.id, pick.words) for pick in picks.values()])
        self._picks = picks

    def _on_chosen(self, chosen: str) -> None:
        moment = self._picks[chosen].moment
        if chosen == SET:
            moment = at_wall(self.day.day, self.time.value, self._zone)
        told: dict[str, object] = {"when": chosen}
        if moment is not None:
            told["needed_at"] = moment.astimezone(UTC).isoformat()
        self.edited.emit(told)

    def _on_set(self) -> None:
        moment = at_wall(self.day.day, self.time.value, self._zone)
        self.edited.emit({"when": SET, "needed_at": moment.isoformat()})


def _row(*parts: QWidget) -> QWidget:
    holder = QWidget()
    row = QHBoxLayout(holder)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(16)
    for part in parts:
        row.addWidget(part)
    row.addStretch(1)
    return holder
