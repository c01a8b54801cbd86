"""Published packing problems with known answers."""

import pytest

from printcrib.core.compiled.packing import search_compiled
from printcrib.core.packing.fitting import fits
from printcrib.core.packing.order_search import Set, first_orders, placed, search

# E. Hopper and B. C. H. Turton (2001), "An empirical investigation of meta-heuristic and heuristic algorithms
# for a 2D packing problem", European Journal of Operational Research 128, category 1, problem 1: the pieces
# fill 20 x 20 exactly, turning allowed.
HOPPER_TURTON_C1_1 = "2x12 7x12 8x6 3x6 3x5 5x5 3x12 3x7 5x7 2x6 3x2 4x2 3x4 4x4 9x2 11x2"  # width x height
# N. Christofides and C. Whitlock (1977), "An algorithm for two-dimensional cutting problems", Operations
# Research 25, problem 1 (cgcut1, in J. E. Beasley's OR-Library): 15 x 10, no turning; best value 244.
CGCUT1 = (  # length, width, at most, value
    (8, 4, 2, 66),
    (3, 7, 1, 35),
    (8, 2, 3, 24),
    (3, 4, 5, 17),
    (3, 3, 2, 11),
    (3, 2, 2, 8),
    (2, 1, 1, 2),
)
# J. O. Berkey and P. Y. Wang (1987), "Two-dimensional finite bin-packing algorithms", Journal of the
# Operational Research Society 38, class 1, 20 items, number 1: bins 10 x 10; 8 bins without turning, 7 (the
# area bound) with it.
BERKEY_WANG_1 = (
    "9x5 2x4 6x10 7x5 3x6 7x10 5x1 5x3 9x6 4x2 7x6 2x7 3x8 10x4 5x4 3x10 3x8 8x7 3x8 7x8"  # height x width
)


def pieces(text: str) -> list[tuple[int, int]]:
    """ "2x12 7x12" as pairs."""
    return [(int(width), int(depth)) for width, _, depth in (one.partition("x") for one in text.split())]


@pytest.mark.parametrize("seed", range(5))
def test_hopper_and_turton_is_filled_exactly(seed: int) -> None:
    sizes = pieces(HOPPER_TURTON_C1_1)
    assert sum(width * depth for width, depth in sizes) == 400
    wanted = Set(sizes, [width * depth for width, depth in sizes], (20, 20))
    found = search_compiled(wanted, first_orders(sizes), 20_000, seed)
    assert found.worth == 400
    assert None not in placed(wanted, found)


def test_hopper_and_turton_as_copies_without_gap() -> None:
    layout = fits((20, 20), pieces(HOPPER_TURTON_C1_1), 0, steps=20_000, compiled=search_compiled)
    assert layout is not None
    assert layout.filled == pytest.approx(1)


def test_cgcut1_is_worth_244() -> None:
    sizes = [(long, wide) for long, wide, most, _ in CGCUT1 for _ in range(most)]
    worth = [value for _, _, most, value in CGCUT1 for _ in range(most)]
    assert search(Set(sizes, worth, (15, 10), may_turn=False), first_orders(sizes), 300, 1).worth == 244


@pytest.mark.parametrize(("may_turn", "bins"), [(True, 7), (False, 8)])
def test_berkey_and_wang_bin_by_bin(may_turn: bool, bins: int) -> None:
    """Each bin takes the most area it can, large pieces counting somewhat more."""
    left, taken = pieces(BERKEY_WANG_1), 0
    while left:
        worth = [round(1000 * (width * depth) ** 1.25) for width, depth in left]
        wanted = Set(left, worth, (10, 10), may_turn)
        corners = placed(wanted, search_compiled(wanted, first_orders(left), 3_000, 1))
        left = [size for size, corner in zip(left, corners, strict=True) if corner is None]
        taken += 1
    assert taken == bins
