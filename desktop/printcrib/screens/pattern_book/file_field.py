"""A model file to give: chosen or dropped, looked into at once, said in words and shown."""

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.core.errors import ShopError
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.drawn_in import MM, UNIT_CHOICES, UNIT_SCALES
from printcrib.screens.parts.fields import ChoiceRow, Field, TextField
from printcrib.screens.parts.marks import IconMark
from printcrib.screens.parts.model_view import ModelPanel
from printcrib.screens.parts.page import column_of
from printcrib.screens.parts.pick_file import MODEL_FILES, ask_path
from printcrib.screens.parts.words import Words
from printcrib.screens.pattern_book.given_file import GivenFile
from printcrib.screens.pattern_book.presenter import height_words
from printcrib.services.answer_form import FormModel

WAITING = "No file yet. Choose one, or drop it here."


class FileField(QWidget):
    """A model file, the unit it was drawn in, where it came from and its licence.

    Args:
        may_be_none: offer to take the file away again.

    Signals:
        wanted(object): a GivenFile to be looked into; its path or unit changed.
    """

    wanted = Signal(object)

    def __init__(self, *, may_be_none: bool = False) -> None:
        super().__init__()
        self.setAcceptDrops(True)
        self._path: Path | None = None
        self._may_be_none = may_be_none
        self._refused = ""
        self.button = Button("Choose a model file", icon="open")
        self.away_button = Button("Without a file")
        self.unit = ChoiceRow(UNIT_CHOICES, chosen=MM, says="the file's unit")
        self.source = TextField(says="Where it came from", example="drawn here")
        self.licence = TextField(says="Its licence", example="our own")
        self.panel = ModelPanel()
        self.found = Words("", tone="second", wrap=True)
        self.mark = IconMark("done")
        self.file_row = Field("Model file", self.button)
        self._lay_out()
        self.button.clicked.connect(self._on_choose)
        self.away_button.clicked.connect(lambda: self.set_given(None))
        self.unit.chosen_changed.connect(lambda _unit: self._ask())
        self.set_given(None)

    @property
    def given(self) -> GivenFile | None:
        """The file as chosen; None while there is none."""
        if self._path is None:
            return None
        scale = UNIT_SCALES[self.unit.chosen or MM]
        return GivenFile(self._path, scale, self.source.text().strip(), self.licence.text().strip())

    @property
    def refused(self) -> str:
        """Why the file chosen cannot be read, "" where it can."""
        return self._refused

    def set_given(self, file: GivenFile | None) -> None:
        """Begin with a file chosen before, or with none."""
        self._path = None
        self.button.set_words("Choose a model file")
        self.away_button.hide()
        self.panel.view.clear(WAITING)
        self._say("")
        if file is not None:
            unit = next((unit for unit, scale in UNIT_SCALES.items() if scale == file.unit_scale), MM)
            self.unit.set_chosen(unit)
            self.source.setText(file.source)
            self.licence.setText(file.licence)
            self.take(str(file.path))

    def take(self, path: str) -> None:
        """A file was chosen or dropped."""
        self._path = Path(path)
        self.button.set_words(self._path.name)
        self.away_button.setVisible(self._may_be_none)
        self._ask()

    def show_file(self, given: GivenFile, read: FormModel) -> None:
        """What was found, unless another file was chosen meanwhile."""
        if self._is_another(given):
            return
        self.panel.view.set_model(read.mesh.vertices, read.mesh.faces, height_words(read.mesh))
        sound = not read.findings
        self._say(f"Sound, {read.extents}." if sound else f"{read.extents}. {' '.join(read.findings)}", sound)

    def refuse(self, given: GivenFile, error: ShopError) -> None:
        """Why it cannot be read; another one can be chosen."""
        if self._is_another(given):
            return
        self.panel.view.clear("This file cannot be shown.")
        self._say("")
        self._refused = str(error)
        self.file_row.set_error(self._refused)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        paths = dropped(event)
        if paths:
            event.acceptProposedAction()
            self.take(paths[0])

    def _is_another(self, given: GivenFile) -> bool:
        now = self.given
        return now is None or (now.path, now.unit_scale) != (given.path, given.unit_scale)

    def _ask(self) -> None:
        given = self.given
        if given is not None:
            self._say("")
            self.found.setText(f"Reading {given.name}")
            self.wanted.emit(given)

    def _say(self, words: str, sound: bool = True) -> None:
        self._refused = ""
        self.file_row.set_error("")
        self.found.setText(words)
        self.found.set_tone("second" if sound else "signal")
        self.mark.show_icon("done" if sound else "problem", "ink" if sound else "signal")
        self.mark.setVisible(bool(words))

    def _on_choose(self) -> None:
        path = ask_path(self, "Choose a model file", MODEL_FILES)
        if path:
            self.take(path)

    def _lay_out(self) -> None:
        left = column_of(self.file_row, self.away_button, Field("Drawn in", self.unit))
        left.addWidget(Field("Where it came from", self.source))
        left.addWidget(Field("Its licence", self.licence))
        left.addStretch(1)
        said = QHBoxLayout()
        said.setSpacing(10)
        said.addWidget(self.mark)
        said.addWidget(self.found, 1)
        right = QVBoxLayout()
        right.setSpacing(8)
        self.panel.view.setMinimumHeight(210)
        right.addLayout(said)
        right.addWidget(self.panel, 1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(24)
        row.addLayout(left, 1)
        row.addLayout(right, 1)


def dropped(event: QDropEvent) -> list[str]:
    """Paths of the files that were dropped."""
    return [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
