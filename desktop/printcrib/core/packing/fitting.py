"""Whether copies stand together on a platform, and where each of them stands.

Plain rows are tried first: they are quick, and copies in rows are easy to take off. What they do not hold
goes to the search over orders. Every answer "they fit" is a layout that was really made.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from printcrib.core.packing.max_rects import Corner, Pair
from printcrib.core.packing.order_search import Search, Set, first_orders, placed, search
from printcrib.core.planning.rows import Placed, Size, place_in_rows

UNITS_PER_MM = 1_000_000
"""Sizes are counted in millionths of a millimetre, so that sums are exact."""
HAIR_UNITS = 1e-3

FEW = 3
"""So few copies stand in every way that matters once the first orders are tried."""
MOST_STEPS = 300
STEPS_FOR = 80_000
"""Steps of the search times copies times copies: at most 0.2 s in plain code, a hundredth of it compiled."""
LARGE = 6
"""So many of the largest copies are tried two by two before any search."""

MOST_KNOWN = 20_000
SEED = 1


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the copies of a run stand.

    Attributes:
        spots: one a copy in the order given; None for a copy that found no room.
        gap_mm: kept between copies, not to the platform's edge.
    """

    platform_mm: Size
    gap_mm: float
    spots: tuple[Placed | None, ...]

    @property
    def missing(self) -> tuple[int, ...]:
        """Positions of the copies that found no room."""
        return tuple(at for at, spot in enumerate(self.spots) if spot is None)

    @property
    def filled(self) -> float:
        """Share of the platform under the rectangles of the copies, without gaps."""
        covered = sum(spot.width_mm * spot.depth_mm for spot in self.spots if spot is not None)
        return covered / (self.platform_mm[0] * self.platform_mm[1])


_Key = tuple[Size, tuple[Size, ...], float, int]
_known: dict[_Key, tuple[Placed | None, ...]] = {}


def fits(
    platform_mm: Size,
    footprints: Sequence[Size],
    gap_mm: float,
    *,
    steps: int | None = None,
    compiled: Search | None = None,
) -> Layout | None:
    """The layout in which all copies stand together, None where none is found.

    The same set asked again is looked up, in whatever order its copies come; the answer does not depend on
    whether compiled code is given.

    Args:
        platform_mm: width and depth. footprints: width and depth of each copy; they may be turned.
        gap_mm: kept between copies.
        steps: of the search, when rows and first orders do not do; fewer the more copies where left out.
        compiled: ``core.compiled.packing.search_compiled`` in worker processes.
    """
    if cannot_fit(platform_mm, footprints, gap_mm):
        return None
    layout = lay_out(platform_mm, footprints, gap_mm, steps=steps, compiled=compiled)
    return None if layout.missing else layout


def lay_out(
    platform_mm: Size,
    footprints: Sequence[Size],
    gap_mm: float,
    *,
    steps: int | None = None,
    compiled: Search | None = None,
) -> Layout:
    """As much of the copies' area as finds room; see `fits`."""
    order = sorted(range(len(footprints)), key=lambda at: footprints[at])
    listed = tuple(footprints[at] for at in order)
    taken = steps_for(len(listed)) if steps is None else steps
    key = (platform_mm, listed, gap_mm, taken)
    known = _known.get(key)
    if known is None:
        if len(_known) >= MOST_KNOWN:
            _known.clear()
        known = _known[key] = _laid_out(platform_mm, listed, gap_mm, taken, compiled or search)
    spots: list[Placed | None] = [None] * len(order)
    for at, spot in zip(order, known, strict=True):
        spots[at] = spot
    return Layout(platform_mm, gap_mm, tuple(spots))


def forget() -> None:
    """Look nothing up that was asked before; for measuring."""
    _known.clear()


def steps_for(count: int) -> int:
    """How long the search for so many copies goes on."""
    return 0 if count <= FEW else min(MOST_STEPS, STEPS_FOR // count**2)


def cannot_fit(platform_mm: Size, footprints: Sequence[Size], gap_mm: float) -> bool:
    """Whether it is plain that copies do not stand together: too much area, or one or two that cannot."""
    platform = _with_gap(platform_mm, gap_mm)
    sizes = [_with_gap(size, gap_mm) for size in footprints]
    if sum(width * depth for width, depth in sizes) > platform[0] * platform[1]:
        return True
    large = sorted(sizes, key=lambda size: (-min(size), -max(size)))[:LARGE]
    if any(not _stands(size, platform) for size in {*large, *sorted(sizes, key=max)[-1:]}):
        return True
    return any(
        not _stand_beside(one, other, platform) for at, one in enumerate(large) for other in large[:at]
    )


def _stands(size: Pair, platform: Pair) -> bool:
    return min(size) <= min(platform) and max(size) <= max(platform)


def _stand_beside(one: Pair, other: Pair, platform: Pair) -> bool:
    """Whether two copies stand beside or behind each other in any of their turns."""
    return any(
        _stands_so((a[0] + b[0], max(a[1], b[1])), platform)
        or _stands_so((max(a[0], b[0]), a[1] + b[1]), platform)
        for a in (one, one[::-1])
        for b in (other, other[::-1])
    )


def _stands_so(size: Pair, platform: Pair) -> bool:
    return size[0] <= platform[0] and size[1] <= platform[1]


def _laid_out(
    platform_mm: Size, footprints: tuple[Size, ...], gap_mm: float, steps: int, find: Search
) -> tuple[Placed | None, ...]:
    rows = place_in_rows(platform_mm, footprints, gap_mm)
    if rows is not None:
        return tuple(rows)
    sizes = [_with_gap(size, gap_mm) for size in footprints]
    wanted = Set(sizes, [width * depth for width, depth in sizes], _with_gap(platform_mm, gap_mm))
    found = find(wanted, first_orders(sizes), steps, SEED)
    corners = placed(wanted, found)
    return tuple(_spot(corner, size) for corner, size in zip(corners, footprints, strict=True))


def _spot(corner: Corner | None, footprint: Size) -> Placed | None:
    if corner is None:
        return None
    width, depth = footprint[::-1] if corner.turned else footprint
    return Placed(corner.x / UNITS_PER_MM, corner.y / UNITS_PER_MM, width, depth, corner.turned)


def _with_gap(size: Size, gap_mm: float) -> Pair:
    """A copy and its gap in whole units, rounded up so that no gap gets smaller; a platform likewise."""
    width, depth = (math.ceil((side + gap_mm) * UNITS_PER_MM - HAIR_UNITS) for side in size)
    return (width, depth)
