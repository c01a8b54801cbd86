"""Paints the time line in the signs of an engineering drawing."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.time_line_data import LaneData, NeededBy, RunBlock, Span, TimeLineData
from printcrib.screens.parts.tokens import RADIUS_RUN, Tokens

AXIS_PX = 36.0
NEED_PX = 26.0
NOZZLE_PX = 24.0
SWAP_GAP_PX = 7.0
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_HOUR_STEPS = (1, 2, 3, 6, 12, 24)
_LEFT_MIDDLE = (Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter).value
_MIDDLE = Qt.AlignmentFlag.AlignCenter.value


class Rows:
    """Heights of one printer's three lanes within its share of the widget."""

    def __init__(self, top: float, height: float) -> None:
        self.top = top
        self.height = height
        spare = max(0.0, height - NEED_PX - NOZZLE_PX - 32)
        self.block = min(44.0, 30 + spare * 0.5)
        used = NEED_PX + self.block + NOZZLE_PX
        self.need_y = top + (height - used) / 2 + NEED_PX / 2 + 1
        self.block_top = top + (height - used) / 2 + NEED_PX
        self.nozzle_y = self.block_top + self.block + NOZZLE_PX / 2 + 1


def paint_ground(painter: QPainter, data: TimeLineData, span: Span, bottom: float, tokens: Tokens) -> None:
    """Closed bands, hour lines and the words above them."""
    zone = data.now.tzinfo
    taken: list[tuple[float, float]] = []
    for closed in data.closed:
        cut = span.cut(closed.start, closed.end)
        if cut is not None:
            left, right = max(cut[0], span.left), min(cut[1], span.left + span.width)
            painter.fillRect(QRectF(left, AXIS_PX, right - left, bottom - AXIS_PX), tokens.closed)
    painter.fillRect(QRectF(0, AXIS_PX - 1, span.left + span.width, 1), tokens.line)
    for moment in _hours(span, data.now):
        painter.fillRect(QRectF(span.x(moment), AXIS_PX, 1, bottom - AXIS_PX), tokens.line)
    for edge in _midnights(span, data.now):
        painter.fillRect(QRectF(span.x(edge), AXIS_PX, 1, bottom - AXIS_PX), tokens.edge)
    now_x = span.x(data.now)
    if span.left <= now_x <= span.left + span.width:
        _label(painter, "now", now_x, taken, tokens.ink, "strong", centred=True)
    _paint_days(painter, span, data.now, taken, tokens)
    for closed in data.closed:
        cut = span.cut(closed.start, closed.end)
        if cut and closed.words:
            left, right = max(cut[0], span.left), min(cut[1], span.left + span.width)
            wide = lettering.metrics().horizontalAdvance(closed.words)
            if wide < right - left - 8:
                _label(painter, closed.words, (left + right) / 2, taken, tokens.ink2, centred=True)
    for moment in _hours(span, data.now):
        words = moment.astimezone(zone).strftime("%H:%M")
        _label(painter, words, span.x(moment), taken, tokens.ink2, centred=True)


def _paint_days(
    painter: QPainter, span: Span, now: datetime, taken: list[tuple[float, float]], tokens: Tokens
) -> None:
    first = span.start.astimezone(now.tzinfo)
    days = list(_midnights(span, now))
    _label(painter, _day(first), 0, taken, tokens.ink, "strong")
    for day in days:
        _label(painter, _day(day), span.x(day) + 4, taken, tokens.ink, "strong")


def _day(moment: datetime) -> str:
    return f"{_DAYS[moment.weekday()]} {moment.day}"


def _label(
    painter: QPainter,
    words: str,
    x: float,
    taken: list[tuple[float, float]],
    colour: QColor,
    weight: lettering.Weight = "regular",
    *,
    centred: bool = False,
) -> None:
    """Write above the axis, unless something stands there already."""
    wide = lettering.metrics(lettering.TEXT_PT, weight).horizontalAdvance(words)
    left = x - wide / 2 if centred else x
    if any(left < other_right + 6 and left + wide + 6 > other_left for other_left, other_right in taken):
        return
    taken.append((left, left + wide))
    painter.setFont(lettering.font(lettering.TEXT_PT, weight))
    painter.setPen(colour)
    painter.drawText(QRectF(left, 0, wide + 4, AXIS_PX - 2), _LEFT_MIDDLE, words)


