"""Features narrower than a line: closed forms of fins, slots and tips, and what is recommended for them."""

from itertools import pairwise

import numpy as np
import pytest
from tests.core.estimating.solids import box, cone, cylinder, moved, sphere, together, tube

from printcrib.core.advice import NozzleFit, Thread, loss_short, loss_words, recommend
from printcrib.core.estimating.features import (
    MOST_LAYERS,
    distinct,
    feature_losses,
    places_as_json,
    places_from_json,
)
from printcrib.core.estimating.sections import sections
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.shapes import Mesh


def fit(bore_um: int) -> NozzleFit:
    settings = typical_settings(bore_um)
    return NozzleFit(bore_um, settings.line_width_mm, settings.layer_height_mm)


FOUR = tuple(fit(bore) for bore in (400, 600, 800, 1000))


def with_fin(thick: float) -> Mesh:
    """A block 40 x 30 x 20 with a fin 12 mm long up its whole height."""
    return together(box(40, 30, 20), moved(box(thick, 12.5, 20), 20, -12))


@pytest.mark.parametrize("thick", [0.3, 0.5, 0.7, 1.0])
def test_a_fin_narrower_than_a_line_is_lost_whole(thick: float) -> None:
    for loss in feature_losses(with_fin(thick), FOUR):
        lost = 12 * thick if thick < loss.fit.line_width_mm else 0.0
        assert loss.fit.lost_mm2 == pytest.approx(lost, abs=1e-6)
        assert loss.fit.lost_percent == pytest.approx(100 * lost / (1200 + 12 * thick), abs=1e-6)
        assert loss.fit.welded_mm2 == 0
        assert loss.fit.loses == (lost > 0)


def test_a_wall_of_one_line_is_kept() -> None:
    (loss,) = feature_losses(with_fin(0.44), [fit(400)])
    assert loss.fit.lost_percent == 0


@pytest.mark.parametrize("wide", [0.4, 0.8])
def test_a_slot_narrower_than_a_line_is_welded_shut(wide: float) -> None:
    """A closed slot between two blocks joined by a base: welded from the base up, over its whole length."""
    model = together(
        box(40, 30, 5),
        moved(box(20 - wide / 2, 30, 20), 0, 0, 5),
        moved(box(20 - wide / 2, 30, 20), 20 + wide / 2, 0, 5),
    )
    for loss in feature_losses(model, FOUR):
        welded = 30 * wide if wide < loss.fit.line_width_mm else 0.0
        assert loss.fit.welded_mm2 == pytest.approx(welded, abs=1e-6)
        assert loss.fit.welds == (welded > 0)
        if welded:
            assert loss.fit.welded_at_mm == pytest.approx(15, abs=0.5)
            (place,) = loss.places
            assert place.welded
            assert [place.from_mm, place.to_mm] == pytest.approx([5, 25], abs=0.5)


def test_where_it_goes_is_told_and_kept() -> None:
    """A rib 0.5 x 40 on top of a plate, from 10 to 14 mm: all of its section goes, found at 12 mm."""
    model = together(box(40, 40, 10), moved(box(40, 0.5, 4), 0, 20, 10))
    losses = feature_losses(model, FOUR)
    assert [loss.fit.lost_percent for loss in losses] == [0, 100, 100, 100]
    assert losses[2].fit.lost_at_mm == pytest.approx(12, abs=0.3)
    assert loss_words(losses[2].fit) == "loses 100 % of the section at z = 12"
    kept = places_as_json(losses)
    assert places_from_json(kept, losses[0].fit.line_width_mm) == ()
    (place,) = places_from_json(kept, losses[2].fit.line_width_mm)
    assert not place.welded
    assert [place.from_mm, place.to_mm] == pytest.approx([10, 14], abs=0.2)
    assert place.outline.min(axis=0) == pytest.approx([0, 20], abs=0.02)
    assert place.outline.max(axis=0) == pytest.approx([40, 20.5], abs=0.02)


@pytest.mark.parametrize(
    "model",
    [box(), cylinder(10, 20), sphere(12), tube(10, 6, 20), cone(20, 20)],
    ids=["box", "rod", "ball", "tube", "point"],
)
def test_a_sound_shape_loses_nothing(model: Mesh) -> None:
    """Sharp corners are kept, and the tip of a point is no feature."""
    losses = feature_losses(model, FOUR)
    assert all(not loss_words(loss.fit) for loss in losses)
    assert places_as_json(losses) == b""
    assert places_from_json(b"", 0.44) == ()


