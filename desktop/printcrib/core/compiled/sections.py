"""Compiled twin of ``core.estimating.sections.areas_and_outlines``; loaded in worker processes only."""

import math

import numba
import numpy as np

from printcrib.core.estimating.sections import LINKED_FROM
from printcrib.core.shapes import Floats, Indices

ROOT_2 = math.sqrt(2.0)


def _areas_and_outlines(
    vertices: Floats, faces: Indices, above: Indices, first_mm: float, step_mm: float, count: int
) -> tuple[Floats, Floats, Floats, Floats]:
    """Area, outline length, outline across 45 degree lines, and outline they can be linked along.

    Same arguments and results as the numpy function of the same name.
    """
    area, outline, projected, linked = np.zeros(count), np.zeros(count), np.zeros(count), np.zeros(count)
    for face in range(faces.shape[0]):
        a, b, c = faces[face, 0], faces[face, 1], faces[face, 2]
        sign = 0.5
        if vertices[a, 2] > vertices[b, 2]:
            a, b, sign = b, a, -sign
        if vertices[b, 2] > vertices[c, 2]:
            b, c, sign = c, b, -sign
        if vertices[a, 2] > vertices[b, 2]:
            a, b, sign = b, a, -sign
        for plane in range(above[a], above[c]):
            height = first_mm + plane * step_mm
            low, high = (a, b) if plane < above[b] else (b, c)
            along = (height - vertices[a, 2]) / (vertices[c, 2] - vertices[a, 2])
            across = (height - vertices[low, 2]) / (vertices[high, 2] - vertices[low, 2])
            ux = vertices[a, 0] + along * (vertices[c, 0] - vertices[a, 0])
            uy = vertices[a, 1] + along * (vertices[c, 1] - vertices[a, 1])
            wx = vertices[low, 0] + across * (vertices[high, 0] - vertices[low, 0])
            wy = vertices[low, 1] + across * (vertices[high, 1] - vertices[low, 1])
            dx, dy = wx - ux, wy - uy
            area[plane] += sign * (ux * wy - uy * wx)
            length = math.sqrt(dx * dx + dy * dy)
            one, other = abs(dx + dy) / ROOT_2, abs(dx - dy) / ROOT_2
            outline[plane] += length
            projected[plane] += (one + other) / 2
            if one > LINKED_FROM * length:
                linked[plane] += length / 2
            if other > LINKED_FROM * length:
                linked[plane] += length / 2
    return area, outline, projected, linked


areas_and_outlines_kernel = numba.njit(cache=True)(_areas_and_outlines)
