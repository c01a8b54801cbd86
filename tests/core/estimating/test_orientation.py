"""Ways to lie on the platform: closed forms of supports, flat faces, and the order they are ranked in."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from tests.core.estimating.solids import box, cone, lathe, moved, sphere, together

from printcrib.core.advice import Rest
from printcrib.core.estimating import orientation
from printcrib.core.estimating.orientation import (
    CLEARING_MINUTES,
    SUPPORT_MINUTES_A_CM3,
    UNSTEADY_MINUTES,
    effort,
    facets_of,
    flat_faces,
    rank_rests,
    standing,
)
from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.settings import settings_with, typical_settings
from printcrib.core.shapes import TURNS, Mesh, extents_of


def untimed(mesh: Mesh) -> tuple[float, float]:
    """A printer that takes a minute a millimetre and needs no supports."""
    return extents_of(mesh)[2], 0.0


def estimated(mesh: Mesh) -> tuple[float, float]:
    part = estimate_part(mesh, settings_with(typical_settings(600), {"supports": 1}))
    return part.part_minutes, part.support_mm3


def table_top() -> Mesh:
    """A foot 20 x 20 x 30 with a top 60 x 20 x 10: as drawn 24 cm3 of room under the top."""
    return together(box(20, 20, 30), moved(box(60, 20, 10), -20, 0, 30))


def wedge() -> Mesh:
    """A block 40 x 40 x 30 whose top falls away at 30 degrees."""
    points: list[tuple[float, float, float]] = [
        (0, 0, 0),
        (40, 0, 0),
        (40, 40, 0),
        (0, 40, 0),
        (0, 0, 30),
        (0, 40, 30),
    ]
    drop = 30 - 40 * float(np.tan(np.deg2rad(30)))
    points += [(40, 0, drop), (40, 40, drop)]
    faces = [
        (0, 2, 1), (0, 3, 2), (0, 1, 6), (0, 6, 4), (1, 2, 7), (1, 7, 6),
        (2, 3, 5), (2, 5, 7), (3, 0, 4), (3, 4, 5), (4, 6, 7), (4, 7, 5),
    ]  # fmt: skip
    return Mesh(np.array(points, dtype=float), np.array(faces))


def by_words(rests: tuple[Rest, ...]) -> dict[str, Rest]:
    return {rest.words: rest for rest in rests}


def test_a_table_top_lies_on_its_side() -> None:
    rests = rank_rests(table_top(), estimated)
    assert rests[0].words == "front down"
    assert rests[0].turn == list(TURNS).index("+y/0")
    assert not rests[0].needs_support
    assert rests[0].reason.startswith("no support, 20 mm tall, about ")
    drawn = by_words(rests)["as drawn"]
    assert drawn.support_cm3 == pytest.approx(24, rel=0.02)
    assert drawn.reason.startswith("23.9 cm3 of support, 40 mm tall")
    assert drawn.foot_cm2 == pytest.approx(4)


def test_the_quick_judgement_of_supports_is_the_closed_form(monkeypatch: pytest.MonkeyPatch) -> None:
    """Underside times height, on an end: the foot's 20 x 30 side hangs 20 mm high, 12 cm3."""
    monkeypatch.setattr(orientation, "TRIED", 0)
    rests = by_words(rank_rests(table_top(), untimed))
    assert len(rests) == 4  # both ends and both sides are alike
    assert rests["as drawn"].minutes == 40  # the present way is always tried
    ends = rests["left side down"]
    assert ends.minutes is None
    assert ends.support_cm3 == pytest.approx(12)
    assert ends.reason == "12.0 cm3 of support, 60 mm tall"


def test_a_cube_has_one_way_to_lie() -> None:
    (only,) = rank_rests(box(20, 20, 20), untimed)
    assert (only.words, only.turn, only.support_cm3, only.foot_cm2) == ("as drawn", 0, 0, 4)


def test_the_present_turn_stands_for_those_like_it_and_is_estimated() -> None:
    now = list(TURNS).index("-x/90")
    (only,) = rank_rests(box(20, 20, 20), untimed, current=now)
    assert only.words == "right side down"
    tall = list(TURNS).index("-x/0")
    rests = rank_rests(table_top(), untimed, current=tall)
    assert by_words(rests)["right side down"].minutes is not None


def test_what_fits_no_printer_is_left_out() -> None:
    low: Callable[[float, float, float], bool] = lambda width, depth, height: height <= 30  # noqa: E731
    rests = rank_rests(table_top(), untimed, low)
    assert [rest.words for rest in rests] == ["front down"]
    assert rank_rests(table_top(), untimed, lambda width, depth, height: False) == ()


def test_a_flat_face_askew_is_found_and_lies_flat() -> None:
    """The sloping face is 40 x 40 / cos 30 = 18.5 cm2; laid down it is the foot."""
    model = wedge()
    (down,) = flat_faces(facets_of(model))
    assert down == pytest.approx([0.5, 0, np.sqrt(3) / 2])
    rest = next(rest for rest in rank_rests(model, untimed) if rest.turn is None)
    assert rest.words == "on a flat face of 18.5 cm2"
    laid = standing(model, rest)
    facets = facets_of(laid)
    touching = (facets.middle[:, 2] < 1e-9) & (facets.normal[:, 2] < -1 + 1e-9)
    assert facets.area_mm2[touching].sum() == pytest.approx(1600 / np.cos(np.deg2rad(30)))
    width, depth, _ = sorted(extents_of(laid))[::-1]
    assert sorted(extents_of(laid)[:2]) == pytest.approx(sorted((40.0, max(extents_of(laid)[:2]))))
    assert width >= depth
    assert facets.area_mm2.sum() == pytest.approx(facets_of(model).area_mm2.sum())


def test_a_ball_has_no_flat_face_and_a_small_foot() -> None:
    assert flat_faces(facets_of(sphere(20))) == []
    assert not any(rest.steady for rest in rank_rests(sphere(20, 64, 40), untimed))
    assert rank_rests(sphere(20, 64, 40), untimed)[0].reason.endswith("small foot for its height")


def test_a_face_no_one_can_stand_on_is_left_out() -> None:
    """A hollow between two rims: the sloping flats look outwards but do not touch when laid down."""
    spool = lathe([(20, 0), (20, 4), (8, 10), (8, 14), (20, 20), (20, 24)], 6)
    assert all(rest.turn is not None for rest in rank_rests(spool, untimed))


def test_never_more_than_eight_flat_faces() -> None:
    assert len(flat_faces(facets_of(lathe([(20, 0), (20, 40)], 20)))) == 8


def test_what_a_way_costs() -> None:
    still = Rest("as drawn", 0, (0, 0, -1), support_cm3=0, foot_cm2=4, height_mm=20, minutes=30, bore_um=600)
    assert effort(still) == 30
    assert still.reason == "no support, 20 mm tall, about 30 min on 0.6"
    assert replace(still, bore_um=None).reason == "no support, 20 mm tall, about 30 min"
    held = Rest("upside down", 4, (0, 0, 1), 10, 0.1, 20, minutes=30, steady=False)
    assert effort(held) == 30 + 10 * SUPPORT_MINUTES_A_CM3 + CLEARING_MINUTES + UNSTEADY_MINUTES


def test_a_point_is_not_stood_on() -> None:
    rests = by_words(rank_rests(cone(10, 30), untimed))
    assert rests["as drawn"].steady
    assert not rests["upside down"].steady
    assert rests["upside down"].foot_cm2 == 0
