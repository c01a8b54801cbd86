"""What is solid in each layer, as areas with holes, and where plastic lies over and under it."""

from itertools import groupby
from typing import Any

import numpy as np
import shapely

from printcrib.core.estimating.paths.chains import Chains
from printcrib.core.shapes import Floats

Area = Any
"""A polygon or several, as shapely has them."""

SMALLEST_MM2 = 1e-6
ALIKE_DECIMALS = 6  # layers whose outlines agree to a millionth of a mm are one and the same


class Regions:
    """The solid area of any layer, worked out when first asked for.

    Args:
        chains: the model's outlines.
        layers: number of layers.
    """

    def __init__(self, chains: Chains, layers: int) -> None:
        """Nothing is cut yet."""
        self._chains, self._layers = chains, layers
        self._by_plane: dict[int, Area] = {}
        self._by_shape: dict[bytes, Area] = {}

    def solid(self, plane: int) -> Area:
        """The section of a layer; layers with the same outline give the same object."""
        if plane not in self._by_plane:
            loops = self._chains.loops(plane)
            shape = b"/".join(np.round(loop, ALIKE_DECIMALS).tobytes() for loop in loops)
            if shape not in self._by_shape:
                self._by_shape[shape] = area_of(loops)
            self._by_plane[plane] = self._by_shape[shape]
        return self._by_plane[plane]

    def neighbours(self, plane: int, over: int, under: int) -> list[Area] | None:
        """The different sections among so many layers over and under a layer; None where some are missing."""
        if plane - under < 0 or plane + over >= self._layers:
            return None
        found = {id(self.solid(plane)): self.solid(plane)}
        for other in map(self.solid, range(plane - under, plane + over + 1)):
            found.setdefault(id(other), other)
        return list(found.values())[1:]


def uncovered(area: Area, neighbours: list[Area] | None) -> Area:
    """What of an area inside a layer does not lie in all of its neighbours: there skin is printed.

    Args:
        area: a part of the layer.
        neighbours: sections over and under it; None where there is nothing, so that all of it is skin.
    """
    if neighbours is None:
        return area
    bare = []
    for other in neighbours:
        shapely.prepare(other)
        if not shapely.covers(other, area):
            bare.append(shapely.difference(area, other))
    return shapely.union_all(bare)


def area_of(loops: list[Floats]) -> Area:
    """The area loops enclose, solid on their left; bodies that overlap count once.

    Larger loops first, so that an island inside a hole is put back after the hole is cut.
    """
    signed = [(turned_area(loop), loop) for loop in loops]
    signed = sorted((each for each in signed if abs(each[0]) > SMALLEST_MM2), key=lambda each: -abs(each[0]))
    if signed and signed[0][0] > 0 and all(each < 0 for each, _ in signed[1:]):
        plain = shapely.Polygon(signed[0][1], [loop for _, loop in signed[1:]])
        if plain.is_valid:
            return plain
    area = shapely.Polygon()
    for solid, group in groupby(signed, key=lambda each: each[0] > 0):
        together = shapely.union_all([shapely.Polygon(), *(_sound(loop) for _, loop in group)])
        area = shapely.union(area, together) if solid else shapely.difference(area, together)
    return area


def turned_area(loop: Floats) -> float:
    """Area inside a loop, negative where it runs clockwise."""
    x, y = (loop - loop[0]).T
    return float(x[:-1] @ y[1:] - y[:-1] @ x[1:]) / 2


def _sound(loop: Floats) -> Area:
    """A loop as an area; where it crosses itself, its parts; spurs without area are left out."""
    ring = shapely.Polygon(loop)
    if ring.is_valid:
        return ring
    parts = shapely.get_parts(shapely.get_parts(shapely.make_valid(ring)))
    areas = [each for each in parts if each.geom_type == "Polygon"]
    return shapely.union_all([shapely.Polygon(), *areas])


def pieces_of(area: Area) -> list[Area]:
    """The separate pieces of an area; specks are left out."""
    return [
        each for each in shapely.get_parts(area) if each.geom_type == "Polygon" and each.area > SMALLEST_MM2
    ]
