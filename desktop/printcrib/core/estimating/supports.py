"""Supports under what hangs over: where they stand in every layer, from the upright columns.

A column is supported where solid begins over air with an underside flatter than 45 degrees (common
practice, no source); the support reaches down to the solid below it or to the platform.
"""

from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.columns import (
    WORD,
    Spans,
    count_by_bit,
    diagonal_changes,
    painted,
    straight_changes,
)
from printcrib.core.estimating.sections import LINKED_FROM
from printcrib.core.shapes import Floats, Indices


@dataclass(frozen=True, eq=False)
class Supports:
    """Room for supports, layer by layer.

    Attributes:
        area_mm2: of the room in every layer.
        across_mm: its outline projected across lines at 45 degrees, mean of both directions.
        outline_mm: length of its outline, see ``_outlines_mm``.
        linked_mm: outline length steep enough to those lines for a zigzag to go along it, mean of both.
    """

    area_mm2: Floats
    across_mm: Floats
    outline_mm: Floats
    linked_mm: Floats


def supports_of(spans: Spans, layers: int, gap_layers: int) -> Supports:
    """Where supports stand.

    Args:
        spans: the columns of the model.
        layers: number of layers.
        gap_layers: layers left free under what is carried.
    """
    column, stretch = rooms_of(spans, gap_layers)
    marks = np.unique(np.concatenate(([0], stretch.ravel())))
    starts = marks[marks < layers]
    number = np.searchsorted(starts, np.arange(layers + 1), side="right") - 1
    number[layers] = len(starts)
    counts = np.zeros((3, -(-len(starts) // WORD) * WORD))
    for word in range(counts.shape[1] // WORD if len(column) else 0):
        grid = painted(spans, column, number[stretch], word)
        seen = count_by_bit(grid.ravel()), diagonal_changes(grid), straight_changes(grid)
        counts[:, word * WORD : (word + 1) * WORD] = seen
    area, diagonal, straight = counts[:, number[:layers]] * spans.pixel_mm
    across = diagonal / np.sqrt(2) / 2
    return Supports(area * spans.pixel_mm * spans.true_share, across, *_outlines_mm(straight / 2, across))


def _outlines_mm(straight_mm: Floats, diagonal_mm: Floats) -> tuple[Floats, Floats]:
    """Length of an outline by its projections across lines along the axes and across diagonals.

    pi/2 of the mean projection (Cauchy, Crofton) is right for curves in all directions. How far the two
    projections differ tells such outlines from those along the axes and those along the diagonals, where
    they are 1/2 and the root of 1/2 of the outline; between these three it is a parabola (own derivation).

    Returns:
        The whole length, and what a zigzag along the diagonals links: of a curve all but where it runs
        along the lines, of an outline along the axes everything, of one along the diagonals half.
    """
    both = straight_mm + diagonal_mm
    lean = np.divide(diagonal_mm - straight_mm, both, out=np.zeros_like(both), where=both > 0)
    half, root = 0.5, np.sqrt(0.5)
    lean = (lean * (root + half) / (root - half)).clip(-1, 1)  # 1 along the axes, -1 along the diagonals
    outline = np.pi / 4 * both * (1 + (4 / np.pi / (half + root) - 1) * lean**2)
    curve = 1 - 2 * np.arcsin(LINKED_FROM) / np.pi
    return outline, outline * (curve + np.where(lean > 0, 1 - curve, half - curve) * lean**2)


def rooms_of(spans: Spans, gap_layers: int) -> tuple[Indices, Indices]:
    """Column of every support, and its first layer and the layer after its last, shape (2, supports)."""
    floor = np.zeros(len(spans.low), dtype=np.int64)
    same = spans.column[1:] == spans.column[:-1]
    floor[1:] = np.where(same, spans.high[:-1], 0)
    top = spans.low - gap_layers
    held = np.flatnonzero(spans.hanging & (top > floor))
    return spans.column[held], np.stack((floor[held], top[held]))
