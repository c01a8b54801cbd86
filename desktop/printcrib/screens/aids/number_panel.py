"""A number on a sheet: what it is about on the left, the keypad on the right."""

from collections.abc import Callable, Sequence
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout

from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.cards import FactRow
from printcrib.screens.parts.numbers import Keypad
from printcrib.screens.parts.really_at import ReallyAt


class NumberPanel(AskPanel):
    """A number, and when it was; the sheet stays when the number is refused.

    Args:
        title, confirm: as AskPanel. unit: behind the number. now: the shop's wall time, for "really at".
        facts: (name, value) of what is known, on the left.

    Attributes:
        left: what stands beside the keypad, above "really at".

    Signals:
        entered(int): the number, when the verb is pressed.
    """

    entered = Signal(int)

    def __init__(
        self,
        title: str,
        unit: str,
        confirm: str,
        now: Callable[[], datetime],
        facts: Sequence[tuple[str, str]] = (),
    ) -> None:
        super().__init__(title, confirm=confirm, icon="done", width=980, stays=True)
        self.keypad = Keypad(unit)
        self.really_at = ReallyAt(now)
        self.left = QVBoxLayout()
        self.left.setSpacing(12)
        for name, value in facts:
            self.left.addWidget(FactRow(name, value))
        beside = QVBoxLayout()
        beside.addLayout(self.left)
        beside.addStretch(1)
        beside.addWidget(self.really_at, 0, Qt.AlignmentFlag.AlignLeft)
        both = QHBoxLayout()
        both.setSpacing(24)
        both.addLayout(beside, 1)
        both.addWidget(self.keypad, 1)
        self.body.addLayout(both)
        self.body.addStretch(1)
        self.confirm_button.setEnabled(False)
        self.keypad.typed.connect(self._on_typed)
        self.confirmed.connect(self._on_confirmed_number)

    @property
    def number(self) -> int | None:
        """What is typed, None for nothing yet."""
        return None if self.keypad.number is None else int(self.keypad.number)

    def focus_first(self) -> None:
        self.keypad.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_typed(self) -> None:
        self.set_error("")
        self.confirm_button.setEnabled(self.number is not None)

    def _on_confirmed_number(self) -> None:
        if self.number is not None:
            self.entered.emit(self.number)
