"""Fits of lives, replacement ages, spares and rates of failed prints against the literature.

Figures marked own were computed by two independent codes: regression values, not outside proof.
"""

import math

import numpy as np
import pytest
from scipy import stats
from tests.published.test_life_of_aids import BALL_BEARINGS, NIST

from printcrib.core.failure_rates import (
    as_rare,
    attempts_a_good,
    failure_rate,
    grams_a_good,
    limits_of,
    prints_to_alarm,
    step_of,
)
from printcrib.core.life import LifeUnit
from printcrib.core.life_fit import LifeFit, LogLikelihood, fit_life
from printcrib.core.life_plot import median_ranks, straight_line, surviving
from printcrib.core.replacing import cheapest_age, copies_to_print, cost_a_use, fewest_spares, known_age

Ages = tuple[float, ...]
QUALITY_FAILED: Ages = (45, 46, 34, 45, 32, 24, 58, 79, 56, 63, 34, 50)
QUALITY_GOOD: Ages = (23, 24, 57, 78, 76, 85, 51, 59)
"""Journal of Quality Technology 1997, doi 10.1080/00224065.1997.11979730: 2.7540 (1.4977 to 4.0102),
67.9188 (53.8755 to 81.9622), plain 95 % intervals about the fit."""

HANDBOOK_FAILED: Ages = (1500, 2250, 4000, 4300, 7000)
HANDBOOK_GOOD: Ages = (1750, 5000)
"""Abernethy, The New Weibull Handbook, appendix C.5: 2.257, 4900.1 by maximum likelihood."""

FITS = [
    pytest.param(NIST, (500,) * 10, 1.7208, 606.5280, id="NIST/SEMATECH e-Handbook 8.4.1.3"),
    pytest.param(QUALITY_FAILED, QUALITY_GOOD, 2.7540, 67.9188, id="Journal of Quality Technology 1997"),
    pytest.param(HANDBOOK_FAILED, HANDBOOK_GOOD, 2.257, 4900.1, id="Abernethy C.5"),
    pytest.param(BALL_BEARINGS, (), 2.101847, 81.87456, id="Lieblein and Zelen 1956 (digits own)"),
]


def units(failed: Ages, good: Ages) -> list[LifeUnit]:
    """Failed aids and aids still good."""
    return [LifeUnit(age, True) for age in failed] + [LifeUnit(age, False) for age in good]


def fitted(failed: Ages, good: Ages) -> LifeFit:
    """The fit, which is there."""
    fit = fit_life(units(failed, good))
    assert isinstance(fit, LifeFit)
    return fit


def half_a_digit(published: float) -> float:
    """1e-4, or half of the last published digit where that is more."""
    digits = len(f"{published}".partition(".")[2])
    return max(1e-4, 0.5 * 10.0**-digits)


@pytest.mark.parametrize(("failed", "good", "shape", "scale"), FITS)
def test_fits_of_the_literature(failed: Ages, good: Ages, shape: float, scale: float) -> None:
    fit = fitted(failed, good)
    assert fit.shape == pytest.approx(shape, abs=half_a_digit(shape))
    assert fit.scale == pytest.approx(scale, abs=half_a_digit(scale) + 5e-4)


@pytest.mark.parametrize(("failed", "good", "shape", "scale"), FITS)
def test_scipy_fits_the_same(failed: Ages, good: Ages, shape: float, scale: float) -> None:
    beside = stats.weibull_min.fit(stats.CensoredData(failed, right=list(good)), floc=0)
    fit = fitted(failed, good)
    assert fit.shape == pytest.approx(beside[0], rel=2e-4)
    assert fit.scale == pytest.approx(beside[2], rel=2e-4)
    assert fit.shape == pytest.approx(shape, abs=1e-2)
    assert fit.scale == pytest.approx(scale, rel=1e-4)


