"""Open and disagreeing surfaces closed up, so that an estimate comes near the part that was meant."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.estimating.solids import box, cylinder, sphere, together, without

from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.holes import closed_up, estimable
from printcrib.core.shapes import Finding, Mesh, facts_of, signed_volume_mm3

BLOCK = box(80, 60, 30)


def test_a_closed_surface_stays_as_it_is() -> None:
    assert closed_up(BLOCK) is BLOCK
    assert estimable(BLOCK, ()) is BLOCK
    assert estimable(BLOCK, [("hollow", "A closed hollow inside.")]) is BLOCK


@pytest.mark.parametrize("missing", [(0,), (2, 3), (0, 1), (4, 5), (0, 1, 2, 3)])
def test_flat_holes_are_closed_exactly(missing: tuple[int, ...]) -> None:
    holed = without(BLOCK, *missing)
    assert signed_volume_mm3(closed_up(holed)) == pytest.approx(80 * 60 * 30)
    assert facts_of(closed_up(holed)).findings == ()


def test_a_box_without_its_lid_is_estimated_as_the_box() -> None:
    holed = without(BLOCK, 2, 3)
    for bore in (400, 800):
        whole = estimate_part(BLOCK, typical_settings(bore))
        part = estimate_part(estimable(holed, facts_of(holed).findings), typical_settings(bore))
        assert part.grams == pytest.approx(whole.grams, rel=0.02)
        assert part.part_minutes == pytest.approx(whole.part_minutes, rel=0.02)


def test_triangles_turned_the_wrong_way_count_as_right() -> None:
    ball = sphere(20, 24, 16)
    faces = ball.faces.copy()
    faces[::7] = faces[::7, ::-1]
    mixed = Mesh(ball.vertices, faces)
    assert "wrong_faces" in [finding.code for finding in facts_of(mixed).findings]
    assert signed_volume_mm3(closed_up(mixed)) == pytest.approx(signed_volume_mm3(ball), rel=1e-12)
    assert facts_of(closed_up(mixed)).findings == ()


def test_each_hole_has_its_own_middle() -> None:
    tube = cylinder(10, 20, 24)
    ends = [number for number in range(len(tube.faces)) if np.ptp(tube.vertices[tube.faces[number], 2]) == 0]
    closed = closed_up(without(tube, *ends))
    assert closed.vertices[-2:].tolist() == pytest.approx(np.array([[0, 0, 0], [0, 0, 20]]), abs=1e-9)
    assert signed_volume_mm3(closed) == pytest.approx(signed_volume_mm3(tube))


def test_findings_may_be_records_too() -> None:
    holed = without(BLOCK, 0)
    assert len(estimable(holed, [Finding("open_surface", "Open.")]).faces) == 14


@settings(max_examples=60, deadline=None)
@given(st.sets(st.integers(0, 43), max_size=30), st.sets(st.integers(0, 43), max_size=44))
def test_whatever_is_missing_or_turned_every_edge_is_balanced(missing: set[int], turned: set[int]) -> None:
    mesh = together(cylinder(10, 20, 10), box())
    faces = mesh.faces.copy()
    rows = [number for number in turned if number < len(faces)]
    faces[rows] = faces[rows, ::-1]
    left = closed_up(without(Mesh(mesh.vertices, faces), *(n for n in missing if n < len(faces))))
    moved = Mesh(left.vertices + 1000, left.faces)
    assert signed_volume_mm3(moved) == pytest.approx(signed_volume_mm3(left), abs=1e-4)
    edges: dict[tuple[int, int], int] = {}
    for face in left.faces.tolist():
        for one, other in zip(face, (*face[1:], face[0]), strict=True):
            key = (min(one, other), max(one, other))
            edges[key] = edges.get(key, 0) + (1 if one < other else -1)
    assert set(edges.values()) <= {0}
