"""The search over orders, and its compiled twin."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.packing.sets import cut_up

from printcrib.core.compiled.packing import search_compiled
from printcrib.core.packing.max_rects import RULES, Room, cut, place
from printcrib.core.packing.order_search import Set, first_orders, placed, search

SIDES = st.integers(1, 60)


def filling(count: int, seed: int, side: int = 100) -> Set:
    """A set that fills a platform exactly."""
    sizes = cut_up(count, (side, side), seed)
    return Set(sizes, [width * depth for width, depth in sizes], (side, side))


@settings(max_examples=60, deadline=None)
@given(
    sizes=st.lists(st.tuples(SIDES, SIDES), min_size=1, max_size=12),
    platform=st.tuples(st.integers(20, 90), st.integers(20, 90)),
    may_turn=st.booleans(),
    seed=st.integers(0, 2**40),
)
def test_the_compiled_twin_agrees(
    sizes: list[tuple[int, int]], platform: tuple[int, int], may_turn: bool, seed: int
) -> None:
    wanted = Set(sizes, [width * depth for width, depth in sizes], platform, may_turn)
    plain = search(wanted, first_orders(sizes), 25, seed)
    assert search_compiled(wanted, first_orders(sizes), 25, seed) == plain
    corners = placed(wanted, plain)
    there = [worth for worth, corner in zip(wanted.worth, corners, strict=True) if corner is not None]
    assert sum(there) == plain.worth
    assert may_turn or not any(corner.turned for corner in corners if corner is not None)


def test_many_small_copies_around_large_ones() -> None:
    """More free rectangles than the compiled code first makes space for."""
    wanted = filling(40, 3, side=1000)
    plain = search(wanted, first_orders(wanted.sizes)[:1], 3, 5)
    assert search_compiled(wanted, first_orders(wanted.sizes)[:1], 3, 5) == plain


def test_more_steps_never_place_less() -> None:
    wanted = filling(14, 2)
    found = [search(wanted, first_orders(wanted.sizes), steps, 1) for steps in (0, 50, 200)]
    assert found[0].worth <= found[1].worth <= found[2].worth
    assert found[0].steps == 0


def test_it_ends_when_everything_stands() -> None:
    wanted = Set([(5, 5)] * 4, [25] * 4, (10, 10))
    assert search(wanted, first_orders(wanted.sizes), 1000, 1).steps == 0


def test_a_search_that_finds_the_last_place() -> None:
    """No first order fills the platform, changing them does."""
    sizes = [(2, 12), (7, 12), (8, 6), (3, 6), (3, 5), (5, 5), (3, 12), (3, 7), (5, 7), (2, 6), (3, 2)]
    sizes += [(4, 2), (3, 4), (4, 4), (9, 2), (11, 2)]
    wanted = Set(sizes, [width * depth for width, depth in sizes], (20, 20))
    found = search(wanted, first_orders(sizes), 400, 0)
    assert search(wanted, first_orders(sizes), 0, 0).worth < found.worth == 400
    assert 0 < found.steps <= 400


@pytest.mark.parametrize("rule", RULES)
def test_each_rule_places_what_fits(rule: int) -> None:
    corners = place([(6, 4), (4, 6), (4, 4), (6, 6)], [3, 0, 1, 2], rule, (10, 10), True)
    assert None not in corners


def test_a_copy_that_finds_no_room_is_left_out() -> None:
    assert place([(6, 4), (9, 9)], [0, 1], 0, (10, 10), True)[1] is None
    assert place([(4, 6)], [0], 0, (10, 5), False) == [None]


def test_free_rectangles_round_a_copy() -> None:
    assert cut([Room(0, 0, 10, 10)], Room(4, 3, 2, 2)) == [
        Room(0, 0, 4, 10),
        Room(6, 0, 4, 10),
        Room(0, 0, 10, 3),
        Room(0, 5, 10, 5),
    ]
    assert cut([Room(0, 0, 10, 4), Room(0, 6, 10, 4)], Room(0, 0, 10, 4)) == [Room(0, 6, 10, 4)]
    assert cut([Room(0, 0, 6, 10), Room(0, 0, 10, 6)], Room(0, 0, 6, 4)) == [
        Room(0, 4, 6, 6),
        Room(6, 0, 4, 6),
        Room(0, 4, 10, 2),
    ]
