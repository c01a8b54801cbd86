"""The strokes of an engineering drawing that all painted parts share:
hatch (promised), bracket (tolerance), triangle (needed by), dash-dot line (now), rounded boxes."""

import math

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

HATCH_STEP_PX = 7.0
HATCH_WIDTH_PX = 1.6
NOW_DASHES = (8.0, 3.0, 1.5, 3.0)


def pen(colour: QColor, width: float = 1.0) -> QPen:
    """A square-ended pen."""
    made = QPen(colour, width)
    made.setCapStyle(Qt.PenCapStyle.FlatCap)
    made.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    return made


def box(
    painter: QPainter, rect: QRectF, radius: float, fill: QColor | None, border: QPen | None = None
) -> None:
    """A rounded box whose border lies inside its rectangle."""
    painter.setBrush(fill if fill is not None else Qt.BrushStyle.NoBrush)
    if border is None:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawRoundedRect(rect, radius, radius)
        return
    half = border.widthF() / 2
    painter.setPen(border)
    painter.drawRoundedRect(rect.adjusted(half, half, -half, -half), radius, radius)


def rounded(rect: QRectF, radius: float) -> QPainterPath:
    """The outline of a rounded box, for clipping."""
    path = QPainterPath()
    path.addRoundedRect(rect, radius, radius)
    return path


def hatch(painter: QPainter, area: QPainterPath, colour: QColor) -> None:
    """Fill an area with 45 degree hatch: promised or expected, not there yet."""
    bounds = area.boundingRect()
    if bounds.isEmpty():
        return
    painter.save()
    painter.setClipPath(area, Qt.ClipOperation.IntersectClip)
    painter.setPen(pen(colour, HATCH_WIDTH_PX))
    step = HATCH_STEP_PX
    at = math.floor(bounds.left() / step) * step
    lines = []
    while at < bounds.right() + bounds.height():
        lines.append(QLineF(at, bounds.top(), at - bounds.height(), bounds.bottom()))
        at += step
    painter.drawLines(lines)
    painter.restore()


def bracket(
    painter: QPainter, left: float, right: float, y: float, colour: QColor, height: float = 8.0
) -> None:
    """A tolerance |-| from left to right, its bar at height y."""
    painter.save()
    painter.setPen(pen(colour, 1.6))
    painter.drawLine(QPointF(left, y), QPointF(right, y))
    for x in (left, right):
        painter.drawLine(QPointF(x, y - height / 2), QPointF(x, y + height / 2))
    painter.restore()


def triangle(
    painter: QPainter, tip: QPointF, width: float, colour: QColor, *, down: bool = True, solid: bool = True
) -> None:
    """A triangle with its tip at a point; pointing down it means needed by."""
    rise = -width * 0.8 if down else width * 0.8
    half = width / 2
    shape = QPolygonF([tip, QPointF(tip.x() - half, tip.y() + rise), QPointF(tip.x() + half, tip.y() + rise)])
    painter.save()
    painter.setPen(pen(colour, 1.6))
    painter.setBrush(colour if solid else Qt.BrushStyle.NoBrush)
    painter.drawPolygon(shape)
    painter.restore()


def now_line(painter: QPainter, line: QLineF, colour: QColor) -> None:
    """The dash-dot centre line that means now."""
    made = pen(colour, 2.0)
    made.setDashPattern([d / 2.0 for d in NOW_DASHES])
    painter.save()
    painter.setPen(made)
    painter.drawLine(line)
    painter.restore()


def dashed_box(painter: QPainter, rect: QRectF, radius: float, colour: QColor, width: float = 1.6) -> None:
    """A dashed outline: what is missing."""
    made = pen(colour, width)
    made.setDashPattern([2.6, 1.8])
    box(painter, rect, radius, None, made)
