"""Numbers of the set-up: a figure that a keypad takes."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QSizePolicy

from printcrib.screens.parts import lettering
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.numbers import KeypadPanel


class FigureButton(Button):
    """A whole number with its unit; a press, or a digit, opens the keypad.

    Signals:
        figure_changed(int): by a person.
    """

    figure_changed = Signal(int)

    def __init__(self, figure: int, unit: str, *, says: str) -> None:
        super().__init__("")
        self._unit, self._says = unit, says
        self._figure = figure
        self.set_points(lettering.CELL_PT)
        self.setMinimumWidth(116)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.clicked.connect(lambda: self.open_keypad())
        self.set_figure(figure)

    def set_figure(self, figure: int) -> None:
        """Show a number without telling anybody."""
        self._figure = figure
        words = f"{figure} {self._unit}"
        self.set_words(words, f"{self._says}: {words}")

    def open_keypad(self, first_key: str = "") -> None:
        """Let the number be typed on a keypad over the page."""
        panel = KeypadPanel(self._says[:1].upper() + self._says[1:], self._unit)
        panel.entered.connect(lambda number: self._person_set(int(number)))
        panel.confirmed.connect(panel.deleteLater)
        panel.backed.connect(panel.deleteLater)
        panel.open_over(self)
        if first_key:
            panel.keypad.press(first_key)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.text().isdigit():
            self.open_keypad(event.text())
        else:
            super().keyPressEvent(event)

    def _person_set(self, figure: int) -> None:
        if figure != self._figure:
            self.set_figure(figure)
            self.figure_changed.emit(figure)
