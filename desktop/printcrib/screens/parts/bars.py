"""Bars people read instead of numbers: grams, time, life, estimate. The number always stands beside them.

Each bar is a frozen record that paints itself, so a page (`BarView`) and a table cell show the same.
"""

from dataclasses import dataclass
from typing import Protocol

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from printcrib.core.units import between_words
from printcrib.screens.parts import strokes
from printcrib.screens.parts.tokens import RADIUS_BAR, Tokens, current_tokens

THICK_PX = 18.0
THIN_PX = 9.0
_BELOW_PX = 12.0


class Bar(Protocol):
    """Anything that paints itself as a bar into a rectangle (top of the rectangle = top of the track)."""

    @property
    def height(self) -> float:
        """Room it needs, px."""
        ...

    @property
    def words(self) -> str:
        """The bar in words, for a screen reader."""
        ...

    def paint(self, painter: QPainter, rect: QRectF, tokens: Tokens) -> None:
        """Paint into the rectangle."""
        ...


def _track(painter: QPainter, rect: QRectF, height: float, tokens: Tokens, well: bool = True) -> QRectF:
    track = QRectF(rect.left(), rect.top(), rect.width(), height)
    strokes.box(painter, track, RADIUS_BAR, tokens.well if well else tokens.sheet)
    return track


def _cut(track: QRectF, start: float, end: float, whole: float) -> QRectF:
    """The piece of a track between two amounts; never wider than the track."""
    if whole <= 0:
        return QRectF(track.left(), track.top(), 0, track.height())
    left, right = (track.left() + track.width() * max(0.0, min(1.0, x / whole)) for x in (start, end))
    return QRectF(left, track.top(), max(0.0, right - left), track.height())


@dataclass(frozen=True)
class MaterialBar:
    """Grams on a spool: solid free, hatched promised to runs, dashed red short; a tick at the minimum.

    Attributes:
        full: grams of a full spool (the track). left: grams on it now. promised: grams of planned runs.
        minimum: grams below which the shop wants another one, or None.
        plus_minus: doubt of `left` in grams; a bracket below, 0 for none.
    """

    full: float
    left: float
    promised: float = 0.0
    minimum: float | None = None
    plus_minus: float = 0.0

    @property
    def height(self) -> float:
        return THICK_PX + _BELOW_PX

    @property
    def short(self) -> float:
        """Grams promised that are not there."""
        return max(0.0, self.promised - self.left)

    @property
    def words(self) -> str:
        told = f"{self.left:.0f} g left of {self.full:.0f}, {self.promised:.0f} g promised"
        return f"{told}, {self.short:.0f} g short" if self.short else told

    def paint(self, painter: QPainter, rect: QRectF, tokens: Tokens) -> None:
        track = _track(painter, rect, THICK_PX, tokens)
        free = max(0.0, self.left - self.promised)
        solid = _cut(track, 0, free, self.full)
        held = _cut(track, free, self.left, self.full)
        if solid.width() > 0:
            strokes.box(painter, solid, RADIUS_BAR, tokens.accent)
        if held.width() > 1:
            strokes.hatch(painter, strokes.rounded(held, RADIUS_BAR), tokens.accent)
            strokes.box(painter, held, RADIUS_BAR, None, strokes.pen(tokens.accent, 1.4))
        if self.short:
            gap = _cut(track, self.left, self.promised, self.full)
            gap.setWidth(min(max(gap.width(), 9.0), track.right() - gap.left()))
            strokes.dashed_box(painter, gap, RADIUS_BAR, tokens.signal)
        self._paint_minimum(painter, track, tokens)
        if self.plus_minus:
            doubt = _cut(track, self.left - self.plus_minus, self.left + self.plus_minus, self.full)
            strokes.bracket(painter, doubt.left(), doubt.right(), track.bottom() + 6.5, tokens.ink)

    def _paint_minimum(self, painter: QPainter, track: QRectF, tokens: Tokens) -> None:
        if self.minimum is None:
            return
        at = _cut(track, 0, self.minimum, self.full).right()
        painter.fillRect(QRectF(at - 2.5, track.top() - 2, 5, track.height() + 4), tokens.sheet)
        painter.fillRect(QRectF(at - 1, track.top() - 2, 2, track.height() + 4), tokens.ink)


