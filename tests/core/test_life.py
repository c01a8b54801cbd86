"""The life of a size: limits, monotony, and data that break other estimators."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from printcrib.core.life import Forecast, LifeUnit, family


def test_a_new_size_lasts_as_long_as_the_shop_guesses() -> None:
    forecast = Forecast(600.0)
    assert forecast.failures == 0
    assert forecast.median == pytest.approx(600.0)
    assert forecast.lasts(600.0) == pytest.approx(0.5)
    wears_from, wears_to = forecast.wears_out
    assert (round(wears_from), round(wears_to)) == (440, 841)
    assert forecast.lasts(wears_from) == pytest.approx(2 / 3)
    assert forecast.lasts(wears_to) == pytest.approx(1 / 3)


def test_what_wore_out_shortens_and_what_holds_lengthens() -> None:
    guess = Forecast(600.0)
    worn = Forecast(600.0, tuple(LifeUnit(300, True) for _ in range(3)))
    holding = Forecast(600.0, tuple(LifeUnit(900, False) for _ in range(3)))
    assert worn.median < guess.median < holding.median


def test_an_aid_counted_from_late_on_says_less() -> None:
    whole = Forecast(600.0, (LifeUnit(900, False),))
    late = Forecast(600.0, (LifeUnit(900, False, entry=800),))
    assert Forecast(600.0).median < late.median < whole.median


def test_a_failure_at_no_use_is_a_fault_of_the_print() -> None:
    assert Forecast(600.0, (LifeUnit(0, True),)).median == Forecast(600.0).median


def test_without_a_guess_there_is_no_forecast() -> None:
    assert family(None, ()) is None
    assert family(0, ()) is None
    assert family(250, [LifeUnit(10, False)]) == Forecast(250.0, (LifeUnit(10, False),))


@given(
    st.lists(st.tuples(st.floats(0, 50), st.booleans()), max_size=12),
    st.sampled_from([1e-6, 1.0, 600.0, 1e9]),
    st.floats(0, 50),
    st.sampled_from([0.5, 0.8, 0.9, 0.99]),
)
def test_any_data_give_a_life(lives: list[tuple[float, bool]], guess: float, age: float, sure: float) -> None:
    """All failed, none failed, ties, no use at all, tiny and huge units: a finite answer that means it."""
    forecast = Forecast(guess, tuple(LifeUnit(guess * each, failed) for each, failed in lives))
    left = forecast.remaining(guess * age, sure)
    assert math.isfinite(left)
    assert left >= 0.0
    if left > 1e-6 * guess * max(age, 1e-3):  # below that the age itself has no finer floats
        assert forecast.lasts(left, guess * age) == pytest.approx(sure, abs=1e-6)


@given(st.floats(1, 5000), st.floats(0, 5000))
def test_to_be_surer_is_to_count_on_less(age: float, further: float) -> None:
    forecast = Forecast(1000.0, (LifeUnit(700, True), LifeUnit(400, False)))
    assert forecast.remaining(age, 0.99) <= forecast.remaining(age, 0.9) <= forecast.remaining(age, 0.8)
    assert 0.0 < forecast.lasts(further, age) <= 1.0
    assert forecast.lasts(further, age) >= forecast.lasts(further + 10.0, age)


def test_belief_grows_with_use() -> None:
    forecast = Forecast(1000.0)
    assert forecast.belief_worn_out(0.1, 100.0) < forecast.belief_worn_out(0.1, 400.0)
    assert forecast.worn_out_at(0.5, 0.5) == pytest.approx(1000.0, rel=0.3)
    assert forecast.worn_out_at(0.1, 1e-9) < forecast.worn_out_at(0.1, 0.5)
