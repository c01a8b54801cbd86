"""Small marks beside words: an icon, a nozzle's number in a bar with pointed ends, a spool's swatch."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.icons import paint_icon
from printcrib.screens.parts.tokens import Tokens, Tone, contrast, current_tokens

NOZZLE_SIZE = QSize(62, 34)
CHIP_SIZE = QSize(12, 50)


def paint_nozzle(painter: QPainter, rect: QRectF, bore: str, tokens: Tokens) -> None:
    """A nozzle is its number in a bar with pointed ends, in ink only, never a colour."""
    area = rect.adjusted(1, 1, -1, -1)
    point = area.height() * 0.28
    outline = QPolygonF(
        [
            QPointF(area.left(), area.center().y()),
            QPointF(area.left() + point, area.top()),
            QPointF(area.right() - point, area.top()),
            QPointF(area.right(), area.center().y()),
            QPointF(area.right() - point, area.bottom()),
            QPointF(area.left() + point, area.bottom()),
        ]
    )
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(strokes.pen(tokens.ink, 1.6))
    painter.setBrush(tokens.sheet)
    painter.drawPolygon(outline)
    painter.setFont(lettering.font(lettering.TEXT_PT, "medium"))
    painter.drawText(area, Qt.AlignmentFlag.AlignCenter, bore)
    painter.restore()


def paint_chip(painter: QPainter, rect: QRectF, colour: QColor, tokens: Tokens) -> None:
    """A spool's colour as a small upright swatch; its border shows when the sheet is nearly as light."""
    near = contrast(colour, tokens.sheet) < 1.6
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    strokes.box(painter, rect, 2, colour, strokes.pen(tokens.ink2 if near else tokens.edge, 1))
    painter.restore()


class NozzleMark(QWidget):
    """The number of a nozzle ("0.6") in a bar with pointed ends."""

    def __init__(self, bore: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bore = ""
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.set_bore(bore)

    def set_bore(self, bore: str) -> None:
        """Show another nozzle; "" shows nothing."""
        self._bore = bore
        self.setAccessibleName(f"nozzle {bore}" if bore else "no nozzle")
        self.update()

    def sizeHint(self) -> QSize:
        return NOZZLE_SIZE

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._bore:
            return
        painter = QPainter(self)
        paint_nozzle(
            painter, QRectF(0, 0, NOZZLE_SIZE.width(), NOZZLE_SIZE.height()), self._bore, current_tokens()
        )
        painter.end()


class SpoolChip(QWidget):
    """A spool's colour; always beside its name.

    Args:
        colour: "#1A1A1A" and the like. height: 20 beside one line, 50 beside two.
    """

    def __init__(self, colour: str = "#888888", height: int = 24, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._colour = QColor(colour)
        self.setFixedSize(10 if height < 40 else CHIP_SIZE.width(), height)

    def set_colour(self, colour: str) -> None:
        """Show another colour."""
        self._colour = QColor(colour)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        paint_chip(painter, QRectF(self.rect()), self._colour, current_tokens())
        painter.end()


class IconMark(QWidget):
    """An icon beside a word, in the tone of that word."""

    def __init__(
        self, icon: str, tone: Tone = "ink", size_px: int = 24, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._icon, self._tone = icon, tone
        self.setFixedSize(size_px, size_px)

    def show_icon(self, icon: str, tone: Tone = "ink") -> None:
        """Change icon and tone."""
        self._icon, self._tone = icon, tone
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        paint_icon(painter, self._icon, QRectF(self.rect()), current_tokens().of(self._tone))
        painter.end()
