"""Asks for a new model file: a new revision, never a replacement."""

from pathlib import Path

from PySide6.QtCore import Signal

from printcrib.core.errors import ShopError
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.drawn_in import MM, UNIT_CHOICES, UNIT_SCALES
from printcrib.screens.parts.fields import ChoiceRow, Field
from printcrib.screens.parts.pick_file import MODEL_FILES, ask_path
from printcrib.screens.parts.words import Words
from printcrib.screens.requests.act_panels import ActPanel
from printcrib.services.look_at_request import RequestPage


class ModelFilePanel(ActPanel):
    """Asks which file, and in which unit it was drawn.

    Signals:
        given(str, float): path, and the factor to millimetres.
    """

    given = Signal(str, float)

    def __init__(self, page: RequestPage) -> None:
        now = f"Revision {page.model.revision} stays in the books. " if page.model else ""
        super().__init__(
            "Give a model file",
            confirm="Take this file",
            sentence=f"{now}Copies not printed yet move over; printed ones keep theirs.",
            stays=True,
        )
        self._path = ""
        self.file_button = Button("Choose a file", icon="open")
        self.unit = ChoiceRow(UNIT_CHOICES, chosen=MM, says="the file's unit")
        self._busy = Words("", tone="second", wrap=True)
        self.body.addWidget(self.file_button)
        self.body.addWidget(Field("Drawn in", self.unit))
        self.body.addWidget(self._busy)
        self._busy.hide()
        self.confirm_button.setEnabled(False)
        self.file_button.clicked.connect(self._on_choose)
        self.confirmed.connect(self._give)

    def take(self, path: str) -> None:
        """A file was chosen."""
        self._path = path
        self.file_button.set_words(Path(path).name)
        self.confirm_button.setEnabled(True)
        self.set_error("")

    def refused(self, error: ShopError) -> None:
        """Why it cannot be taken; another one can be chosen."""
        self._busy.hide()
        self.confirm_button.setEnabled(True)
        super().refused(error)

    def _on_choose(self) -> None:
        path = ask_path(self, "Choose a model file", MODEL_FILES)
        if path:
            self.take(path)

    def _give(self) -> None:
        self._busy.setText(f"Reading {Path(self._path).name}")
        self._busy.show()
        self.confirm_button.setEnabled(False)
        self.given.emit(self._path, UNIT_SCALES[self.unit.chosen or MM])
