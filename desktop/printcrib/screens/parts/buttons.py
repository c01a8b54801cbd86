"""Everything that is pressed: painted by us, so that gloves, themes and keyboards get the same button."""

from typing import ClassVar, Literal

from PySide6.QtCore import QElapsedTimer, QRect, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFontMetrics,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QShowEvent,
)
from PySide6.QtWidgets import QPushButton, QSizePolicy, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.focus import FocusRing
from printcrib.screens.parts.icons import paint_icon
from printcrib.screens.parts.tokens import (
    CONTROL_PX,
    COUNT_PX,
    MAIN_PX,
    RADIUS,
    SMALL_PX,
    Tokens,
    current_tokens,
)

Kind = Literal["main", "other", "count", "choice", "hold", "bare"]

_HEIGHTS: dict[Kind, int] = {
    "main": MAIN_PX,
    "other": CONTROL_PX,
    "count": COUNT_PX,
    "choice": CONTROL_PX,
    "hold": CONTROL_PX,
    "bare": SMALL_PX,
}
_SIDE_PADS: dict[Kind, int] = {"main": 30, "other": 18, "count": 8, "choice": 16, "hold": 14, "bare": 8}
_ICON_PX = 22
_ICON_GAP = 10
_TICK_PX = 20
_ARROWS = (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down)
_PRESSES = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)
SETTLE_MS = 500
"""Nobody reads new words and presses for them in less."""

_WRAP = Qt.TextFlag.TextWordWrap.value


