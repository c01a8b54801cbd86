"""How long an aid lasts: a Weibull life learned from few failures, beginning with the shop's own guess.

Conjugate Bayes, because a shop has 0, 1 or 2 failures of a size, where maximum likelihood does not
exist. Everything works in x = use / L50, L50 being the expected median life. The shape beta has 31
equally spaced points of ln beta ~ Normal(ln 2.5, 0.35^2); given beta, eta^-beta is Gamma(a0, b0) with
b0 = 1 / (2^(1/a0) - 1), so that the median life of a new aid is L50 for every beta. R(t) =
exp(-(t/eta)^beta) is the two-parameter Weibull distribution (Weibull 1951).
"""

import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

from printcrib.core.life_found import FoundBelief

MIDDLE_SHAPE = 2.5
SHAPE_SD = 0.35
SHAPE_REACH = 3.2
GUESS_WORTH = 0.6
"""How many failures the shop's guess of the expected life is worth."""

NO_USE = 1e-25
"""A share of the expected life that is no use at all (keeps powers of it above the least float)."""

WEARS_OUT_FROM, WEARS_OUT_TO = 2 / 3, 1 / 3
"""The wear-out zone: one aid in three is worn out before it, one in three lasts longer (ours)."""


@dataclass(frozen=True)
class LifeUnit:
    """One aid's life so far.

    Attributes:
        age: its last count. failed: worn out or broken; else it was still good at that count.
        entry: the count when counting began, more than 0 when it began late.
        last_good: a failure found at an inspection: the last count at which it was known good, so that
            it failed somewhere after that and by `age`. None: it failed at `age`.
        weight: how many alike aids it stands for.
    """

    age: float
    failed: bool
    entry: float = 0.0
    last_good: float | None = None
    weight: float = 1.0

    @property
    def began(self) -> float:
        """The count from which on it was watched."""
        return min(self.entry, self.age)

    @property
    def known_good(self) -> float:
        """The last count at which it was surely good; it was good when counting began."""
        if not self.failed or self.last_good is None:
            return self.age
        return min(max(self.last_good, self.began), self.age)

    @property
    def found(self) -> bool:
        """Whether its failure is only known to lie between two counts."""
        return self.failed and self.known_good < self.age * (1.0 - 1e-9)


@dataclass(frozen=True)
class _Point:
    """One shape of the grid with its rate and its weight."""

    beta: float
    rate: float
    weight: float


