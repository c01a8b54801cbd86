"""Which mends a model's findings ask for."""

import pytest
from tests.core.estimating.solids import box, together

from printcrib.core.mending import DONE, SCALES, Mend, mended_name, mends_for
from printcrib.core.shapes import Mesh, facts_of, fit_finding, turned_outside_out


def asked(mesh: Mesh) -> tuple[Mend, ...]:
    return mends_for((finding.code, finding.words) for finding in facts_of(mesh).findings)


def test_small_models_ask_for_inches_and_very_small_ones_for_metres_too() -> None:
    assert asked(box(40, 30, 20)) == ()
    assert asked(box(6, 4, 1)) == (Mend.INCH,)
    assert asked(box(0.15, 0.09, 0.01)) == (Mend.INCH, Mend.METRE)
    assert asked(turned_outside_out(box(6, 4, 1))) == (Mend.INCH, Mend.TURN_ROUND)


def test_large_models_ask_for_the_way_back() -> None:
    for extents, mend in (((3810, 2286, 305), Mend.INCH_TWICE), ((150000, 90000, 12000), Mend.MM_AS_METRE)):
        finding = fit_finding(extents, (250.0, 210.0, 200.0))
        assert finding is not None
        assert mends_for([(finding.code, finding.words)]) == (mend,)


def test_bodies_that_overlap_ask_to_be_merged_once() -> None:
    assert mends_for([("overlapping", "a"), ("hollow", "b"), ("overlapping", "c")]) == (Mend.MERGE,)
    assert asked(together(box(), box(at=(50, 0, 0)))) == ()


def test_every_mend_says_what_it_did() -> None:
    assert set(DONE) == set(Mend)
    assert SCALES[Mend.INCH] * SCALES[Mend.INCH_TWICE] == pytest.approx(1)
    assert mended_name("bracket.STEP", Mend.INCH) == "bracket, scaled x 25.4.stl"
    assert mended_name("bracket", Mend.MM_AS_METRE) == "bracket, scaled by 1000.stl"
