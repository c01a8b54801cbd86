"""The run sheet's time line: three lanes a printer, chosen by key or press, zoomed by buttons or wheel."""

from datetime import datetime, timedelta

from PySide6.QtCore import QLineF, QPointF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card
from printcrib.screens.parts.focus import FocusRing
from printcrib.screens.parts.legend import Legend
from printcrib.screens.parts.time_line_data import RunBlock, Span, TimeLineData
from printcrib.screens.parts.time_line_paint import AXIS_PX, Rows, paint_ground, paint_lane
from printcrib.screens.parts.tokens import current_tokens

LANE_LEAST_PX = 82
LANE_MOST_PX = 120
ZOOM_STEP = 1.5
_LEAST_HOURS = 4.0
_MOST_HOURS = 24.0 * 21
_LEGEND_FROM_PX = 1300


class TimeLine(QWidget):
    """The lanes.

    Keys: left and right go along a printer's runs, up and down to the run at that time on another
    printer; + and - zoom, Page Up and Page Down move in time, Home goes to now; Enter opens.

    Signals:
        run_chosen(int): key of the run somebody chose. run_opened(int): Enter on it.
    """

    run_chosen = Signal(int)
    run_opened = Signal(int)

    def __init__(self, data: TimeLineData | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._data = data
        self._chosen: int | None = None
        self._hours = 36.0
        self._start: datetime | None = None
        self._ring = FocusRing(self)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("time line of runs")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    @property
    def chosen(self) -> int | None:
        """Key of the run chosen."""
        return self._chosen

    @property
    def hours(self) -> float:
        """How many hours are in view."""
        return self._hours

    def set_data(self, data: TimeLineData) -> None:
        """Show another plan; what is chosen and in view stays."""
        self._data = data
        if self._find(self._chosen) is None:
            self._chosen = None
        self.updateGeometry()
        self.update()

    def choose(self, key: int | None) -> None:
        """Choose a run without telling anybody, and bring it into view."""
        self._chosen = key
        found = self._find(key)
        if found is not None:
            self._show_run(found[1])
            self.setAccessibleDescription(found[1].words or f"run {found[1].label}")
        self.update()

    def zoom(self, factor: float, at_x: float | None = None) -> None:
        """Show fewer (factor above 1) or more hours, keeping the time at a place on the widget."""
        span = self._span()
        x = span.left + span.width / 3 if at_x is None else at_x
        share = (x - span.left) / span.width
        held = span.start + timedelta(hours=span.hours * share)
        self._hours = max(_LEAST_HOURS, min(_MOST_HOURS, self._hours / factor))
        self._start = held - timedelta(hours=self._hours * share)
        self.update()

    def move_view(self, share: float) -> None:
        """Move by a share of what is in view; negative to earlier."""
        self._start = self._span().start + timedelta(hours=self._hours * share)
        self.update()

    def show_now(self) -> None:
        """Bring now into view, a quarter from the left."""
        self._start = None
        self.update()

    def run_at(self, point: QPointF) -> RunBlock | None:
        """The run painted at a place on the widget."""
        if self._data is None:
            return None
        span = self._span()
        for index, lane in enumerate(self._data.lanes):
            rows = self._rows(index)
            if not rows.top <= point.y() < rows.top + rows.height:
                continue
            hits = [r for r in lane.runs if span.x(r.start) - 3 <= point.x() <= span.x(r.end) + 3]
            return min(hits, key=lambda r: abs(span.x(r.start) + span.x(r.end) - 2 * point.x()), default=None)
        return None

    def sizeHint(self) -> QSize:
        return QSize(700, self.minimumSizeHint().height())

    def minimumSizeHint(self) -> QSize:
        lanes = len(self._data.lanes) if self._data else 1
        return QSize(500, int(AXIS_PX) + max(1, lanes) * LANE_LEAST_PX + 4)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._data is not None:
            span = self._span()
            bottom = self._rows(len(self._data.lanes)).top
            paint_ground(painter, self._data, span, bottom, tokens)
            for index, lane in enumerate(self._data.lanes):
                rows = self._rows(index)
                if index:
                    painter.fillRect(0, round(rows.top), self.width(), 1, tokens.line)
                paint_lane(painter, lane, rows, span, self._chosen, self._data.now, tokens)
            x = span.x(self._data.now)
            if span.left <= x <= span.left + span.width:
                strokes.now_line(painter, QLineF(x, AXIS_PX - 4, x, bottom), tokens.ink)
        self._ring.paint(painter, tokens.ink, inset=1.5)
        painter.end()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._ring.focused(event)
        if self._chosen is None and self._ring.shown:
            self._step_time(0)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        run = self.run_at(event.position())
        if run is not None:
            self._person_chose(run)

    def wheelEvent(self, event: QWheelEvent) -> None:
        turned = event.angleDelta().y() or event.angleDelta().x()
        if not turned:
            return
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier or not event.angleDelta().y():
            self.move_view(-0.1 if turned > 0 else 0.1)
        else:
            self.zoom(ZOOM_STEP if turned > 0 else 1 / ZOOM_STEP, event.position().x())
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self._step_time(1 if key == Qt.Key.Key_Right else -1)
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self._step_lane(1 if key == Qt.Key.Key_Down else -1)
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus):
            self.zoom(1 / ZOOM_STEP if key == Qt.Key.Key_Minus else ZOOM_STEP)
        elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            self.move_view(0.5 if key == Qt.Key.Key_PageDown else -0.5)
        elif key == Qt.Key.Key_Home:
            self.show_now()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._chosen is not None:
            self.run_opened.emit(self._chosen)
        else:
            super().keyPressEvent(event)

    def _rows(self, index: int) -> Rows:
        lanes = max(1, len(self._data.lanes)) if self._data else 1
        height = min(float(LANE_MOST_PX), max(LANE_LEAST_PX, (self.height() - AXIS_PX - 2) / lanes))
        return Rows(AXIS_PX + index * height, height)

    def _span(self) -> Span:
        left = self._names_px()
        width = max(50.0, self.width() - left)
        now = self._data.now if self._data else datetime.now().astimezone()
        start = self._start or now - timedelta(hours=self._hours / 9)
        return Span(start, self._hours, left, width)

    def _names_px(self) -> float:
        measure = lettering.metrics(lettering.CELL_PT, "strong")
        names = [lane.printer for lane in self._data.lanes] if self._data else []
        widest = max((measure.horizontalAdvance(name) for name in names), default=60)
        return min(180.0, max(80.0, widest + 16.0))

    def _find(self, key: int | None) -> tuple[int, RunBlock] | None:
        for index, lane in enumerate(self._data.lanes if self._data else ()):
            for run in lane.runs:
                if run.key == key:
                    return index, run
        return None

    def _step_time(self, step: int) -> None:
        if self._data is None:
            return
        found = self._find(self._chosen)
        if found is None:
            runs = [run for lane in self._data.lanes for run in lane.runs]
            if runs:
                self._person_chose(min(runs, key=lambda r: abs(r.start - self._now())), by_key=True)
            return
        lane = sorted(self._data.lanes[found[0]].runs, key=lambda r: r.start)
        at = lane.index(found[1]) + step
        if 0 <= at < len(lane):
            self._person_chose(lane[at], by_key=True)

    def _step_lane(self, step: int) -> None:
        found = self._find(self._chosen)
        if self._data is None or found is None:
            self._step_time(0)
            return
        middle = found[1].start
        index = found[0] + step
        while 0 <= index < len(self._data.lanes):
            runs = self._data.lanes[index].runs
            if runs:
                self._person_chose(min(runs, key=lambda r: abs(r.start - middle)), by_key=True)
                return
            index += step

    def _now(self) -> datetime:
        return self._data.now if self._data else datetime.now().astimezone()

    def _person_chose(self, run: RunBlock, *, by_key: bool = False) -> None:
        if by_key:
            self._ring.typed()
        self.choose(run.key)
        self.run_chosen.emit(run.key)

    def _show_run(self, run: RunBlock) -> None:
        span = self._span()
        left, right = span.x(run.start), span.x(run.end)
        if right < span.left + 20 or left > span.left + span.width - 20:
            self._start = run.start - timedelta(hours=self._hours / 4)