@dataclass(frozen=True)
class TimeBar:
    """How far a run is, 0 to 1; `over` when its planned end has passed (then in second ink)."""

    done: float
    over: bool = False

    @property
    def height(self) -> float:
        return THIN_PX

    @property
    def words(self) -> str:
        return "planned end passed" if self.over else f"{100 * self.done:.0f} % of the time"

    def paint(self, painter: QPainter, rect: QRectF, tokens: Tokens) -> None:
        track = _track(painter, rect, THIN_PX, tokens)
        done = _cut(track, 0, 1.0 if self.over else self.done, 1.0)
        if done.width() > 0:
            strokes.box(painter, done, RADIUS_BAR, tokens.ink2 if self.over else tokens.accent)


@dataclass(frozen=True)
class LifeBar:
    """How much of an aid's life is used: solid count, hatched zone in which it wears out.

    Attributes:
        count: uses so far. low, middle, high: where it wears out, early, as expected, late.
        scale_to: uses at the right end of the track; 0 for a little beyond `high`.
    """

    count: float
    low: float
    middle: float
    high: float
    scale_to: float = 0.0

    @property
    def height(self) -> float:
        return THICK_PX + _BELOW_PX + 1

    @property
    def past(self) -> bool:
        """Whether the count is past the middle of the wear-out zone."""
        return self.count >= self.middle

    @property
    def words(self) -> str:
        told = f"{self.count:.0f} of about {self.middle:.0f}, wears out at {self.low:.0f} to {self.high:.0f}"
        return f"{told}, past its expected life" if self.past else told

    def paint(self, painter: QPainter, rect: QRectF, tokens: Tokens) -> None:
        track = _track(painter, rect, THICK_PX, tokens)
        whole = self.scale_to or max(self.high * 1.12, self.count * 1.02)
        zone = _cut(track, self.low, self.high, whole)
        strokes.hatch(painter, strokes.rounded(zone, 0), tokens.edge)
        used = _cut(track, 0, self.count, whole)
        if used.width() > 0:
            strokes.box(painter, used, RADIUS_BAR, tokens.signal if self.past else tokens.accent)
        y = track.bottom() + 7.5
        strokes.bracket(painter, zone.left(), zone.right(), y, tokens.ink)
        middle = _cut(track, 0, self.middle, whole).right()
        strokes.triangle(painter, QPointF(middle, y - 4), 9, tokens.ink, down=False)


@dataclass(frozen=True)
class EstimateBar:
    """Minutes of one nozzle: solid to the likely time, hatched to "at most"; one scale for all nozzles."""

    likely: float
    at_most: float
    scale_to: float
    on_tint: bool = False

    @property
    def height(self) -> float:
        return THIN_PX + 1 + _BELOW_PX

    @property
    def words(self) -> str:
        return between_words(self.likely, self.at_most)

    def paint(self, painter: QPainter, rect: QRectF, tokens: Tokens) -> None:
        track = _track(painter, rect, THIN_PX + 1, tokens, well=not self.on_tint)
        doubt = _cut(track, self.likely, self.at_most, self.scale_to)
        strokes.hatch(painter, strokes.rounded(doubt, 0), tokens.accent)
        strokes.box(painter, _cut(track, 0, self.likely, self.scale_to), RADIUS_BAR, tokens.accent)
        strokes.bracket(painter, doubt.left(), doubt.right(), track.bottom() + 6.5, tokens.ink)


class BarView(QWidget):
    """Shows a bar on a page."""

    def __init__(self, bar: Bar | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bar: Bar | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.set_bar(bar)

    def set_bar(self, bar: Bar | None) -> None:
        """Show another bar; None for an empty place."""
        self._bar = bar
        self.setAccessibleName(bar.words if bar else "no bar")
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(160, round(self._bar.height) if self._bar else round(THICK_PX))

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._bar is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._bar.paint(painter, QRectF(self.rect()).adjusted(0, 0, 0, 0), current_tokens())
        painter.end()
