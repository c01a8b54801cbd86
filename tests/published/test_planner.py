"""The look-ahead planner against closed forms of motion with constant acceleration.

Source: elementary kinematics (from memory). From rest to rest over l, capped at v: l/v + v/a when l >= v^2/a,
else 2 sqrt(l/a). The corner's arc radius d cos(phi/2)/(1 - cos(phi/2)) is plane geometry, own derivation.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from printcrib.core.estimating.planner import path_seconds
from printcrib.core.shapes import Floats

ALLOWANCE_MM = 0.03
lengths = st.floats(0.001, 200.0)
turns = st.floats(0.0, np.pi)
speeds = st.floats(1.0, 400.0)
rates = st.floats(50.0, 20_000.0)
moves = st.lists(st.tuples(lengths, turns, speeds, rates), min_size=1, max_size=12)


def seconds(*path: tuple[float, float, float, float], allowance: float = ALLOWANCE_MM) -> float:
    """Whole time of moves given as (length, turn before, speed, acceleration)."""
    length, turn, speed, rate = np.array(path).T
    return float(path_seconds(length, turn, speed, rate, allowance).sum())


def test_long_straight() -> None:
    assert seconds((100, 0, 100, 1000)) == pytest.approx(100 / 100 + 100 / 1000, rel=1e-12)


def test_short_straight_never_reaches_its_speed() -> None:
    assert seconds((4, 0, 500, 1000)) == pytest.approx(2 * (4 / 1000) ** 0.5, rel=1e-12)
    assert seconds((4, 0, 500, 1000)) == pytest.approx(0.12649, abs=5e-6)


def test_turning_back_is_stopping() -> None:
    there_and_back = seconds((30, 0, 60, 1500), (30, np.pi, 60, 1500))
    assert there_and_back == pytest.approx(2 * (30 / 60 + 60 / 1500), rel=1e-9)  # pi is rounded


def test_right_angle_is_taken_at_the_speed_of_its_arc() -> None:
    corner = (1500 * ALLOWANCE_MM * np.cos(np.pi / 4) / (1 - np.cos(np.pi / 4))) ** 0.5
    whole = 2 * (30 / 60 + 60 / 1500) - 2 * (corner / 1500 - corner**2 / (2 * 1500 * 60))
    assert seconds((30, 0, 60, 1500), (30, np.pi / 2, 60, 1500)) == pytest.approx(whole, rel=1e-12)


@given(st.tuples(lengths, speeds, rates), st.lists(st.floats(0.01, 0.99), min_size=1, max_size=6))
def test_splitting_a_straight_changes_nothing(
    straight: tuple[float, float, float], cuts: list[float]
) -> None:
    length, speed, rate = straight
    pieces = np.diff(np.concatenate(([0.0], np.sort(cuts), [1.0]))) * length
    split = path_seconds(pieces, np.zeros(len(pieces)), np.full(len(pieces), speed), rate, ALLOWANCE_MM)
    assert split.sum() == pytest.approx(seconds((length, 0, speed, rate)), rel=1e-9)


@given(moves)
def test_the_way_back_takes_as_long(path: list[tuple[float, float, float, float]]) -> None:
    length, turn, speed, rate = np.array(path).T
    back = np.concatenate(([0.0], turn[:0:-1]))
    returned = path_seconds(length[::-1], back, speed[::-1], rate[::-1], ALLOWANCE_MM)
    assert returned.sum() == pytest.approx(seconds(*path), rel=1e-9)


@given(moves, st.floats(0.1, 10))
def test_scaling_lengths_speeds_accelerations_and_allowance(
    path: list[tuple[float, float, float, float]], factor: float
) -> None:
    scaled = [(length * factor, turn, v * factor, a * factor) for length, turn, v, a in path]
    assert seconds(*scaled, allowance=ALLOWANCE_MM * factor) == pytest.approx(seconds(*path), rel=1e-9)


@given(moves, st.floats(0.1, 30.0), st.floats(0.01, 2.0))
def test_never_faster_than_speed_and_flow_allow(
    path: list[tuple[float, float, float, float]], flow_mm3_s: float, line_mm2: float
) -> None:
    length, turn, speed, rate = np.array(path).T
    capped: Floats = np.minimum(speed, flow_mm3_s / line_mm2)
    took = path_seconds(length, turn, capped, rate, ALLOWANCE_MM).sum()
    assert took >= (length / capped).sum() * (1 - 1e-12)
    assert took >= (length * line_mm2).sum() / flow_mm3_s * (1 - 1e-12)
