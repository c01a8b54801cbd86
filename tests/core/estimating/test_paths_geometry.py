"""Outlines chained into areas, also from models that are torn, doubled or overlapping."""

import numpy as np
import pytest
import shapely
from tests.core.estimating.solids import box, cylinder, moved, sphere, together, torus, tube, without

from printcrib.core.estimating.paths.chains import Chains, without_straights
from printcrib.core.estimating.paths.regions import Regions, area_of, pieces_of, turned_area, uncovered
from printcrib.core.estimating.sections import levels_of, sections
from printcrib.core.shapes import Floats, Mesh

SQUARE = np.array([(0.0, 0.0), (10, 0), (10, 10), (0, 10)])


def chains(mesh: Mesh, step: float = 1.0) -> Chains:
    return Chains(mesh, levels_of(mesh, step))


def regions(mesh: Mesh, step: float = 1.0) -> Regions:
    levels = levels_of(mesh, step)
    return Regions(Chains(mesh, levels), levels.count)


def shifted(loop: Floats, x: float, y: float) -> Floats:
    return np.asarray(loop + np.array([x, y]))


def test_a_box_has_four_corners_however_its_sides_are_divided() -> None:
    (loop,) = chains(box(40, 30, 20)).loops(3)
    assert len(loop) == 4
    assert turned_area(loop) == pytest.approx(1200)


def test_outer_outlines_turn_left_and_holes_right() -> None:
    loops = chains(tube(10, 5, 4, sides=64)).loops(1)
    areas = sorted(map(turned_area, loops))
    polygon = 32 * np.sin(2 * np.pi / 64)
    assert areas == pytest.approx([-25 * polygon, 100 * polygon])


@pytest.mark.parametrize(
    "mesh", [sphere(12), torus(15, 5), tube(10, 5, 4), together(box(), moved(box(), 60, 0))]
)
def test_areas_and_outlines_are_those_of_the_sections(mesh: Mesh) -> None:
    cut = sections(mesh, 0.9)
    solid = regions(mesh, 0.9)
    for plane in range(cut.layers):
        area = solid.solid(plane)
        assert area.area == pytest.approx(cut.area_mm2[plane], rel=1e-9, abs=1e-9)
        assert area.length == pytest.approx(cut.perimeter_mm[plane], rel=1e-9)
        assert len(shapely.get_rings(shapely.get_parts(area))) == cut.loops[plane]


def test_planes_through_rows_of_vertices_lose_nothing() -> None:
    stack = together(box(10, 10, 2.5), box(10, 10, 2.5, at=(0, 0, 2.5)))
    assert [regions(stack).solid(plane).area for plane in range(5)] == pytest.approx([100.0] * 5)


def test_a_missing_triangle_leaves_the_layer_whole() -> None:
    torn = without(cylinder(10, 8, 64), 5)
    whole = regions(cylinder(10, 8, 64))
    for plane in range(8):
        assert regions(torn).solid(plane).area == pytest.approx(whole.solid(plane).area, rel=2e-3)


def test_torn_halves_are_joined_end_to_start() -> None:
    torn = without(box(40, 30, 20), 4, 5, 8, 9)  # front and back are gone
    assert regions(torn).solid(4).area == pytest.approx(1200)


def test_two_torn_bodies_are_each_closed_by_themselves() -> None:
    torn = without(box(40, 30, 20), 4, 5)
    both = together(torn, moved(torn, 200, 0))
    assert regions(both).solid(4).area == pytest.approx(2400)


def test_a_heap_of_loose_triangles_still_answers() -> None:
    ball = sphere(10, 24, 24)
    loose = Mesh(ball.vertices[ball.faces].reshape(-1, 3), np.arange(3 * len(ball.faces)))
    for plane in range(20):
        assert 0 <= regions(loose).solid(plane).area <= 1.05 * np.pi * 100


