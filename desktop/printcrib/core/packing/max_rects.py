"""Copies one after the other into the largest free rectangles of a platform.

The free room is kept as all rectangles that lie in it and cannot be made larger; they may overlap. Each copy
goes into a corner of one of them (the maximal rectangles method; Jylänki 2010, "A thousand ways to pack the
bin", rules and cutting from memory). Whole numbers throughout, so that sums are exact;
``core.compiled.packing`` does the same, number for number.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

Pair = tuple[int, int]

SHORT_SIDE, LONG_SIDE, AREA, DEPTH_FIRST, WIDTH_FIRST = range(5)
RULES = (SHORT_SIDE, LONG_SIDE, AREA, DEPTH_FIRST, WIDTH_FIRST)
"""What a copy's room is chosen by: what stays free beside it along its tighter side, along its looser side,
by area; or how near it stays to the front edge, to the left edge."""


class Room(NamedTuple):
    """A free rectangle."""

    x: int
    y: int
    width: int
    depth: int


class Corner(NamedTuple):
    """Where a copy stands: its corner nearest the origin, and whether it is turned by a right angle."""

    x: int
    y: int
    turned: bool


def place(
    sizes: Sequence[Pair], order: Iterable[int], rule: int, platform: Pair, may_turn: bool
) -> list[Corner | None]:
    """Put copies on a platform in an order; None for those that find no room.

    Args:
        sizes: width and depth of each, gap included. order: positions in it. rule: one of ``RULES``.
        platform: width and depth, one gap wider and deeper than it is.
    """
    free = [Room(0, 0, *platform)]
    corners: list[Corner | None] = [None] * len(sizes)
    for at in order:
        width, depth = sizes[at]
        corner = _best_corner(free, width, depth, rule, may_turn and width != depth)
        if corner is None:
            continue
        corners[at] = corner
        if corner.turned:
            width, depth = depth, width
        free = cut(free, Room(corner.x, corner.y, width, depth))
    return corners


def _best_corner(free: list[Room], width: int, depth: int, rule: int, may_turn: bool) -> Corner | None:
    best: Corner | None = None
    least = (0, 0)
    for room in free:
        for turned, wide, deep in ((False, width, depth), (True, depth, width)):
            if (turned and not may_turn) or wide > room.width or deep > room.depth:
                continue
            score = _score(room, wide, deep, rule)
            if best is None or score < least:
                best, least = Corner(room.x, room.y, turned), score
    return best


def _score(room: Room, wide: int, deep: int, rule: int) -> Pair:
    """How well a copy sits in a room, less is better."""
    if rule == DEPTH_FIRST:
        return (room.y + deep, room.x)
    if rule == WIDTH_FIRST:
        return (room.x + wide, room.y)
    beside, behind = room.width - wide, room.depth - deep
    tight, loose = (beside, behind) if beside < behind else (behind, beside)
    if rule == SHORT_SIDE:
        return (tight, loose)
    if rule == LONG_SIDE:
        return (loose, tight)
    return (room.width * room.depth - wide * deep, tight)


def cut(free: list[Room], taken: Room) -> list[Room]:
    """The free rectangles once one more is taken."""
    kept: list[Room] = []
    new: list[Room] = []
    right, back = taken.x + taken.width, taken.y + taken.depth
    for room in free:
        x, y, width, depth = room
        if taken.x >= x + width or right <= x or taken.y >= y + depth or back <= y:
            kept.append(room)
            continue
        if taken.x > x:
            new.append(Room(x, y, taken.x - x, depth))
        if right < x + width:
            new.append(Room(right, y, x + width - right, depth))
        if taken.y > y:
            new.append(Room(x, y, width, taken.y - y))
        if back < y + depth:
            new.append(Room(x, back, width, y + depth - back))
    for at, room in enumerate(new):
        if not any(_holds(each, room) for each in kept) and not any(
            _holds(each, room) for each in new[at + 1 :]
        ):
            kept.append(room)
    return kept


def _holds(outer: Room, inner: Room) -> bool:
    return (
        inner.x >= outer.x
        and inner.y >= outer.y
        and inner.x + inner.width <= outer.x + outer.width
        and inner.y + inner.depth <= outer.y + outer.depth
    )
