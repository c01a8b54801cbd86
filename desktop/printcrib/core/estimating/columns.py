"""Vertical columns through a model: what is inside, what lies under skin, what thin places leave out.

A square grid of upright lines is sent through the model. Where a line enters and leaves solid gives
spans of layers; spans of one column become bits, 64 layers at a time, so that "inside by this much
all round" is a handful of bitwise ANDs of shifted grids. Overlapping bodies count once (winding > 0).
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from printcrib.core.estimating.outline import Levels
from printcrib.core.shapes import Floats, Indices, Mesh

Bits = npt.NDArray[np.uint64]
Marks = npt.NDArray[np.bool_]
MOST_COLUMNS = 300_000
RING_POINTS = 16
WORD = 64
FLATTEST_FREE = np.cos(np.deg2rad(45.0)) * (1 + 1e-9)  # an underside this level or more needs something below

# BELOW[n] has the n lowest bits set.
BELOW = np.array([(1 << n) - 1 for n in range(WORD + 1)], dtype=np.uint64)


@dataclass(frozen=True, eq=False)
class Spans:
    """Solid stretches of every column, in layers.

    Attributes:
        column: row x wide + place of each span's column.
        low: first layer inside.
        high: layer after the last.
        rows: grid size.
        wide: grid size.
        pixel_mm: distance between columns.
        hanging: the stretch begins over air with an underside flatter than 45 degrees.
        true_share: area of all such undersides over what the columns see of them.
    """

    column: Indices
    low: Indices
    high: Indices
    rows: int
    wide: int
    pixel_mm: float
    hanging: Marks
    true_share: float


@dataclass(frozen=True)
class SkinRule:
    """Which layers are skin, and how far in skin begins.

    Attributes:
        top: layers of skin under a top face.
        bottom: layers of skin over a bottom face.
        depth: number of the asked depth inside of which skin and fill lie; 0 is the outline itself.
    """

    top: int
    bottom: int
    depth: int


@dataclass(frozen=True, eq=False)
class Zones:
    """Areas of every layer as the columns see them, in mm2.

    Attributes:
        solid: inside the model (bodies that overlap counted once).
        inside: further inside than each asked depth, shape (depths, layers).
        skin: part inside the rule's depth within the asked layers of a top or bottom face.
        bridged: part inside the rule's depth that is printed over air.
        skin_across: outline of that skin in mm, projected across 45 degree lines, mean of both directions.
        fill_across: the same for what is inside but not skin.
        inside_across: the same for both together.
    """

    solid: Floats
    inside: Floats
    skin: Floats
    bridged: Floats
    skin_across: Floats
    fill_across: Floats
    inside_across: Floats


@dataclass(frozen=True, eq=False)
class Stretches:
    """What is painted, numbered by stretches of equal layers: solid, fill, and what begins over air."""

    column: Indices
    solid: Indices
    sparse: Indices
    air_column: Indices
    air: Indices


def pixel_for(mesh: Mesh, levels: Levels, line_width_mm: float) -> float:
    """Half a line, coarser where the model is so large or tall that this would take too long."""
    width, depth, _ = mesh.vertices.max(axis=0) - mesh.vertices.min(axis=0)
    most = MOST_COLUMNS * min(1.0, 8 * WORD / levels.count)
    return float(max(line_width_mm / 2, np.sqrt(width * depth / most)))


def spans_of(mesh: Mesh, levels: Levels, pixel_mm: float, margin: int) -> Spans:
    """Send the columns through the model.

    Args:
        mesh: the model, outside out.
        levels: layer planes.
        pixel_mm: distance between columns.
        margin: empty columns to leave around the model.
    """
    corner = mesh.vertices[:, :2].min(axis=0) - margin * pixel_mm
    size = (mesh.vertices[:, :2].max(axis=0) - corner) / pixel_mm
    wide, rows = (int(np.ceil(length)) + margin for length in size)
    column, layer, face, change = _crossings(mesh, levels, corner, pixel_mm, wide)
    level = _level_undersides(mesh, levels)
    # Entering comes first, so touching bodies join; a stretch is hanging where all it begins with is level.
    key = (column * (levels.count + 1) + layer) * 4 + 2 * (change < 0) + level.hangs[face]
    key.sort()
    change = np.where(key & 2 == 0, 1, -1)
    hangs = key & 1 == 1
    layer = (key >> 2) % (levels.count + 1)
    column = (key >> 2) // (levels.count + 1)
    inside = _inside(column, change)
    begin = np.flatnonzero(inside & ~np.concatenate(([False], inside[:-1])))
    end = np.flatnonzero(inside & ~np.concatenate((inside[1:], [False]))) + 1
    thick = layer[end] > layer[begin]
    begin, end = begin[thick], end[thick]
    seen = int(hangs.sum()) * pixel_mm**2
    return Spans(
        column=column[begin],
        low=layer[begin],
        high=layer[end],
        rows=rows,
        wide=wide,
        pixel_mm=pixel_mm,
        hanging=hangs[begin] & (layer[begin] > 0),
        true_share=level.area_mm2 / seen if seen else 1.0,
    )


@dataclass(frozen=True, eq=False)
class _LevelUndersides:
    hangs: Marks
    area_mm2: float


def _level_undersides(mesh: Mesh, levels: Levels) -> _LevelUndersides:
    """Which triangles face down flatter than 45 degrees off the platform, and their area from below."""
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    normal = np.cross(b - a, c - a)
    hangs = -normal[:, 2] > FLATTEST_FREE * np.linalg.norm(normal, axis=1)
    hangs &= levels.above[mesh.faces].max(axis=1) > 0
    return _LevelUndersides(hangs, float(-normal[hangs, 2].sum()) / 2)


def _inside(column: Indices, change: Indices) -> npt.NDArray[np.bool_]:
    """Whether the stretch after each passage is solid; never after a column's last."""
    first, last = np.ones(len(column), dtype=bool), np.ones(len(column), dtype=bool)
    first[1:] = last[:-1] = column[1:] != column[:-1]
    winding = np.cumsum(change)
    starts = np.flatnonzero(first)
    before = (winding - change)[starts]
    winding -= np.repeat(before, np.diff(np.append(starts, len(column))))
    return np.asarray((winding > 0) & ~last)


