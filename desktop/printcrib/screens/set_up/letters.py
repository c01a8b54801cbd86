"""Letters as large buttons, for a station without a keyboard or hands in gloves."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from printcrib.screens.parts import lettering
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.tokens import GAP_PX
from printcrib.screens.parts.words import Words

ROWS = ("1234567890", "QWERTYUIOP", "ASDFGHJKL-", "ZXCVBNM,.&")
ERASE = "erase"
_COLUMNS = 10


class LetterPad(QWidget):
    """The keys, with the words typed so far; the keyboard's own letters work too."""

    def __init__(self, text: str = "") -> None:
        super().__init__()
        self._text = text
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("letters")
        self._shown = Words("", points=lettering.CARD_PT, weight="strong", elide=True)
        self.keys: dict[str, Button] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(GAP_PX)
        grid.addWidget(self._shown, 0, 0, 1, _COLUMNS)
        for line, row in enumerate(ROWS, 1):
            for column, letter in enumerate(row):
                grid.addWidget(self._key(letter, letter), line, column)
        grid.addWidget(self._key("space", " "), len(ROWS) + 1, 0, 1, 7)
        grid.addWidget(self._key("Erase", ERASE, "erase"), len(ROWS) + 1, 7, 1, 3)
        self._show()

    @property
    def text(self) -> str:
        """What is typed."""
        return self._text

    def press(self, letter: str) -> None:
        """Press one key; a name's first letters are large by themselves."""
        if letter == ERASE:
            self._text = self._text[:-1]
        else:
            begins = not self._text or self._text[-1] in " -,.&"
            self._text += letter.upper() if begins else letter.lower()
        self._show()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Backspace:
            self.press(ERASE)
        elif event.text().isprintable() and event.text():
            self._text += event.text()
            self._show()
        else:
            super().keyPressEvent(event)

    def _key(self, words: str, letter: str, icon: str | None = None) -> Button:
        button = Button(words, icon=icon, says=words)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        button.clicked.connect(lambda: self.press(letter))
        self.keys[letter] = button
        return button

    def _show(self) -> None:
        self._shown.setText(self._text or "–")


class LetterPanel(AskPanel):
    """The letters on a sheet over the page.

    Args:
        says: what is typed. text: what stands there already.

    Signals:
        typed(str): the words, when the verb is pressed.
    """

    typed = Signal(str)

    def __init__(self, says: str, text: str) -> None:
        super().__init__(says[:1].upper() + says[1:], confirm="Take these words", width=900)
        self.pad = LetterPad(text)
        self.body.addWidget(self.pad)
        self.confirmed.connect(lambda: self.typed.emit(self.pad.text))

    def focus_first(self) -> None:
        self.pad.setFocus(Qt.FocusReason.OtherFocusReason)
