"""Compiled twin of ``core.packing.order_search.search``; loaded in worker processes only."""

from collections.abc import Sequence

import numba
import numpy as np

from printcrib.core.packing.max_rects import DEPTH_FIRST, LONG_SIDE, RULES, SHORT_SIDE, WIDTH_FIRST
from printcrib.core.packing.order_search import FACTOR, FIRST_THRESHOLD, MODULUS, Found, Set
from printcrib.core.shapes import Indices

RULE_COUNT = len(RULES)


def search_compiled(wanted: Set, orders: Sequence[Sequence[int]], steps: int, seed: int) -> Found:
    """Same arguments and results as the plain function."""
    sizes = np.array(wanted.sizes, dtype=np.int64).reshape(-1, 2)
    worth = np.array(wanted.worth, dtype=np.int64)
    tried = np.array(orders, dtype=np.int64).reshape(-1, len(sizes))
    platform = np.array(wanted.platform, dtype=np.int64)
    order, rule, best, taken = _search(sizes, worth, tried, platform, wanted.may_turn, steps, seed)
    return Found(tuple(order.tolist()), rule, best, taken)


@numba.njit(cache=True)
def _score(x: int, y: int, beside: int, behind: int, wide: int, deep: int, rule: int) -> tuple[int, int]:
    """How well a copy sits in a room's corner that leaves so much beside and behind it."""
    if rule == DEPTH_FIRST:
        return y + deep, x
    if rule == WIDTH_FIRST:
        return x + wide, y
    tight, loose = min(beside, behind), max(beside, behind)
    if rule == SHORT_SIDE:
        return tight, loose
    if rule == LONG_SIDE:
        return loose, tight
    return (beside + wide) * (behind + deep) - wide * deep, tight


@numba.njit(cache=True)
def _best_room(
    free: Indices, rooms: int, width: int, depth: int, rule: int, may_turn: bool
) -> tuple[int, bool]:
    best, best_turned, least, second = -1, False, 0, 0
    for at in range(rooms):
        for turn in range(2 if may_turn else 1):
            wide, deep = (depth, width) if turn == 1 else (width, depth)
            beside, behind = free[at, 2] - wide, free[at, 3] - deep
            if beside < 0 or behind < 0:
                continue
            one, other = _score(free[at, 0], free[at, 1], beside, behind, wide, deep, rule)
            if best < 0 or one < least or (one == least and other < second):
                best, best_turned, least, second = at, turn == 1, one, other
    return best, best_turned


@numba.njit(cache=True)
def _put(free: Indices, at: int, x: int, y: int, width: int, depth: int) -> int:
    free[at, 0], free[at, 1], free[at, 2], free[at, 3] = x, y, width, depth
    return at + 1


@numba.njit(cache=True)
def _split(free: Indices, rooms: int, taken: Indices) -> tuple[int, int]:
    """Rooms that are left whole first, those cut out of the others behind; gives both ends."""
    end, kept = rooms, 0
    x, y, right, back = taken[0], taken[1], taken[0] + taken[2], taken[1] + taken[3]
    for at in range(rooms):
        left, front, width, depth = free[at, 0], free[at, 1], free[at, 2], free[at, 3]
        if x >= left + width or right <= left or y >= front + depth or back <= front:
            kept = _put(free, kept, left, front, width, depth)
            continue
        if x > left:
            end = _put(free, end, left, front, x - left, depth)
        if right < left + width:
            end = _put(free, end, right, front, left + width - right, depth)
        if y > front:
            end = _put(free, end, left, front, width, y - front)
        if back < front + depth:
            end = _put(free, end, left, back, width, front + depth - back)
    return kept, end


@numba.njit(cache=True)
def _is_held(free: Indices, at: int, first: int, last: int) -> bool:
    """Whether one of these rooms holds the one at a place."""
    left, front = free[at, 0], free[at, 1]
    right, back = left + free[at, 2], front + free[at, 3]
    for other in range(first, last):
        x, y = free[other, 0], free[other, 1]
        if x <= left and y <= front and x + free[other, 2] >= right and y + free[other, 3] >= back:
            return True
    return False