class TimeLinePanel(Card):
    """A card with the time line and the buttons that zoom and move it; a wide one explains the signs.

    Attributes:
        line: the TimeLine. tools: the row of buttons.
    """

    def __init__(self, data: TimeLineData | None = None, *, legend: bool = True) -> None:
        super().__init__(padding=16, spacing=4)
        self.line = TimeLine(data)
        self.tools = QWidget()
        row = QHBoxLayout(self.tools)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        self.legend = Legend()
        self._with_legend = legend
        row.addWidget(self.legend, 1)
        row.addStretch(0)
        for words, icon, call in (
            ("Earlier", "back", lambda: self.line.move_view(-0.4)),
            ("Now", None, self.line.show_now),
            ("Later", "forward", lambda: self.line.move_view(0.4)),
            ("Closer", "plus", lambda: self.line.zoom(ZOOM_STEP)),
            ("Wider", "minus", lambda: self.line.zoom(1 / ZOOM_STEP)),
        ):
            button = Button(words, kind="bare", icon=icon)
            button.clicked.connect(lambda _down=False, do=call: do())
            row.addWidget(button)
        self.body.setContentsMargins(16, 4, 16, 4)
        self.body.addWidget(self.line, 1)
        self.body.addWidget(self.tools)

    def set_data(self, data: TimeLineData) -> None:
        """Show another plan."""
        self.line.set_data(data)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.legend.setVisible(self._with_legend and self.width() >= _LEGEND_FROM_PX)
