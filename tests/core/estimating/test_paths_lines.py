"""Lines over an area, their order, and the moves of a layer."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from printcrib.core.compiled.paths import nearest_next_kernel
from printcrib.core.estimating.paths.layout import Around, lay_out
from printcrib.core.estimating.paths.lines import lines_across, nearest_next, zigzags
from printcrib.core.estimating.paths.moves import FILL, INNER, OUTER, SKIN, TRAVEL, Head, moves_of
from printcrib.core.estimating.settings import settings_with, typical_settings

TYPICAL = typical_settings(400)
WIDTH = TYPICAL.line_width_mm
PLATE = shapely.box(0, 0, 60, 40)
RING = PLATE.difference(shapely.Point(30, 20).buffer(10))


@pytest.mark.parametrize("angle", [0.0, np.pi / 4, -np.pi / 4, 1.0])
def test_lines_together_are_area_over_spacing(angle: float) -> None:
    ends = lines_across(RING, 0.5, angle)
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T).sum()
    assert length == pytest.approx(RING.area / 0.5, rel=2e-3)


def test_lines_run_at_their_angle_inside_the_area() -> None:
    ends = lines_across(RING, 2.0, np.pi / 4)
    step = ends[:, 1] - ends[:, 0]
    assert np.arctan2(step[:, 1], step[:, 0]) == pytest.approx(np.full(len(ends), np.pi / 4))
    assert shapely.covers(RING.buffer(1e-9), shapely.linestrings(ends)).all()


def test_a_line_is_broken_by_a_hole() -> None:
    level = lines_across(RING, 40.0, 0.0)
    assert level.tolist() == pytest.approx(np.array([[[0, 20], [20, 20]], [[40, 20], [60, 20]]]), abs=1e-2)


def test_nothing_and_slivers_get_no_lines() -> None:
    assert lines_across(shapely.Polygon(), 1.0, 0.0).shape == (0, 2, 2)
    assert len(lines_across(shapely.box(0, 0, 5e-4, 10), 1.0, 0.0)) == 0
    assert zigzags(np.zeros((0, 2, 2)), 1.0, np.zeros(2)) == []


def test_the_next_line_is_begun_at_its_nearest_end() -> None:
    ends = np.array([[[0.0, row], [10, row]] for row in range(4)])
    visit, jump = nearest_next(ends, np.array([9.0, -1]), 2.2)
    assert visit.tolist() == [1, 2, 5, 6]
    assert jump.tolist() == [1, 0, 0, 0]


def test_a_link_is_made_up_to_two_point_two_spacings() -> None:
    near = np.array([[[0.0, 0.0], [10, 0]], [[12.19, 0], [20, 0]]])
    far = np.array([[[0.0, 0.0], [10, 0]], [[12.21, 0], [20, 0]]])
    assert [len(path) for path in zigzags(near, 1.0, np.zeros(2))] == [4]
    assert [len(path) for path in zigzags(far, 1.0, np.zeros(2))] == [2, 2]


def test_a_block_layer_is_three_walls_and_lines() -> None:
    head = lay_out(PLATE, Around([]), TYPICAL, odd=False)
    assert head.kinds[:3] == [OUTER, INNER, INNER]
    assert set(head.kinds[3:]) == {FILL}
    for number, path in enumerate(head.paths[:3]):
        inset = (number + 0.5) * WIDTH
        length = np.hypot(*np.diff(path, axis=0).T).sum()
        assert length == pytest.approx(200 - 8 * inset, abs=1e-4)
        assert path[0] == pytest.approx(path[-1])


def test_the_top_is_skin_and_a_ledge_is_both() -> None:
    assert set(lay_out(PLATE, Around(None), TYPICAL, odd=True).kinds[3:]) == {SKIN}
    ledge = lay_out(PLATE, Around([shapely.box(0, 0, 30, 40)]), TYPICAL, odd=True)
    assert set(ledge.kinds[3:]) == {SKIN, FILL}


def test_skin_past_what_is_below_is_a_bridge() -> None:
    below = shapely.box(0, 0, 30, 40)
    bridged = lay_out(PLATE, Around([below], below), TYPICAL, odd=True).bridged_mm2
    assert bridged == pytest.approx((30 - 3.5 * WIDTH) * (40 - 7 * WIDTH), rel=0.02)
    assert lay_out(PLATE, Around(None, PLATE), TYPICAL, odd=True).bridged_mm2 == 0
    assert lay_out(PLATE, Around([], below), TYPICAL, odd=True).bridged_mm2 == 0


def test_no_fill_leaves_the_inside_empty() -> None:
    hollow = settings_with(TYPICAL, {"fill": 0})
    assert lay_out(PLATE, Around([]), hollow, odd=False).kinds == [OUTER, INNER, INNER]
    assert SKIN in lay_out(PLATE, Around(None), hollow, odd=False).kinds


def test_a_wall_needs_three_quarters_of_a_line_more_than_it_covers() -> None:
    walls = [
        len(lay_out(shapely.box(0, 0, 60, width * WIDTH), Around([]), TYPICAL, odd=False).paths)
        for width in (1.49, 1.51, 3.49, 3.51, 5.49, 5.51)
    ]
    assert walls == [0, 1, 1, 2, 2, 3]


def test_everything_of_an_island_comes_before_the_nearest_next() -> None:
    islands = shapely.union_all([shapely.box(x, 0, x + 5, 5) for x in (0, 40, 10)])
    head = lay_out(islands, Around([]), TYPICAL, odd=False)
    visited = [int(path[:, 0].min() // 10) for path in head.paths]
    assert visited == sorted(visited) or visited == sorted(visited, reverse=True)
    assert set(visited) == {0, 1, 4}


def test_holes_are_walled_from_the_nearest_corner_on() -> None:
    head = lay_out(RING, Around([]), TYPICAL, odd=False)
    assert head.kinds[:6] == [OUTER, OUTER, INNER, INNER, INNER, INNER]


def test_moves_are_paths_and_the_jumps_between() -> None:
    head = Head()
    head.print_along(np.array([(0.0, 0), (10, 0), (10, 5)]), SKIN)
    head.print_along(np.array([(13.0, 9), (20, 9)]), FILL)
    head.print_along(np.array([(20.0, 9), (30, 9)]), FILL)
    moves = moves_of(head)
    assert moves.length_mm.tolist() == [10, 5, 5, 7, 10]
    assert moves.kind.tolist() == [SKIN, SKIN, TRAVEL, FILL, FILL]
    assert moves.turn_rad == pytest.approx([np.pi, np.pi / 2, np.pi, np.pi, np.pi])
    assert moves.printed_mm == 32


def test_an_empty_layer_has_no_moves() -> None:
    assert moves_of(lay_out(shapely.Polygon(), Around([]), TYPICAL, odd=False)).printed_mm == 0


@given(st.integers(1, 60), st.integers(0, 10_000))
def test_compiled_order_is_the_plain_one(lines: int, seed: int) -> None:
    dice = np.random.default_rng(seed)
    ends = dice.integers(0, 6, (lines, 2, 2)).astype(np.float64)  # many ends equally far
    plain, fast = (each(ends, np.array([2.5, 1.0]), 2.2) for each in (nearest_next, nearest_next_kernel))
    assert [each.tolist() for each in fast] == [each.tolist() for each in plain]
