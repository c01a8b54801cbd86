"""Parallel lines over an area and the zigzag through them, each line followed by the nearest next."""

from itertools import pairwise

import numpy as np
import shapely

from printcrib.core.estimating.paths.kernels import NearestKernel
from printcrib.core.estimating.paths.regions import Area
from printcrib.core.estimating.sections import LINKED_FROM
from printcrib.core.shapes import Floats, Indices

SHORTEST_MM = 1e-3  # shorter lines are not printed


def lines_across(area: Area, spacing_mm: float, angle_rad: float) -> Floats:
    """Both ends of every line inside an area, shape (lines, 2, 2).

    Lines run at an angle to the width of the platform, on one grid for the whole layer.

    Args:
        area: where the middles of the lines may run.
        spacing_mm: distance between lines.
        angle_rad: their direction.
    """
    points, ring = _rings(area)
    if not len(points):
        return np.zeros((0, 2, 2))
    cosine, sine = np.cos(angle_rad), np.sin(angle_rad)
    along, across = points @ np.array([cosine, sine]), points @ np.array([-sine, cosine]) / spacing_mm - 0.5
    row, place = _crossings(along, np.ceil(across).astype(np.int64), across, ring)
    order = np.lexsort((place, row))
    row, place = row[order], place[order]
    begin, end, height = place[0::2], place[1::2], (row[0::2] + 0.5) * spacing_mm
    kept = end - begin > SHORTEST_MM
    begin, end, height = begin[kept], end[kept], height[kept]
    back = np.array([[cosine, sine], [-sine, cosine]])
    ends = np.stack((np.column_stack((begin, height)), np.column_stack((end, height))), axis=1)
    return np.ascontiguousarray(ends @ back)


def _rings(area: Area) -> tuple[Floats, Indices]:
    """Points of all rings, the first repeated last, and which ring each belongs to."""
    rings = shapely.get_rings(shapely.get_parts(area))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    return np.asarray(points), np.asarray(ring, dtype=np.int64)


def _crossings(along: Floats, over: Indices, across: Floats, ring: Indices) -> tuple[Indices, Floats]:
    """Row and place of every passage of a ring over a row; a row lies between its two points' numbers."""
    here = np.flatnonzero((ring[1:] == ring[:-1]) & (over[1:] != over[:-1]))
    low, high = np.where(over[here] < over[here + 1], (here, here + 1), (here + 1, here))
    count = over[high] - over[low]
    side = np.repeat(np.arange(len(here)), count)
    row = np.arange(len(side)) - np.repeat(np.cumsum(count) - count, count) + over[low][side]
    low, high = low[side], high[side]
    share = (row - across[low]) / (across[high] - across[low])
    return row, along[low] + share * (along[high] - along[low])


def zigzags(ends: Floats, spacing_mm: float, at: Floats, kernel: NearestKernel | None = None) -> list[Floats]:
    """Paths along lines: from each to the nearest next, linked where that is near enough.

    Args:
        ends: both ends of every line.
        spacing_mm: distance between lines; links go up to ``1 / LINKED_FROM`` of it.
        at: where the nozzle is.
        kernel: compiled twin of ``nearest_next``, where one is loaded.
    """
    if not len(ends):
        return []
    order = kernel or nearest_next
    visit, jump = order(ends, at, spacing_mm / LINKED_FROM)
    line, side = np.divmod(visit, 2)
    points = np.stack((ends[line, side], ends[line, 1 - side]), axis=1)
    begins = [*np.flatnonzero(jump).tolist(), len(ends)]
    return [points[first:last].reshape(-1, 2) for first, last in pairwise(begins)]


def nearest_next(ends: Floats, at: Floats, link_mm: float) -> tuple[Indices, Indices]:
    """In which order lines are printed: always on to the nearest end of a line not yet printed.

    Args:
        ends: both ends of every line, shape (lines, 2, 2).
        at: where the nozzle is.
        link_mm: farther ends are jumped to.

    Returns:
        Twice the line plus the end it is begun at, and 1 where the nozzle jumps there (first included).
    """
    x, y = ends[:, :, 0].ravel().copy(), ends[:, :, 1].ravel().copy()
    visit, jump = np.zeros(len(ends), dtype=np.int64), np.zeros(len(ends), dtype=np.int64)
    here_x, here_y = float(at[0]), float(at[1])
    for number in range(len(ends)):
        far = (x - here_x) ** 2 + (y - here_y) ** 2
        nearest = int(far.argmin())
        visit[number] = nearest
        jump[number] = number == 0 or far[nearest] > link_mm**2
        other = nearest ^ 1
        here_x, here_y = float(x[other]), float(y[other])
        x[nearest] = x[other] = np.inf
    return visit, jump
