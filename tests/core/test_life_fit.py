"""The fit without a guess, and failures found only at inspections."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from printcrib.core.life import Forecast, LifeUnit
from printcrib.core.life_fit import NO_FIT, NOT_YET, LifeFit, fit_life

FAILED = tuple(LifeUnit(age, True) for age in (300.0, 410.0, 520.0, 700.0, 640.0))
GOOD = tuple(LifeUnit(age, False) for age in (500.0, 800.0))


def fitted(units: tuple[LifeUnit, ...]) -> LifeFit:
    """The fit, which is there."""
    fit = fit_life(units)
    assert isinstance(fit, LifeFit)
    return fit


def test_fewer_than_four_failures_are_not_fitted() -> None:
    assert fit_life(()) == NOT_YET
    assert fit_life(FAILED[:3] + GOOD) == NOT_YET
    assert fit_life((*FAILED[:3], LifeUnit(0.0, True), *GOOD)) == NOT_YET


@pytest.mark.parametrize(
    "units",
    [
        (LifeUnit(500.0, True),) * 4,
        (*((LifeUnit(500.0, True),) * 4), LifeUnit(300.0, False)),
        (*((LifeUnit(500.0, True, 0.0, 400.0),) * 4), LifeUnit(300.0, False)),
        tuple(LifeUnit(age, True, 0.0, 0.0) for age in (300.0, 400.0, 500.0, 500.0)),
        (
            *(LifeUnit(age, True, 0.0, 0.0) for age in (1e-12, 1e-12, 3e-7)),
            LifeUnit(1e-12, True, 1e-12),
        ),
    ],
    ids=["ties", "longest", "inspected", "never known good", "not watched"],
)
def test_where_no_shape_is_the_likeliest_it_says_so(units: tuple[LifeUnit, ...]) -> None:
    assert fit_life(units) == NO_FIT


def test_the_interval_holds_the_fit_and_reliability_falls() -> None:
    fit = fitted(FAILED + GOOD)
    low, high = fit.shape_90
    short, long = fit.scale_90
    assert low is not None
    assert high is not None
    assert short is not None
    assert long is not None
    assert low < fit.shape < high
    assert short < fit.scale < long
    assert fit.lasts(0.0) == 1.0
    assert fit.lasts(fit.scale) == pytest.approx(math.exp(-1))
    assert fit.lasts(1e12) == 0.0


def test_a_weight_is_as_many_alike_aids() -> None:
    doubled = fitted(FAILED + FAILED + GOOD + GOOD)
    weighed = fitted(tuple(LifeUnit(each.age, each.failed, weight=2.0) for each in FAILED + GOOD))
    assert weighed.shape == pytest.approx(doubled.shape)
    assert weighed.scale_90 == pytest.approx(doubled.scale_90)
    twice = Forecast(600.0, FAILED + FAILED + GOOD + GOOD)
    heavy = Forecast(600.0, tuple(LifeUnit(each.age, each.failed, weight=2.0) for each in FAILED + GOOD))
    assert heavy.median == pytest.approx(twice.median)


def test_inspections_a_hair_apart_are_exact_failures() -> None:
    close = tuple(LifeUnit(each.age, True, 0.0, each.age * 0.9999) for each in FAILED)
    assert fitted(close + GOOD).shape == pytest.approx(fitted(FAILED + GOOD).shape, rel=1e-3)
    exact, found = Forecast(600.0, FAILED + GOOD), Forecast(600.0, close + GOOD)
    for believed in (0.05, 0.5, 0.95):
        assert found.worn_out_at(0.1, believed) == pytest.approx(exact.worn_out_at(0.1, believed), rel=2e-4)
    assert found.remaining(400.0, 0.9) == pytest.approx(exact.remaining(400.0, 0.9), rel=2e-4)
    assert found.shape_median == pytest.approx(exact.shape_median, rel=2e-4)


def test_a_failure_found_late_is_worth_less_life() -> None:
    found = tuple(LifeUnit(each.age, True, 0.0, each.age * 0.5) for each in FAILED)
    assert Forecast(600.0, found).median < Forecast(600.0, FAILED).median
    assert fitted(found + GOOD).scale < fitted(FAILED + GOOD).scale


def test_found_failures_against_the_closed_form() -> None:
    """Never known good: 1 - exp(-rate x^beta) is a difference of two Gamma integrals."""
    start = 1 / (2 ** (1 / 0.6) - 1)
    above = below = 0.0
    for index in range(31):
        z = 3.2 * (2 * index / 30 - 1)
        beta = 2.5 * math.exp(0.35 * z)
        for sign, more in ((1, 0.0), (-1, 0.5**beta)):
            rate = start + 0.4**beta + more
            below += sign * math.exp(-z * z / 2) * rate**-0.6
            above += sign * math.exp(-z * z / 2) * (rate + 0.9**beta) ** -0.6
    units = (LifeUnit(500.0, True, 0.0, 0.0), LifeUnit(400.0, False))
    assert Forecast(1000.0, units).lasts(900.0) == pytest.approx(above / below, abs=1e-9)


def test_it_was_good_when_counting_began() -> None:
    unit = LifeUnit(500.0, True, 300.0, 100.0)
    assert (unit.began, unit.known_good, unit.found) == (300.0, 300.0, True)
    assert LifeUnit(500.0, False, 0.0, 100.0).known_good == 500.0
    assert not LifeUnit(500.0, True, 0.0, 500.0).found


def test_the_middle_of_the_shape() -> None:
    assert Forecast(600.0).shape_median == pytest.approx(2.5)
    spread = tuple(LifeUnit(age, True) for age in (5.0, 100.0, 600.0, 3000.0))
    tight = tuple(LifeUnit(600.0, True) for _ in range(40))
    assert Forecast(600.0, spread).shape_median < 2.5 < Forecast(600.0, tight).shape_median
    edge = Forecast(600.0, (LifeUnit(600.0, True, weight=1e9),))
    assert edge.shape_median == pytest.approx(2.5 * math.exp(0.35 * 3.2))


@st.composite
def aids(draw: st.DrawFn) -> list[LifeUnit]:
    """Aids in parts of their expected life: ties, no use, late counting, inspections, weights."""
    made = []
    for _ in range(draw(st.integers(0, 12))):
        age = draw(st.sampled_from([0.0, 1e-6, 0.3, 1.0, 1.0, 2.0, 50.0]) | st.floats(0, 20))
        entry = age * draw(st.sampled_from([0.0, 0.0, 0.5, 1.0]))
        good = draw(st.sampled_from([None, None, 0.0, age / 2, age]))
        made.append(LifeUnit(age, draw(st.booleans()), entry, good, draw(st.sampled_from([1.0, 1.0, 2.5]))))
    return made


@settings(max_examples=20, deadline=None)
@given(aids(), st.sampled_from([1e-6, 1.0, 600.0, 1e9]))
def test_any_aids_give_an_answer_without_holes(units: list[LifeUnit], scale: float) -> None:
    """Every number of failures, ties, all good, the only failure the longest, no use: finite answers."""
    scaled = tuple(
        LifeUnit(
            scale * each.age,
            each.failed,
            scale * each.entry,
            None if each.last_good is None else scale * each.last_good,
            each.weight,
        )
        for each in units
    )
    forecast = Forecast(scale, scaled)
    told = [forecast.median, forecast.shape_median, forecast.remaining(scale, 0.99)]
    told += [forecast.worn_out_at(0.1, believed) for believed in (0.05, 0.5, 0.95)]
    assert all(math.isfinite(each) and each >= 0.0 for each in told)
    assert told[3] <= told[4] <= told[5]
    fit = fit_life(scaled)
    if isinstance(fit, LifeFit):
        ends = [each for each in (*fit.shape_90, *fit.scale_90) if each is not None]
        assert all(math.isfinite(each) and each > 0.0 for each in (fit.shape, fit.scale, *ends))
    else:
        assert fit in (NOT_YET, NO_FIT)
