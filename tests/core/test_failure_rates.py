"""Rates of failed prints: edges, corrections, and the alarm by a simulation beside its exact chain."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from printcrib.core.errors import ShopError
from printcrib.core.failure_rates import (
    alarm_of,
    as_rare,
    attempts_a_good,
    corrected,
    failure_rate,
    limits_of,
    prints_to_alarm,
    step_of,
    unlike_the_rest,
)
from printcrib.core.troubles import ALARM_AT, ALARM_STEP, next_sum


@given(st.integers(0, 300), st.integers(0, 300))
def test_a_rate_lies_in_its_interval(failed: int, good: int) -> None:
    rate = failure_rate(failed, failed + good)
    assert 0.0 <= rate.low <= rate.high <= 1.0
    if rate.share is not None:
        assert rate.low <= rate.share <= rate.high


def test_how_a_rate_is_said() -> None:
    rate = failure_rate(4, 9)
    assert (rate.words, rate.share) == ("4 of 9", 4 / 9)
    assert failure_rate(0, 0).share is None
    assert (failure_rate(0, 7).low, failure_rate(7, 7).high) == (0.0, 1.0)
    for failed, prints in ((3, 2), (-1, 2)):
        with pytest.raises(ShopError):
            failure_rate(failed, prints)


@given(*[st.integers(0, 40)] * 4)
def test_a_comparison_is_a_chance_whichever_way_round(a: int, b: int, c: int, d: int) -> None:
    chance = as_rare((a, b), (c, d))
    assert 0.0 < chance <= 1.0
    assert chance == pytest.approx(as_rare((c, d), (a, b)))
    assert chance == pytest.approx(as_rare((b, a), (d, c)))


def test_many_comparisons_are_corrected() -> None:
    assert corrected([]) == []
    assert corrected([0.04, 0.01, 0.03]) == pytest.approx([0.06, 0.03, 0.06])
    assert corrected([0.6, 0.9]) == [1.0, 1.0]
    chances = unlike_the_rest([(9, 11), (2, 58), (1, 59)])
    assert chances[0] < 0.001 < chances[1]


def test_the_alarm_by_simulation() -> None:
    """At least 500 prints between false alarms, at most 25 to find a change from 5 to 20 %."""
    assert (step_of(0.05, 0.20), alarm_of(0.05, ALARM_STEP, 500.0)) == (ALARM_STEP, ALARM_AT)
    dice = random.Random(20261125)
    for failing, rounds in ((0.05, 600), (0.20, 3000)):
        took = 0
        for _ in range(rounds):
            total = 0
            while total < ALARM_AT:
                total = next_sum(total, dice.random() < failing)
                took += 1
        exact = prints_to_alarm(failing, ALARM_STEP, ALARM_AT)
        assert took / rounds == pytest.approx(exact, rel=0.12)
        assert exact >= 500.0 if failing == 0.05 else exact <= 25.0


def test_small_sums() -> None:
    assert attempts_a_good(0.25) == pytest.approx(4 / 3)
    assert limits_of(0, 20, 100) == (0.0, 0.0, 0.0)
    assert limits_of(1900, 20, 100)[2] <= 1.0
