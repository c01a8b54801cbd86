"""Several bodies made one, in the limited child and exactly; refused in a sentence where it cannot be."""

from collections.abc import Iterator

import pytest
from tests.core.estimating.solids import box, sphere, together, without
from tests.meshes.files import binary_stl

from printcrib.core.bodies import bodies_of
from printcrib.core.errors import ShopError
from printcrib.core.shapes import Mesh, signed_volume_mm3, turned_outside_out
from printcrib.meshes.bodies import body_of_face
from printcrib.meshes.merging import merged_model
from printcrib.meshes.reader import ModelReader
from printcrib.meshes.reading import read_model


@pytest.fixture(scope="module")
def reader() -> Iterator[ModelReader]:
    with ModelReader() as held:
        yield held


def test_overlapping_cubes_become_one_of_exactly_the_union(reader: ModelReader) -> None:
    content = binary_stl(together(box(20, 20, 20), box(20, 20, 20, at=(10, 0, 0))))
    assert [finding.code for finding in reader.read(content, "two.stl").facts.findings] == ["overlapping"]
    merged = reader.read_merged(content, "two.stl")
    assert signed_volume_mm3(merged.mesh) == pytest.approx(12000)
    assert bodies_of(merged.mesh, body_of_face(merged.mesh)).count == 1
    assert merged.facts.findings == ()
    assert merged.kind == "stl"


@pytest.mark.parametrize(
    ("bodies", "mm3"),
    [
        ((box(20, 20, 20), box(4, 4, 4, at=(8, 8, 8))), 8000),
        ((box(20, 20, 20), turned_outside_out(box(4, 4, 4, at=(8, 8, 8)))), 8000 - 64),
        (
            (
                box(20, 20, 20),
                turned_outside_out(box(10, 10, 10, at=(5, 5, 5))),
                box(20, 20, 20, at=(19, 0, 0)),
            ),
            8000 - 1000 + 8000 - 400,
        ),
        ((box(20, 20, 20), box(20, 20, 20, at=(50, 0, 0))), 16000),
    ],
)
def test_hollows_stay_and_inner_bodies_go(bodies: tuple[Mesh, ...], mm3: float) -> None:
    model = read_model(binary_stl(together(*bodies)), "several.stl")
    assert signed_volume_mm3(merged_model(model, "several.stl").mesh) == pytest.approx(mm3)


def test_a_hollow_belongs_to_the_innermost_body_around_it() -> None:
    shells = together(
        box(40, 40, 40),
        turned_outside_out(box(30, 30, 30, at=(5, 5, 5))),
        box(20, 20, 20, at=(10, 10, 10)),
        turned_outside_out(box(10, 10, 10, at=(15, 15, 15))),
    )
    merged = merged_model(read_model(binary_stl(shells), "shells.stl"), "shells.stl")
    assert signed_volume_mm3(merged.mesh) == pytest.approx(64000 - 27000 + 8000 - 1000)


def test_bodies_that_only_share_an_edge_are_kept() -> None:
    """Four triangles meet at that edge."""
    model = read_model(binary_stl(together(box(10, 10, 10), box(10, 10, 10, at=(10, 10, 0)))), "edge.stl")
    assert signed_volume_mm3(merged_model(model, "edge.stl").mesh) == pytest.approx(2000)


def test_what_is_not_closed_is_refused_in_a_sentence(reader: ModelReader) -> None:
    content = binary_stl(together(without(sphere(20, 24, 16), 10), box(20, 20, 20)))
    with pytest.raises(ShopError) as refusal:
        reader.read_merged(content, "open.stl")
    assert str(refusal.value) == (
        "The bodies of open.stl cannot be merged: the surface is not closed. "
        "Merge them in the drawing program and export it again."
    )
    assert reader.read(binary_stl(box()), "after.stl").facts.triangles == 12
