"""Another model for a size: a new file, or the same one turned. Each is a revision of its own."""

from collections.abc import Sequence

from PySide6.QtCore import Signal

from printcrib.core.shapes import TURNS, Mesh
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.fields import ChoiceRow
from printcrib.screens.parts.model_view import ModelPanel
from printcrib.screens.parts.words import Words
from printcrib.screens.pattern_book.file_field import FileField
from printcrib.services.look_at_patterns import SizeLine

UPRIGHT: Sequence[tuple[str, str]] = (
    ("+z", "As given"),
    ("-z", "Upside down"),
    ("+y", "Back side up"),
    ("-y", "Front side up"),
    ("+x", "Right side up"),
    ("-x", "Left side up"),
)
"""Which side of the model is on top; a quarter turn about the vertical is the platform's own business."""
_KEYS = tuple(TURNS)


class RevisionPanel(AskPanel):
    """A new file for a size: its next revision, never a replacement.

    Signals:
        told(object): the GivenFile.
    """

    told = Signal(object)

    def __init__(self, line: SizeLine) -> None:
        now = f"Revision {line.revision} stays in the books. " if line.revision else ""
        lost = " Its release does not cover the new one." if line.release else ""
        super().__init__(
            f"A new model for size {line.name}",
            confirm="Take this file",
            sentence=f"{now}Copies not printed yet move over; printed ones keep theirs.{lost}",
            width=940,
            stays=True,
        )
        self.file = FileField()
        if line.model is not None:
            self.file.source.setText(line.model.source)
            self.file.licence.setText(line.model.licence)
            self.file.source.setCursorPosition(0)
            self.file.licence.setCursorPosition(0)
        self.body.addWidget(self.file)
        self.confirmed.connect(self._on_told)

    def _on_told(self) -> None:
        given = self.file.given
        if given is None:
            self.file.file_row.set_error("Choose a file first.")
        if given is None or self.file.refused:
            self.file.button.setFocus()
        else:
            self.told.emit(given)


class TurnPanel(AskPanel):
    """Which side of the model is on top when it is printed, with a picture of it.

    Signals:
        looked_at(int): a turn somebody wants to see.
        told(int): the turn to print in. Both as `core.shapes.TURNS` orders them.
    """

    looked_at = Signal(int)
    told = Signal(int)

    def __init__(self, line: SizeLine) -> None:
        lost = " Its release does not cover it." if line.release else ""
        super().__init__(
            f"How is size {line.name} printed?",
            confirm="Print it so",
            sentence=f"Another turn is a revision of its own.{lost}",
            width=940,
            stays=True,
        )
        self._now = line.model.turn if line.model is not None else 0
        side = _KEYS[self._now].partition("/")[0]
        self.choice = ChoiceRow(UPRIGHT, chosen=side, columns=3, says="which side is on top")
        self.panel = ModelPanel()
        self.panel.view.setMinimumHeight(150)
        self.words = Words("", tone="second", wrap=True)
        self.body.addWidget(self.choice)
        self.body.addWidget(self.words)
        self.body.addWidget(self.panel, 1)
        self.choice.chosen_changed.connect(lambda _side: self.look())
        self.confirmed.connect(self._on_told)

    @property
    def turn(self) -> int:
        """The turn chosen; the one printed in now while its side is on top."""
        side = self.choice.chosen or ""
        return self._now if _KEYS[self._now].startswith(f"{side}/") else _KEYS.index(f"{side}/0")

    def look(self) -> None:
        """Ask for the picture of the turn chosen."""
        self.set_error("")
        self.looked_at.emit(self.turn)

    def show_turn(self, turn: int, mesh: Mesh, height: str, words: str) -> None:
        """The picture came, unless another turn was chosen meanwhile."""
        if turn == self.turn:
            self.panel.view.set_model(mesh.vertices, mesh.faces, height)
            self.words.setText(words)

    def _on_told(self) -> None:
        if self.turn == self._now:
            self.set_error("It is printed so already. Choose another side, or go back.")
        else:
            self.told.emit(self.turn)
