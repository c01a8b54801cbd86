"""A number that may be left out: a button that says it, and a keypad to type it on."""

from decimal import Decimal

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.numbers import KeypadPanel


class NumberField(QWidget):
    """A whole number, or nothing yet.

    Args:
        says: what the number is. nothing: words while there is none. unit: behind the number.

    Signals:
        number_changed(int): by a person.
    """

    number_changed = Signal(int)

    def __init__(self, *, says: str, nothing: str = "Not read", unit: str = "") -> None:
        super().__init__()
        self._says, self._nothing, self._unit = says, nothing, unit
        self._number: int | None = None
        self.setAccessibleName(says)
        self.button = Button(nothing, icon="pencil")
        self.button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.button.clicked.connect(self.open_keypad)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.button)
        self.setFocusProxy(self.button)
        self.set_number(None)

    @property
    def number(self) -> int | None:
        """The number, None for nothing."""
        return self._number

    def set_number(self, number: int | None) -> None:
        """Show a number without telling anybody."""
        self._number = number
        words = self._nothing if number is None else f"{number} {self._unit}".strip()
        self.button.set_words(words, f"{self._says}: {words}")

    def open_keypad(self) -> None:
        """Let the number be typed over the page."""
        panel = KeypadPanel(self._says[:1].upper() + self._says[1:], self._unit)
        panel.entered.connect(self._on_entered)
        panel.confirmed.connect(panel.deleteLater)
        panel.backed.connect(panel.deleteLater)
        panel.open_over(self)

    def _on_entered(self, number: Decimal) -> None:
        self.set_number(int(number))
        self.number_changed.emit(int(number))
