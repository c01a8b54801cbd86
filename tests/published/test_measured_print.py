"""A print measured layer by layer, against layers estimated with what its own plate teaches.

Source: Szydlo et al. 2021, doi 10.1007/978-3-030-77970-2_50, data CC BY 4.0: a 50 x 50 x 5 mm plate with
five 48-sided columns of 5.97 mm diameter and 30 mm height (sections 139.76 mm2, outline 93.98 mm a layer),
0.2 mm layers, by the printer's clock. Speed, line width, walls and fill are not published. Speed and fill
are fitted to the plate's solid and sparse layers (two numbers from two means); two walls and a line as wide
as a 0.4 mm bore are assumed. With one or three walls instead, the columns come out 34 % short or 22 % long
and the total 12 % short or 6 % long, so this checks the layer method to about that and no better. The run had
a feeding fault, so its columns may be slow.
"""

from dataclasses import replace

import numpy as np
import pytest
from tests.core.estimating.solids import box, cylinder, moved, together

from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.sections import sections
from printcrib.core.estimating.settings import PrintSettings, typical_settings
from printcrib.core.shapes import Floats, Mesh

SOLID_S = np.mean([422.7, 417.6, 415.3, 414.9, 409.3, 408.6, 409.3, 408.7])
SPARSE_S = 62.03
COLUMN_S = 14.1
COLUMN_TOPS_S = np.mean([26.0, 26.0, 26.2, 33.4])
TOTAL_S = 8480.3 - 1943.6  # without the raft
PLACES = [(10, 10), (40, 10), (25, 25), (10, 40), (40, 40)]

PLATE = box(50, 50, 5)
COLUMNS = together(*(moved(cylinder(5.97 / 2, 30, 48), x, y, 5) for x, y in PLACES))


def settings(speed: float, fill: float) -> PrintSettings:
    """One speed for everything, no least layer time."""
    names = ("outer_wall", "inner_wall", "skin", "fill", "first_layer")
    speeds = {f"{name}_speed_mm_s": speed for name in names}
    return replace(
        typical_settings(400),
        line_width_mm=0.4,
        walls=2,
        fill=fill,
        least_layer_s=0.0,
        layer_change_s=0.0,
        **speeds,  # type: ignore[arg-type]
    )


def layers(mesh: Mesh, speed: float, fill: float) -> Floats:
    """Seconds of every layer."""
    return np.array(estimate_part(mesh, settings(speed, fill)).layer_seconds)


def halved(low: float, high: float, too_much: object) -> float:
    """Where a rising test turns true, by halving."""
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (low, middle) if too_much(middle) else (middle, high)  # type: ignore[operator]
    return (low + high) / 2


@pytest.fixture(scope="module")
def fitted() -> tuple[float, float]:
    solid = [0, 1, 2, 3, 21, 22, 23, 24]
    speed = halved(3, 60, lambda v: layers(PLATE, v, 0.1)[solid].mean() < SOLID_S)
    return speed, halved(0.001, 0.6, lambda fill: layers(PLATE, speed, fill)[4:21].mean() > SPARSE_S)


def test_the_sections_are_the_published_ones() -> None:
    cut = sections(COLUMNS, 0.2)
    assert cut.area_mm2 == pytest.approx(np.full(150, 139.76), rel=5e-3)
    assert cut.perimeter_mm == pytest.approx(np.full(150, 93.98), rel=5e-3)


def test_columns_and_total_follow_from_the_plate(fitted: tuple[float, float]) -> None:
    estimated = layers(together(PLATE, COLUMNS), *fitted)
    assert len(estimated) == 175
    assert estimated[30:170].mean() == pytest.approx(COLUMN_S, rel=0.08)  # found: 5 % short
    assert estimated[171:].mean() == pytest.approx(COLUMN_TOPS_S, rel=0.15)  # found: 11 % short
    assert estimated.sum() == pytest.approx(TOTAL_S, rel=0.05)  # found: 3 % short
