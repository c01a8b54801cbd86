"""Supports under what hangs over: where they stand in every layer, from the upright columns.

A column is supported where solid begins over air with an underside flatter than 45 degrees (common
practice, no source); the support reaches down to the solid below it or to the platform.
"""

from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.columns import WORD, Spans, count_by_bit, diagonal_changes, painted
from printcrib.core.shapes import Floats, Indices


@dataclass(frozen=True, eq=False)
class Supports:
    """Room for supports, layer by layer.

    Attributes:
        area_mm2: of the room in every layer.
        across_mm: its outline projected across lines at 45 degrees, mean of both directions.
    """

    area_mm2: Floats
    across_mm: Floats


def supports_of(spans: Spans, layers: int, gap_layers: int) -> Supports:
    """Where supports stand.

    Args:
        spans: the columns of the model.
        layers: number of layers.
        gap_layers: layers left free under what is carried.
    """
    column, stretch = _rooms(spans, gap_layers)
    area, across = np.zeros(layers), np.zeros(layers)
    marks = np.unique(np.concatenate(([0], stretch.ravel())))
    starts = marks[marks < layers]
    number = np.searchsorted(starts, np.arange(layers + 1), side="right") - 1
    number[layers] = len(starts)
    counts = np.zeros((2, -(-len(starts) // WORD) * WORD))
    for word in range(counts.shape[1] // WORD if len(column) else 0):
        grid = painted(spans, column, number[stretch], word)
        counts[:, word * WORD : (word + 1) * WORD] = count_by_bit(grid.ravel()), diagonal_changes(grid)
    area = counts[0, number[:layers]] * spans.pixel_mm**2 * spans.true_share
    across = counts[1, number[:layers]] * spans.pixel_mm / np.sqrt(2) / 2
    return Supports(area, across)


def _rooms(spans: Spans, gap_layers: int) -> tuple[Indices, Indices]:
    """Column of every support, and its first layer and the layer after its last."""
    floor = np.zeros(len(spans.low), dtype=np.int64)
    same = spans.column[1:] == spans.column[:-1]
    floor[1:] = np.where(same, spans.high[:-1], 0)
    top = spans.low - gap_layers
    held = np.flatnonzero(spans.hanging & (top > floor))
    return spans.column[held], np.stack((floor[held], top[held]))
