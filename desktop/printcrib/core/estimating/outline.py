"""Corners and loops of a model's sections, read off its edges without chaining polygons."""

from dataclasses import dataclass

import numpy as np

from printcrib.core.shapes import Floats, Indices, Mesh

# Corner bins in degrees, denser where a corner costs little and models have many.
CORNER_BINS = np.deg2rad(
    np.array([0.0, 0.5, 2, 5, 10, 15, 20, 30, 40, 50, 60, 75, 89, 91, 105, 120, 135, 150, 165])
)
STEEPEST_CORNER = np.deg2rad(160.0)  # sharper corners count as this when walls are moved inwards
SAMPLES_A_RUN = 5
MOST_SAMPLES = 64


@dataclass(frozen=True, eq=False)
class Levels:
    """Where the layer planes lie and which of them each vertex is above.

    Attributes:
        first_mm: height of the lowest plane.
        step_mm: layer height.
        count: number of planes.
        above: for every vertex the number of planes below it; every comparison uses this, never heights.
    """

    first_mm: float
    step_mm: float
    count: int
    above: Indices


@dataclass(frozen=True, eq=False)
class OutlineCorners:
    """Corners and loops of every layer's outline; see ``Sections`` for the meaning of each array."""

    euler: Floats
    corner_sum: Floats
    corner_count: Floats
    corner_angle: Floats
    vertices: Indices
    loops: Indices


@dataclass(frozen=True, eq=False)
class CrossedEdges:
    """Every model edge that layer planes cross, with the triangle the outline leaves and the one it enters.

    Attributes:
        bottom: first plane crossing the edge.
        top: plane after the last.
        before: triangle the outline comes from.
        after: triangle it goes on to.
    """

    bottom: Indices
    top: Indices
    before: Indices
    after: Indices


def outline_corners(mesh: Mesh, levels: Levels) -> OutlineCorners:
    """Corners and loops of every layer.

    The angle between the section directions of an edge's two triangles is the same on every plane
    that crosses the edge, so each edge adds once where its planes begin and once where they end.
    The angles of a layer sum to 2 pi times its outer loops less its holes.
    """
    edges = crossed_edges(mesh, levels.above)
    angle = _turn_angles(mesh, edges)
    size = np.abs(angle)
    bins = np.searchsorted(CORNER_BINS, size, side="right") - 1
    held = np.tan(angle.clip(-STEEPEST_CORNER, STEEPEST_CORNER) / 2)
    euler = np.round(_by_layer(edges, angle, levels.count) / (2 * np.pi))
    corner = np.where(size >= CORNER_BINS[1], 1.0, 0.0)
    return OutlineCorners(
        euler=euler,
        corner_sum=_by_layer(edges, held, levels.count),
        corner_count=_by_layer_and_bin(edges, bins, np.ones(len(angle)), levels.count),
        corner_angle=_by_layer_and_bin(edges, bins, size, levels.count),
        vertices=np.round(_by_layer(edges, corner, levels.count)).astype(np.int64),
        loops=_loops_by_layer(edges, euler, len(mesh.faces)),
    )


def crossed_edges(mesh: Mesh, above: Indices) -> CrossedEdges:
    """Pair the two triangles of every edge that planes cross; open edges are left out."""
    faces = mesh.faces
    start, end = faces.ravel(), faces[:, (1, 2, 0)].ravel()
    crossed = np.flatnonzero(above[start] != above[end])
    start, end, face = start[crossed], end[crossed], crossed // 3
    rising = above[end] > above[start]
    low, high = np.where(rising, start, end), np.where(rising, end, start)
    key = low * len(mesh.vertices) + high
    up, down = np.flatnonzero(rising), np.flatnonzero(~rising)
    up, down = up[np.argsort(key[up], kind="stable")], down[np.argsort(key[down], kind="stable")]
    up, down = _paired(key, up, down)
    # Seen from outside the outline runs to the right: it leaves a triangle over its rising side.
    return CrossedEdges(above[low[up]], above[high[up]], face[up], face[down])