def _crossings(
    mesh: Mesh, levels: Levels, corner: Floats, pixel_mm: float, wide: int
) -> tuple[Indices, Indices, Indices, Indices]:
    """Column, first layer above, triangle, and change of winding for every passage through a triangle."""
    points = (mesh.vertices[:, :2] - corner) / pixel_mm - 0.5  # column centres at whole numbers
    faces, height = mesh.faces, mesh.vertices[:, 2]
    a, b, c = (points[faces[:, i]] for i in range(3))
    turn = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    row_of = np.ceil(points[:, 1]).astype(np.int64)
    order = np.argsort(points[faces, 1], axis=1)
    low, middle, high = np.take_along_axis(faces, order, axis=1).T
    face, row = expanded(row_of[low], np.where(turn != 0, row_of[high], row_of[low]))
    low, middle, high = low[face], middle[face], high[face]
    under = row < row_of[middle]
    one = _place_on(points, low, high, row)
    other = _place_on(points, np.where(under, low, middle), np.where(under, middle, high), row)
    left, right = np.ceil(np.minimum(one, other)), np.ceil(np.maximum(one, other))
    pair, place = expanded(left.astype(np.int64), right.astype(np.int64))
    face, row = face[pair], row[pair]
    layer = _layer_above(points, height, faces[face], turn[face], place, row, levels)
    return row * wide + place, layer, face, np.where(turn[face] > 0, -1, 1)


def expanded(begin: Indices, end: Indices) -> tuple[Indices, Indices]:
    """Owner and value of every whole number from begin up to end, for many ranges at once."""
    count = np.maximum(end - begin, 0)
    owner = np.repeat(np.arange(len(count)), count)
    value = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count) + begin[owner]
    return owner, value


def _place_on(points: Floats, low: Indices, high: Indices, row: Indices) -> Floats:
    start, end = points[low], points[high]
    share = (row - start[:, 1]) / (end[:, 1] - start[:, 1])
    return np.asarray(start[:, 0] + share * (end[:, 0] - start[:, 0]))


def _layer_above(
    points: Floats,
    height: Floats,
    corners: Indices,
    turn: Floats,
    place: Indices,
    row: Indices,
    levels: Levels,
) -> Indices:
    """First layer plane at or above the point of a triangle over a column."""
    a, b, c = corners.T
    dx, dy = place - points[a, 0], row - points[a, 1]
    bx, by = (points[b] - points[a]).T
    cx, cy = (points[c] - points[a]).T
    bz, cz = height[b] - height[a], height[c] - height[a]
    at = height[a] + ((dx * cy - dy * cx) * bz + (dy * bx - dx * by) * cz) / turn
    three = np.stack((height[a], height[b], height[c]))
    at = at.clip(three.min(axis=0), three.max(axis=0))
    return np.asarray(np.ceil((at - levels.first_mm) / levels.step_mm).clip(0, levels.count).astype(np.int64))


