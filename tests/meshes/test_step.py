"""STEP files come out of the limited child in millimetres, welded, or are refused in one sentence."""

import math
import sys
from collections.abc import Iterator

import pytest
from tests.core.estimating.solids import box, sphere
from tests.meshes.files import binary_stl
from tests.meshes.step_files import step, step_cylinder

from printcrib.core.errors import ShopError
from printcrib.core.shapes import edge_faults, signed_volume_mm3
from printcrib.meshes.reader import ModelReader


@pytest.fixture(scope="module")
def reader() -> Iterator[ModelReader]:
    with ModelReader() as held:
        yield held


@pytest.mark.parametrize(("unit", "factor"), [("mm", 1.0), ("inch", 25.4), ("metre", 1000.0)])
def test_the_file_says_its_unit(reader: ModelReader, unit: str, factor: float) -> None:
    side = 40 / factor
    model = reader.read(step(box(side, side / 2, side / 4), unit=unit), "block.step")
    assert model.kind == "step"
    assert model.facts.extents_mm == pytest.approx((40, 20, 10), rel=1e-6)
    assert model.facts.volume_cm3 == pytest.approx(8, rel=1e-6)
    assert model.facts.findings == ()
    assert len(model.mesh.vertices) == 8


def test_curved_faces_keep_to_the_surface_and_close(reader: ModelReader) -> None:
    model = reader.read(step_cylinder(10, 20), "pin.stp")
    assert model.facts.volume_cm3 == pytest.approx(math.pi * 100 * 20 / 1000, rel=2e-3)
    assert model.facts.extents_mm == pytest.approx((20, 20, 20), rel=1e-3)
    assert edge_faults(model.mesh).open_edges == 0
    assert model.facts.findings == ()


def test_a_faceted_ball_is_the_ball(reader: ModelReader) -> None:
    ball = sphere(20, 16, 10)
    model = reader.read(step(ball), "ball.p21")
    assert len(model.mesh.vertices) == len(ball.vertices)
    assert signed_volume_mm3(model.mesh) == pytest.approx(signed_volume_mm3(ball), rel=1e-5)


def test_several_bodies_are_all_there(reader: ModelReader) -> None:
    model = reader.read(step(box(10, 10, 10), box(10, 10, 10, at=(20, 0, 0))), "two.step")
    assert model.facts.volume_cm3 == pytest.approx(2)
    assert model.facts.extents_mm == pytest.approx((30, 10, 10))


def test_what_begins_like_step_is_step_whatever_its_name(reader: ModelReader) -> None:
    assert reader.read(step(box()), "export.stl").kind == "step"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"ISO-10303-21;", "shaft.step is damaged or not what its name says"),
        (b"\x00\xff" * 40, "shaft.step is damaged or not what its name says"),
        (step_cylinder(10, 20)[:1500], "shaft.step is damaged or not what its name says"),
        (step_cylinder(10, 20).replace(b"MANIFOLD_SOLID_BREP", b"MANIFOLD_SOLID_BRE"), "holds no body"),
    ],
)
def test_refused_in_one_sentence(reader: ModelReader, content: bytes, words: str) -> None:
    with pytest.raises(ShopError, match=words) as refusal:
        reader.read(content, "shaft.step")
    assert refusal.value.do
    assert reader.read(binary_stl(box()), "after.stl").facts.volume_cm3 == pytest.approx(24)


def test_the_parent_never_loads_the_step_library(reader: ModelReader) -> None:
    reader.read(step(box()), "block.step")
    assert "cascadio" not in sys.modules
