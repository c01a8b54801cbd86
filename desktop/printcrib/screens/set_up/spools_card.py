"""The fourth step: the spools on the rack; it may be left empty."""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.core.materials import Material
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.fields import ChoiceRow, Field, TextField
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.set_up.edits import add_spool, set_spool, without
from printcrib.screens.set_up.entries import WholeNumber
from printcrib.screens.set_up.faults import Faults
from printcrib.screens.set_up.form import Form, SpoolRow
from printcrib.screens.set_up.rows_and_one import RowsAndOne, fitted

COLOURS = ("black", "grey", "white", "natural")
SHELF, SEALED = "shelf", "sealed"
WHERE_PX = 126
"""Room for the name of a printer on its button in a narrow window."""
LATER = "No spool yet. You may go on: spools are received at the Spool rack at any time."


class OneSpool(QWidget):
    """Material, colour, grams and place of one spool.

    Signals:
        edited(object): the SpoolRow, changed by a person. removed(), repeated(): one more like it.
    """

    edited = Signal(object)
    removed = Signal()
    repeated = Signal()

    def __init__(self, materials: Sequence[Material]) -> None:
        super().__init__()
        self._row = SpoolRow()
        picks = [Pick(each.name, each.name, heat_words(each)) for each in materials]
        self.material = PickField(says="material", picks=picks)
        self.colour_field = TextField(says="colour", example="dark grey")
        self.colours = ChoiceRow([(colour, colour) for colour in COLOURS], says="colour", columns=4)
        self.full = WholeNumber("g", says="a full spool holds")
        self.left = WholeNumber("g", says="left on it now")
        self.where = ChoiceRow(
            [(SHELF, "On the shelf"), (SEALED, "Still sealed")], columns=4, says="where it is"
        )
        self.remove_button = Button("Take out", icon="close")
        self.repeat_button = Button("One more like it", icon="plus")
        self._printers: tuple[str, ...] = ()
        self.grams = Field("Left on it now, about; weigh it later", self.left)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(14)
        first = QHBoxLayout()
        first.setSpacing(16)
        first.addWidget(Field("Material", self.material), 1)
        first.addWidget(self.repeat_button, 0, Qt.AlignmentFlag.AlignBottom)
        first.addWidget(self.remove_button, 0, Qt.AlignmentFlag.AlignBottom)
        column.addLayout(first)
        colour = QHBoxLayout()
        colour.setSpacing(16)
        colour.addWidget(Field("Colour", self.colour_field), 2)
        colour.addWidget(self.colours, 3, Qt.AlignmentFlag.AlignBottom)
        column.addLayout(colour)
        grams = QHBoxLayout()
        grams.setSpacing(16)
        grams.addWidget(Field("A full spool holds", self.full), 1, Qt.AlignmentFlag.AlignTop)
        grams.addWidget(self.grams, 1, Qt.AlignmentFlag.AlignTop)
        column.addLayout(grams)
        column.addWidget(Field("Where it is", self.where))
        column.addStretch(1)

    def _connect(self) -> None:
        self.material.picked_changed.connect(lambda name: self._tell(replace(self._row, material=name)))
        self.colour_field.textEdited.connect(lambda text: self._tell(replace(self._row, colour=text)))
        self.colours.chosen_changed.connect(lambda word: self._tell(replace(self._row, colour=word)))
        self.full.number_changed.connect(self._on_full)
        self.left.number_changed.connect(lambda grams: self._tell(replace(self._row, left_g=grams)))
        self.where.chosen_changed.connect(self._on_where)
        self.remove_button.clicked.connect(lambda: self.removed.emit())
        self.repeat_button.clicked.connect(lambda: self.repeated.emit())

    def show_row(self, row: SpoolRow, printers: Sequence[str]) -> None:
        """Show what is filled in, and the printers it may be on."""
        self._row = row
        self.material.set_chosen(row.material)
        if self.colour_field.text() != row.colour:
            self.colour_field.setText(row.colour)
        self.colours.set_chosen(row.colour)
        self.full.set_number(row.full_g)
        self.left.set_number(row.left_g)
        self.left.setEnabled(not row.sealed)
        if tuple(printers) != self._printers:
            self._printers = tuple(printers)
            on = [(str(number), fitted(f"On {name}", WHERE_PX)) for number, name in enumerate(printers)]
            self.where.set_choices([(SHELF, "On the shelf"), (SEALED, "Still sealed"), *on])
        mounted = str(row.on_printer) if row.on_printer >= 0 else SHELF
        self.where.set_chosen(SEALED if row.sealed else mounted)

    def show_faults(self, faults: Faults, number: int) -> None:
        """Say beside the grams what is odd."""
        self.grams.set_error(faults.get(f"grams {number}", ""))

    def _on_full(self, grams: int) -> None:
        left = grams if self._row.left_g == self._row.full_g else self._row.left_g
        self._tell(replace(self._row, full_g=grams, left_g=left))

    def _on_where(self, chosen: str) -> None:
        sealed = chosen == SEALED
        left = self._row.full_g if sealed else self._row.left_g
        on_printer = int(chosen) if chosen.isdigit() else -1
        self._tell(replace(self._row, sealed=sealed, left_g=left, on_printer=on_printer))

    def _tell(self, row: SpoolRow) -> None:
        self.edited.emit(row)