def test_a_needle_is_lost() -> None:
    """A cone of 1 mm radius and 20 mm height is thinner than a 0.6 nozzle's line above 13.4 mm."""
    (loss,) = feature_losses(cone(1, 20), [fit(600)])
    lowest = min(place.from_mm for place in loss.places)
    assert loss.fit.lost_percent == pytest.approx(100)
    assert lowest == pytest.approx(20 * (1 - 0.33), abs=0.3)


def test_nothing_asked_nothing_said() -> None:
    assert feature_losses(box(), []) == ()


def test_layers_alike_are_looked_at_once_and_never_too_many() -> None:
    assert len(distinct(sections(box(), 0.2))) == 1
    slopes = distinct(sections(cone(20, 60), 0.2))
    assert len(slopes) <= MOST_LAYERS
    assert slopes[0].first == 0
    assert slopes[-1].after == 300
    assert all(low.after == high.first for low, high in pairwise(slopes))


def test_empty_layers_between_two_bodies_do_no_harm() -> None:
    floating = together(box(10, 10, 5), moved(box(10, 10, 5), 0, 0, 20))
    assert not any(loss.places for loss in feature_losses(floating, FOUR))


def lossy(bore_um: int, percent: float = 0.0, welded: float = 0.0, mm2: float = 0.0) -> NozzleFit:
    one = fit(bore_um)
    return NozzleFit(
        bore_um, one.line_width_mm, one.layer_height_mm, percent, mm2 or percent, 14.0, welded, welded, 2.5
    )


def test_the_quickest_nozzle_that_keeps_all_is_recommended() -> None:
    fits = [lossy(400), lossy(600), lossy(800, 12), lossy(1000, 20)]
    told = recommend(fits)
    assert told is not None
    assert (told.bore_um, told.words) == (600, "0.8 mm loses 12 % of the section at z = 14: use 0.6.")
    slow = recommend(fits, minutes={400: 30.0, 600: 40.0, 800: 20.0, 1000: 10.0})
    assert slow is not None
    assert slow.bore_um == 400


def test_what_may_not_be_used_is_not_recommended() -> None:
    only = recommend([lossy(400), lossy(600)], allowed=[400])
    assert only is not None
    assert only.words == "Use 0.4: it keeps every feature and is the only one allowed."
    two = recommend([lossy(400), lossy(600), lossy(800)], allowed=[400, 600])
    assert two is not None
    assert two.words == "Use 0.6: it keeps every feature and is the widest."
    quick = recommend([lossy(400), lossy(600)], minutes={400: 50.0, 600: 40.0})
    assert quick is not None
    assert quick.words == "Use 0.6: it keeps every feature and is done soonest."
    assert recommend([lossy(400)], allowed=[600]) is None


def test_where_all_lose_the_least_harm_is_recommended() -> None:
    told = recommend([lossy(600, 3), lossy(800, 12, welded=5)], allowed=[600, 800])
    assert told is not None
    assert told.words == "Use 0.6: it comes closest, but loses 3 % of the section at z = 14."
    finer = recommend([lossy(400), lossy(600, 3), lossy(800, 12)], allowed=[600, 800])
    assert finer is not None
    assert finer.words == "Use 0.6: it comes closest, but loses 3 % of the section at z = 14; 0.4 keeps it."


def test_what_is_said_of_small_losses_slots_and_threads() -> None:
    assert loss_words(lossy(400, 0.2, mm2=0.5)) == ""
    assert loss_words(lossy(400, 0.2, mm2=6.0)) == "loses 6.0 mm2 of the section at z = 14"
    assert loss_words(lossy(400, welded=4)) == "welds slots shut at z = 2.5 (4 %)"
    thread = Thread(pitch_mm=1.5, from_mm=0, to_mm=20, diameter_mm=10, inside=False)
    assert loss_words(lossy(800), [thread]) == "is too coarse for the 1.5 mm pitch thread"
    assert loss_words(lossy(400), [Thread(3.0, 0, 20, 10, True)]) == ""
    assert loss_short(lossy(800, 12)) == "loses 12 %, z 14"
    assert loss_short(lossy(400, welded=4)) == "welds slots, z 2.5"
    assert loss_short(lossy(800), [thread]) == "thread too fine"
    assert loss_short(lossy(400), [Thread(3.0, 0, 20, 10, True)]) == ""
    harm = recommend([lossy(600), lossy(800)], [thread], {600: 50, 800: 40}, allowed=[600, 800])
    assert harm is not None
    assert harm.words == "Use 0.6: it comes closest, but is too coarse for the 1.5 mm pitch thread."


def test_a_hundred_thousand_triangles_are_looked_at() -> None:
    losses = feature_losses(sphere(20, 256, 200), FOUR)
    assert len(losses) == 4
    assert np.all([loss.fit.lost_percent == 0 for loss in losses])
