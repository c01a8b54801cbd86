"""A number with its unit, and perhaps none at all: a button that says it, and a keypad to type it on."""

from decimal import Decimal

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.numbers import KeypadPanel
from printcrib.screens.parts.tokens import GAP_PX


class FigureField(QWidget):
    """A number of any kind; a press, or a digit, opens the keypad.

    Args:
        says: what the number is. unit: shown behind it.
        decimals: digits after the point that can be typed.
        nothing: words while there is no number; "" where there must be one.
        clear_words: of the button that takes the number away again.

    Signals:
        figure_changed(object): the Decimal, or None; by a person.
    """

    figure_changed = Signal(object)

    def __init__(
        self,
        *,
        says: str,
        unit: str = "",
        decimals: int = 0,
        nothing: str = "",
        clear_words: str = "Leave empty",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._says, self._unit, self._decimals, self._nothing = says, unit, decimals, nothing
        self._figure: Decimal | None = None
        self.setAccessibleName(says)
        self.button = Button("", icon="pencil")
        self.button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.button.clicked.connect(lambda: self.open_keypad())
        self.clear_button = Button(clear_words, says=f"{says}: {clear_words}")
        self.clear_button.clicked.connect(lambda: self._person_set(None))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(GAP_PX)
        row.addWidget(self.button, 1)
        row.addWidget(self.clear_button)
        self.setFocusProxy(self.button)
        self.set_figure(None)

    @property
    def figure(self) -> Decimal | None:
        """The number, None for nothing."""
        return self._figure

    def set_figure(self, figure: Decimal | None) -> None:
        """Show a number without telling anybody."""
        self._figure = figure
        words = self.words(figure)
        self.button.set_words(words, f"{self._says}: {words}")
        self.clear_button.setVisible(bool(self._nothing) and figure is not None)

    def words(self, figure: Decimal | None) -> str:
        """A number as it is shown here."""
        if figure is None:
            return self._nothing or "Type it"
        return f"{figure:f} {self._unit}".strip()

    def open_keypad(self, first_key: str = "") -> None:
        """Let the number be typed on a keypad over the page."""
        panel = KeypadPanel(self._says[:1].upper() + self._says[1:], self._unit, decimals=self._decimals)
        panel.entered.connect(self._person_set)
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

    def _person_set(self, figure: Decimal | None) -> None:
        if figure != self._figure:
            had_focus = self.clear_button.hasFocus()
            self.set_figure(figure)
            if had_focus:
                self.button.setFocus()
            self.figure_changed.emit(figure)
