"""Layers: planes, the compiled twin, faulty surfaces, memory bounds."""

import numpy as np
import pytest
from tests.core.estimating.solids import box, cone, cylinder, moved, sphere, together, torus, tube, without

from printcrib.core.compiled.sections import areas_and_outlines_kernel
from printcrib.core.errors import ShopError
from printcrib.core.estimating import sections as module
from printcrib.core.estimating.outline import MOST_SAMPLES
from printcrib.core.estimating.sections import Sections, areas_and_outlines, levels_of, sections
from printcrib.core.shapes import Mesh

PLAIN_KERNEL = getattr(areas_and_outlines_kernel, "py_func", areas_and_outlines_kernel)
SOLIDS = [
    box(), cone(20, 40, 24), cylinder(9, 12, 16), sphere(20, 24, 24), torus(20, 6, 24, 16), without(box(), 4),
]  # fmt: skip


@pytest.mark.parametrize("mesh", SOLIDS)
@pytest.mark.parametrize("kernel", [PLAIN_KERNEL, areas_and_outlines_kernel], ids=["as Python", "compiled"])
def test_the_compiled_twin_agrees(mesh: Mesh, kernel: module.AreaKernel) -> None:
    plain, twin = sections(mesh, 0.3), sections(mesh, 0.3, kernel)
    for name in ("area_mm2", "perimeter_mm", "projected_mm", "linked_mm"):
        assert getattr(twin, name) == pytest.approx(getattr(plain, name), rel=1e-9, abs=1e-9)


def test_planes_through_rows_of_vertices_count_once() -> None:
    rings = together(box(20, 20, 1), *(box(20, 20, 1, at=(0, 0, z)) for z in range(1, 10)))
    cut = sections(rings, 2.0)  # planes at 1, 3, 5 ... lie exactly on touching faces
    assert cut.area_mm2 == pytest.approx(np.full(5, 400.0))
    assert cut.perimeter_mm == pytest.approx(np.full(5, 80.0))


def test_a_part_thinner_than_a_layer_still_has_one() -> None:
    cut = sections(box(20, 20, 0.05), 0.2)
    assert cut.layers == 1
    assert cut.area_mm2[0] == pytest.approx(400)


def test_too_many_layers_mean_a_wrong_unit() -> None:
    with pytest.raises(ShopError, match=r"the model is 5,000 mm tall. Check the units"):
        levels_of(box(10, 10, 5000), 0.2)


def test_work_in_pieces_gives_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    mesh = sphere(20, 24, 24)
    whole = sections(mesh, 0.3)
    monkeypatch.setattr(module, "PAIRS_AT_ONCE", 50)
    pieces = sections(mesh, 0.3)
    assert pieces.area_mm2 == pytest.approx(whole.area_mm2, rel=1e-12)
    assert pieces.perimeter_mm == pytest.approx(whole.perimeter_mm, rel=1e-12)


def test_where_the_model_stands_does_not_matter() -> None:
    here = sections(without(cylinder(9, 12, 16), 3), 0.3)
    there = sections(moved(without(cylinder(9, 12, 16), 3), 1000, -500, 77), 0.3)
    assert there.area_mm2 == pytest.approx(here.area_mm2, rel=1e-9)


def test_an_open_edge_is_left_out_of_the_corners_only() -> None:
    whole, open_one = sections(box(), 0.2), sections(without(box(), 4), 0.2)
    assert (open_one.loops == 1).all()
    assert open_one.vertices.sum() < whole.vertices.sum()


def test_bodies_sharing_an_edge_keep_their_own_loops() -> None:
    touching = together(box(10, 10, 10), box(10, 10, 10, at=(10, 10, 0)))
    points, numbers = np.unique(touching.vertices, axis=0, return_inverse=True)
    cut = sections(Mesh(points, numbers.reshape(-1)[touching.faces]), 0.5)
    assert (cut.vertices == 8).all()
    assert cut.area_mm2 == pytest.approx(np.full(20, 200.0))


def test_a_body_that_begins_half_way_is_counted_where_it_is() -> None:
    tower = together(box(40, 40, 10), tube(6, 3, 10, 16))
    two_storeys = together(tower, moved(tube(5, 2, 10, 16), 20, 20, 10))
    cut = sections(two_storeys, 0.5)
    assert cut.loops.tolist() == [3] * 20 + [2] * 20


def test_very_restless_models_are_sampled() -> None:
    stack = [box(4, 4, 1, at=(6.0 * (z % 3), 0, 2.0 * z)) for z in range(MOST_SAMPLES + 40)]
    base = box(20, 4, 1, at=(0, 0, -1))
    cut: Sections = sections(together(base, *stack), 0.5)
    assert cut.loops.max() == 1
    assert cut.layers == round((2 * (MOST_SAMPLES + 40) - 1 + 1) / 0.5)


def test_an_empty_stretch_has_no_loops() -> None:
    cut = sections(together(box(10, 10, 2), box(10, 10, 2, at=(0, 0, 8))), 0.5)
    assert cut.loops.tolist() == [1] * 4 + [0] * 12 + [1] * 4
    assert cut.area_mm2[4:16] == pytest.approx(np.zeros(12))


def test_nothing_crossing_gives_zeros() -> None:
    flat = box(10, 10, 1)
    sums = areas_and_outlines(flat.vertices, flat.faces, np.zeros(8, dtype=np.int64), 5.0, 1.0, 2)
    assert [each.tolist() for each in sums] == [[0, 0]] * 4