def zones_of(spans: Spans, layers: int, depths_mm: list[float], rule: SkinRule) -> Zones:
    """Measure every layer: solid, inside by each depth, skin and fill.

    Layers between which no column changes are measured once.

    Args:
        spans: the columns, with a margin of at least the last depth.
        layers: number of layers.
        depths_mm: distances inwards, rising.
        rule: where skin is.
    """
    floor_end = np.minimum(spans.low + rule.bottom, spans.high)
    roof_start = np.maximum(spans.high - rule.top, floor_end)
    hanging = np.flatnonzero(spans.hanging)
    air = spans.low[hanging]
    marks = np.unique(np.concatenate(([0], spans.low, spans.high, floor_end, roof_start, air + 1)))
    starts = marks[marks < layers]
    number = np.zeros(layers + 1, dtype=np.int64)
    number[starts] = 1
    number = np.cumsum(number) - 1
    number[layers] = len(starts)
    radii = [depth / spans.pixel_mm for depth in depths_mm]
    solid, skin = number[[spans.low, spans.high]], number[[floor_end, roof_start]]
    stretches = Stretches(spans.column, solid, skin, spans.column[hanging], number[[air, air + 1]])
    counts = np.zeros((len(radii) + 6, -(-len(starts) // WORD) * WORD))
    for word in range(counts.shape[1] // WORD):
        here = _word_counts(spans, stretches, radii, rule.depth, word)
        counts[:, word * WORD : (word + 1) * WORD] = here
    seen = counts[:, number[:layers]]
    areas = seen[:-3] * spans.pixel_mm**2
    across = (
        seen[-3:] * spans.pixel_mm / np.sqrt(2) / 2
    )  # pixel lines at 45 degrees lie pixel / sqrt(2) apart
    return Zones(areas[0], areas[1:-2], areas[-2], areas[-1], *across)


def _word_counts(spans: Spans, stretches: Stretches, radii: list[float], depth: int, word: int) -> Floats:
    """Columns that are solid, inside by each radius, skin, and bridged, for 64 layers."""
    grid = painted(spans, stretches.column, stretches.solid, word)
    fill = painted(spans, stretches.column, stretches.sparse, word)
    over_air = painted(spans, stretches.air_column, stretches.air, word)
    counts = [count_by_bit(grid.ravel())]
    inner = lines = grid
    for number, radius in enumerate(radii, 1):
        inner = _further_in(inner, grid, radius)
        lines = inner if number == depth else lines
        counts.append(count_by_bit(inner.ravel()))
    skin = lines & ~fill
    counts += [count_by_bit(skin.ravel()), count_by_bit((lines & over_air).ravel())]
    counts += [diagonal_changes(zone) for zone in (skin, lines & fill, lines)]
    return np.array(counts)


def diagonal_changes(grid: Bits) -> Floats:
    """How often lines at 45 degrees enter or leave the zone, both directions together."""
    falling = count_by_bit((grid[1:, 1:] ^ grid[:-1, :-1]).ravel())
    return falling + count_by_bit((grid[1:, :-1] ^ grid[:-1, 1:]).ravel())


def straight_changes(grid: Bits) -> Floats:
    """The same for lines along and across the platform."""
    return count_by_bit((grid[1:] ^ grid[:-1]).ravel()) + count_by_bit((grid[:, 1:] ^ grid[:, :-1]).ravel())


def painted(spans: Spans, column: Indices, stretch: Indices, word: int) -> Bits:
    """A grid with the bits of each column's stretches set.

    Args:
        spans: whose grid it is. column: of every stretch.
        stretch: first layer and layer after the last, shape (2, stretches).
        word: which 64 layers.
    """
    grid = np.zeros(spans.rows * spans.wide, dtype=np.uint64)
    low, high = (stretch - word * WORD).clip(0, WORD)
    used = np.flatnonzero(high > low)
    np.bitwise_or.at(grid, column[used], BELOW[high[used]] & ~BELOW[low[used]])
    return grid.reshape(spans.rows, spans.wide)


def _further_in(inner: Bits, grid: Bits, radius: float) -> Bits:
    """What of the inner zone also has solid at this distance all round."""
    kept = inner.copy()
    rows, wide = grid.shape
    for down, right in ring_offsets(radius):
        kept[max(0, -down) : rows - max(0, down), max(0, -right) : wide - max(0, right)] &= grid[
            max(0, down) : rows + min(0, down), max(0, right) : wide + min(0, right)
        ]
    return kept


def ring_offsets(radius: float) -> Iterator[tuple[int, int]]:
    """Whole steps nearest to a circle, each once."""
    angle = np.arange(RING_POINTS) * 2 * np.pi / RING_POINTS
    steps = {(round(radius * float(np.sin(at))), round(radius * float(np.cos(at)))) for at in angle}
    return iter(sorted(steps - {(0, 0)}))


def count_by_bit(words: Bits) -> Floats:
    """How many words have each of the 64 bits set.

    Three words of one weight become one of the same weight and one of double (a full adder a bit),
    until so few are left that they can be spread out.
    """
    total = np.zeros(WORD)
    weight = 1.0
    level = words[words != 0]
    while len(level):
        doubled = []
        while len(level) > 32:
            third = len(level) // 3
            a, b, c = level[:third], level[third : 2 * third], level[2 * third : 3 * third]
            odd = a ^ b
            doubled.append((a & b) | (odd & c))
            level = np.concatenate((odd ^ c, level[3 * third :]))
        spread = np.unpackbits(level.astype("<u8").view(np.uint8).reshape(-1, 8), axis=1, bitorder="little")
        total += weight * spread.sum(axis=0)
        level = np.concatenate(doubled) if doubled else level[:0]
        weight *= 2
    return total
