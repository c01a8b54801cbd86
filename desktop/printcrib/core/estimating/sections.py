"""What a model's layers are made of: area, edge length, corners and loops of every horizontal section.

No polygon is ever built. Each triangle and each edge adds its share to the layers it crosses, so a
hundred thousand triangles take a few hundredths of a second and a faulty model still gives numbers.
Method and formulas: own derivation from plane geometry (shoelace sum over section segments, exterior
angles of a closed curve sum to 2 pi times outer loops less holes).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from printcrib.core.errors import ShopError
from printcrib.core.estimating.outline import Levels, outline_corners
from printcrib.core.shapes import Floats, Indices, Mesh

MOST_LAYERS = 20_000
LINKED_FROM = 1 / 2.2  # a zigzag follows a wall to the next line up to 2.2 line spacings, else it jumps
PAIRS_AT_ONCE = 1_000_000  # triangle and layer pairs worked on together; bounds the memory used

AreaKernel = Callable[[Floats, Indices, Indices, float, float, int], tuple[Floats, Floats, Floats, Floats]]


@dataclass(frozen=True, eq=False)
class Sections:
    """The layers of one model at one layer height. Arrays have one entry (or row) a layer.

    Attributes:
        layer_height_mm: distance between layers.
        area_mm2: area of the section through the middle of the layer.
        perimeter_mm: length of its outline, holes included.
        projected_mm: outline length projected across lines at 45 degrees, mean of both directions.
        linked_mm: outline length steep enough to 45 degree lines for a zigzag to go along it, mean of both.
        euler: outer loops less holes.
        corner_sum: sum of tan(phi/2) over the corners; moving a wall in by t shortens it by 2 t times this.
        corner_count: corners by bin of ``CORNER_BINS``, shape (layers, bins).
        corner_angle: sum of their angles in radians, same shape.
        vertices: corners of the outline as the model has them.
        loops: closed outlines, holes included.
    """

    layer_height_mm: float
    area_mm2: Floats
    perimeter_mm: Floats
    projected_mm: Floats
    linked_mm: Floats
    euler: Floats
    corner_sum: Floats
    corner_count: Floats
    corner_angle: Floats
    vertices: Indices
    loops: Indices

    @property
    def layers(self) -> int:
        """Number of layers."""
        return len(self.area_mm2)


def levels_of(mesh: Mesh, layer_height_mm: float) -> Levels:
    """Place the layer planes half a layer up from the bottom.

    Raises:
        ShopError: so many layers that the unit must be wrong.
    """
    heights = mesh.vertices[:, 2]
    bottom, top = float(heights.min()), float(heights.max())
    count = max(1, int(np.floor((top - bottom) / layer_height_mm + 0.5)))
    if count > MOST_LAYERS:
        raise ShopError(f"the model is {top - bottom:,.0f} mm tall", "Check the units of the model.")
    first = bottom + min(layer_height_mm, top - bottom) / 2
    above = np.ceil((heights - first) / layer_height_mm).clip(0, count).astype(np.int64)
    return Levels(first, layer_height_mm, count, above)


def sections(mesh: Mesh, layer_height_mm: float, kernel: AreaKernel | None = None) -> Sections:
    """Cut a model into layers and measure each.

    Args:
        mesh: the model, outside out, standing as it will be printed.
        layer_height_mm: distance between layers.
        kernel: compiled twin of ``areas_and_outlines`` for worker processes; left out, plain numpy.
    """
    centre = (mesh.vertices.max(axis=0) + mesh.vertices.min(axis=0)) / 2
    local = Mesh(mesh.vertices - centre, mesh.faces)
    levels = levels_of(local, layer_height_mm)
    measure = kernel or areas_and_outlines
    area, perimeter, projected, linked = measure(
        local.vertices, local.faces, levels.above, levels.first_mm, levels.step_mm, levels.count
    )
    outline = outline_corners(local, levels)
    return Sections(
        layer_height_mm=layer_height_mm,
        area_mm2=area,
        perimeter_mm=perimeter,
        projected_mm=projected,
        linked_mm=linked,
        euler=outline.euler,
        corner_sum=outline.corner_sum,
        corner_count=outline.corner_count,
        corner_angle=outline.corner_angle,
        vertices=outline.vertices,
        loops=outline.loops,
    )


def areas_and_outlines(
    vertices: Floats, faces: Indices, above: Indices, first_mm: float, step_mm: float, count: int
) -> tuple[Floats, Floats, Floats, Floats]:
    """Area, outline length, outline across 45 degree lines, and outline they can be linked along.

    Args:
        vertices: corner points in mm.
        faces: vertex numbers, counter-clockwise from outside.
        above: planes below each vertex.
        first_mm: height of plane 0.
        step_mm: distance between planes.
        count: number of planes.
    """
    sums = np.zeros((4, count))
    corner, sign = _sorted_corners(vertices, faces, above)
    spans = above[corner[:, 2]] - above[corner[:, 0]]
    crossing = np.flatnonzero(spans)
    corner, sign, spans = corner[crossing], sign[crossing], spans[crossing]
    stops = np.cumsum(spans)
    begin = 0
    while begin < len(spans):
        done = stops[begin - 1] if begin else 0
        end = max(begin + 1, int(np.searchsorted(stops, done + PAIRS_AT_ONCE, side="right")))
        part = slice(begin, end)
        _add_segments(sums, vertices, corner[part], sign[part], spans[part], above, first_mm, step_mm)
        begin = end
    return sums[0], sums[1], sums[2], sums[3]


def _sorted_corners(vertices: Floats, faces: Indices, above: Indices) -> tuple[Indices, Floats]:
    """Vertex numbers of each triangle from lowest to highest, and the parity of that exchange."""
    heights = vertices[:, 2]
    low, middle, high = faces[:, 0].copy(), faces[:, 1].copy(), faces[:, 2].copy()
    sign = np.ones(len(faces))
    for first, second in ((low, middle), (middle, high), (low, middle)):
        swap = heights[first] > heights[second]
        first[swap], second[swap] = second[swap], first[swap]
        sign[swap] *= -1
    return np.column_stack((low, middle, high)), sign


def _add_segments(
    sums: Floats,
    vertices: Floats,
    corner: Indices,
    sign: Floats,
    spans: Indices,
    above: Indices,
    first_mm: float,
    step_mm: float,
) -> None:
    """Add the section segment of every (triangle, plane) pair to its plane."""
    owner = np.repeat(np.arange(len(spans)), spans)
    low, middle, high = corner[owner].T
    plane = np.arange(len(owner)) - np.repeat(np.cumsum(spans) - spans, spans) + above[low]
    height = first_mm + plane * step_mm
    below_middle = plane < above[middle]
    long_x, long_y = _crossing(vertices, low, high, height)
    short_x, short_y = _crossing(
        vertices, np.where(below_middle, low, middle), np.where(below_middle, middle, high), height
    )
    dx, dy = short_x - long_x, short_y - long_y
    count = sums.shape[1]
    turning = 0.5 * sign[owner] * (long_x * short_y - long_y * short_x)
    sums[0] += np.bincount(plane, turning, count)
    length = np.sqrt(dx * dx + dy * dy)
    one, other = np.abs(dx + dy) / np.sqrt(2), np.abs(dx - dy) / np.sqrt(2)
    steep = (one > LINKED_FROM * length).astype(np.float64) + (other > LINKED_FROM * length)
    sums[1] += np.bincount(plane, length, count)
    sums[2] += np.bincount(plane, (one + other) / 2, count)
    sums[3] += np.bincount(plane, length * steep / 2, count)


def segments_at(mesh: Mesh, levels: Levels, plane: int) -> tuple[Floats, Floats]:
    """Ends of the outline's segments in one layer, the model to the left of each."""
    count = levels.above[mesh.faces]
    crossing = np.flatnonzero((count.min(axis=1) <= plane) & (plane < count.max(axis=1)))
    corner, sign = _sorted_corners(mesh.vertices, mesh.faces[crossing], levels.above)
    low, middle, high = corner.T
    height = np.full(len(low), levels.first_mm + plane * levels.step_mm)
    below_middle = plane < levels.above[middle]
    one = np.column_stack(_crossing(mesh.vertices, low, high, height))
    other = np.column_stack(
        _crossing(
            mesh.vertices, np.where(below_middle, low, middle), np.where(below_middle, middle, high), height
        )
    )
    forward = (sign > 0)[:, None]
    return np.where(forward, one, other), np.where(forward, other, one)


def _crossing(vertices: Floats, low: Indices, high: Indices, height: Floats) -> tuple[Floats, Floats]:
    """Where the edges from low to high pass a height."""
    start, end = vertices[low], vertices[high]
    share = (height - start[:, 2]) / (end[:, 2] - start[:, 2])
    return start[:, 0] + share * (end[:, 0] - start[:, 0]), start[:, 1] + share * (end[:, 1] - start[:, 1])
