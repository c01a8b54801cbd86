"""What hands do at the station: press a thing, press a key, type words."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

_NONE = Qt.KeyboardModifier.NoModifier


def press(widget: QWidget, at: QPoint | None = None) -> None:
    """Press with the mouse, in the middle unless told where."""
    QTest.mouseClick(widget, Qt.MouseButton.LeftButton, _NONE, at or widget.rect().center())


def key(widget: QWidget | None, code: Qt.Key, modifiers: Qt.KeyboardModifier = _NONE) -> None:
    """Press a key on a widget, or on whatever has the focus."""
    QTest.keyClick(widget or focused(), code, modifiers)


def typing(widget: QWidget | None, text: str) -> None:
    """Type words."""
    QTest.keyClicks(widget or focused(), text)


def focused() -> QWidget:
    """What has the focus."""
    widget = QApplication.focusWidget()
    assert widget is not None, "nothing has the focus"
    return widget
