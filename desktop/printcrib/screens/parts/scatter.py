"""A painted picture of prints: how much of the computed time each took, with likely and at most."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPolygonF
from PySide6.QtWidgets import QWidget

from printcrib.screens.parts import strokes
from printcrib.screens.parts.charts import Chart, round_step
from printcrib.screens.parts.tokens import Tokens

_LINE_PX = 26
_LEFT_PX, _BELOW_PX = 64, 32
_DOT = 5.5
_LEAST, _MOST = 50.0, 200.0
"""Percent shown at most; a print beyond lies on the edge, its figure beside it."""
_RIGHT = (Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter).value
_LEFT = (Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter).value


@dataclass(frozen=True)
class Dot:
    """One print: computed minutes, minutes it took, and its name where it is an odd one ("" else)."""

    computed: float
    took: float
    odd: str = ""

    @property
    def percent(self) -> float:
        """Of the computed time."""
        return 100.0 * self.took / self.computed


@dataclass(frozen=True)
class _Scale:
    """Minutes and percent to places on the picture."""

    plot: QRectF
    far: float
    low: float
    high: float

    def at(self, computed: float, percent: float) -> QPointF:
        plot = self.plot
        share = (min(max(percent, self.low), self.high) - self.low) / (self.high - self.low)
        return QPointF(
            plot.left() + plot.width() * computed / self.far, plot.bottom() - plot.height() * share
        )


class PrintsChart(Chart):
    """Prints as dots by length; dashed at 100 %, the thick line likely, hatched up to at most."""

    def __init__(self, says: str, parent: QWidget | None = None) -> None:
        super().__init__(says, parent)
        self._dots: tuple[Dot, ...] = ()
        self._line: tuple[tuple[float, float, float], ...] = ()

    def sizeHint(self) -> QSize:
        return QSize(420, 260)

    def set_prints(self, dots: Sequence[Dot], line: Sequence[tuple[float, float, float]]) -> None:
        """Show other prints; the line holds computed, likely and at-most minutes from left to right."""
        self._dots = tuple(dots)
        self._line = tuple((at, 100 * likely / at, 100 * most / at) for at, likely, most in line if at > 0)
        self.update()

    def paint(self, painter: QPainter, area: QRectF, tokens: Tokens) -> None:
        if not self._line:
            return
        plot = area.adjusted(_LEFT_PX, _LINE_PX + 14, -14, -_BELOW_PX)
        scale = _Scale(plot, self._line[-1][0], *self._percents())
        self._levels(painter, scale, tokens)
        self._lengths(painter, scale, tokens)
        self._doubt(painter, scale, tokens)
        for dot in self._dots:
            self._dot(painter, scale, dot, tokens)
        heading = QRectF(area.left(), area.top(), area.width(), _LINE_PX)
        self.write(painter, heading, "Took, % of what was computed", tokens.ink2, _LEFT)

    def _percents(self) -> tuple[float, float]:
        """Lowest and highest percent shown."""
        shown = [100.0, *(dot.percent for dot in self._dots)]
        shown += [value for _, likely, most in self._line for value in (likely, most)]
        low, high = max(min(shown), _LEAST), min(max(shown), _MOST)
        return 10 * ((low - 4) // 10), -10 * ((-high - 4) // 10)

    def _levels(self, painter: QPainter, scale: _Scale, tokens: Tokens) -> None:
        step = next(each for each in (10.0, 20.0, 50.0) if each * 5 >= scale.high - scale.low)
        plot, value = scale.plot, -step * (-scale.low // step)
        while value <= scale.high + 1e-9:
            y = scale.at(0, value).y()
            painter.fillRect(QRectF(plot.left(), y, plot.width(), 1), tokens.line)
            box = QRectF(plot.left() - _LEFT_PX, y - _LINE_PX / 2, _LEFT_PX - 10, _LINE_PX)
            self.write(painter, box, f"{value:.0f}", tokens.ink2, _RIGHT)
            value += step
        as_computed = strokes.pen(tokens.ink2, 1.4)
        as_computed.setStyle(Qt.PenStyle.DashLine)
        painter.setPen(as_computed)
        painter.drawLine(scale.at(0, 100.0), scale.at(scale.far, 100.0))

    def _lengths(self, painter: QPainter, scale: _Scale, tokens: Tokens) -> None:
        unit, name = (60.0, "h") if scale.far >= 180 else (1.0, "min")
        step = round_step(scale.far / unit) * unit
        value = step
        while value <= scale.far * 0.98:
            x = scale.at(value, 100.0).x()
            box = QRectF(x - 40, scale.plot.bottom() + 4, 80, _LINE_PX)
            self.write(painter, box, f"{value / unit:g} {name}", tokens.ink2)
            value += step

    def _doubt(self, painter: QPainter, scale: _Scale, tokens: Tokens) -> None:
        likely = [scale.at(at, middle) for at, middle, _ in self._line]
        most = [scale.at(at, high) for at, _, high in self._line]
        band = QPainterPath()
        band.addPolygon(QPolygonF([*likely, *reversed(most)]))
        strokes.hatch(painter, band, tokens.accent)
        painter.setPen(strokes.pen(tokens.accent, 2.6))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF(likely))

    def _dot(self, painter: QPainter, scale: _Scale, dot: Dot, tokens: Tokens) -> None:
        centre = scale.at(dot.computed, dot.percent)
        painter.setPen(strokes.pen(tokens.sheet, 1.5))
        painter.setBrush(tokens.signal if dot.odd else tokens.ink)
        painter.drawEllipse(centre, _DOT, _DOT)
        if not dot.odd:
            return
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(strokes.pen(tokens.signal, 2))
        painter.drawEllipse(centre, _DOT + 5, _DOT + 5)
        left = centre.x() > scale.plot.center().x()
        box = QRectF(centre.x() - 218 if left else centre.x() + 18, centre.y() - _LINE_PX / 2, 200, _LINE_PX)
        words = f"{dot.odd}, {dot.percent:.0f} %"
        self.write(painter, box, words, tokens.ink, _RIGHT if left else _LEFT, "medium")
