"""Where a model is too thin for another wall: the largest circle inside that touches each bit of outline.

Own derivation from plane geometry: a circle that touches the outline at p, where n points inwards, and passes
through q has radius |q - p|^2 / (2 n (q - p)); the least over the rest of the outline is the half-thickness
at p. Only opposite walls count; corners are known from the outline itself.
"""

from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.columns import expanded
from printcrib.core.estimating.outline import Levels
from printcrib.core.estimating.sections import Sections, segments_at
from printcrib.core.shapes import Floats, Indices, Mesh

FACING = -0.3  # walls are opposite when their inward normals turn at least 107 degrees from each other
MOST_KEYS = 24
MOST_PIECES = 8_000
MOST_PAIRS = (
    4_000_000  # of a crowded outline only some pieces are looked at; the next ones are taken as alike
)
SAME = 3e-3  # layers with area and outline this near are alike
TRIANGLES_LOOKED_AT = 3_000_000


@dataclass(frozen=True, eq=False)
class Thinness:
    """What thin places take from every layer, by depth.

    Attributes:
        lost_mm: outline whose half-thickness is less than each depth asked, shape (depths, layers).
        closed_mm2: what an outline simply moved in by each depth counts too little there, same shape.
    """

    lost_mm: Floats
    closed_mm2: Floats


@dataclass(frozen=True, eq=False)
class _Pieces:
    """An outline in short straight pieces: start, direction, length, inward normal and middle of each."""

    start: Floats
    along: Floats
    length: Floats
    inward: Floats
    middle: Floats


def thinness_of(mesh: Mesh, levels: Levels, cut: Sections, depths_mm: Floats, piece_mm: float) -> Thinness:
    """Measure thin places on key layers and carry them to the layers alike.

    Args:
        mesh: the model. levels: its layer planes. cut: its sections.
        depths_mm: distances inwards.
        piece_mm: the outline is looked at this finely.
    """
    keys, ends = key_layers(cut, len(mesh.faces))
    lost, closed = (np.zeros((len(depths_mm), len(keys))) for _ in range(2))
    for place, plane in enumerate(keys):
        lost[:, place], closed[:, place] = _thin_at(mesh, levels, int(plane), depths_mm, piece_mm)
    outline = np.maximum(cut.perimeter_mm, 1e-9)
    return Thinness(
        *(_carried(each / outline[keys], keys, ends, cut.layers) * outline for each in (lost, closed))
    )


def _carried(seen: Floats, keys: Indices, ends: Indices, layers: int) -> Floats:
    """From the key layers to all: as there to the end of its stretch, and in between after that."""
    number = np.arange(layers)
    known = np.column_stack((keys, ends)).ravel()
    return np.array([np.interp(number, known, np.repeat(row, 2)) for row in seen])


