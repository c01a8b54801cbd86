"""Copies in plain rows on a platform, with a gap between them.

First fit, deepest first (Coffman, Garey, Johnson & Tarjan 1980, level-oriented packing), tried lying,
standing and as given, with rows along either side; a copy may be turned by a right angle.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

Size = tuple[float, float]

HAIR = 1e-9  # rounding of sums of millimetres


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a copy stands: its corner nearest the platform's origin, and its size as it stands, in mm."""

    x_mm: float
    y_mm: float
    width_mm: float
    depth_mm: float
    turned: bool


def _lying(size: Size) -> bool:
    return size[0] < size[1]


def _standing(size: Size) -> bool:
    return size[0] > size[1]


def _as_given(size: Size) -> bool:
    return False


def _in_rows(
    width: float, depth: float, sizes: Sequence[Size], turn_first: Sequence[bool]
) -> list[Placed] | None:
    """Fill rows along the width; sizes, width and depth already carry the gap."""
    shown = [(size[1], size[0]) if turn else size for size, turn in zip(sizes, turn_first, strict=True)]
    order = sorted(range(len(sizes)), key=lambda i: (-shown[i][1], -shown[i][0], i))
    rows: list[list[float]] = []  # y, depth of the row, used width
    top = 0.0
    placed: list[Placed | None] = [None] * len(sizes)
    for i in order:
        spot = _spot(rows, width, shown[i])
        if spot is None:
            w, d = shown[i]
            if w > width + HAIR or top + d > depth + HAIR:
                return None
            rows.append([top, d, 0.0])
            top += d
            spot = (len(rows) - 1, False)
        row, turned = spot
        w, d = (shown[i][1], shown[i][0]) if turned else shown[i]
        placed[i] = Placed(rows[row][2], rows[row][0], w, d, turned != turn_first[i])
        rows[row][2] += w
    return [spot for spot in placed if spot is not None]


def _spot(rows: list[list[float]], width: float, size: Size) -> tuple[int, bool] | None:
    """The first row with room for a size, and whether it is turned for it."""
    w, d = size
    for index, (_, row_depth, used) in enumerate(rows):
        room = width - used + HAIR
        if w <= room and d <= row_depth + HAIR:
            return index, False
        if d <= room and w <= row_depth + HAIR:
            return index, True
    return None


def place_in_rows(platform_mm: Size, footprints: Sequence[Size], gap_mm: float) -> list[Placed] | None:
    """Where each copy stands, in the order given, or None if plain rows do not hold them.

    The gap is kept between copies, not to the platform's edge. Lengths in mm.
    """
    width, depth = platform_mm[0] + gap_mm, platform_mm[1] + gap_mm
    sizes = [(w + gap_mm, d + gap_mm) for w, d in footprints]
    for turn in (_as_given, _lying, _standing):
        turns = [turn(size) for size in sizes]
        found = _in_rows(width, depth, sizes, turns)
        if found is not None:
            return [_without_gap(spot, gap_mm) for spot in found]
        found = _in_rows(depth, width, [(d, w) for w, d in sizes], turns)
        if found is not None:
            return [_without_gap(_mirrored(spot), gap_mm) for spot in found]
    return None


def _mirrored(spot: Placed) -> Placed:
    return Placed(spot.y_mm, spot.x_mm, spot.depth_mm, spot.width_mm, spot.turned)


def _without_gap(spot: Placed, gap_mm: float) -> Placed:
    return Placed(spot.x_mm, spot.y_mm, spot.width_mm - gap_mm, spot.depth_mm - gap_mm, spot.turned)


@lru_cache(maxsize=50_000)
def stand_together(platform_mm: Size, footprints: tuple[Size, ...], gap_mm: float) -> bool:
    """Whether plain rows hold these footprints; remembered, because every plan asks it again and again."""
    return place_in_rows(platform_mm, footprints, gap_mm) is not None


@lru_cache(maxsize=5_000)
def copies_that_fit(platform_mm: Size, footprint: Size, gap_mm: float, fill_limit: float = 1.0) -> int:
    """How many copies of one footprint a run can hold; a single one may exceed the fill limit.

    0 means that not even one stands on the platform.
    """
    if place_in_rows(platform_mm, [footprint], gap_mm) is None:
        return 0
    area = (footprint[0] + gap_mm) * (footprint[1] + gap_mm)
    low, high = 1, max(1, int(fill_limit * platform_mm[0] * platform_mm[1] / area + HAIR))
    while low < high:
        middle = (low + high + 1) // 2
        if place_in_rows(platform_mm, [footprint] * middle, gap_mm) is None:
            high = middle - 1
        else:
            low = middle
    return low