def _paired(key: Indices, up: Indices, down: Indices) -> tuple[Indices, Indices]:
    """Match rising and falling sides of the same edge, in order; sides left over are open edges."""
    if np.array_equal(key[up], key[down]):
        return up, down
    _, in_up, in_down = np.intersect1d(_ranked(key[up]), _ranked(key[down]), return_indices=True)
    return up[in_up], down[in_down]


def _ranked(sorted_keys: Indices) -> Indices:
    """Make repeated keys different by counting them, so that four triangles on one edge make two pairs."""
    place = np.arange(len(sorted_keys))
    fresh = np.ones(len(sorted_keys), dtype=bool)
    fresh[1:] = sorted_keys[1:] != sorted_keys[:-1]
    rank = place - np.maximum.accumulate(np.where(fresh, place, 0))
    return np.asarray(sorted_keys * 64 + np.minimum(rank, 63))


def _turn_angles(mesh: Mesh, edges: CrossedEdges) -> Floats:
    """Turn of the outline at every crossed edge in radians, positive to the left."""
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    normal = np.cross(b - a, c - a)[:, :2]
    before, after = normal[edges.before], normal[edges.after]
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    dot = before[:, 0] * after[:, 0] + before[:, 1] * after[:, 1]
    return np.asarray(np.arctan2(cross, dot))


def _by_layer(edges: CrossedEdges, weight: Floats, count: int) -> Floats:
    rows = count + 1
    changes = np.bincount(edges.bottom, weight, rows) - np.bincount(edges.top, weight, rows)
    return np.asarray(np.cumsum(changes)[:-1], dtype=np.float64)


def _by_layer_and_bin(edges: CrossedEdges, bins: Indices, weight: Floats, count: int) -> Floats:
    rows, wide = count + 1, len(CORNER_BINS)
    begun = np.bincount(edges.bottom * wide + bins, weight, rows * wide)
    ended = np.bincount(edges.top * wide + bins, weight, rows * wide)
    return np.asarray(np.cumsum((begun - ended).reshape(rows, wide), axis=0)[:-1], dtype=np.float64)


def _loops_by_layer(edges: CrossedEdges, euler: Floats, triangles: int) -> Indices:
    """Closed outlines of every layer, counted on sampled layers and carried to their neighbours."""
    samples = _sampled_layers(euler)
    counted = np.array([_loops_at(edges, int(plane), triangles) for plane in samples], dtype=np.int64)
    middles = (samples[1:] + samples[:-1] + 1) // 2
    return counted[np.searchsorted(middles, np.arange(len(euler)), side="right")]


def _sampled_layers(euler: Floats) -> Indices:
    """A few layers of every stretch with one Euler number; fewer where there are very many stretches."""
    starts = np.flatnonzero(np.concatenate(([True], euler[1:] != euler[:-1])))
    ends = np.append(starts[1:], len(euler)) - 1
    spread = np.linspace(0, 1, SAMPLES_A_RUN)
    layers = np.unique(np.round(starts[:, None] + (ends - starts)[:, None] * spread).astype(np.int64))
    if len(layers) > MOST_SAMPLES:
        layers = layers[np.linspace(0, len(layers) - 1, MOST_SAMPLES).round().astype(np.int64)]
    return layers


def _loops_at(edges: CrossedEdges, plane: int, triangles: int) -> int:
    """Loops of one layer: cycles of the map from each triangle to the next one along the outline.

    Following the map 2, 4, 8 ... steps at once finds the least triangle of every cycle in a few passes.
    """
    here = np.flatnonzero((edges.bottom <= plane) & (plane < edges.top))
    place = np.full(triangles, -1, dtype=np.int64)
    place[edges.before[here]] = np.arange(len(here))
    following = place[edges.after[here]]
    step = np.where(following < 0, np.arange(len(here)), following)
    least = np.arange(len(here))
    for _ in range(max(1, len(here)).bit_length()):
        least = np.minimum(least, least[step])
        step = step[step]
    return len(np.unique(least[step]))
