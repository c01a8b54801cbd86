"""The side of the first start: clock and date on top, the steps as numbered index tabs below."""

from collections.abc import Sequence

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QColor, QPainter

from printcrib.screens.parts import lettering
from printcrib.screens.parts.tokens import Tokens
from printcrib.screens.shell.clock_side import ClockSide, IndexTab


class StepTab(IndexTab):
    """One step with its operation number."""

    def __init__(self, number: int, words: str) -> None:
        super().__init__(words[:1].upper() + words[1:], mark_px=52)
        self._number = f"{number}"
        self.setAccessibleName(f"step {number}: {words}")

    def paint_mark(self, painter: QPainter, room: QRect, colour: QColor, tokens: Tokens) -> None:
        painter.setPen(tokens.accent if self.isChecked() else tokens.ink2)
        painter.setFont(lettering.font(weight="medium"))
        painter.drawText(room.adjusted(14, 0, -4, 0), Qt.AlignmentFlag.AlignVCenter, self._number)


class StepColumn(ClockSide):
    """Clock, date and the steps of the set-up.

    Signals:
        step_pressed(int): somebody wants to see a step, from 0.
    """

    step_pressed = Signal(int)

    def __init__(self, steps: Sequence[str]) -> None:
        super().__init__("steps", least_margins=(14, 10))
        self.tabs: list[StepTab] = []
        self.column.addSpacing(8)
        for number, words in enumerate(steps):
            tab = StepTab(10 * (number + 1), words)
            tab.clicked.connect(lambda _down=False, at=number: self._on_pressed(at))
            self.tabs.append(tab)
            self.column.addWidget(tab)
            self.column.addSpacing(11)
        self.column.addStretch(1)
        self._at = 0
        self.show_steps(False)

    def show_steps(self, shown: bool) -> None:
        """Show the steps, or only the clock."""
        for tab in self.tabs:
            tab.setVisible(shown)

    def set_step(self, at: int, reached: int) -> None:
        """Mark the step shown; those not reached yet wait."""
        self._at = at
        for number, tab in enumerate(self.tabs):
            tab.setChecked(number == at)
            tab.setEnabled(number <= reached)

    def _on_pressed(self, at: int) -> None:
        for number, tab in enumerate(self.tabs):
            tab.setChecked(number == self._at)  # the page says when another step is shown
        if not self.tabs[at].isHidden():  # the shortcut presses a hidden one too
            self.step_pressed.emit(at)
