"""A PIN by large digits: dots instead of figures, so that nobody reads it over a shoulder."""

from PySide6.QtCore import Qt, Signal

from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.numbers import Keypad

MOST_DIGITS = 12
_DOT = "•"


class PinPad(Keypad):
    """Digits as large buttons; what is typed is shown as dots. The keyboard's digits work too."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("PIN")

    @property
    def pin(self) -> str:
        """The digits typed, a leading 0 among them."""
        return self._text

    def clear(self) -> None:
        """Begin again."""
        self._text = ""
        self._show()

    def press(self, key: str) -> None:
        if key == "erase":
            self._text = self._text[:-1]
        elif key.isdigit() and len(self._text) < MOST_DIGITS:
            self._text += key
        self._show()
        self.typed.emit()

    def _show(self) -> None:
        self._shown.setText(_DOT * len(self._text) or "–")
        self._shown.setAccessibleName(f"{len(self._text)} digits typed")


class PinPanel(AskPanel):
    """A PIN asked for over the page; the sheet stays until the owner is content with it.

    Signals:
        given(str): the PIN typed, when the verb is pressed.
    """

    given = Signal(str)

    def __init__(self, title: str, *, confirm: str, sentence: str = "") -> None:
        super().__init__(title, confirm=confirm, sentence=sentence, width=600, stays=True)
        self.pad = PinPad()
        self.body.addWidget(self.pad)
        self.confirm_button.setEnabled(False)
        self.pad.typed.connect(lambda: self.confirm_button.setEnabled(bool(self.pad.pin)))
        self.confirmed.connect(lambda: self.given.emit(self.pad.pin))

    def ask_again(self, title: str, confirm: str) -> None:
        """Ask for another one, or for the same one once more."""
        self.title.setText(title)
        self.confirm_button.set_words(confirm)
        self._begin()

    def refuse(self, sentence: str) -> None:
        """Say why it is not taken; it is typed anew."""
        self._begin()
        self.set_error(sentence)

    def focus_first(self) -> None:
        self.pad.setFocus(Qt.FocusReason.OtherFocusReason)

    def _begin(self) -> None:
        self.pad.clear()
        self.confirm_button.setEnabled(False)
        self.focus_first()
