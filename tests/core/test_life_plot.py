"""Lives as points: ties, late counting, and no line where there is none."""

import pytest

from printcrib.core.life import LifeUnit
from printcrib.core.life_plot import median_ranks, straight_line, surviving


def test_nothing_to_plot() -> None:
    assert surviving([]) == []
    assert median_ranks([]) == []
    assert straight_line([]) is None
    assert (
        straight_line(median_ranks([LifeUnit(5.0, True), LifeUnit(5.0, True), LifeUnit(0.0, True)])) is None
    )


def test_ties_fail_together_and_late_ones_are_not_at_risk_before() -> None:
    units = [LifeUnit(0.0, True), LifeUnit(5.0, True), LifeUnit(5.0, True), LifeUnit(9.0, False, entry=6.0)]
    assert surviving(units) == [(0.0, 0.75), (5.0, 0.0), (9.0, 0.0)]
    assert surviving([LifeUnit(5.0, True, entry=5.0)]) == [(5.0, 1.0)]


def test_without_unfailed_ones_ranks_are_whole() -> None:
    points = median_ranks([LifeUnit(age, True) for age in (3.0, 1.0, 2.0)])
    assert [age for age, _ in points] == [1.0, 2.0, 3.0]
    assert [share for _, share in points] == pytest.approx([(age - 0.3) / 3.4 for age in (1.0, 2.0, 3.0)])
