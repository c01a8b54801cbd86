"""The second step: who is here and what each may do; a lead, and somebody else who releases."""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.core.people import Role
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, Scroll
from printcrib.screens.parts.fields import TextField, TickList
from printcrib.screens.parts.words import Words
from printcrib.screens.set_up.edits import LEAST_PEOPLE, add_person, swapped, without
from printcrib.screens.set_up.faults import Faults
from printcrib.screens.set_up.form import Form, PersonRow

ROLES: tuple[tuple[str, str], ...] = (
    (Role.LEAD.value, "Lead"),
    (Role.DESK.value, "Desk"),
    (Role.REVIEWER.value, "Reviewer"),
    (Role.MACHINIST.value, "Machinist"),
)
WHY = (
    "Two people at least: one leads, and somebody else releases what may hold work, turn or see pressure."
    " Nobody releases their own request."
)
WHAT = (
    "Machinist asks and counts use. Desk accepts, plans and prints. Reviewer releases."
    " Lead does what the desk does, and decides on people and hours."
)
LABELS = ("Leads the shop", "Second person, for releases")
ALSO = "Also here"


class PersonLine(QWidget):
    """One person: name, roles, and a way out.

    Signals:
        edited(object): the PersonRow, changed by a person. removed(): somebody takes the row out.
    """

    edited = Signal(object)
    removed = Signal()

    def __init__(self, number: int) -> None:
        super().__init__()
        self._row = PersonRow()
        self.label = Words(LABELS[number] if number < len(LABELS) else ALSO, tone="second")
        self.name_field = TextField(says=f"name of person {number + 1}", example="Name")
        self.roles = TickList(ROLES, columns=len(ROLES), says=f"roles of person {number + 1}", holding=False)
        for role, words in ROLES:
            self.roles.buttons[role].setAccessibleName(f"{words}, person {number + 1}")
        self.remove_button = Button("", icon="close", says=f"take person {number + 1} out")
        self.remove_button.setFixedWidth(58)
        self._error = Words("", tone="signal", weight="medium", wrap=True)
        self._error.hide()
        row = QHBoxLayout()
        row.setSpacing(12)
        row.addWidget(self.name_field, 3)
        row.addWidget(self.roles, 4)
        row.addWidget(self.remove_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.label)
        column.addLayout(row)
        column.addWidget(self._error)
        self.name_field.textEdited.connect(lambda text: self._tell(replace(self._row, name=text)))
        self.roles.ticks_changed.connect(self._on_roles)
        self.remove_button.clicked.connect(lambda: self.removed.emit())

    def show_row(self, row: PersonRow, may_go: bool) -> None:
        """Show what is filled in."""
        self._row = row
        if self.name_field.text() != row.name:
            self.name_field.setText(row.name)
        self.roles.set_ticked(frozenset(row.roles))
        self.remove_button.setEnabled(may_go)

    def set_error(self, sentence: str) -> None:
        """Say what is missing below the row."""
        self._error.setText(sentence)
        self._error.setVisible(bool(sentence))

    def _on_roles(self) -> None:
        ticked = self.roles.ticked
        self._tell(replace(self._row, roles=tuple(role for role, _ in ROLES if role in ticked)))

    def _tell(self, row: PersonRow) -> None:
        self.edited.emit(row)


class PeopleCard(Card):
    """Everybody, a line each.

    Signals:
        edited(object): the Form, changed by a person.
    """

    edited = Signal(object)

    def __init__(self) -> None:
        super().__init__(padding=20, spacing=8)
        self._form = Form()
        self.lines: list[PersonLine] = []
        self._error = Words("", tone="signal", weight="medium", wrap=True)
        self.add_button = Button("Add a person", icon="plus")
        self._scroll = Scroll(spacing=10)
        self._scroll.body.addStretch(1)
        self.add(Words(WHY, weight="medium", wrap=True), Words(WHAT, tone="second", wrap=True), self._error)
        self._error.hide()
        self.body.addWidget(self._scroll, 1)
        self.body.addWidget(self.add_button, 0, Qt.AlignmentFlag.AlignLeft)
        self.add_button.clicked.connect(self._on_add)

    def show_form(self, form: Form) -> None:
        """Show what is filled in."""
        self._form = form
        self._fit(form.people)
        for line, row in zip(self.lines, form.people, strict=True):
            line.show_row(row, len(form.people) > LEAST_PEOPLE)

    def show_faults(self, faults: Faults) -> None:
        """Say beside each person what is missing."""
        self._error.setText(faults.get("people", ""))
        self._error.setVisible("people" in faults)
        for number, line in enumerate(self.lines):
            line.set_error(faults.get(f"person {number}", ""))

    def _fit(self, people: Sequence[PersonRow]) -> None:
        while len(self.lines) > len(people):
            line = self.lines.pop()
            line.hide()
            line.deleteLater()
        while len(self.lines) < len(people):
            self._add_line(len(self.lines))

    def _add_line(self, number: int) -> None:
        line = PersonLine(number)
        line.edited.connect(lambda row: self._on_edited(number, row))
        line.removed.connect(lambda: self._on_removed(number))
        self.lines.append(line)
        self._scroll.body.insertWidget(number, line)

    def _on_edited(self, number: int, row: PersonRow) -> None:
        self.edited.emit(replace(self._form, people=swapped(self._form.people, number, row)))

    def _on_removed(self, number: int) -> None:
        self.edited.emit(replace(self._form, people=without(self._form.people, number)))

    def _on_add(self) -> None:
        self.edited.emit(add_person(self._form))
        self.lines[-1].name_field.setFocus(Qt.FocusReason.TabFocusReason)
