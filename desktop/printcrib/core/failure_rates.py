"""Rates of failed prints with their doubt, comparing two, and how soon a change is noticed."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from printcrib.core.errors import ShopError


@dataclass(frozen=True)
class FailureRate:
    """Failures of prints, k of n; never shown without the two numbers.

    Attributes:
        low, high: Jeffreys interval, Beta(k + 1/2, n - k + 1/2), open at 0 and at n.
    """

    failed: int
    prints: int
    low: float
    high: float

    @property
    def share(self) -> float | None:
        """The share failed; None without prints."""
        return self.failed / self.prints if self.prints else None

    @property
    def words(self) -> str:
        """How it is said: "4 of 9"."""
        return f"{self.failed} of {self.prints}"


def failure_rate(failed: int, prints: int, sure: float = 0.90) -> FailureRate:
    """A rate with its interval.

    Raises:
        ShopError: more failures than prints.
    """
    if not 0 <= failed <= prints:
        raise ShopError(f"{failed} of {prints} cannot have failed", "Count again.")
    from scipy.special import betaincinv

    tail = (1.0 - sure) / 2.0
    a, b = failed + 0.5, prints - failed + 0.5
    low = float(betaincinv(a, b, tail)) if failed else 0.0
    high = float(betaincinv(a, b, 1.0 - tail)) if failed < prints else 1.0
    return FailureRate(failed, prints, low, high)


def as_rare(first: tuple[int, int], second: tuple[int, int]) -> float:
    """How likely two streams with one common rate differ by as much (Fisher's exact test, two-sided).

    Args:
        first, second: failed and good prints of each.
    """
    failed, whole = first[0] + second[0], sum(first) + sum(second)
    number = sum(first)

    def log_chance(count: int) -> float:
        return _log_choose(number, count) + _log_choose(whole - number, failed - count)

    counts = range(max(0, failed - (whole - number)), min(failed, number) + 1)
    seen = log_chance(first[0])
    chances = [math.exp(log_chance(count) - _log_choose(whole, failed)) for count in counts]
    rare = [c for count, c in zip(counts, chances, strict=True) if log_chance(count) <= seen + 1e-7]
    return min(sum(rare), 1.0)


def _log_choose(whole: int, some: int) -> float:
    return math.lgamma(whole + 1) - math.lgamma(some + 1) - math.lgamma(whole - some + 1)


def corrected(chances: Sequence[float]) -> list[float]:
    """The same chances after so many comparisons (Holm 1979), in the order given."""
    order = sorted(range(len(chances)), key=lambda index: chances[index])
    kept, highest = [0.0] * len(chances), 0.0
    for place, index in enumerate(order):
        highest = max(highest, min((len(chances) - place) * chances[index], 1.0))
        kept[index] = highest
    return kept


def step_of(usual: float, changed: float) -> int:
    """How many good prints weigh one failure: m = round(1/gamma) of the Bernoulli CUSUM."""
    good = math.log((1.0 - changed) / (1.0 - usual))
    gamma = -good / math.log(changed * (1.0 - usual) / (usual * (1.0 - changed)))
    return round(1.0 / gamma)


def prints_to_alarm(failing: float, step: int, alarm: float) -> float:
    """Mean prints until the sum reaches the alarm, from 0, by the exact Markov chain of its values.

    Args:
        failing: share of prints that fail. step: m. alarm: H.
    """
    import numpy as np

    size = math.ceil(alarm)
    chain = np.eye(size)
    for value in range(size):
        chain[value, max(value - 1, 0)] -= 1.0 - failing
        if value + step - 1 < size:
            chain[value, value + step - 1] -= failing
    return float(np.linalg.solve(chain, np.ones(size))[0])


def alarm_of(usual: float, step: int, between: float) -> int:
    """The lowest alarm H with at least so many prints between false alarms."""
    alarm = 1
    while prints_to_alarm(usual, step, alarm) < between:
        alarm += 1
    return alarm


def attempts_a_good(failing: float) -> float:
    """Prints needed on average for a good one: 1 / (1 - p)."""
    return 1.0 / (1.0 - failing)


def grams_a_good(grams: float, failing: float, how_far: float) -> float:
    """Grams used for a good one: g [1 + phi p / (1 - p)], phi being how far failed prints get."""
    return grams * (1.0 + how_far * failing / (1.0 - failing))


def limits_of(failed: int, samples: int, size: int) -> tuple[float, float, float]:
    """Mean share and its three-sigma limits over samples of one size, for the report's chart."""
    mean = failed / (samples * size)
    reach = 3.0 * math.sqrt(mean * (1.0 - mean) / size)
    return mean, max(mean - reach, 0.0), min(mean + reach, 1.0)


def unlike_the_rest(streams: Sequence[tuple[int, int]]) -> list[float]:
    """How likely each stream (failed, good) differs so from the rest by chance, corrected for many."""
    bad, good = sum(each[0] for each in streams), sum(each[1] for each in streams)
    return corrected([as_rare(each, (bad - each[0], good - each[1])) for each in streams])
