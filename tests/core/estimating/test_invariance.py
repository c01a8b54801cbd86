"""The order in which a file lists its triangles, and where the model lies, change nothing."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.estimating.solids import cone, moved, together, torus, tube

from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.sections import Sections, sections
from printcrib.core.estimating.settings import typical_settings
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
