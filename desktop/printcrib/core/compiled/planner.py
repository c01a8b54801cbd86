"""Compiled twin of ``core.estimating.planner.planned_seconds``; loaded in worker processes only."""

import math

import numba
import numpy as np

from printcrib.core.shapes import Floats


def _planned_seconds(
    length_mm: Floats, speed_mm_s: Floats, corner_mm_s: Floats, acceleration_mm_s2: Floats
) -> Floats:
    """Seconds of every straight of a path; same arguments and results as the plain function."""
    count = length_mm.shape[0]
    square = np.zeros(count + 1)
    for move in range(1, count):
        most = min(corner_mm_s[move], speed_mm_s[move], speed_mm_s[move - 1])
        reached = square[move - 1] + 2 * acceleration_mm_s2[move - 1] * length_mm[move - 1]
        square[move] = min(most * most, reached)
    seconds = np.empty(count)
    for move in range(count - 1, -1, -1):
        length, speed, rate = length_mm[move], speed_mm_s[move], acceleration_mm_s2[move]
        begin, end = square[move], square[move + 1]
        begin = min(begin, end + 2 * rate * length)
        square[move] = begin
        peak = rate * length + (begin + end) / 2
        ends = math.sqrt(begin) + math.sqrt(end)
        if peak <= speed * speed:
            seconds[move] = max(0.0, (2 * math.sqrt(peak) - ends) / rate)
        else:
            seconds[move] = (2 * speed - ends) / rate + (peak - speed * speed) / (rate * speed)
    return seconds


planned_seconds_kernel = numba.njit(cache=True)(_planned_seconds)
