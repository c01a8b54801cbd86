"""The planner: its compiled twin, corners without angles, what more speed and room do."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from printcrib.core.compiled import planner as compiled
from printcrib.core.estimating.motion import corner_speed_mm_s
from printcrib.core.estimating.planner import (
    PlannerKernel,
    corner_speeds_mm_s,
    path_seconds,
    planned_seconds,
)

PLAIN_KERNEL = getattr(compiled.planned_seconds_kernel, "py_func", compiled.planned_seconds_kernel)


@pytest.mark.parametrize(
    "kernel", [PLAIN_KERNEL, compiled.planned_seconds_kernel], ids=["as Python", "compiled"]
)
@pytest.mark.parametrize("count", [0, 1, 2, 400])
def test_the_compiled_twin_agrees(kernel: PlannerKernel, count: int) -> None:
    chance = np.random.default_rng(count)
    length = chance.exponential(2.0, count) * (chance.random(count) > 0.05)
    speed, rate = chance.uniform(5, 300, count), chance.uniform(200, 9000, count)
    corner = chance.exponential(20, count)
    corner[::7] = np.inf
    one = planned_seconds(length, speed, corner, rate)
    assert kernel(length, speed, corner, rate) == pytest.approx(one, rel=1e-9, abs=1e-12)
    assert len(one) == count


def test_a_kernel_is_used_when_given() -> None:
    asked = (np.array([5.0, 3.0]), np.array([0.0, 1.0]), np.array([60.0, 40.0]), 1500.0, 0.03)
    assert path_seconds(*asked, PLAIN_KERNEL) == pytest.approx(path_seconds(*asked), rel=1e-12)


@pytest.mark.parametrize("turn", [1e-5, 0.01, 1.0, np.pi / 2, 3.0])
def test_corners_by_direction_are_those_by_angle(turn: float) -> None:
    direction = np.array([[1.0, 0, 0], [np.cos(turn), np.sin(turn), 0]])
    speeds = corner_speeds_mm_s(direction, 1500.0, 0.03)
    assert speeds[0] == 0
    assert speeds[1] == pytest.approx(float(corner_speed_mm_s(np.array(turn), 1500.0, 0.03)), rel=1e-5)


def test_straight_on_has_no_limit_and_back_is_a_stop() -> None:
    direction = np.array([[0.0, 1], [0, 1], [0, -1]])
    assert corner_speeds_mm_s(direction, np.array([900.0, 800, 700]), 0.03).tolist() == [0, np.inf, 0]


moves = st.lists(
    st.tuples(st.floats(0.01, 50), st.floats(0, np.pi), st.floats(5, 300), st.floats(100, 9000)),
    min_size=1,
    max_size=10,
)


@settings(max_examples=60, deadline=None)
@given(moves, st.floats(1, 3), st.floats(1, 3), st.floats(1, 3))
def test_more_speed_acceleration_or_allowance_never_takes_longer(
    path: list[tuple[float, float, float, float]], speed: float, rate: float, allowance: float
) -> None:
    length, turn, v, a = np.array(path).T
    before = path_seconds(length, turn, v, a, 0.03).sum()
    for after in (
        path_seconds(length, turn, v * speed, a, 0.03),
        path_seconds(length, turn, v, a * rate, 0.03),
        path_seconds(length, turn, v, a, 0.03 * allowance),
    ):
        assert after.sum() <= before * (1 + 1e-9)