def test_moments_and_likelihood_of_the_handbook() -> None:
    fit = fitted(NIST, (500,) * 10)
    assert fit.log_likelihood == pytest.approx(-75.135, abs=5e-4)
    assert 2 * 2 - 2 * fit.log_likelihood == pytest.approx(154.27, abs=5e-3)
    law = stats.weibull_min(fit.shape, scale=fit.scale)
    assert law.mean() == pytest.approx(540.737, abs=2e-3)
    assert law.std() == pytest.approx(323.806, abs=2e-3)


def test_plain_intervals_of_the_same_likelihood() -> None:
    """The published ones are plain; ours follow the likelihood, which must have the same curvature."""
    fit = fitted(QUALITY_FAILED, QUALITY_GOOD)
    likely = LogLikelihood(units(QUALITY_FAILED, QUALITY_GOOD))

    def value(shape: float, scale: float) -> float:
        return likely.of(shape, -shape * math.log(scale / likely.unit))

    top, da, db = value(fit.shape, fit.scale), 1e-3 * fit.shape, 1e-3 * fit.scale
    aa = (value(fit.shape + da, fit.scale) - 2 * top + value(fit.shape - da, fit.scale)) / da**2
    bb = (value(fit.shape, fit.scale + db) - 2 * top + value(fit.shape, fit.scale - db)) / db**2
    corners = [value(fit.shape + i * da, fit.scale + j * db) * i * j for i in (1, -1) for j in (1, -1)]
    ab = sum(corners) / (4 * da * db)
    doubt = np.sqrt(np.diag(np.linalg.inv(-np.array([[aa, ab], [ab, bb]]))))
    reach = stats.norm.ppf(0.975) * doubt
    assert fit.shape - reach[0] == pytest.approx(1.4977, abs=2e-4)
    assert fit.shape + reach[0] == pytest.approx(4.0102, abs=2e-4)
    assert fit.scale - reach[1] == pytest.approx(53.8755, abs=2e-3)
    assert fit.scale + reach[1] == pytest.approx(81.9622, abs=2e-3)


def test_median_ranks_of_the_handbook() -> None:
    """Abernethy, fig. 2-5: Benard's ranks, use regressed on rank: 2.024, 94.998."""
    line = straight_line(median_ranks(units((30, 49, 82, 90, 96), (10, 45, 100))))
    assert line is not None
    assert line[0] == pytest.approx(2.024, abs=5e-4)
    assert line[1] == pytest.approx(94.998, abs=5e-4)


def test_survival_of_the_documented_example() -> None:
    """SciPy documentation of `stats.ecdf`: broken and unbroken at ten ordered times."""
    listed = units((77, 47, 81, 56, 80), (62, 60, 43, 71, 37))
    shares = [share for _, share in surviving(listed)]
    assert shares == pytest.approx([1, 1, 0.875, 0.75, 0.75, 0.75, 0.75, 0.5, 0.25, 0])


def test_replacement_ages() -> None:
    """Documentation of the library `reliability`: 493.05. Jardine and Tsang, chapter 2, problem 2."""
    age = known_age(2.5, 1000.0, 1.0, 5.0)
    assert age == pytest.approx(493.0470, abs=1e-4)
    assert cost_a_use(2.5, 1000.0, 1.0, 5.0, 493.0470) == pytest.approx(0.00346204, abs=5e-9)
    found, inside = cheapest_age(lambda use: 1 - use / 40000, 100.0, 200.0, 40000.0)
    assert inside
    assert found == pytest.approx(40000 * (math.sqrt(3) - 1), rel=2e-3)
    for use, cost in ((10_000, 0.0143), (20_000, 0.01), (30_000, 0.0093), (40_000, 0.01)):
        lived = use - use**2 / 80_000
        assert (100 + 100 * use / 40_000) / lived == pytest.approx(cost, abs=5e-5)


