"""The side of a window: clock and date on top, index tabs below; the tab that is open runs into its page."""

from datetime import datetime

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from printcrib.core.calendar import day_words
from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.pressed import Pressed
from printcrib.screens.parts.tokens import (
    CONTROL_PX,
    RADIUS_TAB,
    SIDE_NARROW_PX,
    SIDE_WIDE_PX,
    Tokens,
    current_tokens,
)
from printcrib.screens.parts.words import Words

_WRAP = Qt.TextFlag.TextWordWrap.value
_MIDDLE = Qt.AlignmentFlag.AlignVCenter.value


class IndexTab(Pressed):
    """Words behind a mark of their own; while it is open, a tab of the page's own paper.

    Args:
        mark_px: room for the mark at the left.
    """

    def __init__(self, words: str, *, mark_px: int) -> None:
        super().__init__()
        self._mark_px = mark_px
        self.setText(words)
        self.setCheckable(True)
        self.setMinimumHeight(CONTROL_PX)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(SIDE_NARROW_PX - 10, CONTROL_PX)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paint_mark(self, painter: QPainter, room: QRect, colour: QColor, tokens: Tokens) -> None:
        """Paint what stands before the words, which have this colour."""
        raise NotImplementedError

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.isChecked():
            painter.setPen(strokes.pen(tokens.line, 1))
            painter.setBrush(tokens.paper)
            painter.drawPath(self._outline())
        colour = tokens.accent if self.isChecked() else tokens.ink
        if not self.isEnabled():
            colour = tokens.ink2
        self.paint_mark(painter, QRect(0, 0, self._mark_px, self.height()), colour, tokens)
        painter.setFont(lettering.font(weight="strong" if self.isChecked() else "medium"))
        painter.setPen(colour)
        painter.drawText(self.rect().adjusted(self._mark_px, 0, -4, 0), _MIDDLE | _WRAP, self.text())
        self.ring.paint(painter, tokens.ink)
        painter.end()

    def _outline(self) -> QPainterPath:
        """Round on the left, open on the right, where it runs into the page."""
        right, bottom, r = self.width() + 2.0, self.height() - 0.5, float(RADIUS_TAB)
        path = QPainterPath()
        path.moveTo(right, 0.5)
        path.lineTo(0.5 + r, 0.5)
        path.quadTo(0.5, 0.5, 0.5, 0.5 + r)
        path.lineTo(0.5, bottom - r)
        path.quadTo(0.5, bottom, 0.5 + r, bottom)
        path.lineTo(right, bottom)
        return path


class ClockSide(QWidget):
    """A side with clock and date, to be gone on with in `column`.

    Args:
        says: what stands below, for a screen reader. least_margins: top and bottom in a narrow window, px.
    """

    def __init__(self, says: str, *, least_margins: tuple[int, int], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(says)
        self._least_margins = least_margins
        self.clock = Words("", points=lettering.TITLE_PT, weight="strong")
        self.date = Words("", tone="second")
        self.column = QVBoxLayout(self)
        self.column.setSpacing(0)
        for line in (self.clock, self.date):
            line.setContentsMargins(14, 0, 0, 0)
            self.column.addWidget(line)
        self.set_wide(False)

    def set_wide(self, wide: bool) -> None:
        """Room for each tab on one line, or two lines in a narrow window."""
        self.setFixedWidth(SIDE_WIDE_PX if wide else SIDE_NARROW_PX)
        top, bottom = (22, 14) if wide else self._least_margins
        self.column.setContentsMargins(14 if wide else 10, top, 0, bottom)

    def set_time(self, now: datetime) -> None:
        """Show the wall time."""
        self.clock.setText(f"{now:%H:%M}")
        self.date.setText(day_words(now.date(), now.year))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), current_tokens().side)
        painter.end()
