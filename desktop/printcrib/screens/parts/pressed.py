"""What is painted and pressed: by mouse, by Space or Enter, with a ring when somebody works by keyboard."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QWidget

from printcrib.screens.parts.focus import FocusRing


class Pressed(QAbstractButton):
    """A pressed thing; whoever paints it paints `ring` last.

    Ctrl+Enter is left to the page it stands on, for its main action.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.ring = FocusRing(self)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.ring.focused(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        entered = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if entered and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.click()
        else:
            super().keyPressEvent(event)