def test_a_life_of_known_shape() -> None:
    """Own: shape 2.5, characteristic life 1000."""
    law = LifeFit(2.5, 1000.0, (None, None), (None, None), 0.0)
    for share, use in ((0.10, 406.510), (0.05, 304.807)):
        assert law.lasts(use) == pytest.approx(1 - share, abs=1e-6)
    assert law.lasts(600.0) / law.lasts(500.0) == pytest.approx(0.902959, abs=5e-7)


@pytest.mark.parametrize(
    ("mean", "fewest"),
    [(0.5, (1, 1, 2, 3)), (1.0, (2, 2, 3, 4)), (2.0, (3, 4, 5, 6)), (3.0, (4, 5, 6, 8))],
)
def test_spares_of_a_poisson_demand(mean: float, fewest: tuple[int, ...]) -> None:
    """Own; by scipy.stats beside it."""
    for enough, spares in zip((0.80, 0.90, 0.95, 0.99), fewest, strict=True):
        assert fewest_spares(mean, enough) == spares == int(stats.poisson(mean).ppf(enough))


def test_more_spares_and_copies_to_print() -> None:
    """Own; by scipy.stats beside it."""
    assert [fewest_spares(4, 0.95), fewest_spares(10, 0.95), fewest_spares(10, 0.99)] == [8, 15, 18]
    assert copies_to_print(5, 0.9) == 7
    assert stats.binom(7, 0.9).sf(4) == pytest.approx(0.9743, abs=5e-5)
    assert stats.binom(6, 0.9).sf(4) < 0.95


def test_intervals_of_rates() -> None:
    """RSurveillance documentation, Jeffreys at 95 %."""
    for failed, low, high in (
        (25, 0.08462743, 0.1761260),
        (10, 0.0259934, 0.08687509),
        (20, 0.06416642, 0.14729862),
    ):
        rate = failure_rate(failed, 200, 0.95)
        assert rate.low == pytest.approx(low, abs=1e-7)
        assert rate.high == pytest.approx(high, abs=1e-7)


def test_the_tea_and_another_table() -> None:
    """SciPy documentation of `fisher_exact`: two-sided .4857 and .034965."""
    assert as_rare((3, 1), (1, 3)) == pytest.approx(0.4857, abs=5e-5)
    assert as_rare((8, 2), (1, 5)) == pytest.approx(0.034965, abs=5e-7)
    beside = stats.fisher_exact([[4, 5], [9, 140]]).pvalue
    assert as_rare((4, 5), (9, 140)) == pytest.approx(beside, rel=1e-9)


def test_mean_prints_to_an_alarm() -> None:
    """Own: exact chains, simulated beside."""
    assert step_of(0.05, 0.20) == 9
    assert prints_to_alarm(0.05, 9, 21) == pytest.approx(593, abs=0.5)
    assert prints_to_alarm(0.20, 9, 21) == pytest.approx(22.7, abs=0.05)
    assert step_of(0.10, 0.20) == 7
    for failing, mean in ((0.10, 283.12), (0.15, 78.22), (0.20, 38.87), (0.30, 18.30)):
        assert prints_to_alarm(failing, 7, 21) == pytest.approx(mean, abs=5e-3)


def test_the_chart_of_shares() -> None:
    """Montgomery, Introduction to Statistical Quality Control, example 6-1."""
    mean, _, high = limits_of(117, 20, 100)
    assert mean == pytest.approx(0.0585)
    assert high == pytest.approx(0.1289, abs=5e-5)
    mean, _, high = limits_of(102, 19, 100)
    assert mean == pytest.approx(0.0537, abs=5e-5)
    assert high == pytest.approx(0.1213, abs=1e-4)


def test_what_a_good_one_takes() -> None:
    assert attempts_a_good(0.05) == pytest.approx(1 / 0.95)
    for failing, grams in ((0.05, 102.1), (0.10, 104.4), (0.25, 113.3)):
        assert grams_a_good(100.0, failing, 0.4) == pytest.approx(grams, abs=0.05)
