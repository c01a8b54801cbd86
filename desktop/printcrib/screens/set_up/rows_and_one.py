"""A list of few on the left, the chosen one to fill in on the right."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.parts import lettering
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, Scroll
from printcrib.screens.parts.words import Words

LIST_PX = 270


def fitted(words: str, width_px: int) -> str:
    """One line of a button, cut with dots where it is too long."""
    return lettering.metrics(weight="strong").elidedText(words, Qt.TextElideMode.ElideRight, width_px)


class RowsAndOne(QWidget):
    """Rows to choose from, a button for one more, and the sheet of the chosen one.

    Args:
        add_words: of the button for one more. empty: what stands in the sheet while there is no row.
        one: the fields of one row.

    Signals:
        chosen(int): a person chose a row. added(): a person wants one more.
    """

    chosen = Signal(int)
    added = Signal()

    def __init__(self, add_words: str, empty: str, one: QWidget) -> None:
        super().__init__()
        self.rows: list[Button] = []
        self.add_button = Button(add_words, icon="plus")
        self.add_button.clicked.connect(lambda: self.added.emit())
        self._one = one
        self._empty = Words(empty, tone="second", wrap=True)
        self._scroll = Scroll()
        self._scroll.body.addStretch(1)
        left = QWidget()
        left.setFixedWidth(LIST_PX)
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._scroll, 1)
        column.addWidget(self.add_button)
        sheet = Card(padding=20)
        sheet.body.addWidget(self._empty)
        scroll = Scroll()
        scroll.add(one)
        sheet.body.addWidget(scroll, 1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(16)
        row.addWidget(left)
        row.addWidget(sheet, 1)

    def show_rows(self, words: Sequence[str], chosen: int) -> None:
        """Show the rows by their words (two lines at most), and which is filled in."""
        while len(self.rows) > len(words):
            button = self.rows.pop()
            button.hide()
            button.deleteLater()
        while len(self.rows) < len(words):
            self._add_row(len(self.rows))
        for number, (button, line) in enumerate(zip(self.rows, words, strict=True)):
            words_now = "\n".join(fitted(part, LIST_PX - 52) for part in line.split("\n"))
            if button.text() != words_now:
                button.set_words(words_now, line.replace("\n", " "))
            button.setChecked(number == chosen)
        self._one.setVisible(bool(words))
        self._empty.setVisible(not words)

    def _add_row(self, number: int) -> None:
        button = Button("", kind="choice")
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        button.clicked.connect(lambda: self._on_row(number))
        self.rows.append(button)
        self._scroll.body.insertWidget(number, button)

    def _on_row(self, number: int) -> None:
        for at, button in enumerate(self.rows):
            button.setChecked(at == number)
        self.chosen.emit(number)
