"""A focus ring that shows only when somebody works by keyboard."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFocusEvent, QPainter
from PySide6.QtWidgets import QWidget

from printcrib.screens.parts import strokes
from printcrib.screens.parts.tokens import RADIUS, RING_PX

_BY_KEYBOARD = (
    Qt.FocusReason.TabFocusReason,
    Qt.FocusReason.BacktabFocusReason,
    Qt.FocusReason.ShortcutFocusReason,
)


class FocusRing:
    """Remembers why a widget got the focus; the widget asks `shown` while it paints."""

    def __init__(self, widget: QWidget) -> None:
        self._widget = widget
        self._by_keyboard = False

    def focused(self, event: QFocusEvent) -> None:
        """To be called from focusInEvent."""
        if event.reason() not in (
            Qt.FocusReason.ActiveWindowFocusReason,
            Qt.FocusReason.PopupFocusReason,
        ):
            self._by_keyboard = event.reason() in _BY_KEYBOARD
        self._widget.update()

    def typed(self) -> None:
        """To be called when a key moves something inside the widget."""
        self._by_keyboard = True
        self._widget.update()

    @property
    def shown(self) -> bool:
        """Whether the ring is to be painted now."""
        return self._by_keyboard and self._widget.hasFocus()

    def paint(
        self, painter: QPainter, colour: QColor, inset: float = 4.0, radius: float = RADIUS - 2
    ) -> None:
        """Paint the ring inside the widget, when it is to be shown."""
        if not self.shown:
            return
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        area = QRectF(self._widget.rect()).adjusted(inset, inset, -inset, -inset)
        strokes.box(painter, area, radius, None, strokes.pen(colour, RING_PX))
        painter.restore()
