"""A size to fill in, its model file, and how it is turned on the platform."""

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from printcrib.core.patterns import Size
from printcrib.core.shapes import TURNS
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.drawn_in import MM, UNIT_CHOICES, UNIT_SCALES
from printcrib.screens.parts.fields import ChoiceRow, Field, TextField
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.pick_file import MODEL_FILES, ask_path
from printcrib.screens.pattern_book.presenter import GivenFile
from printcrib.services.look_at_patterns import SizeLine

UPRIGHT = (
    ("+z/0", "As given"),
    ("-z/0", "Upside down"),
    ("+y/0", "Back side up"),
    ("-y/0", "Front side up"),
    ("+x/0", "Right side up"),
    ("-x/0", "Left side up"),
)
"""Turns somebody chooses from: which side of the model is on top; a quarter turn is the platform's own."""


class FileField(QWidget):
    """A model file, the unit it was drawn in, where it came from. A file may be dropped on it."""

    def __init__(self) -> None:
        super().__init__()
        self.setAcceptDrops(True)
        self._path: Path | None = None
        self.button = Button("Choose a model file", icon="open")
        self.unit = ChoiceRow(UNIT_CHOICES, chosen=MM, says="the file's unit")
        self.source = TextField(says="Where it came from", example="drawn here")
        self.licence = TextField(says="Licence", example="ours")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        column.addLayout(row_of(self.button, Field("Drawn in", self.unit), stretch=(1, 1)))
        column.addLayout(
            row_of(Field("Where it came from", self.source), Field("Licence", self.licence), stretch=(1, 1))
        )
        self.button.clicked.connect(self._on_choose)

    def take(self, path: str) -> None:
        """A file was chosen."""
        self._path = Path(path)
        self.button.set_words(self._path.name)

    @property
    def given(self) -> GivenFile | None:
        """The file as chosen; None while there is none."""
        if self._path is None:
            return None
        scale = UNIT_SCALES[self.unit.chosen or MM]
        return GivenFile(self._path, scale, self.source.text().strip(), self.licence.text().strip())

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        for url in event.mimeData().urls()[:1]:
            self.take(url.toLocalFile())

    def _on_choose(self) -> None:
        path = ask_path(self, "Choose a model file", MODEL_FILES)
        if path:
            self.take(path)


class SizePanel(AskPanel):
    """A new size with its model, or a size to change.

    Signals:
        told(object, object): the Size, and its GivenFile or None.
    """

    told = Signal(object, object)

    def __init__(self, size: Size) -> None:
        title = f"Change size {size.name}" if size.id else "A new size"
        super().__init__(title, confirm="Keep it", width=900, stays=True)
        self._size = size
        self.name = TextField(size.name, says="Name", example="32 x 60")
        self.spares = Stepper(size.minimum_spares, least=0, most=50, step=1, says="Spares at least")
        self.place = TextField(size.shelf_place, says="Place on the shelf")
        self.limit = Stepper(
            size.count_limit or 0, least=0, most=1_000_000, step=10, says="Limit of its count"
        )
        self.file = FileField()
        self.name_field = Field("Name", self.name)
        self.body.addLayout(row_of(self.name_field, Field("Spares at least", self.spares), stretch=(1, 1)))
        limit = Field("Limit of its count, 0 for the pattern's", self.limit)
        self.body.addLayout(row_of(Field("Place on the shelf", self.place), limit, stretch=(1, 1)))
        self.body.addWidget(self.file)
        if size.id:
            self.file.hide()
        self.confirmed.connect(self._on_told)

    def _on_told(self) -> None:
        if not self.name.text().strip():
            self.name_field.set_error("Type a name.")
            self.name.setFocus()
            return
        self.name_field.set_error("")
        size = replace(
            self._size,
            name=self.name.text().strip(),
            minimum_spares=self.spares.value,
            shelf_place=self.place.text().strip(),
            count_limit=self.limit.value or None,
        )
        self.told.emit(size, self.file.given)


class RevisionPanel(AskPanel):
    """A new file for a size: its next revision, never a replacement.

    Signals:
        told(object): the GivenFile.
    """

    told = Signal(object)

    def __init__(self, line: SizeLine) -> None:
        now = f"Revision {line.revision} stays in the books. " if line.revision else ""
        super().__init__(
            f"A new model for size {line.size.name}",
            confirm="Take this file",
            sentence=f"{now}Copies not printed yet move over. A release does not cover a new revision.",
            width=900,
            stays=True,
        )
        self.file = FileField()
        self.body.addWidget(self.file)
        self.confirmed.connect(self._on_told)

    def _on_told(self) -> None:
        given = self.file.given
        if given is None:
            self.set_error("Choose a file first.")
        else:
            self.told.emit(given)


class TurnPanel(AskPanel):
    """Which side of the model is on top when it is printed.

    Signals:
        told(int): index of the turn, as `core.shapes.TURNS` orders them.
    """

    told = Signal(int)

    def __init__(self, line: SizeLine) -> None:
        super().__init__(
            f"How is size {line.size.name} printed?",
            confirm="Print it so",
            sentence="Another turn is a revision of its own; a release does not cover it.",
            width=900,
        )
        keys = list(TURNS)
        now = keys[line.model.turn % len(keys)] if line.model is not None else UPRIGHT[0][0]
        chosen = next((key for key, _ in UPRIGHT if key.split("/")[0] == now.split("/")[0]), UPRIGHT[0][0])
        self.choice = ChoiceRow(UPRIGHT, chosen=chosen, columns=3, says="Which side is on top")
        self.body.addWidget(self.choice)
        self.confirmed.connect(lambda: self.told.emit(keys.index(self.choice.chosen or chosen)))
