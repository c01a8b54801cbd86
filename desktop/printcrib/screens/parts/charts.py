"""Painted charts: columns, causes by size, a spool going down. Numbers stand beside every mark."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.tokens import Tokens, current_tokens

Fill = Literal["solid", "hatch", "tint"]
_CENTRE = Qt.AlignmentFlag.AlignCenter.value
_RIGHT = (Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter).value
_LEFT = (Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter).value
_LINE_PX = 26


def round_step(most: float, about: int = 4) -> float:
    """A round distance between grid lines: 1, 2, 2.5 or 5 times a power of ten."""
    if most <= 0:
        return 1.0
    raw = most / about
    power = 10.0 ** int(f"{raw:e}".partition("e")[2])
    return next(step * power for step in (1, 2, 2.5, 5, 10) if step * power >= raw * 0.999)


def paint_fill(painter: QPainter, box: QRectF, fill: Fill, tokens: Tokens) -> None:
    """One piece of a column: solid, hatched or on tint, with an accent border."""
    if box.width() <= 0 or box.height() <= 0:
        return
    strokes.box(painter, box, 0, {"solid": tokens.accent, "tint": tokens.tint, "hatch": tokens.sheet}[fill])
    if fill == "hatch":
        path = QPainterPath()
        path.addRect(box)
        strokes.hatch(painter, path, tokens.accent)
    strokes.box(painter, box, 0, None, strokes.pen(tokens.accent, 1.2))


class Chart(QWidget):
    """A painted chart: it takes the room it is given and writes at 16 pt."""

    def __init__(self, says: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(says)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        return QSize(420, 260)

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 160)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.paint(painter, QRectF(self.rect()), current_tokens())
        painter.end()

    def paint(self, painter: QPainter, area: QRectF, tokens: Tokens) -> None:
        """Paint into an area."""
        raise NotImplementedError

    @staticmethod
    def write(
        painter: QPainter,
        box: QRectF,
        words: str,
        colour: QColor,
        flags: int = _CENTRE,
        weight: lettering.Weight = "regular",
    ) -> None:
        """Write one line at 16 pt."""
        painter.setFont(lettering.font(lettering.TEXT_PT, weight))
        painter.setPen(colour)
        painter.drawText(box, flags, words)


@dataclass(frozen=True)
class Series:
    """One piece of every column.

    Attributes:
        name: in the legend, with its total. values: one a column. fill: how it is painted.
    """

    name: str
    values: tuple[float, ...]
    fill: Fill = "solid"


class ColumnsChart(Chart):
    """Stacked columns with their sums on top, such as printer hours by day."""

    def __init__(self, says: str, parent: QWidget | None = None) -> None:
        super().__init__(says, parent)
        self._labels: tuple[str, ...] = ()
        self._series: tuple[Series, ...] = ()

    def set_columns(self, labels: Sequence[str], series: Sequence[Series]) -> None:
        """Show other numbers; series from the bottom up."""
        self._labels, self._series = tuple(labels), tuple(series)
        self.update()

    def paint(self, painter: QPainter, area: QRectF, tokens: Tokens) -> None:
        sums = [sum(s.values[i] for s in self._series) for i in range(len(self._labels))]
        if not sums:
            return
        legend = self._legend_px() if len(self._series) > 1 else 0.0
        plot = area.adjusted(48, _LINE_PX, -legend, -_LINE_PX - 4)
        step = round_step(max(sums))
        top = step * max(1, -(-max(sums) // step))
        self._grid(painter, plot, step, top, tokens)
        pitch = plot.width() / len(sums)
        for index, label in enumerate(self._labels):
            left = plot.left() + index * pitch + pitch * 0.2
            base = plot.bottom()
            for series in self._series:
                high = plot.height() * series.values[index] / top
                paint_fill(painter, QRectF(left, base - high, pitch * 0.6, high), series.fill, tokens)
                base -= high
            over = QRectF(left - pitch * 0.2, base - _LINE_PX, pitch, _LINE_PX)
            self.write(painter, over, f"{sums[index]:.0f}", tokens.ink, weight="medium")
            self.write(painter, QRectF(over.left(), plot.bottom() + 4, pitch, _LINE_PX), label, tokens.ink2)
        if legend:
            self._legend(painter, QRectF(plot.right() + 20, plot.top(), legend - 20, plot.height()), tokens)

    def _legend_px(self) -> float:
        measure = lettering.metrics()
        return 52.0 + max(measure.horizontalAdvance(self._told(s)) for s in self._series)

    @staticmethod
    def _told(series: Series) -> str:
        return f"{series.name} {sum(series.values):.0f}"

    def _grid(self, painter: QPainter, plot: QRectF, step: float, top: float, tokens: Tokens) -> None:
        value = 0.0
        while value <= top + 1e-9:
            y = plot.bottom() - plot.height() * value / top
            painter.fillRect(QRectF(plot.left(), y, plot.width(), 1), tokens.line if value else tokens.edge)
            box = QRectF(plot.left() - 48, y - _LINE_PX / 2, 40, _LINE_PX)
            self.write(painter, box, f"{value:g}", tokens.ink2, _RIGHT)
            value += step

    def _legend(self, painter: QPainter, area: QRectF, tokens: Tokens) -> None:
        for index, series in enumerate(reversed(self._series)):
            y = area.bottom() - (len(self._series) - index) * 32
            paint_fill(painter, QRectF(area.left(), y + 5, 16, 16), series.fill, tokens)
            self.write(
                painter,
                QRectF(area.left() + 26, y, area.width(), _LINE_PX),
                self._told(series),
                tokens.ink,
                _LEFT,
            )


@dataclass(frozen=True)
class Cause:
    """One cause of lost copies.

    Attributes:
        words: the cause. amounts: one for each heading. known: False hatches it ("not known yet").
    """

    words: str
    amounts: tuple[float, ...]
    known: bool = True


def amount_words(amount: float) -> str:
    """What stands beside a bar: a tenth where a whole number would say too little ("0.3")."""
    return f"{amount:.1f}" if 0 < amount < 10 and amount != round(amount) else f"{amount:.0f}"


class ParetoChart(Chart):
    """Causes, largest first, with one bar for each heading (copies, grams lost)."""

    def __init__(self, says: str, headings: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(says, parent)
        self._headings = tuple(headings)
        self._causes: tuple[Cause, ...] = ()

    def set_causes(self, causes: Sequence[Cause]) -> None:
        """Show other causes; they are put in order by their first amount, unknown ones last."""
        self._causes = tuple(sorted(causes, key=lambda c: (not c.known, -c.amounts[0])))
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(420, _LINE_PX + 8 + 40 * max(1, len(self._causes)))

    def paint(self, painter: QPainter, area: QRectF, tokens: Tokens) -> None:
        if not self._causes:
            return
        measure = lettering.metrics()
        names = min(area.width() * 0.45, max(measure.horizontalAdvance(c.words) for c in self._causes) + 16.0)
        share = (area.width() - names) / len(self._headings)
        pitch = min(44.0, (area.height() - _LINE_PX) / len(self._causes))
        for row, cause in enumerate(self._causes):
            y = area.top() + _LINE_PX + row * pitch
            words = measure.elidedText(cause.words, Qt.TextElideMode.ElideRight, int(names) - 8)
            self.write(painter, QRectF(area.left(), y, names, pitch), words, tokens.ink, _LEFT)
        for column, heading in enumerate(self._headings):
            left = area.left() + names + column * share
            self.write(painter, QRectF(left, area.top(), share, _LINE_PX), heading, tokens.ink2, _LEFT)
            most = max(max(c.amounts[column] for c in self._causes), 1e-9)
            room = share - 70
            for row, cause in enumerate(self._causes):
                amount = cause.amounts[column]
                y = area.top() + _LINE_PX + row * pitch + pitch / 2
                self._bar(painter, QRectF(left, y - 9, room * amount / most, 18), cause.known, tokens)
                after = QRectF(left + room * amount / most + 8, y - _LINE_PX / 2, 62, _LINE_PX)
                self.write(painter, after, amount_words(amount), tokens.ink, _LEFT, "medium")

    @staticmethod
    def _bar(painter: QPainter, box: QRectF, known: bool, tokens: Tokens) -> None:
        if known:
            painter.fillRect(box, tokens.accent)
            return
        path = QPainterPath()
        path.addRect(box)
        strokes.hatch(painter, path, tokens.edge)
        strokes.box(painter, box, 0, None, strokes.pen(tokens.edge, 1.4))


@dataclass(frozen=True)
class StepDown:
    """A spool's grams from now on.

    Attributes:
        grams: on it now.
        steps: planned runs: (days from now, grams after it, label) in order.
        forecast: after the plan: (days from now, low, likely, high) grams.
        minimum: line below which another one is wanted, or None.
        runs_out: (early, likely, late) days from now, or None.
        days: (days from now, label) below the chart.
        span: days shown.
    """

    grams: float
    steps: tuple[tuple[float, float, str], ...] = ()
    forecast: tuple[tuple[float, float, float, float], ...] = ()
    minimum: float | None = None
    runs_out: tuple[float, float, float] | None = None
    days: tuple[tuple[float, str], ...] = ()
    span: float = 7.0


class StepDownChart(Chart):
    """Grams of one spool: steps down with each planned run, then a hatched fan to when it runs out."""

    def __init__(self, says: str = "grams left in the coming days", parent: QWidget | None = None) -> None:
        super().__init__(says, parent)
        self._data: StepDown | None = None

    def set_data(self, data: StepDown | None) -> None:
        """Show another spool."""
        self._data = data
        self.update()

    def paint(self, painter: QPainter, area: QRectF, tokens: Tokens) -> None:
        if self._data is None:
            return
        data = self._data
        below = _LINE_PX * (2 if data.runs_out else 1) + 6
        plot = area.adjusted(56, 14, -2, -below)
        step = round_step(max(data.grams, 1.0), 3)
        top = max(data.grams, 1.0) * 1.06

        def at(day: float, grams: float) -> QPointF:
            x = plot.left() + plot.width() * max(0.0, min(1.0, day / data.span))
            return QPointF(x, plot.bottom() - plot.height() * max(0.0, grams) / top)

        value = 0.0
        while value <= top:
            y = at(0, value).y()
            painter.fillRect(QRectF(plot.left(), y, plot.width(), 1), tokens.line if value else tokens.edge)
            self.write(
                painter, QRectF(area.left(), y - 13, 46, _LINE_PX), f"{value:.0f}", tokens.ink2, _RIGHT
            )
            value += step
        self._fan(
            painter,
            [(at(d, low), at(d, likely), at(d, high)) for d, low, likely, high in data.forecast],
            tokens,
        )
        self._minimum(painter, data, plot, at(0, data.minimum or 0).y(), tokens)
        self._steps(
            painter, data, [(at(d, g), label) for d, g, label in data.steps], at(0, data.grams), tokens
        )
        for day, label in data.days:
            box = QRectF(at(day, 0).x() - 40, plot.bottom() + 4, 80, _LINE_PX)
            self.write(painter, box, label, tokens.ink2)
        if data.runs_out:
            early, likely, late = (at(day, 0).x() for day in data.runs_out)
            y = plot.bottom() + 4 + _LINE_PX + 11
            strokes.bracket(painter, early, late, y, tokens.ink, 10)
            strokes.triangle(painter, QPointF(likely, y - 5), 11, tokens.ink, down=False)
            self.write(
                painter, QRectF(early - 110, y - 13, 100, _LINE_PX), "runs out", tokens.ink, _RIGHT, "medium"
            )

    @staticmethod
    def _fan(painter: QPainter, fan: list[tuple[QPointF, QPointF, QPointF]], tokens: Tokens) -> None:
        if len(fan) < 2:
            return
        path = QPainterPath(fan[0][2])
        for _low, _likely, high in fan[1:]:
            path.lineTo(high)
        for low, _likely, _high in reversed(fan):
            path.lineTo(low)
        path.closeSubpath()
        painter.fillPath(path, tokens.tint)
        strokes.hatch(painter, path, tokens.mid)
        dashes = strokes.pen(tokens.accent, 2.4)
        dashes.setDashPattern([3.2, 2.0])
        painter.setPen(dashes)
        painter.drawPolyline([likely for _low, likely, _high in fan])

    def _minimum(self, painter: QPainter, data: StepDown, plot: QRectF, y: float, tokens: Tokens) -> None:
        if data.minimum is None:
            return
        dashes = strokes.pen(tokens.ink, 1.4)
        dashes.setDashPattern([8, 4])
        painter.setPen(dashes)
        painter.drawLine(QPointF(plot.left(), y), QPointF(plot.right(), y))
        box = QRectF(plot.right() - 160, y - _LINE_PX - 1, 160, _LINE_PX)
        self.write(painter, box, f"minimum {data.minimum:.0f}", tokens.ink, _RIGHT)

    def _steps(
        self,
        painter: QPainter,
        data: StepDown,
        steps: list[tuple[QPointF, str]],
        begin: QPointF,
        tokens: Tokens,
    ) -> None:
        line = [begin]
        for point, _label in steps:
            line += [QPointF(point.x(), line[-1].y()), point]
        if not data.forecast:
            line.append(QPointF(begin.x() + (self.width() - begin.x()) - 2, line[-1].y()))
        painter.setPen(strokes.pen(tokens.accent, 2.4))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(line)
        before = begin.y()
        for point, label in steps:
            box = QRectF(point.x() + 6, (before + point.y()) / 2 - 13, 60, _LINE_PX)
            if point.y() - before > 20:
                self.write(painter, box, label, tokens.ink, _LEFT, "medium")
            before = point.y()
