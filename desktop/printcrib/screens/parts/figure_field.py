"""A number with its unit, and perhaps none at all: a button that says it, and a keypad to type it on."""

from decimal import Decimal

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.numbers import KeypadPanel
from printcrib.screens.parts.tokens import GAP_PX


class FigureButton(Button):
    """A number of any kind; a press, or a digit, opens the keypad.

    Args:
        says: what the number is. unit: shown behind it.
        decimals: digits after the point that can be typed.
        nothing: words while there is no number.

    Signals:
        figure_changed(object): the Decimal; by a person.
    """

    figure_changed = Signal(object)

    def __init__(
        self,
        *,
        says: str,
        unit: str = "",
        decimals: int = 0,
        nothing: str = "Type it",
        icon: str | None = "pencil",
    ) -> None:
        super().__init__("", icon=icon)
        self._says, self._unit, self._decimals, self._nothing = says, unit, decimals, nothing
        self._figure: Decimal | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.clicked.connect(lambda: self.open_keypad())
        self.set_figure(None)

    @property
    def figure(self) -> Decimal | None:
        """The number, None for nothing."""
        return self._figure

    def set_figure(self, figure: Decimal | None) -> None:
        """Show a number without telling anybody."""
        self._figure = figure
        words = self.words(figure)
        self.set_words(words, f"{self._says}: {words}")

    def words(self, figure: Decimal | None) -> str:
        """A number as it is shown here."""
        return self._nothing if figure is None else f"{figure:f} {self._unit}".strip()

    def open_keypad(self, first_key: str = "") -> None:
        """Let the number be typed on a keypad over the page."""
        panel = KeypadPanel(self._says[:1].upper() + self._says[1:], self._unit, decimals=self._decimals)
        panel.entered.connect(self._person_set)
        panel.open_once(self, first_key)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.text().isdigit():
            self.open_keypad(event.text())
        else:
            super().keyPressEvent(event)

    def _person_set(self, figure: Decimal) -> None:
        if figure != self._figure:
            self.set_figure(figure)
            self.figure_changed.emit(figure)


class FigureField(QWidget):
    """A number, with a button that takes it away again where there need not be one.

    Args:
        says, unit, decimals: as FigureButton.
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
    ) -> None:
        super().__init__()
        self._may_be_nothing = bool(nothing)
        self.setAccessibleName(says)
        self.button = FigureButton(says=says, unit=unit, decimals=decimals, nothing=nothing or "Type it")
        self.button.figure_changed.connect(self._on_figure)
        self.clear_button = Button(clear_words, says=f"{says}: {clear_words}")
        self.clear_button.clicked.connect(lambda: self._on_cleared())
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
        return self.button.figure

    def set_figure(self, figure: Decimal | None) -> None:
        """Show a number without telling anybody."""
        self.button.set_figure(figure)
        self.clear_button.setVisible(self._may_be_nothing and figure is not None)

    def words(self, figure: Decimal | None) -> str:
        """A number as it is shown here."""
        return self.button.words(figure)

    def _on_figure(self, figure: Decimal) -> None:
        self.set_figure(figure)
        self.figure_changed.emit(figure)

    def _on_cleared(self) -> None:
        had_focus = self.clear_button.hasFocus()
        self.set_figure(None)
        if had_focus:
            self.button.setFocus()
        self.figure_changed.emit(None)
