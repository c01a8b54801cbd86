"""One printer's row of the Desk, painted on fixed columns; a press on it opens all that can be done there."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from printcrib.screens.desk.words import grams_left_words, row_words, short_moment
from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.bars import MaterialBar, TimeBar
from printcrib.screens.parts.icons import paint_icon
from printcrib.screens.parts.lettering import Weight
from printcrib.screens.parts.marks import NOZZLE_SIZE, paint_chip, paint_nozzle
from printcrib.screens.parts.pressed import Pressed
from printcrib.screens.parts.spool_colours import swatch_of
from printcrib.screens.parts.tokens import RADIUS_RUN, Tokens, Tone, current_tokens
from printcrib.services.look_at_desk import DeskPrinter, DeskRun, DeskSpool, NextRun

LEAST_PX, MOST_PX, MOST_WIDE_PX = 86, 190, 250
HEADING_PX = 34
_PAD, _PAD_WIDE = 18.0, 30.0
_BAR = 18.0
_GAP = 17.0
_LEFT = (Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter).value
_RIGHT = (Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter).value
_MIDDLE = Qt.AlignmentFlag.AlignCenter.value
NEXT_RUNS = 3


@dataclass(frozen=True)
class Columns:
    """Left and width of each column, px: printer, spool, run on it, next runs."""

    printer: tuple[float, float]
    spool: tuple[float, float]
    run: tuple[float, float]
    next_runs: tuple[float, float]

    @classmethod
    def of(cls, width: float, *, wide: bool) -> "Columns":
        """The columns of a sheet so wide."""
        pad = _PAD_WIDE if wide else _PAD
        room = width - 2 * pad
        shares = (0.125, 0.262, 0.240) if wide else (0.139, 0.226, 0.283)
        printer, spool, run = (room * share for share in shares)
        left = pad
        spool_left = left + printer
        run_left = spool_left + spool + _GAP
        next_left = run_left + run + _GAP
        return cls(
            (left, printer - 8),
            (spool_left, spool),
            (run_left, run),
            (next_left, left + room - next_left),
        )


class Headings(QWidget):
    """What the columns show, above the rows."""

    def __init__(self) -> None:
        super().__init__()
        self.wide = False
        self.setFixedHeight(HEADING_PX)
        self.setAccessibleName("Printer, spool, run on it, next runs")

    def paintEvent(self, event: QPaintEvent) -> None:
        columns = Columns.of(self.width(), wide=self.wide)
        painter = QPainter(self)
        painter.setFont(lettering.font(lettering.CELL_PT if self.wide else lettering.TEXT_PT))
        painter.setPen(current_tokens().ink2)
        last = "Next runs, start, nozzle" if self.wide else "Next runs"
        for (left, width), words in (
            (columns.printer, "Printer"),
            (columns.spool, "Spool"),
            (columns.run, "Run on it"),
            (columns.next_runs, last),
        ):
            painter.drawText(QRectF(left, 0, width + _GAP, self.height()), _LEFT, words)
        painter.end()


class PrinterRow(Pressed):
    """Fitted nozzle, spool with grams left, the run on it with time left, the next three runs."""

    def __init__(self) -> None:
        super().__init__()
        self._row: DeskPrinter | None = None
        self.wide = False
        self.first = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumHeight(LEAST_PX)

    @property
    def row(self) -> DeskPrinter | None:
        """The printer shown."""
        return self._row

    def set_row(self, row: DeskPrinter, *, first: bool, wide: bool) -> None:
        """Show a printer."""
        self._row, self.first, self.wide = row, first, wide
        self.setMaximumHeight(MOST_WIDE_PX if wide else MOST_PX)
        self.setAccessibleName(row_words(row))
        self.setAccessibleDescription("opens what can be done at this printer")
        self.setToolTip(f"{row.printer.name}: what can be done here")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(700, 130)

    def minimumSizeHint(self) -> QSize:
        return QSize(600, LEAST_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        row = self._row
        if row is None:
            return
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.isDown():
            painter.fillRect(self.rect().adjusted(1, 1, -1, -1), tokens.tint)
        if not self.first:
            pad = _PAD_WIDE if self.wide else _PAD
            painter.fillRect(QRectF(pad, 0, self.width() - 2 * pad, 1), tokens.line)
        columns = Columns.of(self.width(), wide=self.wide)
        self._paint_printer(painter, row, *columns.printer, tokens)
        self._paint_spool(painter, row, *columns.spool, tokens)
        self._paint_run(painter, row, *columns.run, tokens)
        self._paint_next(painter, row.next_runs, *columns.next_runs, tokens)
        self.ring.paint(painter, tokens.ink, inset=4)
        painter.end()

    @property
    def _points(self) -> float:
        return lettering.CELL_PT if self.wide else lettering.TEXT_PT

    def _line_px(self) -> float:
        return float(lettering.metrics(self._points).height())

    def _lines(self) -> tuple[float, float, float]:
        """Tops of the first line, the bar and the second line; the same in every column."""
        line, gap = self._line_px(), 6.0 if self.wide else 3.0
        top = (self.height() - 2 * line - 2 * gap - _BAR) / 2
        return top, top + line + gap, top + line + _BAR + 2 * gap

    def _paint_printer(
        self, painter: QPainter, row: DeskPrinter, left: float, width: float, tokens: Tokens
    ) -> None:
        largest = lettering.CARD_PT + 2 if self.wide else lettering.CARD_PT
        points, lines = name_lines(row.printer.name, width - 14, largest)
        line = float(lettering.metrics(points, "strong").height())
        high = line * len(lines)
        top = (self.height() - high - NOZZLE_SIZE.height() - 4) / 2
        room = QRectF(left, top, width - 14, line)
        wide = 0.0
        for words in lines:
            wide = _text(painter, room, words, tokens, points=points, weight="strong")
            room.translate(0, line)
        box = QRectF(left + wide + 2, room.center().y() - line - 8, 18, 18)
        paint_icon(painter, "forward", box, tokens.ink2)
        below = QRectF(left, top + high + 4, NOZZLE_SIZE.width(), NOZZLE_SIZE.height())
        if row.nozzle:
            paint_nozzle(painter, below, row.nozzle, tokens)
        else:
            below.setWidth(width + 8)
            _text(painter, below, "no nozzle", tokens, points=lettering.TEXT_PT, tone="second")

    def _paint_spool(
        self, painter: QPainter, row: DeskPrinter, left: float, width: float, tokens: Tokens
    ) -> None:
        line = self._line_px()
        if row.spool is None:
            room = QRectF(left, (self.height() - line) / 2, width, line)
            _text(painter, room, "no spool", tokens, points=self._points, tone="second")
            return
        spool = row.spool
        top, bar, low = self._lines()
        chip = QRectF(left + 1, top + (line - 22) / 2, 9, 22)
        paint_chip(painter, chip, QColor(swatch_of(spool.colour)), tokens)
        name = QRectF(left + 20, top, width - 20, line)
        _text(painter, name, spool.words, tokens, points=self._points, weight="medium")
        _spool_bar(spool).paint(painter, QRectF(left, bar, width, _BAR), tokens)
        short = bool(spool.short_mg)
        below = QRectF(left, low, width + 6, line)
        weight: Weight = "strong" if short else "regular"
        words = grams_left_words(row, wide=self.wide)
        if lettering.metrics(self._points, weight).horizontalAdvance(words) > below.width():
            words = grams_left_words(row, wide=False)
        tone: Tone = "signal" if short else "second"
        _text(painter, below, words, tokens, points=self._points, weight=weight, tone=tone)

    def _paint_run(
        self, painter: QPainter, row: DeskPrinter, left: float, width: float, tokens: Tokens
    ) -> None:
        line = self._line_px()
        run = row.run
        if run is None:
            words = "out of service" if row.printer.out_of_service else "free"
            room = QRectF(left, (self.height() - line) / 2, width, line)
            _text(painter, room, words, tokens, points=self._points, tone="second")
            return
        top, bar_top, low = self._lines()
        over = run.over
        beside = lettering.metrics(self._points).horizontalAdvance(run.side) if run.side else 0
        room = QRectF(left, top, width, line)
        tone: Tone = "accent" if over else "ink"
        _text(painter, room, run.side, tokens, points=self._points, tone=tone, flags=_RIGHT)
        room.setWidth(width - beside - 8)
        _text(painter, room, _run_name(run), tokens, points=self._points, weight="strong")
        bar = TimeBar(done=(run.percent or 0.0) / 100.0, over=over)
        bar.paint(painter, QRectF(left, bar_top + _BAR / 2 - 4.5, width, 9), tokens)
        below = QRectF(left, low, width, line)
        words = run.below if not over or run.stopped else "expected over"
        weight: Weight = "strong" if over else "regular"
        tone = "accent" if over else "second"
        _text(painter, below, words, tokens, points=self._points, weight=weight, tone=tone)

    def _paint_next(
        self, painter: QPainter, runs: tuple[NextRun, ...], left: float, width: float, tokens: Tokens
    ) -> None:
        line = self._line_px()
        gap = 10.0
        wide = (width - gap * (NEXT_RUNS - 1)) / NEXT_RUNS
        high = 2 * line + 14
        top = (self.height() - high) / 2
        if not runs:
            room = QRectF(left, (self.height() - line) / 2, width, line)
            _text(painter, room, "none planned", tokens, points=self._points, tone="second")
        for index, run in enumerate(runs):
            block = QRectF(left + index * (wide + gap), top, wide, high)
            strokes.box(painter, block, RADIUS_RUN, tokens.well)
            self._paint_block(painter, run, block.adjusted(3, 7, -3, -7), line, tokens)

    def _paint_block(
        self, painter: QPainter, run: NextRun, room: QRectF, line: float, tokens: Tokens
    ) -> None:
        first = QRectF(room.left(), room.top(), room.width(), line)
        second = QRectF(room.left(), room.top() + line, room.width(), line)
        number = "new" if run.number is None else str(run.number)
        if not self.wide:
            _text(painter, first, number, tokens, points=self._points, weight="strong", flags=_MIDDLE)
            words = short_moment(run.words)
            _text(painter, second, words, tokens, points=self._points, tone="second", flags=_MIDDLE)
            return
        first.adjust(5, 0, -2, 0)
        second.adjust(5, 0, -2, 0)
        used = _text(painter, first, number, tokens, points=self._points, weight="strong")
        bore = QRectF(first.left() + used + 14, first.top(), first.width() - used - 14, line)
        tone: Tone = "ink" if run.swaps else "second"
        drawn = _text(painter, bore, run.bore, tokens, points=self._points, tone=tone)
        if run.swaps:
            painter.fillRect(QRectF(bore.left(), bore.bottom() - 1, drawn, 2), tokens.ink)
        points = self._points if len(run.words) <= 5 else lettering.TEXT_PT
        words = run.words
        if lettering.metrics(points).horizontalAdvance(words) > second.width():
            words = short_moment(words)
        _text(painter, second, words, tokens, points=points, tone="second")


def _text(
    painter: QPainter,
    room: QRectF,
    words: str,
    tokens: Tokens,
    *,
    points: float,
    weight: Weight = "regular",
    tone: Tone = "ink",
    flags: int = _LEFT,
) -> float:
    """Paint a line, cut with dots where it has no room; gives how wide it came out."""
    font = lettering.font(points, weight)
    shown = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, room.width() + 0.5)
    painter.setFont(font)
    painter.setPen(tokens.of(tone))
    painter.drawText(room.adjusted(0, 0, 2, 0) if flags != _RIGHT else room, flags, shown)
    return QFontMetricsF(font).horizontalAdvance(shown)


def name_lines(name: str, width: float, largest: float) -> tuple[float, tuple[str, ...]]:
    """A printer's name as large as it fits: one line, smaller, or smaller in two lines."""
    for points in (largest, lettering.TEXT_PT):
        if lettering.metrics(points, "strong").horizontalAdvance(name) <= width:
            return points, (name,)
    metrics = lettering.metrics(lettering.TEXT_PT, "strong")
    words = name.split(" ")
    for count in range(len(words) - 1, 0, -1):
        first = " ".join(words[:count])
        if metrics.horizontalAdvance(first) <= width:
            return lettering.TEXT_PT, (first, " ".join(words[count:]))
    return lettering.TEXT_PT, (name,)


def _spool_bar(spool: DeskSpool) -> MaterialBar:
    return MaterialBar(
        full=max(spool.nominal_mg, spool.left_mg) / 1000,
        left=spool.left_mg / 1000,
        promised=(spool.left_mg + spool.short_mg if spool.short_mg else spool.promised_mg) / 1000,
    )


def _run_name(run: DeskRun) -> str:
    return f"Run {run.number}, {run.name}" if run.name else f"Run {run.number}"
