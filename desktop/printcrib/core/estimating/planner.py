"""Seconds of a path of straights, planned ahead: how fast each is begun, run and left.

The nozzle starts and ends at rest, takes every corner at the speed of the corner allowance, and never speeds
up where it could not slow down again in time (a pass forward, a pass backward over the joints).
"""

import math
from collections.abc import Callable

import numpy as np

from printcrib.core.estimating.motion import corner_speed_mm_s
from printcrib.core.shapes import Floats

PlannerKernel = Callable[[Floats, Floats, Floats, Floats], Floats]


def path_seconds(
    length_mm: Floats,
    turn_rad: Floats,
    speed_mm_s: Floats,
    acceleration_mm_s2: Floats | float,
    allowance_mm: float,
    kernel: PlannerKernel | None = None,
) -> Floats:
    """Seconds of every straight of a path, from rest to rest.

    Args:
        length_mm: of each straight.
        turn_rad: angle between each and the one before it; pi where the nozzle must stop, the first ignored.
        speed_mm_s: the most each may be run at, above 0.
        acceleration_mm_s2: for all, or of each; above 0. A corner is taken with the lesser of its two.
        allowance_mm: how far from a corner the path may be cut short.
        kernel: compiled twin of ``planned_seconds``, where one is loaded.
    """
    length = np.ascontiguousarray(length_mm, dtype=np.float64)
    rate = np.ascontiguousarray(np.broadcast_to(acceleration_mm_s2, length.shape), dtype=np.float64)
    slower = rate.copy()
    slower[1:] = np.minimum(rate[1:], rate[:-1])
    # with one acceleration, the speed of 1 mm/s2 times its root: the arc's v = sqrt(a r)
    corner = np.sqrt(slower) * corner_speed_mm_s(np.asarray(turn_rad, dtype=np.float64), 1.0, allowance_mm)
    speed = np.ascontiguousarray(np.broadcast_to(speed_mm_s, length.shape), dtype=np.float64)
    return (kernel or planned_seconds)(length, speed, corner, rate)


def corner_speeds_mm_s(direction: Floats, acceleration_mm_s2: Floats | float, allowance_mm: float) -> Floats:
    """Speed of the corner before each straight, by the straights' unit directions (any number of axes).

    The rule of ``motion.corner_speed_mm_s`` without an angle: with s = sin(phi/2) = |u - u'|/2 and
    c = cos(phi/2), the radius is d c (1 + c) / s^2, exact for the smallest turns too. The first is 0.
    """
    square = np.square(direction[1:] - direction[:-1]).sum(axis=1) / 4
    cosine = np.sqrt(np.maximum(1 - square, 0))
    with np.errstate(divide="ignore"):
        radius = np.where(square > 0, allowance_mm * cosine * (1 + cosine) / square, np.inf)
    rate = np.broadcast_to(acceleration_mm_s2, (len(direction),))
    speeds = np.zeros(len(direction))
    speeds[1:] = np.sqrt(np.minimum(rate[1:], rate[:-1]) * radius)
    return speeds


def planned_seconds(
    length_mm: Floats, speed_mm_s: Floats, corner_mm_s: Floats, acceleration_mm_s2: Floats
) -> Floats:
    """Seconds of every straight, given the speed its first corner can be taken at.

    Args:
        length_mm: of each straight.
        speed_mm_s: the most each may be run at, above 0.
        corner_mm_s: speed of the corner before each; the first is ignored, the path starts at rest.
        acceleration_mm_s2: of each, above 0.
    """
    gain = (2 * acceleration_mm_s2 * length_mm).tolist()  # what its length can add to the speed's square
    slowest = np.minimum(corner_mm_s, speed_mm_s)
    slowest[1:] = np.minimum(slowest[1:], speed_mm_s[:-1])
    square = [*np.square(slowest).tolist(), 0.0]
    square[0] = 0.0
    for move, more in enumerate(gain[:-1]):
        square[move + 1] = min(square[move + 1], square[move] + more)
    for move in range(len(gain) - 1, 0, -1):
        square[move] = min(square[move], square[move + 1] + gain[move])
    moves = zip(length_mm.tolist(), speed_mm_s.tolist(), acceleration_mm_s2.tolist(), strict=True)
    return np.array(
        [
            straight_seconds(length, speed, rate, square[move], square[move + 1])
            for move, (length, speed, rate) in enumerate(moves)
        ],
        dtype=np.float64,
    )


def straight_seconds(length: float, speed: float, rate: float, begin: float, end: float) -> float:
    """Seconds of one straight: speed up, run level, slow down (a trapezoid, or its top cut off).

    Args:
        length: in mm.
        speed: the most it may be run at, mm/s.
        rate: acceleration, mm/s2.
        begin: square of the speed it is begun at.
        end: square of the speed it is left at.
    """
    peak = rate * length + (begin + end) / 2
    ends = math.sqrt(begin) + math.sqrt(end)
    if peak <= speed * speed:
        return max(0.0, (2 * math.sqrt(peak) - ends) / rate)
    return (2 * speed - ends) / rate + (peak - speed * speed) / (rate * speed)
