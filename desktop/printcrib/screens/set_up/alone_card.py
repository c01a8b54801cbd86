"""The last step: whether prints may run when nobody is in, per printer and material. Off until answered."""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Signal

from printcrib.core.materials import Material
from printcrib.screens.parts.cards import Card, Scroll
from printcrib.screens.parts.fields import ChoiceRow, Field, TickList
from printcrib.screens.parts.words import Words
from printcrib.screens.set_up.edits import set_alone
from printcrib.screens.set_up.faults import QUESTION, Faults
from printcrib.screens.set_up.form import Form, lead_name, materials_at_hand

ANSWERS = (("no", "No"), ("yes", "Yes, what is ticked below"))
CAUTION = (
    "Do not leave a print unattended unless site fire rules allow it."
    " Local codes and licensed practice come first."
)


class AloneCard(Card):
    """The question, and under yes a row of materials a printer.

    Signals:
        edited(object): the Form, changed by a person.
    """

    edited = Signal(object)

    def __init__(self, materials: Sequence[Material]) -> None:
        super().__init__(padding=24, spacing=14, title=QUESTION)
        self._materials = materials
        self._form = Form()
        self._offered: tuple[str, ...] = ()
        self.answer = ChoiceRow(ANSWERS, says=QUESTION, columns=2)
        self.question = Field("", self.answer)
        self.question.label.setText("The lead answers. It can be changed in Shop settings at any time.")
        self.fields: list[Field] = []
        self.ticks: list[TickList] = []
        self._scroll = Scroll(spacing=14)
        self._scroll.body.addStretch(1)
        self.add(self.question)
        self.body.addWidget(self._scroll, 1)
        self.add(Words(CAUTION, weight="medium", wrap=True))
        self.body.addStretch(1)  # under "no" nothing else takes the height
        self.answer.chosen_changed.connect(lambda told: self.edited.emit(replace(self._form, alone=told)))

    def show_form(self, form: Form) -> None:
        """Show what is filled in."""
        self._form = form
        lead = lead_name(form)
        said = f"{lead} answers as the lead." if lead else "The lead answers."
        self.question.label.setText(f"{said} It can be changed in Shop settings at any time.")
        self.answer.set_chosen(form.alone or None)
        offered = materials_at_hand(form, self._materials)
        if offered != self._offered or len(self.ticks) != len(form.printers):
            self._offered = offered
            self._fill(len(form.printers))
        for number, (field, ticks) in enumerate(zip(self.fields, self.ticks, strict=True)):
            field.label.setText(f"On {form.printers[number].name or 'the printer'}, with nobody in")
            ticks.setAccessibleName(field.label.text())
            ticks.set_ticked(frozenset(name for at, name in form.alone_on if at == number))
        self._scroll.setVisible(form.alone == "yes")

    def show_faults(self, faults: Faults) -> None:
        """Say that an answer is missing."""
        self.question.set_error(faults.get("alone", ""))

    def _fill(self, printers: int) -> None:
        for field in self.fields:
            field.hide()
            field.deleteLater()
        self.fields, self.ticks = [], []
        for number in range(printers):
            ticks = TickList(
                [(name, name) for name in self._offered], columns=4, says="materials", holding=False
            )
            ticks.ticks_changed.connect(lambda at=number: self._on_ticks(at))
            field = Field("On the printer", ticks)
            self.ticks.append(ticks)
            self.fields.append(field)
            self._scroll.body.insertWidget(number, field)

    def _on_ticks(self, number: int) -> None:
        ticked = self.ticks[number].ticked
        self.edited.emit(set_alone(self._form, number, [name for name in self._offered if name in ticked]))