@numba.njit(cache=True)
def _cut(free: Indices, rooms: int, taken: Indices) -> int:
    whole, end = _split(free, rooms, taken)
    kept = whole
    for at in range(rooms, end):
        if not (_is_held(free, at, 0, kept) or _is_held(free, at, at + 1, end)):
            kept = _put(free, kept, free[at, 0], free[at, 1], free[at, 2], free[at, 3])
    return kept


@numba.njit(cache=True)
def _with_room_for(free: Indices, rooms: int) -> Indices:
    """The same rooms with space behind them for all that one cut can make."""
    if 5 * rooms <= free.shape[0]:
        return free
    more = np.empty((10 * rooms, 4), np.int64)
    more[:rooms] = free[:rooms]
    return more


@numba.njit(cache=True)
def _worth_of(
    sizes: Indices, worth: Indices, order: Indices, rule: int, platform: Indices, may_turn: bool
) -> int:
    free = np.empty((2 * len(order) + 8, 4), np.int64)
    rooms, total = _put(free, 0, 0, 0, platform[0], platform[1]), 0
    taken = np.zeros(4, np.int64)
    for at in order:
        width, depth = sizes[at, 0], sizes[at, 1]
        room, turned = _best_room(free, rooms, width, depth, rule, may_turn and width != depth)
        if room < 0:
            continue
        total += worth[at]
        if turned:
            width, depth = depth, width
        taken[0], taken[1], taken[2], taken[3] = free[room, 0], free[room, 1], width, depth
        free = _with_room_for(free, rooms)
        rooms = _cut(free, rooms, taken)
    return total


@numba.njit(cache=True)
def _moved(order: Indices, one: int, other: int) -> Indices:
    """One copy taken out of an order and put in again elsewhere."""
    new = order.copy()
    step = 1 if one < other else -1
    for at in range(one, other, step):
        new[at] = new[at + step]
    new[other] = order[one]
    return new


@numba.njit(cache=True)
def _changed_order(order: Indices, kind: int, one: int, other: int) -> Indices:
    if kind >= 10:
        return _moved(order, one, other)
    new = order.copy()
    new[one], new[other] = order[other], order[one]
    return new


@numba.njit(cache=True)
def _first(
    sizes: Indices, worth: Indices, orders: Indices, platform: Indices, may_turn: bool
) -> tuple[Indices, int, int]:
    whole, best_order, best_rule, best = worth.sum(), orders[0], 0, -1
    for at in range(orders.shape[0]):
        for rule in range(RULE_COUNT):
            total = _worth_of(sizes, worth, orders[at], rule, platform, may_turn)
            if total > best:
                best_order, best_rule, best = orders[at], rule, total
            if total == whole:
                return best_order, best_rule, best
    return best_order, best_rule, best


@numba.njit(cache=True)
def _search(
    sizes: Indices, worth: Indices, orders: Indices, platform: Indices, may_turn: bool, steps: int, seed: int
) -> tuple[Indices, int, int, int]:
    best_order, best_rule, best = _first(sizes, worth, orders, platform, may_turn)
    whole, taken, count = worth.sum(), 0, len(worth)
    order, rule, total, state = best_order.copy(), best_rule, best, seed % (MODULUS - 1) + 1
    for step in range(steps):
        if total == whole:
            break
        state = state * FACTOR % MODULUS
        kind = state % 20
        state = state * FACTOR % MODULUS
        one = state % count
        state = state * FACTOR % MODULUS
        other = state % count
        new = order if kind == 19 else _changed_order(order, kind, one, other)
        new_rule = one % RULE_COUNT if kind == 19 else rule
        new_total = _worth_of(sizes, worth, new, new_rule, platform, may_turn)
        if new_total < total - whole // FIRST_THRESHOLD * (100 * (steps - step) // steps) // 100:
            continue
        order, rule, total = new, new_rule, new_total
        if total > best:
            best_order, best_rule, best, taken = order, rule, total, step + 1
    return best_order, best_rule, best, taken