def test_four_triangles_on_one_edge_make_two_pairs() -> None:
    one, other = box(10, 10, 4), box(10, 10, 4, at=(10, 10, 0))
    both = together(one, other)
    _, first, back = np.unique(both.vertices, axis=0, return_index=True, return_inverse=True)
    welded = Mesh(both.vertices[first], back[both.faces])
    assert regions(welded).solid(1).area == pytest.approx(200)


def test_layers_alike_are_one_object() -> None:
    solid = regions(together(box(40, 30, 5), box(20, 20, 5, at=(5, 5, 5))))
    assert solid.solid(0) is solid.solid(4)
    assert solid.solid(0) is not solid.solid(5)


def test_neighbours_are_what_differs_within_the_skins() -> None:
    solid = regions(together(box(40, 30, 5), box(20, 20, 5, at=(5, 5, 5))))
    assert solid.neighbours(0, 2, 2) is None
    assert solid.neighbours(9, 2, 2) is None
    assert solid.neighbours(2, 2, 2) == []
    (above,) = solid.neighbours(3, 2, 2) or []
    assert above.area == pytest.approx(400)


def test_what_is_not_covered_is_the_ledge_round_a_boss() -> None:
    ledge, boss = shapely.box(0, 0, 40, 30), shapely.box(5, 5, 25, 25)
    assert uncovered(ledge, None) is ledge
    assert uncovered(ledge, []).is_empty
    assert uncovered(shapely.box(6, 6, 20, 20), [boss]).is_empty
    assert uncovered(ledge, [boss, ledge]).area == pytest.approx(800)


def test_bodies_that_overlap_count_once() -> None:
    assert area_of([SQUARE, shifted(SQUARE, 5, 0)]).area == pytest.approx(150)


def test_an_island_in_a_hole_is_there() -> None:
    area = area_of([5 * SQUARE, (3 * SQUARE)[::-1] + 5, shifted(SQUARE, 10, 10)])
    assert area.area == pytest.approx(2500 - 900 + 100)
    assert len(pieces_of(area)) == 2


def test_a_hole_that_crosses_the_outline_is_cut_out() -> None:
    assert area_of([SQUARE, shifted(SQUARE / 2, 7.5, 0)[::-1]]).area == pytest.approx(100 - 12.5)


def test_an_outline_that_crosses_itself_keeps_both_parts() -> None:
    crossed = np.array([(0.0, 6.0), (10, 0), (10, 10), (0, 0)])
    assert area_of([crossed]).area == pytest.approx(11.25 + 31.25)


def test_a_spur_without_area_is_left_out() -> None:
    spur = np.array([(0.0, 0.0), (10, 0), (10, 10), (15, 15), (10, 10), (0, 10)])
    assert area_of([spur]).geom_type == "Polygon"
    assert area_of([spur]).area == pytest.approx(100)


@pytest.mark.parametrize("seed", range(6))
def test_models_with_turned_and_misplaced_triangles_still_answer(seed: int) -> None:
    dice, tube_mm = np.random.default_rng(seed), tube(12, 8, 8, 24)
    faces = tube_mm.faces.copy()
    faces[::4] = faces[::4, ::-1]
    wrong = Mesh(tube_mm.vertices + dice.normal(0, 1.0, tube_mm.vertices.shape), faces)
    solid = regions(wrong, 0.8)
    for plane in range(2, 7):
        beside = solid.neighbours(plane, 1, 1) or []
        assert uncovered(solid.solid(plane), beside).area <= solid.solid(plane).area + 1e-9


def test_specks_are_left_out() -> None:
    assert area_of([SQUARE * 1e-5]).is_empty
    assert pieces_of(shapely.union(shapely.box(0, 0, 1, 1), shapely.LineString([(2, 2), (3, 3)]))) != []


def test_points_on_a_straight_and_doubled_points_go() -> None:
    loop = np.array([(0.0, 0.0), (5, 0), (10, 0), (10, 0), (10, 10), (0, 10)])
    assert sorted(map(tuple, without_straights(loop).tolist())) == sorted(map(tuple, SQUARE.tolist()))
