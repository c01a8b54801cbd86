"""What is said about models: sizes, findings in words, refusals, turns."""

import numpy as np
import pytest
from tests.core.estimating.solids import box, cylinder, sphere, together, without

from printcrib.core.errors import ShopError
from printcrib.core.shapes import (
    AS_GIVEN,
    TURNS,
    Mesh,
    edge_faults,
    extents_of,
    facts_of,
    fit_finding,
    fits,
    scaled,
    scaled_facts,
    signed_volume_mm3,
    size_words,
    surface_mm2,
    turned,
    turned_outside_out,
)


def codes(mesh: Mesh, platform: tuple[float, float, float] | None = None) -> list[str]:
    return [finding.code for finding in facts_of(mesh, "part.stl", platform).findings]


def test_a_sound_block_has_its_size_and_nothing_to_say() -> None:
    facts = facts_of(box(40, 30, 20))
    assert facts.triangles == 12
    assert facts.findings == ()
    assert facts.trustworthy
    assert facts.volume_cm3 == pytest.approx(24)
    assert facts.extents_mm == (40.0, 30.0, 20.0)
    assert surface_mm2(box(40, 30, 20)) == pytest.approx(2 * (1200 + 800 + 600))


def test_lists_and_narrow_numbers_are_taken() -> None:
    mesh = Mesh(np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0]], "f4"), np.array([[0, 1, 2]], "i4"))
    assert mesh.vertices.dtype == np.dtype("f8")
    assert mesh.faces.dtype == np.dtype("i8")


def test_a_turned_in_model_is_said_and_its_volume_stays_positive() -> None:
    inside_out = turned_outside_out(box())
    assert signed_volume_mm3(inside_out) < 0
    facts = facts_of(inside_out)
    assert facts.volume_cm3 == pytest.approx(24)
    assert [finding.code for finding in facts.findings] == ["inside_out"]
    assert facts.trustworthy


def test_inches_and_metres_are_suggested_for_very_small_models() -> None:
    facts = facts_of(box(5.905512, 3.543307, 0.472441))
    assert facts.findings[0].words == "Only 5.91 x 3.54 x 0.47 mm. If inches: 150 x 90 x 12 mm. Scale x 25.4?"
    assert "If metres: 150 x 90 x 12 mm. Scale x 1000?" in facts_of(box(0.15, 0.09, 0.012)).findings[0].words


def test_what_fits_in_no_turn_is_said() -> None:
    platform = (250.0, 210.0, 200.0)
    assert codes(box(200, 240, 205), platform) == []
    assert codes(box(251, 251, 10), platform) == ["does_not_fit"]
    words = fit_finding((3810, 2286, 305), platform)
    assert words is not None
    assert words.words == (
        "3810 x 2286 x 305 mm does not fit the platform in any right-angled turn. "
        "If it was scaled to inches twice: 150 x 90 x 12 mm. Scale / 25.4?"
    )
    assert fit_finding((10, 10, 10), platform) is None


@pytest.mark.parametrize("extents", [(100, 50, 10), (10, 50, 100), (50, 10, 100), (10, 100, 50)])
def test_any_right_angled_turn_counts(extents: tuple[float, float, float]) -> None:
    assert fits(extents, (100, 50, 10))
    assert not fits(extents, (99, 50, 10))


def test_a_small_hole_leaves_the_estimate_good() -> None:
    mesh = without(sphere(20), 3000)
    facts = facts_of(mesh)
    assert facts.findings[0].code == "small_holes"
    assert facts.findings[0].words == "One small hole (3 open edges); the estimate is still good."
    assert facts.trustworthy
    assert facts.doubt == 0
    two = facts_of(without(sphere(20), 3000, 9000)).findings[0].words
    assert two == "2 small holes (6 open edges); the estimate is still good."


def test_holes_are_counted_as_chains_however_long() -> None:
    tube = cylinder(10, 20, 24)
    sides = [number for number in range(len(tube.faces)) if np.ptp(tube.vertices[tube.faces[number], 2]) == 0]
    faults = edge_faults(without(tube, *sides))
    assert (faults.open_edges, faults.holes) == (48, 2)
    assert edge_faults(tube).holes == 0


def test_a_large_opening_makes_the_estimate_a_range() -> None:
    facts = facts_of(without(box(), 2, 3))
    assert [(finding.code, finding.words) for finding in facts.findings] == [
        (
            "open_surface",
            "Open surface (4 open edges); the estimate is only a range. Ask for a new export.",
        )
    ]
    assert not facts.trustworthy


def test_the_doubt_covers_what_the_opening_can_hide() -> None:
    """The missing lid of a box, put back, changes the volume by less than the doubt says."""
    whole = box(100, 100, 20)
    for missing in ((2,), (2, 3)):
        facts = facts_of(without(whole, *missing))
        assert 0 < facts.doubt <= 1
        assert facts.volume_cm3 / (1 + facts.doubt) <= 200 <= facts.volume_cm3 * (1 + facts.doubt)


