"""Compiled twin of ``core.estimating.paths.lines.nearest_next``, and all that estimates by paths take."""

import numba
import numpy as np

from printcrib.core.compiled.planner import planned_seconds_kernel
from printcrib.core.compiled.sections import areas_and_outlines_kernel
from printcrib.core.estimating.paths.kernels import PathKernels
from printcrib.core.shapes import Floats, Indices


def _nearest_next(ends: Floats, at: Floats, link_mm: float) -> tuple[Indices, Indices]:
    """In which order lines are printed; same arguments and results as the numpy function of the same name."""
    count = ends.shape[0]
    visit, jump = np.zeros(count, dtype=np.int64), np.zeros(count, dtype=np.int64)
    waiting = np.arange(count)
    here_x, here_y = at[0], at[1]
    for number in range(count):
        best, place, side = np.inf, 0, 0
        for each in range(count - number):
            line = waiting[each]
            for end in range(2):
                far = (ends[line, end, 0] - here_x) ** 2 + (ends[line, end, 1] - here_y) ** 2
                if far < best or (far == best and line < waiting[place]):
                    best, place, side = far, each, end
        line = waiting[place]
        visit[number] = 2 * line + side
        jump[number] = number == 0 or best > link_mm**2
        here_x, here_y = ends[line, 1 - side, 0], ends[line, 1 - side, 1]
        waiting[place] = waiting[count - number - 1]
    return visit, jump


nearest_next_kernel = numba.njit(cache=True)(_nearest_next)

PATH_KERNELS = PathKernels(areas_and_outlines_kernel, planned_seconds_kernel, nearest_next_kernel)
