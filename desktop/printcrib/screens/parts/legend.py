"""Says what the signs mean, in a row: the sign, then its words."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.tokens import Tokens, current_tokens

Sign = Callable[[QPainter, QRectF, Tokens], None]
_HIGH = 30
_GAP = 28


def solid(painter: QPainter, box: QRectF, tokens: Tokens) -> None:
    """Real now."""
    strokes.box(painter, box, 3, tokens.accent)


def planned(painter: QPainter, box: QRectF, tokens: Tokens) -> None:
    """A planned run."""
    strokes.box(painter, box, 3, tokens.tint, strokes.pen(tokens.mid, 1.4))


def hatched(painter: QPainter, box: QRectF, tokens: Tokens) -> None:
    """Promised or expected."""
    strokes.hatch(painter, strokes.rounded(box, 3), tokens.accent)
    strokes.box(painter, box, 3, None, strokes.pen(tokens.accent, 1.4))


def short(painter: QPainter, box: QRectF, tokens: Tokens) -> None:
    """Missing."""
    strokes.dashed_box(painter, box, 3, tokens.signal)


def tolerance(painter: QPainter, box: QRectF, tokens: Tokens) -> None:
    """Doubt of a number."""
    strokes.bracket(painter, box.left(), box.right(), box.center().y(), tokens.ink)


def tick(painter: QPainter, box: QRectF, tokens: Tokens) -> None:
    """A minimum."""
    painter.fillRect(QRectF(box.center().x() - 1, box.top() - 3, 2, box.height() + 6), tokens.ink)


def swap(painter: QPainter, box: QRectF, tokens: Tokens) -> None:
    """A nozzle swap."""
    painter.fillRect(QRectF(box.center().x() - 4, box.top() - 4, 8, box.height() + 8), tokens.ink)


def hands_on(painter: QPainter, box: QRectF, tokens: Tokens) -> None:
    """Other hands-on time."""
    painter.fillRect(QRectF(box.center().x() - 3, box.center().y() - 6, 6, 12), tokens.ink)


def needed(painter: QPainter, box: QRectF, tokens: Tokens) -> None:
    """Needed by, and the time to spare before it."""
    y = box.center().y()
    painter.setPen(strokes.pen(tokens.ink, 1.6))
    painter.drawLine(QPointF(box.left(), y), QPointF(box.right() - 6, y))
    painter.drawLine(QPointF(box.left(), y - 6), QPointF(box.left(), y + 6))
    strokes.triangle(painter, QPointF(box.right() - 6, y + 6), 12, tokens.ink, solid=False)


def fitted(painter: QPainter, box: QRectF, tokens: Tokens) -> None:
    """A nozzle's line from swap to swap."""
    y = box.center().y()
    painter.setPen(strokes.pen(tokens.ink2, 1.6))
    painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
    painter.drawLine(QPointF(box.right(), y - 6), QPointF(box.right(), y + 6))


RUN_SIGNS: tuple[tuple[Sign, str], ...] = (
    (solid, "printing"),
    (planned, "planned"),
    (swap, "nozzle swap"),
    (hands_on, "other hands-on"),
    (fitted, "nozzle fitted"),
    (needed, "needed by"),
)
SPOOL_SIGNS: tuple[tuple[Sign, str], ...] = (
    (solid, "free"),
    (hatched, "promised to runs"),
    (short, "short"),
    (tolerance, "weighing ±"),
    (tick, "minimum"),
)


class Legend(QWidget):
    """Signs with their words; those without room are left out from the right.

    Args:
        signs: RUN_SIGNS or SPOOL_SIGNS, or your own (sign, words).
    """

    def __init__(self, signs: Sequence[tuple[Sign, str]] = RUN_SIGNS, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._signs = tuple(signs)
        self.setAccessibleName("signs: " + ", ".join(words for _sign, words in signs))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(300, _HIGH)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        measure = lettering.metrics()
        painter.setFont(lettering.font())
        left = 0.0
        middle = self.height() / 2
        for sign, words in self._signs:
            wide = 30 + 10 + measure.horizontalAdvance(words)
            if left + wide > self.width():
                break
            sign(painter, QRectF(left, middle - 9, 28, 18), tokens)
            painter.setPen(tokens.ink2)
            room = QRectF(left + 38, 0, wide, self.height())
            painter.drawText(room, (Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter).value, words)
            left += wide + _GAP
        painter.end()
