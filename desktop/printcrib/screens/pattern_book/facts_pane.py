"""A column of facts that is longer than its room: arrows, page keys, Home and End read on."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractSlider, QVBoxLayout, QWidget

from printcrib.screens.parts.cards import FactRow, Scroll, emptied
from printcrib.screens.parts.focus import FocusRing
from printcrib.screens.parts.tokens import current_tokens
from printcrib.screens.parts.words import Words
from printcrib.screens.pattern_book.words import Fact, breakable

_KEYS = {
    Qt.Key.Key_Up: QAbstractSlider.SliderAction.SliderSingleStepSub,
    Qt.Key.Key_Down: QAbstractSlider.SliderAction.SliderSingleStepAdd,
    Qt.Key.Key_PageUp: QAbstractSlider.SliderAction.SliderPageStepSub,
    Qt.Key.Key_PageDown: QAbstractSlider.SliderAction.SliderPageStepAdd,
    Qt.Key.Key_Home: QAbstractSlider.SliderAction.SliderToMinimum,
    Qt.Key.Key_End: QAbstractSlider.SliderAction.SliderToMaximum,
}
_BAR_PX = 12


class FactsPane(QWidget):
    """Groups of facts and sentences under each other; Tab stops here, so that keys can scroll it."""

    def __init__(self, says: str) -> None:
        super().__init__()
        self._ring = FocusRing(self)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(says)
        self.reading = Scroll(spacing=0)
        self.reading.verticalScrollBar().setSingleStep(47)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 2, 6)
        column.addWidget(self.reading)

    def clear(self) -> None:
        """Begin anew."""
        emptied(self.reading.body)

    def add_group(self, heading: str, facts: Sequence[Fact]) -> None:
        """A heading with a row for each fact."""
        words = Words(heading, weight="strong", wrap=True)
        words.setContentsMargins(0, 20 if self.reading.body.count() else 0, _BAR_PX, 4)
        self.reading.add(words)
        for fact in facts:
            row = FactRow(fact.name, breakable(fact.value), "signal" if fact.bad else "ink")
            if len(fact.name) > 16 and len(fact.value) <= 18:  # a long name breaks, not its short value
                row.name.setWordWrap(True)
                row.value.setWordWrap(False)
            row.setContentsMargins(0, 0, _BAR_PX, 0)
            self.reading.add(row)

    def add_sentence(self, words: Words) -> None:
        """A sentence under the facts."""
        words.setContentsMargins(0, 10, _BAR_PX, 0)
        self.reading.add(words)

    def end(self) -> None:
        """Nothing comes any more."""
        self.reading.body.addStretch(1)

    def to_top(self) -> None:
        """Read from the beginning."""
        self.reading.verticalScrollBar().setValue(0)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._ring.focused(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        action = _KEYS.get(Qt.Key(event.key()))
        if action is None:
            super().keyPressEvent(event)
        else:
            self.reading.verticalScrollBar().triggerAction(action)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        self._ring.paint(painter, current_tokens().ink, inset=1.5)
        painter.end()
