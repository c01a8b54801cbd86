"""Several bodies in one model: hollows, bodies facing inwards, bodies that overlap."""

import numpy as np
import pytest
from tests.core.estimating.solids import box, sphere, together

from printcrib.core import bodies
from printcrib.core.bodies import bodies_of, judge_bodies, union_mm3, winding_at
from printcrib.core.shapes import Indices, Mesh, ModelFacts, facts_of, signed_volume_mm3, turned_outside_out


def numbered(*meshes: Mesh) -> tuple[Mesh, Indices]:
    return together(*meshes), np.repeat(np.arange(len(meshes)), [len(mesh.faces) for mesh in meshes])


def judged(*meshes: Mesh) -> tuple[Mesh, ModelFacts]:
    mesh, of_face = numbered(*meshes)
    return judge_bodies(mesh, facts_of(mesh), of_face)


def said(*meshes: Mesh) -> list[tuple[str, str]]:
    return [(finding.code, finding.words) for finding in judged(*meshes)[1].findings]


def test_bodies_are_measured_one_by_one() -> None:
    held = bodies_of(*numbered(box(40, 30, 20), turned_outside_out(box(10, 10, 10, at=(50, 0, 5)))))
    assert held.count == 2
    assert held.volume_mm3 == pytest.approx([24000, -1000])
    assert held.low.tolist() == [[0, 0, 0], [50, 0, 5]]
    assert held.high.tolist() == [[40, 30, 20], [60, 10, 15]]


def test_one_body_and_bodies_apart_have_nothing_to_say() -> None:
    assert said(box()) == []
    assert said(box(), box(at=(40, 0, 0)), box(at=(0, 100, 0))) == []


def test_overlapping_cubes_are_merged() -> None:
    mesh, facts = judged(box(20, 20, 20), box(20, 20, 20, at=(10, 0, 0)))
    assert signed_volume_mm3(mesh) == pytest.approx(16000)  # what the faces alone add up to
    assert facts.volume_cm3 == pytest.approx(12, rel=5e-3)
    assert facts.trustworthy
    assert [finding.words for finding in facts.findings] == [
        "Bodies overlap (25 % of their volume is there twice); they are counted as merged."
    ]


def test_boxes_that_meet_without_overlap_are_not_merged() -> None:
    ball, corner = sphere(20, 48, 32), box(4, 4, 4, at=(15, 15, 15))
    assert said(ball, corner) == []


def test_a_body_within_a_body_is_there_twice() -> None:
    assert said(box(20, 20, 20), box(10, 10, 10, at=(5, 5, 5)))[0][0] == "overlapping"


def test_a_hollow_is_correct_as_it_is() -> None:
    hollow = turned_outside_out(box(10, 10, 10, at=(5, 5, 5)))
    mesh, facts = judged(box(20, 20, 20), hollow)
    assert signed_volume_mm3(mesh) == pytest.approx(7000)
    assert facts.volume_cm3 == pytest.approx(7)
    assert facts.trustworthy
    assert said(box(20, 20, 20), hollow) == [
        ("hollow", "A closed hollow inside, printed empty. Correct as it is.")
    ]
    other = turned_outside_out(box(2, 2, 2, at=(1, 1, 1)))
    assert said(box(20, 20, 20), hollow, other) == [
        ("hollow", "2 closed hollows inside, printed empty. Correct as it is.")
    ]


def test_a_body_facing_inwards_beside_another_is_turned_round() -> None:
    inward = [turned_outside_out(box(10, 10, 10, at=(50, 20.0 * place, 0))) for place in range(2)]
    mesh, facts = judged(box(40, 30, 20), *inward)
    assert signed_volume_mm3(mesh) == pytest.approx(26000)
    assert facts.volume_cm3 == pytest.approx(26)
    assert said(box(40, 30, 20), inward[0]) == [
        ("inside_out", "1 of 2 bodies faces inwards; turned round for the estimate.")
    ]
    assert facts.findings[0].words == "2 of 3 bodies face inwards; turned round for the estimate."


def test_very_many_hollows_are_believed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bodies, "MOST_INWARD", 1)
    holes = [turned_outside_out(box(2, 2, 2, at=(1 + 4.0 * place, 1, 1))) for place in range(3)]
    assert said(box(40, 30, 20), *holes)[0][0] == "hollow"


def test_very_many_bodies_are_all_put_together(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bodies, "MOST_COMPARED", 1)
    assert said(box(20, 20, 20), box(20, 20, 20, at=(10, 0, 0)))[0][0] == "overlapping"
    assert said(box(20, 20, 20), box(20, 20, 20, at=(30, 0, 0))) == []


def test_the_union_of_a_ball_is_its_volume() -> None:
    ball = sphere(20, 64, 48)
    assert union_mm3(ball) == pytest.approx(signed_volume_mm3(ball), rel=3e-3)


def test_winding_is_one_inside_none_outside() -> None:
    cube = box(10, 10, 10)
    assert winding_at(cube, cube.faces, np.array([2.0, 3, 4])) == pytest.approx(1)
    assert winding_at(cube, cube.faces, np.array([2.0, 3, 14])) == pytest.approx(0, abs=1e-12)
    assert winding_at(cube, cube.faces[:, ::-1], np.array([2.0, 3, 4])) == pytest.approx(-1)
