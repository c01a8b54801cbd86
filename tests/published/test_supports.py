"""Supports and union volume against closed forms.

Source: elementary geometry. A T (stem 10 x 20 x 10 mm, bar 30 x 20 x 5 mm) leaves 2 x 10 x 20 x 10 = 4000 mm3
under its arms. Under a sphere of radius R resting on the platform, where its underside is flatter than 45
degrees (r < R sin 45), the room is the integral of 2 pi r (R - sqrt(R^2 - r^2)), which is
pi R^3 (1/2 - 2/3 (1 - 2^(-3/2))). Two cubes of 20 mm, one moved by 10 mm, fill 12,000 mm3 together and
16,000 mm3 if each is counted.
"""

from dataclasses import replace

import numpy as np
import pytest
from tests.core.estimating.solids import box, moved, sphere, t_bridge, together

from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.shapes import signed_volume_mm3

BORES = [400, 600, 800, 1000]


@pytest.mark.parametrize("bore_um", BORES)
def test_under_a_t(bore_um: int) -> None:
    settings = replace(typical_settings(bore_um), supports=1, support_gap_mm=0.0)
    height = 12.0 if bore_um == 600 else 10.0  # whole layers
    found = estimate_part(t_bridge(height=height), settings).support_mm3
    assert found == pytest.approx(4000 * height / 10, rel=1e-6)


def test_under_a_sphere() -> None:
    settings = replace(
        typical_settings(400), supports=1, support_gap_mm=0.0, layer_height_mm=0.1, line_width_mm=0.3
    )
    found = estimate_part(moved(sphere(20, 256, 256), 0, 0, 20), settings).support_mm3
    assert found == pytest.approx(np.pi * 8000 * (1 / 2 - 2 / 3 * (1 - 2**-1.5)), rel=0.01)


def test_overlapping_cubes_fill_their_union() -> None:
    cubes = together(box(20, 20, 20), box(20, 20, 20, at=(10, 0, 0)))
    assert signed_volume_mm3(cubes) == pytest.approx(16_000)
    solid = replace(typical_settings(400, 1.0), fill=1.0)
    assert estimate_part(cubes, solid).grams == pytest.approx(12.0, rel=0.02)
