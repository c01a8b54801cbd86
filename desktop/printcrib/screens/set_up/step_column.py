"""The side of the first start: clock and date on top, the steps as numbered index tabs below."""

from collections.abc import Sequence
from datetime import datetime

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPainterPath, QPaintEvent
from PySide6.QtWidgets import QPushButton, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.focus import FocusRing
from printcrib.screens.parts.tokens import (
    CONTROL_PX,
    RADIUS_TAB,
    SIDE_NARROW_PX,
    SIDE_WIDE_PX,
    current_tokens,
)
from printcrib.screens.parts.words import Words

_WRAP = Qt.TextFlag.TextWordWrap.value
_MIDDLE = Qt.AlignmentFlag.AlignVCenter.value


class StepTab(QPushButton):
    """One step with its operation number; the one shown is an index tab of the page's own paper."""

    def __init__(self, number: int, words: str) -> None:
        super().__init__(words[:1].upper() + words[1:])
        self._number = f"{number}"
        self._ring = FocusRing(self)
        self.setCheckable(True)
        self.setAccessibleName(f"step {number}: {words}")
        self.setMinimumHeight(CONTROL_PX)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(SIDE_NARROW_PX - 10, CONTROL_PX)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._ring.focused(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.isChecked():
            painter.setPen(strokes.pen(tokens.line, 1))
            painter.setBrush(tokens.paper)
            painter.drawPath(self._outline())
        plain = tokens.ink if self.isEnabled() else tokens.ink2
        painter.setPen(tokens.accent if self.isChecked() else tokens.ink2)
        painter.setFont(lettering.font(weight="medium"))
        painter.drawText(QRect(14, 0, 34, self.height()), _MIDDLE, self._number)
        painter.setPen(tokens.accent if self.isChecked() else plain)
        painter.setFont(lettering.font(weight="strong" if self.isChecked() else "medium"))
        painter.drawText(self.rect().adjusted(52, 0, -4, 0), _MIDDLE | _WRAP, self.text())
        self._ring.paint(painter, tokens.ink)
        painter.end()

    def _outline(self) -> QPainterPath:
        right, bottom, r = self.width() + 2.0, self.height() - 0.5, float(RADIUS_TAB)
        path = QPainterPath()
        path.moveTo(right, 0.5)
        path.lineTo(0.5 + r, 0.5)
        path.quadTo(0.5, 0.5, 0.5, 0.5 + r)
        path.lineTo(0.5, bottom - r)
        path.quadTo(0.5, bottom, 0.5 + r, bottom)
        path.lineTo(right, bottom)
        return path


class StepColumn(QWidget):
    """Clock, date and the steps of the set-up.

    Signals:
        step_pressed(int): somebody wants to see a step, from 0.
    """

    step_pressed = Signal(int)

    def __init__(self, steps: Sequence[str]) -> None:
        super().__init__()
        self.setAccessibleName("steps")
        self.clock = Words("", points=lettering.TITLE_PT, weight="strong")
        self.date = Words("", tone="second")
        self.tabs: list[StepTab] = []
        column = self._column = QVBoxLayout(self)
        column.setSpacing(0)
        for line in (self.clock, self.date):
            line.setContentsMargins(14, 0, 0, 0)
            column.addWidget(line)
        column.addSpacing(8)
        for number, words in enumerate(steps):
            tab = StepTab(10 * (number + 1), words)
            tab.clicked.connect(lambda _down=False, at=number: self._on_pressed(at))
            self.tabs.append(tab)
            column.addWidget(tab)
            column.addSpacing(11)
        column.addStretch(1)
        self._at = 0
        self.show_steps(False)
        self.set_wide(False)

    def set_wide(self, wide: bool) -> None:
        """As wide as the side list of the shop's window."""
        self.setFixedWidth(SIDE_WIDE_PX if wide else SIDE_NARROW_PX)
        self._column.setContentsMargins(14 if wide else 10, 22 if wide else 14, 0, 14 if wide else 10)

    def set_time(self, now: datetime, day_words: str) -> None:
        """Show this PC's wall time."""
        self.clock.setText(f"{now:%H:%M}")
        self.date.setText(day_words)

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

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), current_tokens().side)
        painter.end()

    def _on_pressed(self, at: int) -> None:
        for number, tab in enumerate(self.tabs):
            tab.setChecked(number == self._at)  # the page says when another step is shown
        if not self.tabs[at].isHidden():  # the shortcut presses a hidden one too
            self.step_pressed.emit(at)
