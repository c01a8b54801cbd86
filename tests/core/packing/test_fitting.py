"""Copies on a platform: inside, apart, turned where that helps; sets that fit are found, others refused."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.packing.sets import cut_up, shop_copies

from printcrib.core.compiled.packing import search_compiled
from printcrib.core.packing import fitting
from printcrib.core.packing.fitting import Layout, cannot_fit, fits, lay_out, steps_for
from printcrib.core.planning.rows import Placed, Size, place_in_rows

SIZES = st.tuples(st.floats(1, 120), st.floats(1, 120))
NO_ROWS = [(60.0, 40.0), (40.0, 60.0), (40.0, 60.0), (60.0, 40.0), (20.0, 20.0)]
"""A pinwheel: fills 100 x 100 mm only with its smallest copy in the middle, never in rows."""


def checked(layout: Layout, footprints: list[Size]) -> list[Placed]:
    """The copies that stand, each inside, apart from all others, and as large as it is."""
    there: list[Placed] = []
    for spot, (width, depth) in zip(layout.spots, footprints, strict=True):
        if spot is None:
            continue
        stands = (depth, width) if spot.turned else (width, depth)
        assert (spot.width_mm, spot.depth_mm) == pytest.approx(stands)
        assert spot.x_mm >= 0
        assert spot.y_mm >= 0
        assert spot.x_mm + spot.width_mm <= layout.platform_mm[0] + 1e-6
        assert spot.y_mm + spot.depth_mm <= layout.platform_mm[1] + 1e-6
        assert all(_apart_mm(spot, other) >= layout.gap_mm - 1e-6 for other in there)
        there.append(spot)
    return there


def _apart_mm(one: Placed, other: Placed) -> float:
    beside = max(one.x_mm - other.x_mm - other.width_mm, other.x_mm - one.x_mm - one.width_mm)
    behind = max(one.y_mm - other.y_mm - other.depth_mm, other.y_mm - one.y_mm - one.depth_mm)
    return max(beside, behind)


@settings(max_examples=120, deadline=None)
@given(
    st.tuples(st.floats(50, 300), st.floats(50, 300)),
    st.lists(SIZES, max_size=10),
    st.sampled_from((0.0, 5.0)),
)
def test_copies_stand_inside_and_apart(platform: Size, sizes: list[Size], gap: float) -> None:
    layout = lay_out(platform, sizes, gap, steps=10)
    there = checked(layout, sizes)
    assert len(there) + len(layout.missing) == len(sizes)
    assert layout.filled == pytest.approx(
        sum(spot.width_mm * spot.depth_mm for spot in there) / (platform[0] * platform[1])
    )
    if not layout.missing:
        assert fits(platform, sizes, gap, steps=10) == layout


@settings(max_examples=120, deadline=None)
@given(
    st.tuples(st.floats(50, 150), st.floats(50, 150)),
    st.lists(SIZES, min_size=1, max_size=8),
    st.sampled_from((0.0, 5.0)),
)
def test_what_cannot_fit_is_never_laid_out_whole(platform: Size, sizes: list[Size], gap: float) -> None:
    if cannot_fit(platform, sizes, gap):
        assert lay_out(platform, sizes, gap, steps=30).missing
        assert fits(platform, sizes, gap, steps=30) is None


@settings(max_examples=40, deadline=None)
@given(st.permutations(range(len(NO_ROWS))))
def test_the_order_of_the_copies_does_not_matter(order: list[int]) -> None:
    layout = lay_out((100, 100), [NO_ROWS[at] for at in order], 0)
    first = lay_out((100, 100), NO_ROWS, 0)
    assert set(layout.spots) == set(first.spots)
    assert len(checked(layout, [NO_ROWS[at] for at in order])) == 5


def test_what_rows_do_not_hold() -> None:
    assert place_in_rows((100, 100), NO_ROWS, 0) is None
    layout = fits((100, 100), NO_ROWS, 0)
    assert layout is not None
    assert len(checked(layout, NO_ROWS)) == 5
    assert layout.filled == pytest.approx(1)


def test_the_gap_is_kept_between_copies_and_not_to_the_edge() -> None:
    smaller = [(width - 5, depth - 5) for width, depth in NO_ROWS]
    assert fits((95, 95), smaller, 5) is not None
    assert fits((94.99, 95), smaller, 5) is None


def test_rows_are_kept_where_they_do() -> None:
    sizes = [(50.0, 40.0)] * 12
    rows = place_in_rows((220, 220), sizes, 5)
    assert rows is not None
    assert fits((220, 220), sizes, 5) == Layout((220, 220), 5, tuple(rows))


def test_nothing_and_one_copy() -> None:
    assert fits((220, 220), [], 5) == Layout((220, 220), 5, ())
    assert fits((220, 200), [(200, 220)], 5) is not None
    assert fits((220, 200), [(200, 220.1)], 5) is None
    assert fits((100, 100), [(50, 50)] * 3 + [(101, 1)], 0) is None


def test_two_that_stand_neither_beside_nor_behind_each_other() -> None:
    assert cannot_fit((100, 100), [(60, 55), (50, 50)], 0)
    assert not cannot_fit((100, 100), [(60, 55), (40, 90)], 0)


def test_which_copy_finds_no_room() -> None:
    layout = lay_out((100, 100), [(10, 10), (60, 55), (50, 50)], 0)
    assert layout.missing == (2,)


def test_a_set_asked_again_is_looked_up(monkeypatch: pytest.MonkeyPatch) -> None:
    first = fits((100, 100), NO_ROWS, 0)
    monkeypatch.setattr(fitting, "_laid_out", None)
    assert fits((100, 100), NO_ROWS, 0) == first


def test_what_is_kept_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fitting, "MOST_KNOWN", 3)
    monkeypatch.setattr(fitting, "_known", {})
    for width in range(10, 17):
        assert fits((100, 100), [(width, 10)], 0) is not None
    assert len(fitting._known) <= 3


def test_more_copies_are_searched_for_fewer_steps() -> None:
    assert [steps_for(count) for count in (2, 10, 20, 60)] == [0, 300, 200, 22]


def test_copies_of_a_shop_up_to_three_quarters_of_the_area_stand() -> None:
    for seed in range(60):
        sizes = shop_copies(0.75, (220, 220), 5, seed)
        layout = fits((220, 220), sizes, 5)
        assert layout is not None, sizes
        assert len(checked(layout, sizes)) == len(sizes)


def test_compiled_code_lays_out_the_same() -> None:
    sets: list[list[Size]] = [list(cut_up(12, (200, 200), seed)) for seed in range(3)]
    plain = [lay_out((200, 200), sizes, 0, steps=40) for sizes in sets]
    fitting.forget()
    compiled = [lay_out((200, 200), sizes, 0, steps=40, compiled=search_compiled) for sizes in sets]
    assert compiled == plain
