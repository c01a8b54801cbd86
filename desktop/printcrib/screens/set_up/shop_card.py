"""The first step: what the shop is called, its time zone, its machines, and where its books are kept."""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QWidget

from printcrib.core.calendar import zone_words
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card
from printcrib.screens.parts.fields import Field, TextField
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.parts.pick_file import ask_folder_path
from printcrib.screens.set_up.faults import Faults
from printcrib.screens.set_up.form import Form, machine_names


class ShopCard(Card):
    """Name, zone, machines, place.

    Signals:
        edited(object): the Form, changed by a person.
    """

    edited = Signal(object)

    def __init__(self, zones: Sequence[str]) -> None:
        super().__init__(padding=24, spacing=16)
        self._form = Form()
        self.name_field = TextField(says="name of your shop", example="Miller Tooling")
        self.zone_field = PickField(says="time zone", picks=[Pick(zone, zone_words(zone)) for zone in zones])
        self.machines_field = TextField(says="your machines", example="Lathe 1, Lathe 2, Mill 1")
        self.place_field = TextField(says="where the shop is kept")
        self.folder_button = Button("Choose a folder", icon="open")
        place = QWidget()
        row = QHBoxLayout(place)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        row.addWidget(self.place_field, 1)
        row.addWidget(self.folder_button)
        self.name = Field("Name of your shop, as it stands on the weekly report", self.name_field)
        self.zone = Field("Time zone on your wall", self.zone_field)
        self.machines = Field(
            "Machines that will use what is printed, with commas between; may be left empty",
            self.machines_field,
        )
        self.place = Field(
            "Where the shop is kept",
            place,
            "A folder of its own on this PC, or the address of an empty PostgreSQL database.",
        )
        grid = QGridLayout()
        grid.setHorizontalSpacing(24)
        grid.setVerticalSpacing(18)
        grid.addWidget(self.name, 0, 0, Qt.AlignmentFlag.AlignTop)
        grid.addWidget(self.zone, 0, 1, Qt.AlignmentFlag.AlignTop)
        grid.addWidget(self.machines, 1, 0, 1, 2)
        grid.addWidget(self.place, 2, 0, 1, 2)
        grid.setColumnStretch(0, 3)
        grid.setColumnStretch(1, 2)
        self.body.addLayout(grid)
        self.body.addStretch(1)
        self._connect()

    def _connect(self) -> None:
        self.name_field.textEdited.connect(lambda text: self._tell(replace(self._form, name=text)))
        self.zone_field.picked_changed.connect(lambda zone: self._tell(replace(self._form, zone=zone)))
        self.machines_field.textEdited.connect(lambda text: self._tell(replace(self._form, machines=text)))
        self.place_field.textEdited.connect(lambda text: self._tell(replace(self._form, place=text)))
        self.folder_button.clicked.connect(self._choose_folder)

    def show_form(self, form: Form) -> None:
        """Show what is filled in."""
        self._form = form
        for field, text in (
            (self.name_field, form.name),
            (self.machines_field, form.machines),
            (self.place_field, form.place),
        ):
            if field.text() != text:
                field.setText(text)
        self.zone_field.set_chosen(form.zone)
        count = len(machine_names(form))
        self.machines.set_hint(f"{count} machines" if count > 1 else "")

    def show_faults(self, faults: Faults) -> None:
        """Say beside each field what is missing."""
        self.name.set_error(faults.get("name", ""))
        self.zone.set_error(faults.get("zone", ""))
        self.place.set_error(faults.get("place", ""))

    def _tell(self, form: Form) -> None:
        self.edited.emit(form)

    def _choose_folder(self) -> None:
        folder = chosen_folder(self, "Where the shop is kept", self._form.place)
        if folder:
            self._tell(replace(self._form, place=folder))


def chosen_folder(parent: QWidget, title: str, start: str) -> str:
    """The folder somebody chose, "" for none."""
    return ask_folder_path(parent, title, "" if "://" in start else start)
