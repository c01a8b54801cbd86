"""Supports and bridges: where they stand, what they weigh, what they cost in time."""

from dataclasses import replace

import numpy as np
import pytest
from tests.core.estimating.solids import box, cone, moved, prism, t_bridge, together

from printcrib.core.estimating.columns import pixel_for, spans_of
from printcrib.core.estimating.layers import layer_parts
from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.sections import levels_of
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.estimating.supports import Supports, supports_of
from printcrib.core.shapes import Mesh, signed_volume_mm3

OFF = typical_settings(400)
ON = replace(OFF, supports=1)
TABLE = together(box(40, 40, 4), box(8, 8, 10, at=(16, 16, 4)), box(40, 40, 4, at=(0, 0, 14)))


def supports(mesh: Mesh, gap_layers: int = 0) -> Supports:
    levels = levels_of(mesh, 0.2)
    return supports_of(spans_of(mesh, levels, pixel_for(mesh, levels, 0.44), 2), levels.count, gap_layers)


def test_the_t_is_closed() -> None:
    assert signed_volume_mm3(t_bridge()) == pytest.approx(10 * 20 * 10 + 30 * 20 * 5)


def test_supports_reach_from_the_underside_to_the_platform() -> None:
    found = supports(t_bridge())
    assert found.area_mm2[:50] == pytest.approx(np.full(50, 400.0))
    assert found.area_mm2[50:].max() == 0
    # Two rooms of 10 x 20 mm: outlines of 60 mm, seen across 45 degree lines.
    assert found.across_mm[:50] == pytest.approx(np.full(50, 120 / np.sqrt(2)), rel=0.03)


def test_the_gap_is_left_under_what_is_carried() -> None:
    found = supports(t_bridge(), gap_layers=3)
    assert found.area_mm2[46] > 0
    assert found.area_mm2[47:].max() == 0
    assert supports(t_bridge(height=0.4), gap_layers=2).area_mm2.max() == 0


def test_supports_stand_on_the_model_where_it_is_in_the_way() -> None:
    found = supports(TABLE)
    assert found.area_mm2[:20].max() == 0
    assert found.area_mm2[20:70] == pytest.approx(np.full(50, 1600 - 64), rel=0.02)
    assert found.area_mm2[70:].max() == 0


def test_a_slope_of_45_degrees_carries_itself_and_a_flatter_one_does_not() -> None:
    def wedge(rise: float) -> Mesh:
        return prism([(0, 0), (20, rise), (0, 20)], [(0, 1, 2)], 10)

    assert supports(wedge(20.0)).area_mm2.max() == 0
    # The room under a slope from (0, 0) to (20, 15), 10 mm deep; its sharp edge is thinner than a layer.
    assert supports(wedge(15.0)).area_mm2.sum() * 0.2 == pytest.approx(20 * 15 / 2 * 10, rel=0.03)


def test_what_stands_on_the_platform_needs_nothing() -> None:
    assert supports(box()).area_mm2.max() == 0
    assert estimate_part(box(), ON) == replace(estimate_part(box(), OFF), settings_hash=_hash_on())


def _hash_on() -> str:
    return estimate_part(box(), ON).settings_hash


def test_supports_cost_grams_and_minutes() -> None:
    without, with_them = estimate_part(t_bridge(), OFF), estimate_part(t_bridge(), ON)
    assert (without.support_mm3, without.support_grams) == (0, 0)
    assert with_them.support_mm3 == pytest.approx(4000 * 49 / 50)  # one layer free
    assert with_them.grams - without.grams == pytest.approx(with_them.support_grams)
    assert with_them.part_minutes > without.part_minutes
    # Straight lines alone give fill share x volume; links from line to line add to it.
    least = with_them.support_mm3 / 1000 * 0.15 * 1.24
    assert least <= with_them.support_grams <= 2 * least


def test_denser_supports_weigh_more_and_faster_ones_take_less() -> None:
    usual = estimate_part(t_bridge(), ON)
    assert estimate_part(t_bridge(), replace(ON, support_fill=0.3)).support_grams > usual.support_grams
    assert estimate_part(t_bridge(), replace(ON, support_fill=0.0)).support_grams == 0
    slower = replace(ON, support_speed_mm_s=20.0)
    assert sum(estimate_part(t_bridge(), slower).layer_seconds) > sum(usual.layer_seconds)


def test_skin_over_air_is_printed_at_the_bridge_speed() -> None:
    parts = layer_parts(t_bridge(), OFF)
    assert np.flatnonzero(parts.bridge_mm2).tolist() == [50]
    inside = (30 - 7 * 0.44) * (20 - 7 * 0.44) - (10 * (20 - 7 * 0.44))
    assert parts.bridge_mm2[50] == pytest.approx(inside, rel=0.03)
    slow = estimate_part(t_bridge(), replace(OFF, bridge_speed_mm_s=10.0)).layer_seconds
    fast = estimate_part(t_bridge(), replace(OFF, bridge_speed_mm_s=60.0)).layer_seconds
    assert slow[50] - fast[50] == pytest.approx(parts.bridge_mm2[50] / 0.44 * (1 / 10 - 1 / 60))
    assert (*slow[:50], *slow[51:]) == (*fast[:50], *fast[51:])


def test_what_lies_on_supports_is_no_bridge() -> None:
    assert layer_parts(t_bridge(), ON).bridge_mm2.max() == 0


def test_a_cone_on_its_point_is_carried_all_round() -> None:
    up = cone(20, 10, 96)
    down = Mesh(moved(up, 0, 0, -10).vertices * (1, 1, -1), up.faces[:, ::-1])
    found = supports(down)
    # Room under the cone within its cylinder: 2/3 of the cylinder.
    assert found.area_mm2.sum() * 0.2 == pytest.approx(np.pi * 400 * 10 * 2 / 3, rel=0.03)
