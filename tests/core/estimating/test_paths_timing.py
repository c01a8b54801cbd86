"""Seconds of a layer's moves against closed forms."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from printcrib.core.estimating.paths.moves import FILL, OUTER, Head, LayerMoves, moves_of
from printcrib.core.estimating.paths.timing import bridge_seconds, seconds_of, speeds_mm_s
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.shapes import Floats

FAST = replace(
    typical_settings(400), acceleration_mm_s2=1000.0, fill_speed_mm_s=100.0, flow_limit_mm3_s=500.0
)
MICRONS = st.integers(-50_000, 50_000).map(lambda place: place / 1000)  # far longer than what counts as none
PLACES = st.lists(st.tuples(MICRONS, MICRONS), min_size=2, max_size=20)


def along(points: object, kind: int = FILL) -> LayerMoves:
    head = Head()
    head.print_along(np.array(points, dtype=float), kind)
    return moves_of(head)


def seconds(points: object) -> float:
    return seconds_of(along(points), FAST, first=False)


def test_a_long_straight_takes_its_length_and_one_ramp() -> None:
    assert seconds([(0, 0), (100, 0)]) == pytest.approx(100 / 100 + 100 / 1000)


def test_a_short_straight_is_two_ramps() -> None:
    assert seconds([(0, 0), (4, 0)]) == pytest.approx(2 * np.sqrt(4 / 1000))


def test_splitting_a_straight_changes_nothing() -> None:
    assert seconds([(0, 0), (1, 0), (1.5, 0), (40, 0), (100, 0)]) == pytest.approx(1.1)


def test_turning_back_is_a_stop() -> None:
    assert seconds([(0, 0), (30, 0), (0, 0)]) == pytest.approx(2 * seconds([(0, 0), (30, 0)]))


def test_a_corner_is_taken_at_the_speed_its_allowance_permits() -> None:
    corner = np.sqrt(1000 * 0.03 * np.cos(np.pi / 4) / (1 - np.cos(np.pi / 4)))
    each = (
        0.1 + (30 - 5) / 100 - 0.1 + 0.1 + ((100 - corner) - 0) / 1000 - 0.1
    )  # ramp from rest, level, ramp to v
    ramps = (100**2 + (100**2 - corner**2)) / 2000
    each = 100 / 1000 + (100 - corner) / 1000 + (30 - ramps) / 100
    assert seconds([(0, 0), (30, 0), (30, 30)]) == pytest.approx(2 * each)


def test_many_short_straights_are_looked_ahead_over() -> None:
    turn = np.linspace(0, np.pi, 200)
    arc = np.column_stack((10 * np.cos(turn), 10 * np.sin(turn)))
    length = np.hypot(*np.diff(arc, axis=0).T).sum()
    assert seconds(arc) == pytest.approx(length / 100 + 100 / 1000, rel=1e-6)


def test_a_jump_is_from_rest_to_rest_at_travel_speed() -> None:
    head = Head()
    head.print_along(np.array([(0.0, 0), (10, 0)]), FILL)
    head.print_along(np.array([(110.0, 0), (120, 0)]), FILL)
    jump = 100 / 150 + 150 / 1000
    assert seconds_of(moves_of(head), FAST, first=False) == pytest.approx(
        2 * seconds([(0, 0), (10, 0)]) + jump
    )


def test_no_moves_take_no_time() -> None:
    assert seconds_of(moves_of(Head()), FAST, first=True) == 0


def test_the_first_layer_and_the_flow_cap_all_but_travel() -> None:
    slow = replace(FAST, flow_limit_mm3_s=50 * FAST.line_mm2)
    assert speeds_mm_s(slow, first=False).tolist() == pytest.approx([40, 50, 50, 50, 150, 50])
    assert speeds_mm_s(slow, first=True).tolist() == pytest.approx([30, 30, 30, 30, 150, 30])
    assert seconds_of(along([(0, 0), (90, 0)], OUTER), slow, first=True) == pytest.approx(3 + 0.03)


def test_a_bridge_costs_what_slower_lines_cost() -> None:
    slow = replace(FAST, skin_speed_mm_s=60.0, bridge_speed_mm_s=20.0)
    lines = 440 / FAST.line_width_mm
    assert bridge_seconds(440, slow) == pytest.approx(lines / 20 - lines / 60)
    assert bridge_seconds(440, replace(slow, bridge_speed_mm_s=90.0)) == 0


@given(PLACES)
def test_the_way_back_takes_as_long(places: list[tuple[float, float]]) -> None:
    assert seconds(places[::-1]) == pytest.approx(seconds(places), rel=1e-6, abs=1e-6)


@given(PLACES)
def test_twice_as_large_and_fast_takes_as_long(places: list[tuple[float, float]]) -> None:
    double = replace(
        FAST,
        fill_speed_mm_s=200.0,
        acceleration_mm_s2=2000.0,
        corner_allowance_mm=0.06,
        travel_speed_mm_s=300.0,
    )
    twice = seconds_of(along(2 * np.array(places)), double, first=False)
    assert twice == pytest.approx(seconds(places), rel=1e-6, abs=1e-6)


@given(PLACES)
def test_never_faster_than_full_speed_and_slower_with_less_acceleration(
    places: list[tuple[float, float]],
) -> None:
    moves = along(places)
    least: Floats = moves.length_mm.sum() / 100
    lazy = replace(FAST, acceleration_mm_s2=500.0)
    assert seconds(places) >= least - 1e-9
    assert seconds_of(moves, lazy, first=False) >= seconds(places) - 1e-9
