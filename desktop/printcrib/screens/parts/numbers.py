"""Numbers by large - and +, or by a keypad on the page; the unit is always shown."""

from collections.abc import Callable
from decimal import Decimal, InvalidOperation

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QWidget

from printcrib.screens.parts import lettering
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.tokens import GAP_PX
from printcrib.screens.parts.words import Words

_KEYS = ("7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0")


class Keypad(QWidget):
    """Digits as large buttons, with the number typed so far; the keyboard's digits work too.

    Args:
        unit: shown behind the number.
        decimals: digits after the point; 0 for whole numbers.

    Signals:
        typed(): the number changed.
    """

    typed = Signal()

    def __init__(self, unit: str = "", *, decimals: int = 0, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._text = ""
        self._unit = unit
        self._decimals = decimals
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(f"number in {unit}" if unit else "number")
        self._shown = Words("", points=lettering.COUNT_NARROW_PT, weight="strong")
        self._shown.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(GAP_PX)
        grid.addWidget(self._shown, 0, 0, 1, 3)
        for index, key in enumerate(_KEYS):
            grid.addWidget(self._key(key, key), 1 + index // 3, index % 3)
        erase = self._key("", "erase")
        erase.set_icon("erase")
        grid.addWidget(erase, 4, 2)
        self._show()

    @property
    def number(self) -> Decimal | None:
        """What is typed, None when it is no number yet."""
        try:
            return Decimal(self._text) if self._text else None
        except InvalidOperation:
            return None

    def set_number(self, number: Decimal | int | None) -> None:
        """Start from a number."""
        self._text = "" if number is None else str(number)
        self._show()

    def press(self, key: str) -> None:
        """Press one key: a digit, "." or "erase"."""
        if key == "erase":
            self._text = self._text[:-1]
        elif key == "." and (self._decimals == 0 or "." in self._text):
            return
        elif len(self._text) < 9 and self._fits(key):
            self._text += key
        self._show()
        self.typed.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.text() in _KEYS or event.text() == ",":
            self.press(event.text().replace(",", "."))
        elif event.key() in (Qt.Key.Key_Backspace, Qt.Key.Key_Delete):
            self.press("erase")
        else:
            super().keyPressEvent(event)

    def _fits(self, key: str) -> bool:
        behind = self._text.partition(".")[2]
        return key == "." or "." not in self._text or len(behind) < self._decimals

    def _key(self, words: str, key: str) -> Button:
        button = Button(words, says=key)
        button.set_points(lettering.CARD_PT)
        button.setMinimumHeight(68)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        button.setEnabled(key != "." or self._decimals > 0)
        button.clicked.connect(lambda: self.press(key))
        return button

    def _show(self) -> None:
        self._shown.setText(f"{self._text or '–'} {self._unit}".strip())


class KeypadPanel(AskPanel):
    """A keypad on a sheet over the page; `entered` carries the number as a Decimal.

    Args:
        title: what is asked. unit, decimals: as Keypad. confirm: the verb.

    Signals:
        entered(object): the Decimal typed, when the verb is pressed.
    """

    entered = Signal(object)

    def __init__(
        self,
        title: str,
        unit: str = "",
        *,
        decimals: int = 0,
        confirm: str = "Take this number",
        sentence: str = "",
    ) -> None:
        super().__init__(title, confirm=confirm, sentence=sentence, width=600)
        self.keypad = Keypad(unit, decimals=decimals)
        self.body.addWidget(self.keypad)
        self.confirm_button.setEnabled(False)
        self.keypad.typed.connect(self._on_typed)
        self.confirmed.connect(lambda: self.entered.emit(self.keypad.number))

    def open_once(self, page: QWidget, first_key: str = "") -> None:
        """Stand over the page until it is told; `first_key` was pressed already."""
        super().open_once(page)
        if first_key:
            self.keypad.press(first_key)

    def focus_first(self) -> None:
        self.keypad.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_typed(self) -> None:
        self.confirm_button.setEnabled(self.keypad.number is not None)


class Stepper(QWidget):
    """A whole number between a large - and a large +; a press on the number opens the keypad.

    Args:
        value, least, most, step: whole numbers.
        unit: "h", "copies"; shown behind the number. One word for one and many.
        says: what the number is, for a screen reader.
        shown: how to say the number, when not "number unit".
        asks, explains: title and sentence of the keypad, when not `says`.
        read: the number of what is typed there, when it is not the same.

    Signals:
        value_changed(int): by a person; not by set_value.
    """

    value_changed = Signal(int)

    def __init__(
        self,
        value: int = 1,
        *,
        least: int = 1,
        most: int = 999,
        step: int = 1,
        unit: str = "",
        says: str = "number",
        shown: Callable[[int], str] | None = None,
        asks: str = "",
        explains: str = "",
        read: Callable[[int], int] = int,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._asks, self._explains, self._read = asks or says[:1].upper() + says[1:], explains, read
        self._value, self._least, self._most, self._step, self._unit = value, least, most, step, unit
        self._shown = shown
        self._says = says
        self.setAccessibleName(says)
        self.minus_button = Button("", icon="minus", says=f"{says}: fewer")
        self.number_button = Button("", says=says)
        self.plus_button = Button("", icon="plus", says=f"{says}: more")
        for button in (self.minus_button, self.plus_button):
            button.setFixedWidth(64)
            button.setAutoRepeat(True)
        self.number_button.set_points(lettering.CELL_PT)
        self.number_button.setMinimumWidth(96)
        self.number_button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(GAP_PX)
        for button in (self.minus_button, self.number_button, self.plus_button):
            row.addWidget(button)
        self.setFocusProxy(self.number_button)
        self.minus_button.clicked.connect(lambda: self._step_by(-1))
        self.plus_button.clicked.connect(lambda: self._step_by(1))
        self.number_button.clicked.connect(lambda: self.open_keypad())
        self.set_value(value)

    @property
    def value(self) -> int:
        """The number now."""
        return self._value

    def set_value(self, value: int) -> None:
        """Show a number without telling anybody; it is kept within its limits."""
        self._value = max(self._least, min(self._most, value))
        words = self._shown(self._value) if self._shown else f"{self._value} {self._unit}".strip()
        self.number_button.set_words(words, f"{self._says}: {words}")
        self.minus_button.setEnabled(self._value > self._least)
        self.plus_button.setEnabled(self._value < self._most)

    def open_keypad(self, first_key: str = "") -> None:
        """Let the number be typed on a keypad over the page."""
        panel = KeypadPanel(self._asks, self._unit, sentence=self._explains)
        panel.entered.connect(lambda number: self._person_set(self._read(int(number))))
        panel.open_once(self, first_key)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Plus):
            self._step_by(1)
        elif event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Minus):
            self._step_by(-1)
        elif event.text().isdigit():
            self.open_keypad(event.text())
        else:
            super().keyPressEvent(event)

    def _step_by(self, steps: int) -> None:
        self._person_set(self._value + steps * self._step)

    def _person_set(self, value: int) -> None:
        before = self._value
        self.set_value(value)
        if self._value != before:
            self.value_changed.emit(self._value)