def _hours(span: Span, now: datetime) -> Iterator[datetime]:
    """Round hours with room for their words between them, midnight left out."""
    per_hour = span.width / span.hours
    step = next((s for s in _HOUR_STEPS if s * per_hour >= 120), 24)
    moment = span.start.astimezone(now.tzinfo).replace(minute=0, second=0, microsecond=0)
    end = span.start + timedelta(hours=span.hours)
    while moment <= end:
        if moment >= span.start and moment.hour % step == 0 and moment.hour:
            yield moment
        moment += timedelta(hours=1)


def _midnights(span: Span, now: datetime) -> Iterator[datetime]:
    first = span.start.astimezone(now.tzinfo)
    day = first.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    while day <= span.start + timedelta(hours=span.hours):
        yield day
        day += timedelta(days=1)


def paint_lane(
    painter: QPainter,
    lane: LaneData,
    rows: Rows,
    span: Span,
    chosen: int | None,
    now: datetime,
    tokens: Tokens,
) -> None:
    """One printer: needed-by marks, runs with their set-ups, fitted nozzles."""
    painter.setFont(lettering.font(lettering.CELL_PT, "strong"))
    painter.setPen(tokens.ink)
    name = lettering.metrics(lettering.CELL_PT, "strong").elidedText(
        lane.printer, Qt.TextElideMode.ElideRight, int(span.left - 12)
    )
    painter.drawText(QRectF(0, rows.block_top, span.left - 8, rows.block), _LEFT_MIDDLE, name)
    painter.save()
    painter.setClipRect(QRectF(span.left - 6, rows.top, span.width + 6, rows.height))
    _paint_nozzles(painter, lane, rows, span, tokens)
    for run in lane.runs:
        cut = span.cut(run.start, run.end)
        if cut is not None:
            box = QRectF(cut[0], rows.block_top, max(3.0, cut[1] - cut[0]), rows.block)
            _paint_run(painter, run, box, span.x(now), run.key == chosen, tokens)
    for set_up in lane.set_ups:
        cut = span.cut(set_up.start, set_up.end)
        if cut is not None:
            wide = max(8.0 if set_up.swap else 5.0, cut[1] - cut[0])
            high = rows.block + 4 if set_up.swap else 14.0
            top = rows.block_top + rows.block / 2 - high / 2
            painter.fillRect(QRectF(cut[1] - wide, top, wide, high).toRect(), tokens.ink)
    _paint_needs(painter, lane.needed, rows, span, tokens)
    painter.restore()


def _paint_run(
    painter: QPainter, run: RunBlock, box: QRectF, now_x: float, chosen: bool, tokens: Tokens
) -> None:
    inner = box.adjusted(0.5, 0.5, -0.5, -0.5)
    if run.state == "over":
        strokes.box(painter, inner, RADIUS_RUN, tokens.ink2)
        _number(painter, run.label, inner, tokens.sheet)
    elif run.state == "printing":
        strokes.box(painter, inner, RADIUS_RUN, tokens.tint, strokes.pen(tokens.accent, 2))
        done = QRectF(inner.left(), inner.top(), min(inner.width(), now_x - inner.left()), inner.height())
        if done.width() > 0:
            painter.save()
            painter.setClipRect(done, Qt.ClipOperation.IntersectClip)
            strokes.box(painter, inner, RADIUS_RUN, tokens.accent)
            painter.restore()
        rest = QRectF(done.right(), inner.top(), inner.right() - done.right(), inner.height())
        if not _number(painter, run.label, done, tokens.on_accent):
            _number(painter, run.label, rest, tokens.ink)
    else:
        edge = strokes.pen(tokens.accent, 3) if chosen else strokes.pen(tokens.mid, 1.4)
        strokes.box(painter, inner, RADIUS_RUN, tokens.tint, edge)
        _number(painter, run.label, inner, tokens.accent if chosen else tokens.ink)
        return
    if chosen:
        ring = inner.adjusted(3, 3, -3, -3)
        ground = tokens.on_accent if run.state == "printing" else tokens.sheet
        strokes.box(painter, ring, 2, None, strokes.pen(ground, 2))


