"""The life of aids against the literature.

The conjugate estimator has no published tables of its own. It is checked two ways: its limiting cases
against published fits, and its figures against values computed by two independent codes (regression
values, marked so).
"""

import math
import random

import pytest

from printcrib.core.life import Forecast, LifeUnit

BALL_BEARINGS = (
    *(17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.40, 51.84, 51.96, 54.12, 55.56, 67.80),
    *(68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.40),
)
"""Endurance of 23 deep-groove ball bearings, million turns: Lieblein and Zelen, Journal of Research of the
National Bureau of Standards 57 (1956) 273-316. Maximum likelihood: shape 2.10, scale 81.9."""

NIST = (54, 187, 216, 240, 244, 335, 361, 373, 375, 386)
"""Ten failures of twenty units, ten unfailed at 500 h: NIST/SEMATECH e-Handbook of Statistical Methods,
section 8.4.1.3. Maximum likelihood: shape 1.7208, scale 606.5280."""


def weibull_life(share: float, shape: float, scale: float) -> float:
    """The use by which a share is worn out: scale (-ln(1 - share))^(1/shape)."""
    return float(scale * (-math.log1p(-share)) ** (1 / shape))


@pytest.mark.parametrize("share", [0.1, 0.25, 0.5, 0.75])
def test_with_many_failures_the_guess_hardly_counts(share: float) -> None:
    """The published fit of the ball bearings lies in the middle 80 % of belief, and near its median."""
    units = tuple(LifeUnit(age, True) for age in BALL_BEARINGS)
    for guess in (40.0, 70.0, 140.0):
        forecast = Forecast(guess, units)
        published = weibull_life(share, 2.10, 81.9)
        assert forecast.worn_out_at(share, 0.1) < published < forecast.worn_out_at(share, 0.9)
        assert forecast.worn_out_at(share, 0.5) == pytest.approx(published, rel=0.12)


@pytest.mark.parametrize("share", [0.1, 0.25, 0.5])
def test_unfailed_units_are_censored_not_left_out(share: float) -> None:
    units = tuple(LifeUnit(age, True) for age in NIST) + (LifeUnit(500, False),) * 10
    forecast = Forecast(500.0, units)
    published = weibull_life(share, 1.7208, 606.5280)
    assert forecast.worn_out_at(share, 0.1) < published < forecast.worn_out_at(share, 0.9)
    assert forecast.worn_out_at(share, 0.5) == pytest.approx(published, rel=0.2)


def test_figures_of_two_independent_codes() -> None:
    """Regression values computed here by two independent codes; not outside proof."""
    ages = (400, 500, 600, 700, 800)
    forecast = Forecast(1000.0, tuple(LifeUnit(age, age == 500) for age in ages))
    assert forecast.worn_out_at(0.1, 0.05) == pytest.approx(267.9, abs=0.05)
    assert forecast.worn_out_at(0.1, 0.50) == pytest.approx(509.5, abs=0.05)
    assert forecast.worn_out_at(0.1, 0.95) == pytest.approx(1000.7, abs=0.05)
    assert forecast.remaining(700, 0.9) == pytest.approx(80.2, abs=0.05)
    assert forecast.lasts(200, 700) == pytest.approx(0.7511, abs=5e-5)


def test_intervals_cover_what_they_say() -> None:
    """With the truth drawn from the prior a 90 % interval of B10 covers 88.5 to 91.5 % (1500 shops)."""
    dice = random.Random(20261125)
    covered = 0
    shops = 1500
    for _ in range(shops):
        shape = 2.5 * math.exp(0.35 * max(-3.2, min(3.2, dice.gauss(0, 1))))
        rate = dice.gammavariate(0.6, 2 ** (1 / 0.6) - 1)
        scale = rate ** (-1 / shape)
        units = []
        for _ in range(dice.choice((2, 4, 8))):
            life, seen = scale * dice.expovariate(1.0) ** (1 / shape), dice.uniform(0.2, 1.2)
            units.append(LifeUnit(min(life, seen), life <= seen))
        forecast = Forecast(1.0, tuple(units))
        truth = weibull_life(0.1, shape, scale)
        low = forecast.belief_worn_out(0.1, truth)
        covered += 0.05 <= low <= 0.95
    assert 0.885 <= covered / shops <= 0.915
