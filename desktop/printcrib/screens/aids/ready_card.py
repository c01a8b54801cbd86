"""Good copies that wait to become aids in use: a short list under the aids, and all of them on a sheet."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.screens.aids.words import ready_words
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, Hairline, emptied
from printcrib.screens.parts.tokens import GAP_PX
from printcrib.screens.parts.words import Words
from printcrib.services.look_at_copies import ReadyCopy

MOST_NARROW, MOST_WIDE = 1, 2


class ReadyRows(QWidget):
    """A row a copy: what it is, where it goes, and its next press.

    Signals:
        hand_out(object), shelve(object), see(object): the ReadyCopy. all_wanted(): show all of them.
    """

    hand_out = Signal(object)
    shelve = Signal(object)
    see = Signal(object)
    all_wanted = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.buttons: dict[str, Button] = {}
        self._rows = QVBoxLayout(self)
        self._rows.setContentsMargins(0, 0, 0, 0)
        self._rows.setSpacing(8)

    def set_copies(self, copies: Sequence[ReadyCopy], most: int = 0, before: str = "") -> None:
        """Show these copies, those that may go first; 0 for all of them. `before` stands before a name."""
        emptied(self._rows)
        self.buttons = {}
        shown = copies[:most] if most else copies
        for copy in shown:
            if self._rows.count():
                self._rows.addWidget(Hairline())
            last = copy is shown[-1] and len(copies) > len(shown)
            self._rows.addLayout(self._row(copy, len(copies) if last else 0, before))

    def _row(self, copy: ReadyCopy, all_of: int, before: str) -> QHBoxLayout:
        first, second, held = ready_words(copy)
        row = QHBoxLayout()
        row.setSpacing(GAP_PX)
        texts = QVBoxLayout()
        texts.setSpacing(0)
        texts.addWidget(Words(before + first, weight="strong", elide=True))
        texts.addWidget(Words(second, tone="signal" if held else "second", wrap=held, elide=not held))
        row.addLayout(texts, 1)
        if held:
            see = self._button(f"see {copy.copy_id}", "See why", lambda: self.see.emit(copy))
            see.setAccessibleName(f"See why {copy.aid_tag} stays here")
            row.addWidget(see)
        else:
            out = self._button(f"hand out {copy.copy_id}", "Hand out", lambda: self.hand_out.emit(copy))
            out.setAccessibleName(f"Hand out {copy.aid_tag}")
            row.addWidget(out)
        if all_of:
            row.addWidget(self._button("all", f"All {all_of}", lambda: self.all_wanted.emit()))
        else:
            shelf = self._button(f"shelve {copy.copy_id}", "To the shelf", lambda: self.shelve.emit(copy))
            shelf.setAccessibleName(f"{copy.aid_tag} to the shelf")
            row.addWidget(shelf)
        return row

    def _button(self, key: str, words: str, call: Callable[[], None]) -> Button:
        button = Button(words)
        button.clicked.connect(lambda _down=False: call())
        self.buttons[key] = button
        return button


class ReadyCard(Card):
    """The short list; hidden while no copy waits."""

    def __init__(self) -> None:
        super().__init__(padding=12, spacing=4)
        self.body.setContentsMargins(16, 8, 12, 8)
        self.head = Words("Ready to hand out", tone="second")
        self.rows = ReadyRows()
        self.add(self.head, self.rows)
        self.copies: Sequence[ReadyCopy] = ()

    def set_copies(self, copies: Sequence[ReadyCopy], *, wide: bool) -> None:
        """Show the first ones."""
        self.copies = copies
        self.setVisible(bool(copies))
        self.head.setVisible(wide)
        if wide:
            self.rows.set_copies(copies, MOST_WIDE)
        else:
            self.rows.set_copies(copies, MOST_NARROW, "Ready: ")


class ReadyPanel(AskPanel):
    """All good copies that wait."""

    def __init__(self, copies: Sequence[ReadyCopy]) -> None:
        super().__init__("Ready to hand out", width=960)
        self.rows = ReadyRows()
        self.body.addWidget(self.rows)
        self.body.addStretch(1)
        self.rows.set_copies(copies)
