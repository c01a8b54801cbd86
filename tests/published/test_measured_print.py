"""A print measured layer by layer, against layers estimated with what its own plate teaches.

Source: Szydlo et al. 2021, doi 10.1007/978-3-030-77970-2_50, data CC BY 4.0: a 50 x 50 x 5 mm plate with
five 48-sided columns of 5.97 mm diameter and 30 mm height (sections 139.76 mm2, outline 93.98 mm a layer),
0.2 mm layers, by the printer's clock. Speed, line width, walls and fill are not published. Speed and fill
are fitted to the plate's solid and sparse layers (two numbers from two means); two walls and a line as wide
as a 0.4 mm bore are assumed. With one or three walls instead, the columns come out 34 % short or 20 % long
and the total 12 % short or 5 % long, by layers and by paths alike, so this checks both to about that and no
better. The run had a feeding fault, so its columns may be slow.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pytest
from tests.core.estimating.solids import box, cylinder, moved, together

from printcrib.core.estimating.learning import LoggedPrint, learn
from printcrib.core.estimating.part import PartEstimate, estimate_part
from printcrib.core.estimating.paths.estimate import estimate_by_paths
from printcrib.core.estimating.sections import sections
from printcrib.core.estimating.settings import PrintSettings, typical_settings
from printcrib.core.shapes import Floats, Mesh

SOLID_S = np.mean([422.7, 417.6, 415.3, 414.9, 409.3, 408.6, 409.3, 408.7])
SPARSE_S = 62.03
COLUMN_S = 14.1
COLUMN_TOPS_S = np.mean([26.0, 26.0, 26.2, 33.4])
TOTAL_S = 8480.3 - 1943.6  # without the raft
PLACES = [(10, 10), (40, 10), (25, 25), (10, 40), (40, 40)]

Tier = Callable[[Mesh, PrintSettings], PartEstimate]

PLATE = box(50, 50, 5)
COLUMNS = together(*(moved(cylinder(5.97 / 2, 30, 48), x, y, 5) for x, y in PLACES))


@dataclass(frozen=True, eq=False)
class Fitted:
    """One tier with speed and fill fitted to the plate: its layers of the plate alone and of everything."""

    name: str
    plate: Floats
    whole: Floats


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


def layers(estimate: Tier, mesh: Mesh, speed: float, fill: float) -> Floats:
    """Seconds of every layer."""
    return np.array(estimate(mesh, settings(speed, fill)).layer_seconds)


def halved(low: float, high: float, too_much: Callable[[float], bool]) -> float:
    """Where a rising test turns true, by halving."""
    for _ in range(18):
        middle = (low + high) / 2
        low, high = (low, middle) if too_much(middle) else (middle, high)
    return (low + high) / 2


@pytest.fixture(scope="module", params=["layers", "paths"])
def fitted(request: pytest.FixtureRequest) -> Fitted:
    tiers: dict[str, Tier] = {"layers": estimate_part, "paths": estimate_by_paths}
    estimate = tiers[request.param]
    solid = [0, 1, 2, 3, 21, 22, 23, 24]
    speed = halved(3, 60, lambda v: bool(layers(estimate, PLATE, v, 0.1)[solid].mean() < SOLID_S))
    fill = halved(
        0.001, 0.6, lambda share: bool(layers(estimate, PLATE, speed, share)[4:21].mean() > SPARSE_S)
    )
    plate, whole = (layers(estimate, mesh, speed, fill) for mesh in (PLATE, together(PLATE, COLUMNS)))
    return Fitted(request.param, plate, whole)


def test_the_sections_are_the_published_ones() -> None:
    cut = sections(COLUMNS, 0.2)
    assert cut.area_mm2 == pytest.approx(np.full(150, 139.76), rel=5e-3)
    assert cut.perimeter_mm == pytest.approx(np.full(150, 93.98), rel=5e-3)


FOUND = {"layers": (-0.058, -0.114, -0.032), "paths": (-0.115, -0.131, -0.051)}
"""Errors found: of the columns, of their tops, of the whole."""


def test_columns_and_total_follow_from_the_plate(fitted: Fitted) -> None:
    """By layers and by paths the columns come out 6 and 12 % short, the whole 3 and 5 %, under 15 %."""
    assert len(fitted.whole) == 175
    errors = (
        fitted.whole[30:170].mean() / COLUMN_S - 1,
        fitted.whole[171:].mean() / COLUMN_TOPS_S - 1,
        fitted.whole.sum() / TOTAL_S - 1,
    )
    assert errors == pytest.approx(FOUND[fitted.name], abs=0.005)
    assert max(map(abs, errors)) < 0.15


def test_what_is_learned_from_the_plate_reaches_over_the_whole_print(fitted: Fitted) -> None:
    """The plate logged as one print: at most for plate and columns together holds the measured time."""
    measured = 8 * SOLID_S + 17 * SPARSE_S
    learned = learn([LoggedPrint(1, float(fitted.plate.sum()) / 60, float(measured) / 60)])
    whole = float(fitted.whole.sum()) / 60
    assert learned.factor == pytest.approx(1, abs=0.005)
    assert learned.likely(whole) == pytest.approx(TOTAL_S / 60, rel=0.06)
    assert learned.likely(whole) < TOTAL_S / 60 < learned.at_most(whole)