class SpoolsCard(QWidget):
    """All spools, one of them to fill in.

    Signals:
        edited(object): the Form, changed by a person.
    """

    edited = Signal(object)

    def __init__(self, materials: Sequence[Material]) -> None:
        super().__init__()
        self._form = Form()
        self._chosen = 0
        self.one = OneSpool(materials)
        self.rows = RowsAndOne("Add a spool", LATER, self.one)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.rows)
        self.rows.chosen.connect(self._on_chosen)
        self.rows.added.connect(lambda: self._on_added(None))
        self.one.edited.connect(lambda row: self.edited.emit(set_spool(self._form, self._chosen, row)))
        self.one.removed.connect(self._on_removed)
        self.one.repeated.connect(lambda: self._on_added(self._form.spools[self._chosen]))

    def show_form(self, form: Form) -> None:
        """Show what is filled in."""
        self._form = form
        self._chosen = max(0, min(self._chosen, len(form.spools) - 1))
        self.rows.show_rows([spool_words(row) for row in form.spools], self._chosen)
        if form.spools:
            names = [row.name or "the printer" for row in form.printers]
            self.one.show_row(form.spools[self._chosen], names)

    def show_faults(self, faults: Faults) -> None:
        """Go to the first spool with something odd, and say it there."""
        wrong = sorted(int(field.split()[1]) for field in faults if field.startswith("grams "))
        if wrong and self._chosen not in wrong:
            self._on_chosen(wrong[0])
        self.one.show_faults(faults, self._chosen)

    def _on_chosen(self, number: int) -> None:
        self._chosen = number
        self.show_form(self._form)
        self.one.show_faults({}, number)

    def _on_added(self, like: SpoolRow | None) -> None:
        self._chosen = len(self._form.spools)
        self.edited.emit(add_spool(self._form, like))
        self.one.material.button.setFocus(Qt.FocusReason.TabFocusReason)

    def _on_removed(self) -> None:
        self.edited.emit(replace(self._form, spools=without(self._form.spools, self._chosen)))


def heat_words(material: Material) -> str:
    """How hot the nozzle is for it, without where the figure is from: "nozzle 190-220 °C"."""
    degrees = material.nozzle_c_words.partition(" (")[0]
    return f"nozzle {degrees} °C" if degrees else ""


def spool_words(row: SpoolRow) -> str:
    """A spool in the list, in two lines: "PETG", "640 g, grey"."""
    return f"{row.material}\n" + ", ".join(each for each in (f"{row.left_g} g", row.colour.strip()) if each)