class Button(QPushButton):
    """A button of the shop's look.

    Kinds:
        main: solid accent, one a page, top right, 76 px.
        other: bordered, 58 px.
        count: +1, +10, +100 on tint, 88 px or more.
        choice: stays down when chosen (tint, accent border, accent text), 58 px.
        hold: a choice with a tick box that turns signal tint: its answer holds a request.
        bare: no border until focused, 50 px.

    Words wrap into two lines where the button is narrow. An icon is always beside words; a button
    that shows only an icon says its words to a screen reader (`says`).

    A key held down presses once. A main button takes no second press of a double press, and none in
    the first `settle_ms` after it appeared or its words changed: such a press was meant for the words
    of before ("Take off run 31" must not start run 32).

    Attributes:
        settle_ms: how long that is; 0 until the window is opened for people.
    """

    settle_ms: ClassVar[int] = 0

    def __init__(
        self,
        words: str,
        *,
        kind: Kind = "other",
        icon: str | None = None,
        says: str | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(words, parent)
        self._kind: Kind = kind
        self._icon = icon
        self.ring = FocusRing(self)
        self._said = QElapsedTimer()
        self.setAccessibleName(says or words.replace("\n", " "))
        self.setCheckable(kind in ("choice", "hold"))
        self.setAutoDefault(False)
        self.setMinimumHeight(_HEIGHTS[kind])
        self.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Fixed)
        self._points: float = {"main": lettering.MAIN_PT, "count": 22}.get(kind, lettering.TEXT_PT)

    @property
    def kind(self) -> Kind:
        """Which of the kinds this button is."""
        return self._kind

    @property
    def settled(self) -> bool:
        """Whether its words have stood long enough to be what a press means."""
        if self._kind != "main" or not self._said.isValid():
            return True
        return self._said.elapsed() >= self.settle_ms

    def set_words(self, words: str, says: str | None = None) -> None:
        """Change what the button says."""
        if words != self.text():
            self._said.start()
        self.setText(words)
        self.setAccessibleName(says or words.replace("\n", " "))
        self.updateGeometry()

    def set_icon(self, icon: str | None) -> None:
        """Change the icon beside the words."""
        self._icon = icon
        self.updateGeometry()
        self.update()

    def set_points(self, points: float) -> None:
        """Change the size of the words (the Desk's large button, for instance)."""
        self._points = points
        self.updateGeometry()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.ring.focused(event)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._said.start()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self.settled:
            super().mousePressEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if self._kind != "main":
            super().mouseDoubleClickEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _ARROWS:
            event.ignore()  # Qt would walk the tab order; a row of choices moves along itself
        elif event.key() in _PRESSES and not (self.settled and not event.isAutoRepeat()):
            event.accept()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.modifiers():
            self.click()
        else:
            super().keyPressEvent(event)

    def sizeHint(self) -> QSize:
        measure = lettering.metrics(self._points, "strong")
        natural = max(measure.horizontalAdvance(line) for line in self.text().split("\n"))
        height = max(self.minimumHeight(), measure.height() * (self.text().count("\n") + 1) + 12)
        return QSize(max(SMALL_PX, natural + self._frame_width()), height)

    def minimumSizeHint(self) -> QSize:
        measure = lettering.metrics(self._points, "strong")
        least = max((measure.horizontalAdvance(word) for word in self.text().split()), default=0)
        if self._kind in ("main", "other") or len(self.text()) <= 12:
            least = self.sizeHint().width() - self._frame_width()
        return QSize(max(SMALL_PX, least + self._frame_width()), self.minimumHeight())

    def _frame_width(self) -> int:
        beside = 0
        if self._icon:
            beside = _ICON_PX + (_ICON_GAP if self.text() else 0)
        elif self._kind == "hold":
            beside = _TICK_PX + _ICON_GAP
        return 2 * _SIDE_PADS[self._kind] + beside + 2

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        fill, border, text = self._colours(tokens)
        strokes.box(painter, QRectF(self.rect()), RADIUS, fill, border)
        self._paint_words(painter, text, tokens)
        self.ring.paint(painter, tokens.on_accent if self._solid else tokens.ink)
        painter.end()

    @property
    def _solid(self) -> bool:
        return self._kind == "main" and self.isEnabled()

    def _colours(self, tokens: Tokens) -> tuple[QColor | None, QPen | None, QColor]:
        if not self.isEnabled():
            return tokens.well, strokes.pen(tokens.line, 1), tokens.ink2
        if self._kind == "main":
            return (tokens.pressed if self.isDown() else tokens.accent), None, tokens.on_accent
        if self._kind == "count":
            fill = tokens.sheet if self.isDown() else tokens.tint
            return fill, strokes.pen(tokens.accent, 2), tokens.accent
        if self.isChecked() and self._kind == "hold":
            return tokens.signal_tint, strokes.pen(tokens.signal, 2), tokens.signal
        if self.isChecked():
            return tokens.tint, strokes.pen(tokens.accent, 2), tokens.accent
        if self._kind == "bare":
            return (tokens.tint if self.isDown() else None), None, tokens.ink
        return (tokens.tint if self.isDown() else tokens.sheet), strokes.pen(tokens.edge, 2), tokens.ink

    def _paint_words(self, painter: QPainter, colour: QColor, tokens: Tokens) -> None:
        plain = self._kind in ("choice", "hold") and not self.isChecked()
        painter.setFont(lettering.font(self._points, "medium" if plain else "strong"))
        pad = _SIDE_PADS[self._kind]
        room = self.rect().adjusted(pad, 0, -pad, 0)
        if self._kind == "hold":
            self._paint_tick(painter, room, colour, tokens)
            room.setLeft(room.left() + _TICK_PX + _ICON_GAP)
            painter.setPen(colour)
            painter.drawText(room, Qt.AlignmentFlag.AlignVCenter.value | _WRAP, self.text())
            return
        if self._icon:
            room = self._paint_icon(painter, room, colour)
        painter.setPen(colour)
        painter.drawText(room, Qt.AlignmentFlag.AlignCenter.value | _WRAP, self.text())

    def _paint_icon(self, painter: QPainter, room: QRect, colour: QColor) -> QRect:
        beside = _ICON_PX + (_ICON_GAP if self.text() else 0)
        inner = room.adjusted(beside, 0, 0, 0)
        measure = QFontMetrics(painter.font())
        wide = measure.boundingRect(inner, Qt.AlignmentFlag.AlignCenter.value | _WRAP, self.text()).width()
        left = room.left() + (room.width() - wide - beside) / 2
        top = room.center().y() - _ICON_PX / 2 + 0.5
        paint_icon(painter, self._icon or "", QRectF(left, top, _ICON_PX, _ICON_PX), colour)
        return QRect(round(left) + beside, room.top(), wide + 4, room.height())

    def _paint_tick(self, painter: QPainter, room: QRect, colour: QColor, tokens: Tokens) -> None:
        square = QRectF(room.left(), room.center().y() - _TICK_PX / 2, _TICK_PX, _TICK_PX)
        edge = colour if self.isChecked() or not self.isEnabled() else tokens.edge
        strokes.box(painter, square, 2, None, strokes.pen(edge, 1.6))
        if self.isChecked():
            paint_icon(painter, "done", square.adjusted(2, 2, -2, -2), colour)
