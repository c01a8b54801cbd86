"""Copies in plain rows on a platform."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from printcrib.core.planning.rows import Placed, copies_that_fit, place_in_rows

_sizes = st.tuples(st.floats(1, 120), st.floats(1, 120))


def _apart(one: Placed, other: Placed, gap: float) -> bool:
    beside = max(one.x_mm - other.x_mm - other.width_mm, other.x_mm - one.x_mm - one.width_mm)
    behind = max(one.y_mm - other.y_mm - other.depth_mm, other.y_mm - one.y_mm - one.depth_mm)
    return max(beside, behind) >= gap - 1e-6


@settings(max_examples=150, deadline=None)
@given(
    st.tuples(st.floats(50, 300), st.floats(50, 300)),
    st.lists(_sizes, max_size=12),
    st.sampled_from((0.0, 5.0)),
)
def test_copies_stand_inside_and_apart(
    platform: tuple[float, float], sizes: list[tuple[float, float]], gap: int
) -> None:
    placed = place_in_rows(platform, sizes, gap)
    if placed is None:
        return
    assert len(placed) == len(sizes)
    for spot, (width, depth) in zip(placed, sizes, strict=True):
        stands = (depth, width) if spot.turned else (width, depth)
        assert (spot.width_mm, spot.depth_mm) == pytest.approx(stands)
        assert spot.x_mm >= 0
        assert spot.y_mm >= 0
        assert spot.x_mm + spot.width_mm <= platform[0] + 1e-6
        assert spot.y_mm + spot.depth_mm <= platform[1] + 1e-6
    assert all(_apart(one, other, gap) for at, one in enumerate(placed) for other in placed[:at])


def test_a_copy_as_large_as_the_platform_fits_to_the_hair() -> None:
    assert place_in_rows((220, 200), [(220, 200)], 5) == [Placed(0, 0, 220, 200, False)]
    assert place_in_rows((220, 200), [(220.1, 200)], 5) is None


def test_a_copy_is_turned_where_that_helps() -> None:
    placed = place_in_rows((200, 100), [(90, 190)], 5)
    assert placed is not None
    assert placed[0].turned
    assert place_in_rows((100, 100), [(95, 45), (45, 95)], 5) is not None
    assert place_in_rows((100, 100), [(100, 50), (40, 40), (40, 40)], 5) is not None


def test_rows_fill_the_platform_exactly() -> None:
    placed = place_in_rows((245, 150), [(150, 100), (150, 100)], 0)
    assert placed is not None
    assert [spot.turned for spot in placed] == [True, True]


def test_no_copies_need_no_room() -> None:
    assert place_in_rows((100, 100), [], 5) == []


def test_how_many_copies_a_run_holds() -> None:
    assert copies_that_fit((220, 220), (50, 40), 5) == 19
    assert copies_that_fit((220, 220), (50, 40), 5, 0.75) == 14
    assert copies_that_fit((220, 220), (219, 219), 5, 0.75) == 1
    assert copies_that_fit((220, 220), (221, 10), 5) == 0


@settings(max_examples=50, deadline=None)
@given(_sizes)
def test_as_many_copies_as_said_do_fit_and_one_more_does_not(size: tuple[float, float]) -> None:
    count = copies_that_fit((150, 150), size, 5)
    assert place_in_rows((150, 150), [size] * count, 5) is not None
    area = (size[0] + 5) * (size[1] + 5)
    too_many = (count + 1) * area > 150 * 150
    assert too_many or place_in_rows((150, 150), [size] * (count + 1), 5) is None