def _number(painter: QPainter, label: str, room: QRectF, colour: QColor) -> bool:
    wide = lettering.metrics(lettering.TEXT_PT, "strong").horizontalAdvance(label)
    if wide > room.width():
        return False
    painter.setFont(lettering.font(lettering.TEXT_PT, "strong"))
    painter.setPen(colour)
    painter.drawText(room, _MIDDLE, label)
    return True


def _paint_nozzles(painter: QPainter, lane: LaneData, rows: Rows, span: Span, tokens: Tokens) -> None:
    measure = lettering.metrics(lettering.TEXT_PT, "medium")
    painter.setFont(lettering.font(lettering.TEXT_PT, "medium"))
    for fitted in lane.nozzles:
        end = fitted.end or span.start + timedelta(hours=span.hours * 2)
        cut = span.cut(fitted.start, end)
        if cut is None:
            continue
        swapped_in_view = cut[0] > span.left  # keep the number off the tick, and off the line of now
        left = cut[0] + SWAP_GAP_PX if swapped_in_view else span.left
        right = min(cut[1], span.left + span.width)
        wide = measure.horizontalAdvance(fitted.bore)
        painter.setPen(tokens.ink)
        if wide + 12 < right - left:
            room = QRectF(left, rows.nozzle_y - NOZZLE_PX / 2, wide + 4, NOZZLE_PX)
            painter.drawText(room, _LEFT_MIDDLE, fitted.bore)
            left += wide + 8
        painter.setPen(strokes.pen(tokens.ink2, 1.6))
        painter.drawLine(QPointF(left, rows.nozzle_y), QPointF(right - 2, rows.nozzle_y))
        if fitted.end is not None:
            tick = QLineF(right - 2, rows.nozzle_y - 6, right - 2, rows.nozzle_y + 6)
            painter.drawLine(tick)


def _paint_needs(
    painter: QPainter, needed: tuple[NeededBy, ...], rows: Rows, span: Span, tokens: Tokens
) -> None:
    """Late and tight ones are written first; a label without room is left out, its mark never."""
    taken = [(min(span.x(n.ready), span.x(n.by)) - 8, max(span.x(n.ready), span.x(n.by)) + 8) for n in needed]
    order = {"late": 0, "tight": 1, "spare": 2}
    for index in sorted(range(len(needed)), key=lambda i: (order[needed[i].state], needed[i].by)):
        need = needed[index]
        if not span.cut(min(need.ready, need.by), max(need.ready, need.by)):
            continue
        colour = {"late": tokens.signal, "tight": tokens.ink, "spare": tokens.ink2}[need.state]
        _paint_need(painter, need, rows.need_y, span, tokens.ink if need.state == "spare" else colour)
        weight: lettering.Weight = "regular" if need.state == "spare" else "strong"
        wide = lettering.metrics(lettering.TEXT_PT, weight).horizontalAdvance(need.label)
        left = taken[index][1] + 4
        others = taken[:index] + taken[index + 1 :]
        if any(left < right and left + wide > begin for begin, right in others):
            continue
        taken.append((left, left + wide))
        painter.setFont(lettering.font(lettering.TEXT_PT, weight))
        painter.setPen(colour)
        painter.drawText(QRectF(left, rows.need_y - 13, wide + 4, 26), _LEFT_MIDDLE, need.label)


def _paint_need(painter: QPainter, need: NeededBy, y: float, span: Span, colour: QColor) -> None:
    ready, by = span.x(need.ready), span.x(need.by)
    late = need.state == "late"
    painter.setPen(strokes.pen(colour, 2.6 if late else 1.6))
    painter.drawLine(QPointF(ready, y), QPointF(by, y))
    painter.setPen(strokes.pen(colour, 1.6))
    painter.drawLine(QPointF(ready, y - 7), QPointF(ready, y + 7))
    strokes.triangle(painter, QPointF(by, y + 6), 13, colour, solid=need.state != "spare")
