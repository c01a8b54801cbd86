"""What a form asks beside the model: how fine, what for, how many, for which machine, and the rest."""

from collections.abc import Mapping

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QBoxLayout, QGridLayout, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from printcrib.core.patterns import Fineness
from printcrib.core.requests import Purpose
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.fields import ChoiceRow, Field, NotesField, TextField
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.requests.form import PATTERN, Form
from printcrib.services.look_at_form import FormChoices
from printcrib.services.take_request import MOST_COPIES

FINENESS = tuple((each.value, each.value.capitalize()) for each in Fineness)
PURPOSES = tuple((each.value, each.value.capitalize()) for each in Purpose)
THE_PATTERNS, NO_WISH = "The pattern's", "Not chosen yet"


class Group(QWidget):
    """Some questions of the form.

    Signals:
        edited(object): dict of form fields a person changed.
    """

    edited = Signal(object)

    def show_form(self, form: Form) -> None:
        """Show what is filled in, without telling anybody."""
        raise NotImplementedError

    def show_choices(self, choices: FormChoices) -> None:
        """Offer what the shop has."""

    def _tell(self, **fields: object) -> None:
        self.edited.emit(fields)


class HowGroup(Group):
    """How fine, what for, how many or which labels, for which machine.

    Args:
        count: whether how many is asked here.
    """

    def __init__(self, *, count: bool = True) -> None:
        super().__init__()
        self._count = count
        self.how_fine = ChoiceRow(FINENESS, says="how fine")
        self.purpose = ChoiceRow(PURPOSES, says="what for")
        self.quantity = Stepper(1, most=MOST_COPIES, says="how many")
        self.quantity.number_button.setMinimumWidth(72)
        self.quantity_field = Field("How many", self.quantity)
        self.by_labels = Button("Labels", kind="choice", says="a label on each copy instead of a number")
        self.labels_choice = Field("or", self.by_labels)
        self.labels = NotesField(says="labels", example="One label a line", lines=3)
        self.labels_field = Field("Labels, one a line", self.labels)
        self.machine = PickField(says="machine", nothing="No machine", confirm="For this one")
        self._lay_out()
        self.how_fine.chosen_changed.connect(lambda one: self._tell(how_fine=one))
        self.purpose.chosen_changed.connect(lambda one: self._tell(purpose=one))
        self.quantity.value_changed.connect(lambda value: self._tell(quantity=value))
        self.by_labels.clicked.connect(lambda down: self._tell(by_labels=down))
        self.labels.textChanged.connect(lambda: self._tell(labels=self.labels.text()))
        self.machine.picked_changed.connect(lambda one: self._tell(machine_id=int(one) or None))

    def show_form(self, form: Form) -> None:
        self.how_fine.set_chosen(form.how_fine)
        self.purpose.set_chosen(form.purpose)
        self.quantity.set_value(form.quantity)
        self.by_labels.setChecked(form.by_labels)
        self.quantity.setEnabled(not form.by_labels)
        self.labels_field.setVisible(form.by_labels and self._count)
        if self.labels.text() != form.labels:
            self.labels.blockSignals(True)
            self.labels.setPlainText(form.labels)
            self.labels.blockSignals(False)
        self.machine.set_chosen(str(form.machine_id or 0))

    def show_choices(self, choices: FormChoices) -> None:
        self.machine.set_picks([Pick("0", "No machine"), *_picks(choices.machines)])

    def set_error(self, sentence: str) -> None:
        """What is wrong with the labels."""
        self.labels_field.set_error(sentence)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(16)
        column.addWidget(Field("How fine", self.how_fine))
        column.addWidget(Field("What for", self.purpose))
        row = QHBoxLayout()
        row.setSpacing(16)
        row.addWidget(self.quantity_field, 5)
        row.addWidget(self.labels_choice, 2)
        row.addWidget(Field("Machine", self.machine), 5)
        column.addLayout(row)
        column.addWidget(self.labels_field)
        column.addStretch(1)
        for part in (self.quantity_field, self.labels_choice):
            part.setVisible(self._count)


