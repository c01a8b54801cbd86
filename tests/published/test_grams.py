"""Grams and minutes against closed forms.

Sources: mass = volume x density; kinematics of constant acceleration (s = a t^2 / 2). No published
measured mass with its full geometry was found, so mass is checked by closed forms only.
"""

from dataclasses import replace

import numpy as np
import pytest
from tests.core.estimating.solids import box, cylinder, sphere, tube

from printcrib.core.estimating.motion import corner_speed_mm_s, straight_s
from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.shapes import Mesh

SOLIDS = [
    ("block", box(60, 40, 20), 60 * 40 * 20),
    ("cylinder", cylinder(20, 24, 256), np.pi * 400 * 24),
    ("sphere", sphere(24, 256, 256), 4 / 3 * np.pi * 24**3),
    ("tube", tube(20, 12, 24, 256), np.pi * (400 - 144) * 24),
    ("turned block", Mesh(box(50, 30, 24).vertices[:, (2, 0, 1)], box().faces), 50 * 30 * 24),
]


@pytest.mark.parametrize(("name", "mesh", "volume_mm3"), SOLIDS, ids=[solid[0] for solid in SOLIDS])
@pytest.mark.parametrize("bore_um", [400, 600, 800, 1000])
def test_a_solid_at_full_fill_weighs_its_volume(
    name: str, mesh: Mesh, volume_mm3: float, bore_um: int
) -> None:
    settings = replace(typical_settings(bore_um, 1.24), fill=1.0)
    grams = estimate_part(mesh, settings).grams
    assert grams == pytest.approx(volume_mm3 / 1000 * 1.24, rel=0.01)


def test_a_straight_line_from_rest() -> None:
    """100 mm at 100 mm/s and 1000 mm/s2: 1 s of way and 0.1 s of ramps."""
    assert straight_s(np.array([100.0]), 100, 0, 1000)[0] == pytest.approx(1.1)


def test_a_line_too_short_for_full_speed() -> None:
    """4 mm at 1000 mm/s2: 2 sqrt(l/a) = 0.12649 s."""
    assert straight_s(np.array([4.0]), 100, 0, 1000)[0] == pytest.approx(0.126491, abs=1e-6)


def test_a_right_angle_cut_by_its_allowance() -> None:
    """The arc within d of a right-angled corner has radius d (1 + sqrt 2): 0.0724 mm for d = 0.03 mm."""
    radius = 0.03 * (1 + np.sqrt(2))
    speed = corner_speed_mm_s(np.array([np.pi / 2]), 1500, 0.03)[0]
    assert speed == pytest.approx(np.sqrt(1500 * radius))


def test_flow_bounds_the_time_from_below() -> None:
    """Nothing prints faster than its volume over the hot end's limit, nor than length over speed."""
    for bore_um in (400, 600, 800, 1000):
        settings = typical_settings(bore_um)
        part = estimate_part(box(60, 40, 20), settings)
        volume = part.grams * 1000 / settings.density_g_cm3
        assert part.part_minutes * 60 >= volume / settings.flow_limit_mm3_s
        assert part.part_minutes * 60 >= part.path_metres * 1000 / settings.fill_speed_mm_s
