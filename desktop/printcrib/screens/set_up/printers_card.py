"""The third step: the printers, the size of their platforms, and the nozzles kept for each."""

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.core.units import bore_text
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.fields import ChoiceRow, Field, TextField, TickList
from printcrib.screens.set_up.edits import add_printer, set_bores, swapped, take_out_printer
from printcrib.screens.set_up.entries import WholeNumber
from printcrib.screens.set_up.faults import Faults
from printcrib.screens.set_up.form import BORES_UM, NOT_FITTED, Form, PrinterRow
from printcrib.screens.set_up.rows_and_one import RowsAndOne

_BORES = tuple((str(bore), bore_text(bore)) for bore in BORES_UM)
_COLUMNS = len(_BORES)


class OnePrinter(QWidget):
    """Name, platform and nozzles of one printer.

    Signals:
        edited(object): the PrinterRow, changed by a person. removed(): take it out.
    """

    edited = Signal(object)
    removed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._row = PrinterRow()
        self.name_field = TextField(says="name of the printer", example="North")
        self.across = WholeNumber("mm", says="platform, left to right")
        self.deep = WholeNumber("mm", says="platform, front to back")
        self.tall = WholeNumber("mm", says="tallest it prints")
        self.remove_button = Button("Take out", icon="close")
        self.nozzles = TickList(_BORES, columns=_COLUMNS, says="nozzles kept for it", holding=False)
        self.hardened = TickList(_BORES, columns=_COLUMNS, says="hardened nozzles", holding=False)
        self.fitted = ChoiceRow(_BORES, says="nozzle on it now", columns=_COLUMNS, may_clear=True)
        self.name = Field("Name", self.name_field)
        self.platform = Field("Platform: left to right, front to back, and height", self._sizes())
        self.nozzles_field = Field("Nozzles you have for it, in mm", self.nozzles)
        self.fitted_field = Field("On it now; press it again for none", self.fitted)
        self.hardened_field = Field(
            "Hardened ones; material with glass or carbon is printed with these only", self.hardened
        )
        self._lay_out()
        self._connect()

    def _sizes(self) -> QWidget:
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        for button in (self.across, self.deep, self.tall):
            row.addWidget(button)
        return holder

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(14)
        first = QHBoxLayout()
        first.setSpacing(16)
        first.addWidget(self.name, 1)
        first.addWidget(self.remove_button, 0, Qt.AlignmentFlag.AlignBottom)
        column.addLayout(first)
        for field in (self.platform, self.nozzles_field, self.fitted_field, self.hardened_field):
            column.addWidget(field)
        column.addStretch(1)

    def _connect(self) -> None:
        self.name_field.textEdited.connect(lambda text: self._tell(replace(self._row, name=text)))
        self.across.number_changed.connect(lambda mm: self._tell(replace(self._row, width_mm=mm)))
        self.deep.number_changed.connect(lambda mm: self._tell(replace(self._row, depth_mm=mm)))
        self.tall.number_changed.connect(lambda mm: self._tell(replace(self._row, height_mm=mm)))
        self.nozzles.ticks_changed.connect(self._on_nozzles)
        self.hardened.ticks_changed.connect(self._on_hardened)
        self.fitted.chosen_changed.connect(self._on_fitted)
        self.remove_button.clicked.connect(lambda: self.removed.emit())
        named = (("nozzle", self.nozzles), ("on it now", self.fitted), ("hardened", self.hardened))
        for words, control in named:
            for button in control.buttons.values():
                button.setAccessibleName(f"{words} {button.text()}")

    def show_row(self, row: PrinterRow) -> None:
        """Show what is filled in."""
        self._row = row
        if self.name_field.text() != row.name:
            self.name_field.setText(row.name)
        self.across.set_number(row.width_mm)
        self.deep.set_number(row.depth_mm)
        self.tall.set_number(row.height_mm)
        self.nozzles.set_ticked(frozenset(str(bore) for bore in row.bores_um))
        self.hardened.set_ticked(frozenset(str(bore) for bore in row.hardened_um))
        self.fitted.set_chosen(str(row.fitted_um))
        for control in (self.fitted, self.hardened):
            for bore, button in control.buttons.items():
                button.setEnabled(int(bore) in row.bores_um)

    def show_faults(self, faults: Faults, number: int) -> None:
        """Say beside each field what is missing."""
        self.name.set_error(faults.get(f"printer {number}", ""))
        self.platform.set_error(faults.get(f"size {number}", ""))
        self.nozzles_field.set_error(faults.get(f"nozzles {number}", ""))

    def _on_nozzles(self) -> None:
        self._tell(set_bores(self._row, [int(bore) for bore in self.nozzles.ticked]))

    def _on_hardened(self) -> None:
        self._tell(replace(self._row, hardened_um=tuple(sorted(int(bore) for bore in self.hardened.ticked))))

    def _on_fitted(self, chosen: str) -> None:
        self._tell(replace(self._row, fitted_um=int(chosen) if chosen else NOT_FITTED))

    def _tell(self, row: PrinterRow) -> None:
        self.edited.emit(row)


class PrintersCard(QWidget):
    """All printers, one of them to fill in.

    Signals:
        edited(object): the Form, changed by a person.
    """

    edited = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._form = Form()
        self._chosen = 0
        self.one = OnePrinter()
        self.rows = RowsAndOne("Add a printer", "Enter at least one printer.", self.one)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.rows)
        self.rows.chosen.connect(self._on_chosen)
        self.rows.added.connect(self._on_added)
        self.one.edited.connect(self._on_edited)
        self.one.removed.connect(self._on_removed)

    def show_form(self, form: Form) -> None:
        """Show what is filled in."""
        self._form = form
        self._chosen = max(0, min(self._chosen, len(form.printers) - 1))
        self.rows.show_rows([row.name or "No name yet" for row in form.printers], self._chosen)
        if form.printers:
            self.one.show_row(form.printers[self._chosen])
        self.one.remove_button.setEnabled(len(form.printers) > 1)

    def show_faults(self, faults: Faults) -> None:
        """Go to the first printer with something missing, and say it there."""
        wrong = sorted({int(field.split()[1]) for field in faults if " " in field})
        if wrong and self._chosen not in wrong:
            self._on_chosen(wrong[0])
        self.one.show_faults(faults, self._chosen)

    def _on_chosen(self, number: int) -> None:
        self._chosen = number
        self.show_form(self._form)
        self.one.show_faults({}, number)

    def _on_added(self) -> None:
        self._chosen = len(self._form.printers)
        self.edited.emit(add_printer(self._form))
        self.one.name_field.setFocus(Qt.FocusReason.TabFocusReason)
        self.one.name_field.selectAll()

    def _on_edited(self, row: PrinterRow) -> None:
        self.edited.emit(replace(self._form, printers=swapped(self._form.printers, self._chosen, row)))

    def _on_removed(self) -> None:
        self.edited.emit(take_out_printer(self._form, self._chosen))
