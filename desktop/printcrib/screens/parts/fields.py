"""Fields to fill in: a label above, the control, the error beside its cause; input is always kept."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QLineEdit, QPlainTextEdit, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.parts import lettering
from printcrib.screens.parts.buttons import Button, Kind
from printcrib.screens.parts.focus import FocusRing
from printcrib.screens.parts.tokens import CONTROL_PX, GAP_PX, current_tokens
from printcrib.screens.parts.words import Words


class Field(QWidget):
    """A label above a control, with a hint and an error below it."""

    def __init__(self, label: str, control: QWidget, hint: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.control = control
        self.label = Words(label, tone="second", wrap=True)
        self.label.setBuddy(control)
        if not control.accessibleName():
            control.setAccessibleName(label)
        self._hint = Words(hint, tone="second", wrap=True)
        self._error = Words("", tone="signal", weight="medium", wrap=True)
        self._error.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for widget in (self.label, control, self._hint, self._error):
            column.addWidget(widget)
        if not hint:
            self._hint.hide()

    def set_error(self, sentence: str) -> None:
        """Say what is wrong right here; an empty sentence takes it away."""
        self._error.setText(sentence)
        self._error.setVisible(bool(sentence))

    @property
    def error(self) -> str:
        """The sentence shown beside the control now."""
        return self._error.text()

    def set_hint(self, sentence: str) -> None:
        """Change the hint below the control."""
        self._hint.setText(sentence)
        self._hint.setVisible(bool(sentence))


class TextField(QLineEdit):
    """One line of typed text, 58 px high.

    Signals (besides QLineEdit's): none; `returnPressed` is Enter.
    """

    def __init__(self, text: str = "", *, says: str = "", example: str = "", secret: bool = False) -> None:
        super().__init__(text)
        self.ring = FocusRing(self)
        self.setFont(lettering.font(weight="medium"))
        self.setAccessibleName(says)
        self.setPlaceholderText(example)
        self.setMinimumHeight(CONTROL_PX)
        if secret:
            self.setEchoMode(QLineEdit.EchoMode.Password)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.ring.focused(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        painter = QPainter(self)
        self.ring.paint(painter, current_tokens().ink)
        painter.end()


class NotesField(QPlainTextEdit):
    """Several lines of typed text; Tab goes on to the next control."""

    def __init__(self, text: str = "", *, says: str = "", example: str = "", lines: int = 3) -> None:
        super().__init__(text)
        self.setFont(lettering.font(weight="medium"))
        self.setAccessibleName(says)
        self.setPlaceholderText(example)
        self.setTabChangesFocus(True)
        self.setMinimumHeight(lettering.metrics().lineSpacing() * lines + 28)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)

    def text(self) -> str:
        """What is typed."""
        return self.toPlainText()


class ChoiceRow(QWidget):
    """One of a few, side by side; arrows move along, nothing is chosen until somebody does.

    Args:
        choices: (id, words) in order.
        chosen: id chosen at first, or None.
        columns: buttons in a row; 0 for all in one row.
        may_clear: pressing the chosen one again takes the choice away.

    Signals:
        chosen_changed(str): id of the choice, "" when taken away. Only by a person, not by set_chosen.
    """

    chosen_changed = Signal(str)
    _kind: Kind = "choice"

    def __init__(
        self,
        choices: Sequence[tuple[str, str]],
        *,
        chosen: str | None = None,
        columns: int = 0,
        says: str = "",
        may_clear: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(says)
        self._columns = columns
        self._may_clear = may_clear
        self.buttons: dict[str, Button] = {}
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(GAP_PX)
        self.set_choices(choices, chosen)

    def set_choices(self, choices: Sequence[tuple[str, str]], chosen: str | None = None) -> None:
        """Offer other choices."""
        for button in self.buttons.values():
            self._grid.removeWidget(button)
            button.hide()
            button.deleteLater()
        self.buttons = {}
        columns = self._columns or max(1, len(choices))
        for index, (choice_id, words) in enumerate(choices):
            button = Button(words, kind=self._kind)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.clicked.connect(lambda _down=False, one=choice_id: self._pressed(one))
            self.buttons[choice_id] = button
            self._grid.addWidget(button, index // columns, index % columns)
        for column in range(columns):
            self._grid.setColumnStretch(column, 1)
        self.set_chosen(chosen)

    @property
    def chosen(self) -> str | None:
        """Id of what is chosen."""
        return next((one for one, button in self.buttons.items() if button.isChecked()), None)

    def set_chosen(self, chosen: str | None) -> None:
        """Choose without telling anybody."""
        for choice_id, button in self.buttons.items():
            button.setChecked(choice_id == chosen)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = {Qt.Key.Key_Right: 1, Qt.Key.Key_Left: -1}
        columns = self._columns or len(self.buttons)
        steps |= {Qt.Key.Key_Down: columns, Qt.Key.Key_Up: -columns}
        buttons = list(self.buttons.values())
        at = next((i for i, button in enumerate(buttons) if button.hasFocus()), None)
        if at is None or event.key() not in steps:
            super().keyPressEvent(event)
            return
        to = at + steps[Qt.Key(event.key())]
        if 0 <= to < len(buttons):
            buttons[to].setFocus(Qt.FocusReason.TabFocusReason)

    def _pressed(self, choice_id: str) -> None:
        if self._may_clear and not self.buttons[choice_id].isChecked():
            self.chosen_changed.emit("")
            return
        self.set_chosen(choice_id)
        self.chosen_changed.emit(choice_id)


class TickList(ChoiceRow):
    """Any number of several; `holding` ticks turn signal tint, because they hold a request.

    Args:
        none_words: a last button over the full width that means none of them ("" for no such button).

    Signals:
        ticks_changed(): somebody changed the answer.
    """

    ticks_changed = Signal()

    def __init__(
        self,
        choices: Sequence[tuple[str, str]],
        *,
        columns: int = 2,
        says: str = "",
        holding: bool = True,
        none_words: str = "",
        parent: QWidget | None = None,
    ) -> None:
        self._kind = "hold" if holding else "choice"
        super().__init__(choices, columns=columns, says=says, parent=parent)
        self._none: Button | None = None
        if none_words:
            self._none = Button(none_words, kind="choice")
            self._none.clicked.connect(self._none_pressed)
            rows = -(-len(choices) // columns)
            self._grid.addWidget(self._none, rows, 0, 1, columns)

    @property
    def ticked(self) -> frozenset[str]:
        """Ids of what is ticked."""
        return frozenset(one for one, button in self.buttons.items() if button.isChecked())

    @property
    def answered(self) -> bool:
        """Whether anything is ticked, or "none of these" was pressed."""
        return bool(self.ticked) or (self._none is not None and self._none.isChecked())

    def set_ticked(self, ticked: frozenset[str], none: bool = False) -> None:
        """Set the answer without telling anybody."""
        for one, button in self.buttons.items():
            button.setChecked(one in ticked)
        if self._none is not None:
            self._none.setChecked(none and not ticked)

    def _pressed(self, choice_id: str) -> None:
        if self._none is not None:
            self._none.setChecked(False)
        self.ticks_changed.emit()

    def _none_pressed(self, down: bool) -> None:
        if down:
            for button in self.buttons.values():
                button.setChecked(False)
        self.ticks_changed.emit()