def key_layers(cut: Sections, triangles: int) -> tuple[Indices, Indices]:
    """First and last layer of every stretch of like layers; of some, spread over the height, of very many."""
    starts, last = [0], 0
    area, outline, euler = cut.area_mm2, cut.perimeter_mm, cut.euler
    for layer in range(1, cut.layers):
        if (
            abs(area[layer] - area[last]) > SAME * area[last]
            or abs(outline[layer] - outline[last]) > SAME * outline[last]
            or euler[layer] != euler[last]
        ):
            last = layer
            starts.append(layer)
    begin = np.array(starts, dtype=np.int64)
    end = np.append(begin[1:], cut.layers) - 1
    most = int(np.clip(TRIANGLES_LOOKED_AT // triangles, 4, MOST_KEYS))
    if len(begin) > most:
        middles = np.linspace(0, cut.layers - 1, most)
        chosen = np.unique(np.searchsorted(begin, middles, side="right") - 1)
        begin, end = begin[chosen], end[chosen]
    return begin, end


def _thin_at(
    mesh: Mesh, levels: Levels, plane: int, depths_mm: Floats, piece_mm: float
) -> tuple[Floats, Floats]:
    """Outline lost and area closed up at each depth in one layer."""
    start, end = segments_at(mesh, levels, plane)
    pieces = _cut_up(start, end, piece_mm)
    thin, half = half_thickness(pieces, float(depths_mm.max()))
    length = pieces.length[thin]
    missing = np.maximum(0, depths_mm[:, None] - half)
    return (length * (missing > 0)).sum(axis=1), (length * missing).sum(axis=1)


def _cut_up(start: Floats, end: Floats, piece_mm: float) -> _Pieces:
    """Segments cut into pieces of at most a length, longer ones where there would be too many."""
    step = end - start
    length = np.hypot(step[:, 0], step[:, 1])
    used = length > 1e-9
    start, step, length = start[used], step[used], length[used]
    piece_mm = max(piece_mm, float(length.sum()) / MOST_PIECES)
    count = np.ceil(length / piece_mm).astype(np.int64)
    owner, number = expanded(np.zeros(len(count), dtype=np.int64), count)
    along = (step / length[:, None])[owner]
    size = (length / np.maximum(count, 1))[owner]
    begin = start[owner] + along * (number * size)[:, None]
    inward = np.column_stack((-along[:, 1], along[:, 0]))
    return _Pieces(begin, along, size, inward, begin + along * (size / 2)[:, None])


def half_thickness(pieces: _Pieces, most_mm: float) -> tuple[Indices, Floats]:
    """Pieces with a wall opposite closer than twice a depth, and the least half distance to one."""
    least = np.full(len(pieces.length), np.inf)
    every, near_by = _near(pieces, 2 * most_mm)
    for owner, other in near_by:
        (x, y), (u, v) = pieces.inward[owner].T, pieces.inward[other].T
        opposite = x * u + y * v < FACING
        owner, other = owner[opposite], other[opposite]
        radius = _circle(pieces, owner, other)
        near = radius < most_mm
        np.minimum.at(least, owner[near], radius[near])
    least = least[np.arange(len(least)) // every * every]
    thin = np.flatnonzero(np.isfinite(least))
    return thin, least[thin]


def _near(pieces: _Pieces, reach_mm: float) -> tuple[int, list[tuple[Indices, Indices]]]:
    """Pairs of pieces no further apart than a distance, by a grid of cells; some further ones too.

    Returns:
        of how many pieces one was looked at, and the pairs.
    """
    if not len(pieces.length):
        return 1, []
    cell = reach_mm + float(pieces.length.max())
    place = np.floor((pieces.middle - pieces.middle.min(axis=0)) / cell).astype(np.int64) + 1
    wide = int(place[:, 0].max()) + 2
    key = place[:, 1] * wide + place[:, 0]
    order = np.argsort(key, kind="stable")
    ranked = key[order]
    ranges = [
        (np.searchsorted(ranked, key + row - 1), np.searchsorted(ranked, key + row + 1, side="right"))
        for row in (-wide, 0, wide)
    ]
    every = max(1, -(-sum(int((end - begin).sum()) for begin, end in ranges) // MOST_PAIRS))
    pairs = []
    for begin, end in ranges:
        owner, found = expanded(begin[::every], end[::every])
        pairs.append((owner * every, order[found]))
    return every, pairs


def _circle(pieces: _Pieces, owner: Indices, other: Indices) -> Floats:
    """Radius of the circle inside that touches both pieces; infinite where the other lies behind."""
    (px, py), (nx, ny) = pieces.middle[owner].T, pieces.inward[owner].T
    (sx, sy), (ax, ay) = pieces.start[other].T, pieces.along[other].T
    (mx, my), size = pieces.inward[other].T, pieces.length[other]
    # The circle touches the other piece's line where its centre p + r n is r away from it.
    tangent = ((px - sx) * mx + (py - sy) * my) / (1 - nx * mx - ny * my)
    foot = ((px + tangent * nx - sx) * ax + (py + tangent * ny - sy) * ay).clip(0, size)
    wx, wy = sx + foot * ax - px, sy + foot * ay - py
    ahead = wx * nx + wy * ny
    return np.where(ahead > 1e-9, (wx * wx + wy * wy) / np.maximum(2 * ahead, 1e-9), np.inf)
