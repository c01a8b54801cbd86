"""The window of the first start: the same frame as the shop's, before there is a shop."""

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QCloseEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QGridLayout, QStackedWidget, QWidget

from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.tokens import WIDE_FROM_PX
from printcrib.screens.set_up.faults import STEPS
from printcrib.screens.set_up.step_column import StepColumn
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.strip import MessageStrip
from printcrib.screens.shell.theme import Theme


class StartStrip(MessageStrip):
    """The message strip, telling when what was under way is over.

    Signals:
        work_over(): done, refused or cancelled.
    """

    work_over = Signal()

    def idle(self) -> None:
        """What took long is over."""
        super().idle()
        self.work_over.emit()


class StartWindow(QWidget):
    """Side with clock and steps, one page, the message strip.

    Keys: F1 opens the handbook, F12 goes to the message's button, Ctrl+T changes light and dark,
    Ctrl+1..6 go to a step.

    Signals:
        closing(): somebody closed it.
    """

    closing = Signal()

    def __init__(
        self, theme: Theme, memory: Memory, now: Callable[[], datetime], open_handbook: Callable[[], None]
    ) -> None:
        super().__init__()
        self.setWindowTitle("Printcrib")
        self.setMinimumSize(1024, 680)
        self._memory, self._now = memory, now
        self._front: PageFrame
        self.side = StepColumn(STEPS)
        self.stack = QStackedWidget()
        self.strip = StartStrip()
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(0)
        grid.addWidget(self.side, 0, 0, 2, 1)
        grid.addWidget(self.stack, 0, 1)
        grid.addWidget(self.strip, 1, 1)
        grid.setColumnStretch(1, 1)
        for keys, call in (
            ("F1", open_handbook),
            ("F12", self.strip.focus_answer),
            ("Ctrl+T", theme.toggle),
        ):
            QShortcut(QKeySequence(keys), self).activated.connect(call)
        for number, tab in enumerate(self.side.tabs, 1):
            QShortcut(QKeySequence(f"Ctrl+{number}"), self).activated.connect(tab.click)
        self._clock = QTimer(self, interval=1000)
        self._clock.timeout.connect(self._tick)
        self._clock.start()
        self._tick()
        if not memory.restore_geometry(self):
            self.resize(1280, 720)

    def show_page(self, page: PageFrame, *, steps: bool) -> None:
        """Bring a page to the front, with or without the steps on its side."""
        if self.stack.indexOf(page) < 0:
            self.stack.addWidget(page)
        self._front = page
        self.stack.setCurrentWidget(page)
        self.side.show_steps(steps)

    @property
    def front(self) -> PageFrame:
        """The page that is shown."""
        return self._front

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.side.set_wide(self.width() >= WIDE_FROM_PX)

    def closeEvent(self, event: QCloseEvent) -> None:
        self._memory.put_geometry(self)
        self._memory.write()
        self.closing.emit()
        super().closeEvent(event)

    def _tick(self) -> None:
        self.side.set_time(self._now())
