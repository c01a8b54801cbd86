"""The order in which copies are put on a platform: several tried, then changed step by step.

Orders that are no worse by a threshold are taken on, and the threshold shrinks to nothing (threshold
accepting; Dueck & Scheuer 1990). A seed and a number of steps give the same answer on every machine.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from printcrib.core.packing.max_rects import RULES, Corner, Pair, place

FIRST_THRESHOLD = 50
"""One part in so many of everything's worth; own trials on sets that fill a platform."""
FACTOR, MODULUS = 48271, 2147483647
"""Lehmer's random numbers (Park, Miller & Stockmeyer 1993): whole numbers, alike in both codes."""


class Set(NamedTuple):
    """What is to stand on a platform, in whole numbers.

    Attributes:
        sizes: width and depth of each copy, gap included. worth: what each counts when it finds room.
        platform: width and depth, one gap wider and deeper than it is.
        may_turn: by right angles.
    """

    sizes: Sequence[Pair]
    worth: Sequence[int]
    platform: Pair
    may_turn: bool = True


class Found(NamedTuple):
    """The best order and rule found, the worth of all that found room, and the steps it took."""

    order: tuple[int, ...]
    rule: int
    worth: int
    steps: int


Search = Callable[[Set, Sequence[Sequence[int]], int, int], Found]


def first_orders(sizes: Sequence[Pair]) -> list[list[int]]:
    """Orders to begin with: largest area first, longest side, shorter side, both sides together."""
    places = range(len(sizes))
    return [
        sorted(places, key=lambda at: -sizes[at][0] * sizes[at][1]),
        sorted(places, key=lambda at: -max(sizes[at])),
        sorted(places, key=lambda at: -min(sizes[at])),
        sorted(places, key=lambda at: -sum(sizes[at])),
    ]


def search(wanted: Set, orders: Sequence[Sequence[int]], steps: int, seed: int) -> Found:
    """The best order found by trying each with every rule, then so many steps of small changes.

    It ends as soon as everything stands. ``core.compiled.packing.search_compiled`` does the same.
    """
    whole = sum(wanted.worth)
    best = Found((), 0, -1, 0)
    for order in orders:
        for rule in RULES:
            worth = _worth(wanted, order, rule)
            if worth > best.worth:
                best = Found(tuple(order), rule, worth, 0)
            if worth == whole:
                return best
    return _changed(wanted, best, whole, steps, seed)


def _changed(wanted: Set, best: Found, whole: int, steps: int, seed: int) -> Found:
    """Step by step to better orders: two copies exchanged, one moved, now and then another rule."""
    order, rule, worth = list(best.order), best.rule, best.worth
    count, state = len(order), seed % (MODULUS - 1) + 1
    for step in range(steps):
        if worth == whole:
            break
        new, new_rule = list(order), rule
        state = state * FACTOR % MODULUS
        kind = state % 20
        state = state * FACTOR % MODULUS
        one = state % count
        state = state * FACTOR % MODULUS
        other = state % count
        if kind < 10:
            new[one], new[other] = new[other], new[one]
        elif kind < 19:
            new.insert(other, new.pop(one))
        else:
            new_rule = one % len(RULES)
        new_worth = _worth(wanted, new, new_rule)
        threshold = whole // FIRST_THRESHOLD * (100 * (steps - step) // steps) // 100
        if new_worth < worth - threshold:
            continue
        order, rule, worth = new, new_rule, new_worth
        if worth > best.worth:
            best = Found(tuple(order), rule, worth, step + 1)
    return best


def _worth(wanted: Set, order: Sequence[int], rule: int) -> int:
    corners = place(wanted.sizes, order, rule, wanted.platform, wanted.may_turn)
    return sum(worth for worth, corner in zip(wanted.worth, corners, strict=True) if corner is not None)


def placed(wanted: Set, found: Found) -> list[Corner | None]:
    """Where everything stands in an order that was found."""
    return place(wanted.sizes, found.order, found.rule, wanted.platform, wanted.may_turn)
