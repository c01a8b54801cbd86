"""What prints teach: the median halves by two prints, "at most" holds, an outlier moves little."""

import math

import numpy as np
import pytest
from tests.bench.bench_learning import COUNTS, Row, prints_of, simulated

from printcrib.core.estimating.learning import (
    CLIPPED,
    GRAMS,
    HUBER,
    MINUTES,
    NO_GRAMS,
    NO_PRINTS,
    NOISE_WEIGHT,
    LoggedPrint,
    after_others,
    learn,
    t_90,
)


def _prints(count: int, factor: float = 1.18, noise: float = 0.07, seed: int = 5) -> tuple[LoggedPrint, ...]:
    return prints_of(np.random.default_rng(seed), count, factor, noise)


@pytest.fixture(scope="module")
def table() -> list[Row]:
    """Simulated shops with a true bias of +18 % and 7 % noise."""
    return simulated(shops=250)


def test_with_18_percent_more_the_median_error_halves_by_two_prints(table: list[Row]) -> None:
    errors = {row.count: row.median_error for row in table}
    assert errors[0] == pytest.approx(1 - 1 / 1.18)
    assert errors[2] < errors[0] / 2
    assert errors[40] < 0.02


def test_at_most_holds_88_to_94_times_of_100(table: list[Row]) -> None:
    assert [row.count for row in table] == list(COUNTS)
    for row in table[1:]:
        assert 0.88 <= row.within <= 0.94, row


@pytest.mark.parametrize("factor", [0.001, 0.1, 10.0, 1000.0])
@pytest.mark.parametrize("count", [0, 1, 2, 3, 5, 10, 20, 39])
def test_one_gross_outlier_moves_the_factor_by_a_bounded_amount(count: int, factor: float) -> None:
    good = _prints(count)
    for minutes in (20.0, 100.0, 600.0):
        odd = LoggedPrint(99, minutes, minutes * factor, 4.0)
        after = learn((*good, odd))
        assert abs(after.bias - learn(good).bias) < min(0.18, 0.7 / (count + 2))
        assert abs(after.start - learn(good).start) < 6.5
        assert 99 in after.odd


def test_without_a_start_term_it_is_the_weighted_mean_of_logarithms() -> None:
    prints = [
        LoggedPrint(key, 100.0, 100.0 * math.exp(y))
        for key, y in enumerate((0.16, 0.2, 0.1, 0.9, 0.17, 0.13))
    ]
    got = learn(prints, GRAMS)
    mean, square, tau2 = 0.0, GRAMS.noise**2, GRAMS.bias_sd**2
    ys = np.log([each.actual / each.estimate for each in prints])
    for _ in range(200):
        off = np.maximum(np.abs(ys - mean), 1e-12)
        weights = np.minimum(1.0, HUBER * math.sqrt(square) / off)
        mean = float((weights * ys).sum() / (weights.sum() + square / tau2))
        clipped = np.clip(ys - mean, -HUBER * math.sqrt(square), HUBER * math.sqrt(square))
        square = float(
            (NOISE_WEIGHT * GRAMS.noise**2 + (clipped**2).sum() / CLIPPED) / (NOISE_WEIGHT + len(ys))
        )
    doubt = square / (weights.sum() + square / tau2)
    assert got.bias == pytest.approx(mean, abs=1e-4)
    assert got.noise == pytest.approx(math.sqrt(square), rel=1e-3)
    assert got.doubt[0] == pytest.approx(doubt, rel=1e-3)
    at_most = 50.0 * math.exp(mean + t_90(NOISE_WEIGHT + 6) * math.sqrt(square + doubt))
    assert got.at_most(50.0) == pytest.approx(at_most, rel=1e-3)
    assert got.odd == (3,)


def test_a_start_that_takes_longer_is_told_from_moves_that_do() -> None:
    sizes = (12.0, 15.0, 20.0, 30.0, 45.0, 90.0, 240.0, 600.0) * 5
    late = learn([LoggedPrint(key, size, size + 3.0, 4.0) for key, size in enumerate(sizes)])
    assert late.start == pytest.approx(3.0, abs=0.3)
    assert late.factor == pytest.approx(1.0, abs=0.01)
    assert late.once(4.0) == pytest.approx(7.0, abs=0.3)


def test_a_start_that_costs_nothing_is_not_less_than_nothing() -> None:
    early = learn([LoggedPrint(key, 20.0, 9.0, 2.0) for key in range(30)])
    assert early.once(2.0) >= 0.0
    assert early.likely(2.0, 2.0) == early.once(2.0)


def test_at_most_is_wider_for_short_prints() -> None:
    for learned in (NO_PRINTS, learn(_prints(10))):
        shares = [learned.at_most(size, 4.0) / learned.likely(size, 4.0) for size in (8.0, 15.0, 60.0)]
        assert shares == sorted(shares, reverse=True)
        assert shares[0] > learned.at_most(600.0, 4.0) / learned.likely(600.0, 4.0) + 0.05


def test_nothing_learned_leaves_the_estimate_and_doubts_it() -> None:
    assert not NO_PRINTS.knows
    assert (NO_PRINTS.factor, NO_PRINTS.start, NO_PRINTS.odd) == (1.0, 0.0, ())
    assert NO_PRINTS.likely(60.0, 4.0) == 60.0
    spread = math.sqrt(
        (MINUTES.noise * math.hypot(1, 10 / 60)) ** 2 + (56 / 60 * MINUTES.bias_sd) ** 2 + (3 / 60) ** 2
    )
    assert NO_PRINTS.at_most(60.0, 4.0) == pytest.approx(60.0 * math.exp(t_90(4) * spread))
    assert NO_GRAMS.at_most(0.0) == 0.0


def test_more_prints_narrow_at_most() -> None:
    alike = [learn(_prints(count, noise=0.0)) for count in (0, 1, 5, 40)]
    widths = [each.at_most(100.0, 4.0) / each.likely(100.0, 4.0) for each in alike]
    assert widths == sorted(widths, reverse=True)


def test_a_nozzle_never_used_begins_with_the_printers_others() -> None:
    others = _prints(20, noise=0.02)
    begun = after_others(others)
    unused = learn((), begun)
    assert unused.likely(100.0, 4.0) == pytest.approx(118.0, abs=2.0)
    assert unused.at_most(100.0, 4.0) < NO_PRINTS.at_most(100.0, 4.0) * 1.18
    assert begun.bias_sd < MINUTES.bias_sd
    own = learn([LoggedPrint(1, 100.0, 100.0, 4.0)] * 8, begun)
    assert own.factor == pytest.approx(1.0, abs=0.04)
    assert after_others(()) is MINUTES
    assert after_others([LoggedPrint(1, 10.0, 10.1)], GRAMS).start_sd == 0.0


def test_it_has_settled_after_its_passes(monkeypatch: pytest.MonkeyPatch) -> None:
    prints = [*_prints(8), LoggedPrint(99, 50.0, 500.0, 4.0)]
    stopped = learn(prints)
    monkeypatch.setattr("printcrib.core.estimating.learning.PASSES", 100)
    settled = learn(prints)
    assert stopped.bias == pytest.approx(settled.bias, abs=2e-3)
    assert stopped.start == pytest.approx(settled.start, abs=0.1)
