"""The time line on its card: low windows get its buttons in a column, many printers scroll."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.time_line import ZOOM_STEP, TimeLinePanel
from printcrib.screens.parts.time_line_data import TimeLineData

NARROW_MOST_PX = 296
"""So high are the lanes at most on a low window, so that three lines of the list stay in view."""
WIDE_MOST_PX = 560
TOOL_PX = 50


class Lanes(QWidget):
    """The lanes of all printers.

    Attributes:
        panel: the card with the time line. tools: the buttons beside it on a low window.
    """

    def __init__(self) -> None:
        super().__init__()
        self.panel = TimeLinePanel()
        self.line = self.panel.line
        self._data: TimeLineData | None = None
        self._wide = False
        self.tools = self._lay_tools()
        self._scroller = QScrollArea()
        self._scroller.setWidgetResizable(True)
        self._scroller.setFrameShape(QFrame.Shape.NoFrame)
        self._scroller.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroller.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroller.viewport().setAutoFillBackground(False)
        self._scroller.setWidget(self.panel)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(10)
        row.addWidget(self._scroller, 1)
        row.addWidget(self.tools)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.line.run_chosen.connect(lambda _key: self._bring_into_view())
        self.set_wide(False)

    def set_data(self, data: TimeLineData) -> None:
        """Show another plan."""
        self._data = data
        self.panel.set_data(data)
        self._fit()

    def set_wide(self, wide: bool) -> None:
        """Wide: the buttons below with the legend; narrow: in a column beside the lanes."""
        self._wide = wide
        self.panel.tools.setVisible(wide)
        self.tools.setVisible(not wide)
        self._fit()

    def _fit(self) -> None:
        """As high as the lanes need, and not more than leaves room for the list."""
        least = self.line.minimumSizeHint().height() + 10
        if self._wide:
            lanes = len(self._data.lanes) if self._data is not None else 1
            wanted = least + 30 * lanes + 60
            self.setFixedHeight(min(wanted, WIDE_MOST_PX))
        else:
            self.setFixedHeight(max(min(least, NARROW_MOST_PX), 5 * TOOL_PX + 4 * 8))

    def _bring_into_view(self) -> None:
        """A run chosen by key on a printer further down comes into view."""
        chosen = self.line.chosen
        data = self._data
        if data is None:
            return
        for index, lane in enumerate(data.lanes):
            if any(run.key == chosen for run in lane.runs):
                share = (index + 0.5) / len(data.lanes)
                self._scroller.ensureVisible(0, round(self.line.height() * share), 0, 60)

    def _lay_tools(self) -> QWidget:
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        self.tool_buttons: dict[str, Button] = {}
        for words, call in (
            ("Earlier", lambda: self.line.move_view(-0.4)),
            ("Now", self.line.show_now),
            ("Later", lambda: self.line.move_view(0.4)),
            ("Closer", lambda: self.line.zoom(ZOOM_STEP)),
            ("Wider", lambda: self.line.zoom(1 / ZOOM_STEP)),
        ):
            button = Button(words, kind="bare")
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.clicked.connect(lambda _down=False, do=call: do())
            self.tool_buttons[words] = button
            column.addWidget(button)
        column.addStretch(1)
        return holder