def test_faces_that_disagree_are_not_trusted_when_many() -> None:
    mesh = box()
    mixed = Mesh(mesh.vertices, np.where(np.arange(12)[:, None] % 2 == 0, mesh.faces, mesh.faces[:, ::-1]))
    facts = facts_of(mixed)
    assert facts.findings[-1].code == "wrong_faces"
    assert facts.findings[-1].words.endswith("do not trust the estimate. Ask for a new export.")
    assert not facts.trustworthy
    assert facts.doubt == 1


def test_a_few_wrong_faces_are_only_mentioned() -> None:
    ball = sphere(20)
    faces = ball.faces.copy()
    faces[3000] = faces[3000, ::-1]
    facts = facts_of(Mesh(ball.vertices, faces))
    assert [finding.code for finding in facts.findings] == ["few_wrong_faces"]
    assert facts.trustworthy


def test_bodies_that_only_touch_are_sound() -> None:
    assert codes(together(box(), box(at=(40, 0, 0)))) == []


def test_a_folded_sheet_holds_no_volume() -> None:
    sheet = box(40, 30, 20)
    both_sides = np.concatenate((sheet.faces, sheet.faces[:, ::-1]))
    facts = facts_of(Mesh(sheet.vertices, both_sides))
    assert "no_volume" in [finding.code for finding in facts.findings]
    assert not facts.trustworthy


@pytest.mark.parametrize(
    ("mesh", "words"),
    [
        (Mesh(np.zeros((0, 3)), np.zeros((0, 3), int)), "part.stl holds no triangles"),
        (Mesh(np.array([[0, 0, 0], [1, np.nan, 0], [0, 1, 1]]), np.array([[0, 1, 2]])), "not numbers"),
        (Mesh(np.array([[0, 0, 0], [1, np.inf, 0], [0, 1, 1]]), np.array([[0, 1, 2]])), "not numbers"),
        (box(40, 30, 0), "part.stl is flat, its height is 0 mm"),
        (box(40, 0, 30), "part.stl is flat, its depth is 0 mm"),
        (box(4e10, 3e10, 2e10), "larger than any workshop"),
    ],
)
def test_what_cannot_be_estimated_is_refused_in_one_sentence(mesh: Mesh, words: str) -> None:
    with pytest.raises(ShopError, match=words) as refusal:
        facts_of(mesh, "part.stl")
    assert refusal.value.do


def test_there_are_24_turns_and_each_keeps_the_solid() -> None:
    mesh = box(40, 30, 20, at=(5, -7, 3))
    assert len(TURNS) == 24
    assert len({tuple(turn.ravel()) for turn in TURNS.values()}) == 24
    for name in TURNS:
        standing = turned(mesh, name)
        assert standing.vertices[:, 2].min() == 0
        assert signed_volume_mm3(standing) == pytest.approx(24000)
        assert sorted(extents_of(standing)) == [20, 30, 40]


def test_the_named_direction_ends_up_on_top() -> None:
    heights = {"x": 40, "y": 30, "z": 20}
    for name in TURNS:
        assert extents_of(turned(box(40, 30, 20), name))[2] == heights[name[1]]
    foot_down = turned(cylinder(10, 50, 16), "-z/0")
    assert extents_of(foot_down)[2] == pytest.approx(50)
    assert np.array_equal(turned(box(), AS_GIVEN).vertices, box().vertices)


def test_millimetres_taken_for_metres_are_seen_on_the_platform() -> None:
    words = fit_finding((150000, 90000, 12000), (250.0, 210.0, 200.0))
    assert words is not None
    assert words.words.endswith("If millimetres were taken for metres: 150 x 90 x 12 mm. Scale / 1000?")


def test_scaled_facts_are_those_of_the_scaled_model() -> None:
    for mesh in (box(5, 4, 2), without(sphere(2), 3000), without(box(5, 4, 2), 2, 3)):
        for factor in (0.1, 25.4):
            known, fresh = scaled_facts(facts_of(mesh), factor), facts_of(scaled(mesh, factor))
            assert known.findings == fresh.findings
            assert known.extents_mm == pytest.approx(fresh.extents_mm)
            assert known.volume_cm3 == pytest.approx(fresh.volume_cm3)
            assert known.doubt == pytest.approx(fresh.doubt)


def test_scaling_keeps_the_shape() -> None:
    assert extents_of(scaled(box(1, 2, 3), 25.4)) == pytest.approx((25.4, 50.8, 76.2))


def test_sizes_are_written_as_people_write_them() -> None:
    assert size_words((150, 90.04, 12.55)) == "150 x 90 x 12.6 mm"
    assert size_words((0.5, 1.25, 100)) == "0.5 x 1.25 x 100 mm"
