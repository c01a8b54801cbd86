"""One layer laid out as the nozzle will print it: island by island walls, then skin, then fill."""

from dataclasses import dataclass

import numpy as np
import shapely

from printcrib.core.estimating.paths.kernels import NearestKernel
from printcrib.core.estimating.paths.lines import lines_across, zigzags
from printcrib.core.estimating.paths.moves import FILL, INNER, OUTER, SKIN, Head
from printcrib.core.estimating.paths.regions import Area, pieces_of, uncovered
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.shapes import Floats

FILL_ANGLE_RAD = np.pi / 4
THIN = 0.75  # wall k needs a half-thickness of k + 3/4 lines
SLIVER = 0.05  # skin narrower than a tenth of a line is not printed


@dataclass(frozen=True, eq=False)
class Around:
    """What lies over and under a layer.

    Attributes:
        neighbours: sections of the layers that cover it; None near the top and the bottom.
        below: the section it is printed on; None for the platform and for supports.
    """

    neighbours: list[Area] | None
    below: Area | None = None


def lay_out(
    solid: Area, around: Around, settings: PrintSettings, odd: bool, kernel: NearestKernel | None = None
) -> Head:
    """Print one layer.

    Args:
        solid: the layer's section.
        around: what lies over and under it.
        settings: line width, walls and fill.
        odd: lines run the other way in every other layer.
        kernel: compiled twin of ``nearest_next``, where one is loaded.
    """
    head = Head(kernel=kernel)
    islands = pieces_of(solid)
    while islands:
        nearest = int(np.argmin(shapely.distance(islands, shapely.Point(head.here))))
        _island(head, islands.pop(nearest), around, settings, -FILL_ANGLE_RAD if odd else FILL_ANGLE_RAD)
    return head


def _island(head: Head, island: Area, around: Around, settings: PrintSettings, angle_rad: float) -> None:
    width, walls = settings.line_width_mm, settings.walls
    for number in range(walls):
        middle = moved(moved(island, -(number + THIN) * width), (THIN - 0.5) * width + 1e-6)
        _loops(head, middle, INNER if number else OUTER)
    skin = fill = moved(island, -walls * width)
    if around.neighbours is not None:
        skin = uncovered(fill, around.neighbours).buffer(-SLIVER * width).buffer(SLIVER * width)
        fill = fill if skin.is_empty else fill.difference(skin)
    if around.below is not None and not skin.is_empty:
        head.bridged_mm2 += uncovered(moved(skin, -width / 2), [around.below]).area
    _filled(head, skin, Filling(SKIN, width, width, angle_rad))
    if around.neighbours is not None and settings.fill > 0:
        _filled(head, fill, Filling(FILL, width, width / settings.fill, angle_rad))


@dataclass(frozen=True)
class Filling:
    """How an area is filled: the kind of line, its width, the distance between lines, their direction."""

    kind: int
    width_mm: float
    spacing_mm: float
    angle_rad: float


def _filled(head: Head, area: Area, how: Filling) -> None:
    """Zigzag lines over every piece of an area, their ends half a line inside it."""
    for piece in pieces_of(area):
        zigzag(head, moved(piece, -how.width_mm / 2), how)


def zigzag(head: Head, area: Area, how: Filling) -> None:
    """Zigzag lines over an area in which the middles of lines may run."""
    lines = lines_across(area, how.spacing_mm, how.angle_rad)
    for path in zigzags(lines, how.spacing_mm, head.here, head.kernel):
        head.print_along(path, how.kind)


def moved(area: Area, by_mm: float) -> Area:
    """The area with its outline moved out, or in where negative, corners kept sharp."""
    return area.buffer(by_mm, join_style="mitre")


def _loops(head: Head, area: Area, kind: int) -> None:
    """Print all outlines of an area, the nearest next, each from its nearest corner round to it again."""
    rings = shapely.get_rings(pieces_of(area))
    if not len(rings):
        return
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    begins = np.searchsorted(ring, np.arange(len(rings) + 1))
    printed = np.zeros(len(corners))
    for _ in range(len(rings)):
        place = int((((corners - head.here) ** 2).sum(axis=1) + printed).argmin())
        number = int(ring[place])
        first, last = begins[number], begins[number + 1] - 1
        printed[first : last + 1] = np.inf
        head.print_along(_begun_at(corners[first:last], place - first), kind)


def _begun_at(loop: Floats, place: int) -> Floats:
    """A closed loop from one of its corners round to it again."""
    turned = np.roll(loop, -place, axis=0)
    return np.vstack((turned, turned[:1]))
