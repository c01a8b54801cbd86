"""The order in which a file lists its triangles, and where the model lies, change nothing."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.estimating.solids import cone, moved, t_bridge, together, torus, tube

from printcrib.core.estimating.part import PartEstimate, estimate_part
from printcrib.core.estimating.paths.estimate import estimate_by_paths
from printcrib.core.estimating.sections import Sections, sections
from printcrib.core.estimating.settings import PrintSettings, typical_settings
from printcrib.core.shapes import Mesh

MODEL = together(torus(20, 6, 20, 12), moved(cone(9, 15, 20), 0, 0, 3))
SEEN = ("area_mm2", "perimeter_mm", "projected_mm", "linked_mm", "euler", "corner_sum", "vertices", "loops")


def same(one: Sections, other: Sections) -> None:
    for name in SEEN:
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-7, abs=1e-7), name


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_facet_order_and_vertex_rotation(seed: int) -> None:
    chance = np.random.default_rng(seed)
    faces = chance.permutation(MODEL.faces)
    turned_by = chance.integers(0, 3, len(faces))
    faces = np.take_along_axis(faces, (np.arange(3) + turned_by[:, None]) % 3, axis=1)
    renamed = chance.permutation(len(MODEL.vertices))
    vertices = np.empty_like(MODEL.vertices)
    vertices[renamed] = MODEL.vertices
    same(sections(Mesh(vertices, renamed[faces]), 0.31), sections(MODEL, 0.31))


@settings(max_examples=25, deadline=None)
@given(*[st.integers(-4000, 4000)] * 3)
def test_translation(x: int, y: int, z: int) -> None:
    # Whole 1/8 mm move floating point heights without rounding, so no plane changes sides.
    moved = Mesh(MODEL.vertices + np.array([x, y, z]) / 8, MODEL.faces)
    same(sections(moved, 0.31), sections(MODEL, 0.31))


TIERS = {"layers": estimate_part, "paths": estimate_by_paths}
tiers = pytest.mark.parametrize("estimate", TIERS.values(), ids=TIERS)
Tier = Callable[[Mesh, PrintSettings], PartEstimate]
BODY = together(tube(15, 9, 12, 48), moved(cone(6, 12, 16), 30, 0))
FASTER = (
    "outer_wall_speed_mm_s",
    "inner_wall_speed_mm_s",
    "skin_speed_mm_s",
    "fill_speed_mm_s",
    "first_layer_speed_mm_s",
    "travel_speed_mm_s",
    "support_speed_mm_s",
    "bridge_speed_mm_s",
    "acceleration_mm_s2",
    "corner_allowance_mm",
    "flow_limit_mm3_s",
)


@tiers
@settings(max_examples=6, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_the_estimate_stays_with_facets_in_another_order(estimate: Tier, seed: int) -> None:
    chance = np.random.default_rng(seed)
    faces = chance.permutation(BODY.faces)
    faces = np.take_along_axis(faces, (np.arange(3) + chance.integers(0, 3, len(faces))[:, None]) % 3, axis=1)
    wanted = replace(typical_settings(800), supports=1)
    there, here = estimate(Mesh(BODY.vertices, faces), wanted), estimate(BODY, wanted)
    assert there.part_minutes == pytest.approx(here.part_minutes, rel=1e-4)
    assert there.grams == pytest.approx(here.grams, rel=1e-4)
    assert there.layers == here.layers


@tiers
@settings(max_examples=6, deadline=None)
@given(factor=st.sampled_from([0.5, 1.5, 2.0]))
def test_all_lengths_and_speeds_scaled_leave_the_time(estimate: Tier, factor: float) -> None:
    """The planner's scaling for a whole copy: lengths, speeds, accelerations by k, flow by k^3: T stays."""
    usual = replace(typical_settings(800), least_layer_s=0.0)
    lengths = ("line_width_mm", "layer_height_mm", "corner_allowance_mm", "support_gap_mm")
    names = {*lengths, "acceleration_mm_s2", *(name for name in FASTER if name.endswith("_speed_mm_s"))}
    scaled = {name: getattr(usual, name) * factor for name in names}
    flow = usual.flow_limit_mm3_s * factor**3
    large = replace(usual, **scaled, flow_limit_mm3_s=flow)
    there, here = estimate(Mesh(BODY.vertices * factor, BODY.faces), large), estimate(BODY, usual)
    assert there.part_minutes == pytest.approx(here.part_minutes, rel=5e-3)
    assert there.grams == pytest.approx(here.grams * factor**3, rel=5e-3)
    assert there.path_metres == pytest.approx(here.path_metres * factor, rel=5e-3)


@tiers
@settings(max_examples=25, deadline=None)
@given(name=st.sampled_from(FASTER), more=st.floats(1.05, 3.0), supports=st.booleans())
def test_more_speed_acceleration_or_flow_never_takes_longer(
    estimate: Tier, name: str, more: float, supports: bool
) -> None:
    """Each alone, on a part with walls, skins, fill, a bridge, travel and supports."""
    usual = replace(typical_settings(800), supports=int(supports))
    faster = replace(usual, **{name: getattr(usual, name) * more})
    slow, fast = estimate(t_bridge(), usual), estimate(t_bridge(), faster)
    assert fast.part_minutes <= slow.part_minutes * (1 + 1e-9)
    assert fast.grams == pytest.approx(slow.grams, rel=1e-9)


@settings(max_examples=10, deadline=None)
@given(factor=st.floats(0.5, 3.0))
def test_scaling_with_the_layer_height(factor: float) -> None:
    large, small = sections(Mesh(MODEL.vertices * factor, MODEL.faces), 0.31 * factor), sections(MODEL, 0.31)
    assert large.area_mm2 == pytest.approx(small.area_mm2 * factor**2, rel=1e-6, abs=1e-6)
    assert large.perimeter_mm == pytest.approx(small.perimeter_mm * factor, rel=1e-6, abs=1e-6)


@settings(max_examples=10, deadline=None)
@given(x=st.integers(-1000, 1000), y=st.integers(-1000, 1000))
def test_the_estimate_stays_when_the_model_is_moved(x: int, y: int) -> None:
    body, wanted = tube(15, 9, 12, 48), typical_settings(600)
    there = estimate_part(moved(body, x / 8, y / 8), wanted)
    here = estimate_part(body, wanted)
    assert there.part_minutes == pytest.approx(here.part_minutes, rel=1e-3)
    assert there.grams == pytest.approx(here.grams, rel=1e-3)
