"""Pareto of causes and the alarm that something changed."""

import numpy as np
import pytest

from printcrib.core.causes import group_of
from printcrib.core.runs import Failure
from printcrib.core.troubles import ALARM_AT, next_sum, pareto, something_changed


def failure(cause: str, mg: int = 0, minutes: float = 0.0) -> Failure:
    return Failure(run_id=1, cause=cause, cause_group=group_of(cause).value, mg_lost=mg, minutes_lost=minutes)


def test_pareto_by_count_grams_and_minutes_with_the_unknown_last() -> None:
    unknown = [failure("not known yet", 1000) for _ in range(5)]
    bars = pareto([*unknown, failure("damp", 10, 1.5), failure("knocked", 20), failure("damp", 30, 2.0)])
    assert [bar.cause for bar in bars] == ["damp", "knocked", "not known yet"]
    assert (bars[0].count, bars[0].mg_lost, bars[0].minutes_lost, bars[0].group) == (2, 40, 3.5, "material")
    assert bars[2].count == 5
    assert pareto([]) == ()


def test_equal_counts_go_by_grams() -> None:
    bars = pareto([failure("damp", 10), failure("knocked", 20)])
    assert [bar.cause for bar in bars] == ["knocked", "damp"]


@pytest.mark.parametrize(("failing", "prints"), [(0.05, 593.0), (0.20, 22.7)])
def test_prints_to_an_alarm_by_exact_markov_chain(failing: float, prints: float) -> None:
    # Two independent codes: p0 .05 to p1 .20, m 9, H 21: 593 prints between false alarms, found in 22.7.
    chain, ones = np.eye(ALARM_AT), np.ones(ALARM_AT)
    for total in range(ALARM_AT):
        for bad, chance in ((True, failing), (False, 1 - failing)):
            after = next_sum(total, bad)
            if after < ALARM_AT:
                chain[total, after] -= chance
    assert np.linalg.solve(chain, ones)[0] == pytest.approx(prints, rel=1e-3, abs=0.05)


def test_an_alarm_stays_until_good_prints_wore_it_down() -> None:
    assert not something_changed([])
    assert not something_changed([True, True])
    assert something_changed([True, True, True])
    assert something_changed([True, True, True] + [False] * 23)
    assert not something_changed([True, True, True] + [False] * 24)