class MoreGroup(Group):
    """Who asks, job, material, and what else the desk should know."""

    def __init__(self, *, whole: bool = True) -> None:
        super().__init__()
        self._whole = whole
        self._colours: Mapping[int, tuple[str, ...]] = {}
        self._materials: Mapping[int, str] = {}
        self._unsaid = ""
        self.asker = PickField(says="who asks", nothing="You", confirm="This person asks")
        self.material = PickField(says="material", nothing=NO_WISH, confirm="From this")
        self.colour = PickField(says="colour", nothing="Any colour", confirm="In this colour")
        self.scale = Stepper(
            100, least=5, most=2000, step=5, says="scale", shown=lambda value: f"{value}\u00a0%"
        )
        self.texts: dict[str, QLineEdit] = {
            "job": TextField(says="job", example="4711"),
            "job_revision": TextField(says="revision of the job", example="C"),
            "touches": TextField(says="what it touches", example="coolant, the soft jaws"),
            "critical_sizes": TextField(says="critical sizes", example="bore 32.1, not under"),
            "reason": TextField(says="reason for the hurry", example="the machine waits"),
        }
        self._lay_out()
        for name, field in self.texts.items():
            field.textEdited.connect(lambda text, one=name: self._tell(**{one: text}))
        self.asker.picked_changed.connect(lambda one: self._tell(asker_id=int(one)))
        self.material.picked_changed.connect(self._on_material)
        self.colour.picked_changed.connect(lambda one: self._tell(colour=one.removeprefix("=")))
        self.scale.value_changed.connect(lambda value: self._tell(scale=value))

    def show_form(self, form: Form) -> None:
        for name, field in self.texts.items():
            text = getattr(form, name)
            if field.text() != text:
                field.setText(text)
        self.asker.set_chosen(str(form.asker_id or ""))
        self._offer_materials(THE_PATTERNS if self._whole and form.what == PATTERN else NO_WISH)
        self.material.set_chosen(str(form.material_id or 0))
        self._offer_colours(form.material_id, form.colour)
        self.scale.set_value(form.scale)

    def show_choices(self, choices: FormChoices) -> None:
        self._colours = choices.colours
        self.asker.set_picks(_picks(choices.people))
        self._materials = choices.materials
        self._unsaid = ""
        self._offer_materials(NO_WISH)

    def add_field(self, label: str, control: QWidget) -> None:
        """Ask one thing more, at the end."""
        self._put(Field(label, control))

    def _put(self, field: Field) -> None:
        self._grid.addWidget(field, self._count // 2, self._count % 2, Qt.AlignmentFlag.AlignTop)
        self._count += 1

    def _on_material(self, one: str) -> None:
        self._tell(material_id=int(one) or None, colour="")

    def _offer_materials(self, unsaid: str) -> None:
        """What holds while nobody chose differs: only a pattern brings a material of its own."""
        if unsaid != self._unsaid:
            self._unsaid = unsaid
            self.material.set_picks([Pick("0", unsaid), *_picks(self._materials)])

    def _offer_colours(self, material_id: int | None, colour: str) -> None:
        known = self._colours.get(material_id or 0, ())
        if material_id is None:
            known = tuple(sorted({name for names in self._colours.values() for name in names}))
        names = tuple(dict.fromkeys((*known, *((colour,) if colour else ()))))
        picks = [Pick("=", "Any colour"), *(Pick(f"={name}", name) for name in names)]
        self.colour.set_picks(picks, f"={colour}")

    def _lay_out(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(24)
        grid.setVerticalSpacing(16)
        fields = [
            Field("Job", self.texts["job"]),
            Field("Revision of the job", self.texts["job_revision"]),
            Field("Material wish", self.material),
            Field("Colour wish", self.colour),
            Field("What it touches", self.texts["touches"]),
            Field("Critical sizes", self.texts["critical_sizes"]),
            Field("Why so soon", self.texts["reason"]),
        ]
        if self._whole:
            fields = [Field("Who asks", self.asker), *fields, Field("Scale", self.scale)]
        self._count, self._grid = 0, grid
        for field in fields:
            self._put(field)
        for column in range(2):
            grid.setColumnStretch(column, 1)
        grid.setRowStretch(20, 1)


def side_by_side(layout: QBoxLayout, beside: bool) -> None:
    """Turn a box layout from a column into a row, or back."""
    layout.setDirection(QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom)


def _picks(names: Mapping[int, str]) -> list[Pick]:
    return [Pick(str(key), name) for key, name in names.items()]