@dataclass(frozen=True)
class Forecast:
    """What the shop believes about the life of one size, from its guess and from what happened.

    Attributes:
        expected_life: L50, the shop's own guess in use units, more than 0.
        units: the aids of the size, failed or not. A failure at 0 use is a fault of the print or
            the fit, not wear, and is left out.
        guess_worth: how many failures the guess counts for. points: shapes looked at.
    """

    expected_life: float
    units: tuple[LifeUnit, ...] = ()
    guess_worth: float = GUESS_WORTH
    points: int = 31

    @cached_property
    def failures(self) -> float:
        """How many aids wore out or broke in use."""
        return sum(unit.weight for unit in self.worn if unit.failed)

    @cached_property
    def worn(self) -> tuple[LifeUnit, ...]:
        """The aids that tell of wear: those that were used at all."""
        return tuple(unit for unit in self.units if self._x(unit.age) > NO_USE)

    @cached_property
    def has_found(self) -> bool:
        """Whether some failure was only found at an inspection."""
        return any(unit.found for unit in self.worn)

    @cached_property
    def _exact(self) -> float:
        """How many failures are known to the count."""
        return sum(unit.weight for unit in self.worn if unit.failed and not unit.found)

    @cached_property
    def _power(self) -> float:
        return self.guess_worth + self._exact

    @cached_property
    def _grid(self) -> tuple[_Point, ...]:
        """The posterior: w_k ~ pi_k beta^r (prod x_failed)^(beta - 1) B_k^-A."""
        rough = self._rough
        logs = [w - self._power * math.log(rate) for _, rate, w in rough]
        top = max(logs)
        total = sum(math.exp(each - top) for each in logs)
        return tuple(
            _Point(beta, rate, math.exp(each - top) / total)
            for (beta, rate, _), each in zip(rough, logs, strict=True)
        )

    @cached_property
    def _rough(self) -> list[tuple[float, float, float]]:
        """Each shape with its rate B and the log of its weight before B^-A."""
        start = 1.0 / (2.0 ** (1.0 / self.guess_worth) - 1.0)
        logs = sum(
            unit.weight * math.log(self._x(unit.age)) for unit in self.worn if unit.failed and not unit.found
        )
        rough: list[tuple[float, float, float]] = []
        for index in range(self.points):
            z = SHAPE_REACH * (2.0 * index / (self.points - 1) - 1.0)
            beta = MIDDLE_SHAPE * math.exp(SHAPE_SD * z)
            rate = start + sum(self._exposure(unit, beta) for unit in self.worn)
            rough.append((beta, rate, -z * z / 2.0 + self._exact * math.log(beta) + (beta - 1.0) * logs))
        return rough

    @cached_property
    def _found(self) -> FoundBelief | None:
        """The belief where failures were only found at inspections; None where none was."""
        found = [unit for unit in self.worn if unit.found]
        if not found:
            return None
        betas = [beta for beta, _, _ in self._rough]
        between = [
            (unit.weight, [self._x(unit.age) ** beta - self._x(unit.known_good) ** beta for beta in betas])
            for unit in found
        ]
        rates, logs = [rate for _, rate, _ in self._rough], [each for _, _, each in self._rough]
        return FoundBelief(betas, logs, self._power, rates, between)

    def _exposure(self, unit: LifeUnit, beta: float) -> float:
        grown: float = self._x(unit.known_good) ** beta - self._x(unit.began) ** beta
        return unit.weight * grown

    def _x(self, use: float) -> float:
        return max(use, 0.0) / self.expected_life

    def lasts(self, further: float, age: float = 0.0) -> float:
        """Probability that an aid of this age does so much further use: R(age + further | age)."""
        return self._lasts_and_slope(further, age, self._grown(age))[0]

    def _grown(self, age: float) -> list[float]:
        """x^beta of each shape at an age."""
        x = self._x(age)
        return [x**point.beta for point in self._grid]

    def _lasts_and_slope(self, further: float, age: float, before: Sequence[float]) -> tuple[float, float]:
        """The probability and how fast it falls with further use.

        Args:
            before: `_grown` of the age, computed once for all steps to an answer.
        """
        then = self._x(age) + max(further, 0.0) / self.expected_life
        if self._found is not None:
            sure, slope = self._found.lasts_and_slope(self._x(age), then)
            return sure, slope / self.expected_life
        sure = slope = 0.0
        for point, earlier in zip(self._grid, before, strict=True):
            power = then**point.beta
            grown = point.rate + (power - earlier)
            part = point.weight * (point.rate / grown) ** self._power
            sure += part
            slope += part * point.beta * power / grown
        return sure, slope * self._power / (then * self.expected_life) if then > 0.0 else 0.0

    def remaining(self, age: float, sure: float) -> float:
        """How much further use an aid of this age does with the given probability.

        Newton's steps kept between two ends that always hold the answer, halved where a step leaves them.
        """
        before = self._grown(age)
        low, high = 0.0, self.expected_life
        while self._lasts_and_slope(high, age, before)[0] > sure:
            low, high = high, 2.0 * high
        guess = (low + high) / 2.0
        while high - low > 1e-12 * high + 1e-300:
            value, slope = self._lasts_and_slope(guess, age, before)
            if abs(value - sure) < 1e-13:
                break
            low, high = (guess, high) if value > sure else (low, guess)
            step = guess + (value - sure) / slope if slope > 0.0 else low
            guess = step if low < step < high else (low + high) / 2.0
        return guess

    @cached_property
    def median(self) -> float:
        """The use half of the aids of this size reach, as far as the shop knows."""
        return self.remaining(0.0, 0.5)

    @cached_property
    def wears_out(self) -> tuple[float, float]:
        """The wear-out zone of a new aid: one in three is worn out before it, one in three after it."""
        return self.remaining(0.0, WEARS_OUT_FROM), self.remaining(0.0, WEARS_OUT_TO)

    def worn_out_at(self, share: float, believed: float) -> float:
        """The use by which a share of the aids is worn out (B10 for 0.1), at a quantile of belief."""
        scale = self.expected_life
        return scale * _where_rising(lambda x: self.belief_worn_out(share, scale * x), believed)

    def belief_worn_out(self, share: float, use: float) -> float:
        """How sure the shop is that a share of the aids is worn out by this use.

        P(B_p <= y) = sum of w_k Q(A, B_k (-ln(1 - p)) y^-beta_k), Q the upper incomplete gamma ratio.
        """
        need, x = -math.log1p(-share), self._x(use)
        if self._found is not None:
            return self._found.belief_worn_out(need, x)
        from scipy.special import gammaincc

        return sum(p.weight * float(gammaincc(self._power, p.rate * need * x**-p.beta)) for p in self._grid)

    @cached_property
    def shape_median(self) -> float:
        """The middle of the belief in the shape beta, between its points on the log scale."""
        weights = [p.weight for p in self._grid] if self._found is None else self._found.shape_weights()
        middles = [below - weight / 2.0 for below, weight in zip(accumulate(weights), weights, strict=True)]
        index = min(bisect_left(middles, 0.5), self.points - 1)
        before = middles[index - 1] if index else 0.0
        share = min((0.5 - before) / (middles[index] - before), 1.0)
        step = 2.0 * SHAPE_REACH * SHAPE_SD / (self.points - 1)
        return self._rough[index][0] * math.exp(-step * (1.0 - share))


def _where_rising(rising: Callable[[float], float], value: float) -> float:
    """Where a rising function of a positive number reaches a value, by halving on the log scale."""
    low, high = 1.0, 1.0
    while rising(low) > value:
        low /= 2.0
    while rising(high) < value:
        high *= 2.0
    for _ in range(60):
        middle = math.sqrt(low * high)
        if rising(middle) < value:
            low = middle
        else:
            high = middle
    return math.sqrt(low * high)


def family(expected_life: float | None, units: Iterable[LifeUnit]) -> Forecast | None:
    """The forecast of one size; None while the shop has not even a guess."""
    if expected_life is None or expected_life <= 0:
        return None
    return Forecast(float(expected_life), tuple(units))
