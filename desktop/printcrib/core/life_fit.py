"""The likeliest Weibull life of aids by maximum likelihood, shown beside the forecast as a cross-check.

It uses no guess, so it needs failures: it is shown from four on, and does not exist where no aid
outlived the earliest failure. Intervals are those of the profile likelihood (the two-sided chi-square
rule, Wilks 1938), since plain ones about the middle cover 81 % instead of 90 % at few failures.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from printcrib.core.life import LifeUnit

FROM_FAILURES = 4
"""A fit without a guess is shown from so many failures on."""

DROP_90 = 2.705543454095404 / 2
"""The log likelihood of the ends of a 90 % interval lies so far below the highest (chi-square, 1 degree)."""

LEAST_SHAPE, MOST_SHAPE = 1e-3, 1e4
FARTHEST = 100.0
"""A characteristic life e^100 times the longest use away from it is none."""

NOT_YET = "Maximum likelihood needs four failures"
NO_FIT = "No shape is the likeliest: no aid outlived the earliest failure far enough"


@dataclass(frozen=True)
class LifeFit:
    """The likeliest shape and characteristic life.

    Attributes:
        scale: the use by which 63.2 % are worn out. shape_90, scale_90: 90 % intervals; an end is None
            where the data set none.
        log_likelihood: natural, in the aids' own unit of use.
    """

    shape: float
    scale: float
    shape_90: tuple[float | None, float | None]
    scale_90: tuple[float | None, float | None]
    log_likelihood: float

    def lasts(self, count: float) -> float:
        """R(count) = exp(-(count / scale)^shape) of a new aid."""
        if count <= 0.0:
            return 1.0
        return math.exp(-math.exp(min(self.shape * math.log(count / self.scale), 700.0)))


class LogLikelihood:
    """How well a shape and a rate explain a set of aids, use being counted in the longest use."""

    def __init__(self, units: Sequence[LifeUnit]) -> None:
        import numpy as np

        worn = [unit for unit in units if unit.age > 0.0]
        self.unit = max(unit.age for unit in worn)
        with np.errstate(divide="ignore"):
            self._good = np.log(np.array([unit.known_good for unit in worn])) - math.log(self.unit)
            self._began = np.log(np.array([unit.began for unit in worn])) - math.log(self.unit)
            self._age = np.log(np.array([unit.age for unit in worn])) - math.log(self.unit)
        self._weight = np.array([unit.weight for unit in worn])
        self._found = np.array([unit.found for unit in worn])
        exact = np.array([unit.failed and not unit.found for unit in worn]) * self._weight
        self.exact = float(exact.sum())
        self._logs = float((exact * self._age).sum())

    def _at(self, beta: float) -> tuple[float, Any]:
        import numpy as np

        good = np.exp(beta * self._good)
        shown = float((self._weight * (good - np.exp(beta * self._began))).sum())
        return shown, (np.exp(beta * self._age) - good)[self._found]

    def of(self, beta: float, log_rate: float) -> float:
        """The log likelihood of a shape and the log of a rate, in uses of the longest use."""
        import numpy as np

        shown, grown = self._at(beta)
        rate = math.exp(min(log_rate, 700.0))
        told = self.exact * (math.log(beta) + log_rate) + (beta - 1.0) * self._logs - rate * shown
        with np.errstate(divide="ignore"):
            found = self._weight[self._found] * np.log(-np.expm1(-rate * grown))
        return told + float(found.sum())

    def log_rate(self, beta: float) -> float:
        """The likeliest rate of a shape: r over the summed exposure, found by halving with inspections."""
        import numpy as np

        shown, grown = self._at(beta)
        if not self._found.any():
            return math.log(self.exact / shown) if shown > 0.0 else 700.0
        weight = self._weight[self._found]

        def slope(log_rate: float) -> float:
            rate = math.exp(log_rate)
            reach = np.minimum(rate * grown, 700.0)
            with np.errstate(divide="ignore", invalid="ignore"):
                found = np.where(reach > 0.0, weight * reach / np.expm1(reach), weight)
            return self.exact + float(found.sum()) - rate * shown

        return _falls_through(slope, -700.0, 700.0)

    def profile(self, log_beta: float) -> float:
        """The log likelihood of a shape with its likeliest rate."""
        beta = math.exp(log_beta)
        return self.of(beta, self.log_rate(beta))

    def at_scale(self, log_scale: float) -> float:
        """The log likelihood of a characteristic life (log, in the longest use), with its likeliest shape."""
        low, high = math.log(LEAST_SHAPE), math.log(MOST_SHAPE)
        return _highest(lambda log: self.of(math.exp(log), -math.exp(log) * log_scale), low, high)[1]


def fit_life(units: Sequence[LifeUnit]) -> LifeFit | str:
    """The likeliest life of a set of aids, or in words why there is none.

    A failure at 0 use is a fault of the print or the fit, not wear, and is left out.
    """
    if sum(unit.weight for unit in units if unit.failed and unit.age > 0.0) < FROM_FAILURES:
        return NOT_YET
    likely = LogLikelihood(units)
    low, high = math.log(LEAST_SHAPE), math.log(MOST_SHAPE)
    best, top = _highest(likely.profile, low, high)
    if max(likely.profile(low), likely.profile(high)) > top - 1e-6:
        return NO_FIT
    beta = math.exp(best)
    log_scale = -likely.log_rate(beta) / beta
    if abs(log_scale) > FARTHEST:
        return NO_FIT
    shapes = _ends(likely.profile, best, top, low, high)
    far = min(30.0 + 5.0 / beta, 2.0 * FARTHEST)
    scales = _ends(likely.at_scale, log_scale, top, log_scale - far, log_scale + far)
    return LifeFit(
        beta,
        likely.unit * math.exp(log_scale),
        (_exp(shapes[0]), _exp(shapes[1])),
        (_exp(scales[0], likely.unit), _exp(scales[1], likely.unit)),
        top - likely.exact * math.log(likely.unit),
    )


def _exp(log: float | None, unit: float = 1.0) -> float | None:
    return None if log is None else unit * math.exp(log)


def _highest(value: Callable[[float], float], low: float, high: float) -> tuple[float, float]:
    """Where a function with one top is highest: the best of 41 points, then golden sections about it."""
    step = (high - low) / 40
    best = max((low + step * index for index in range(41)), key=value)
    low, high = max(best - step, low), min(best + step, high)
    ratio = (math.sqrt(5.0) - 1.0) / 2.0
    left, right = high - ratio * (high - low), low + ratio * (high - low)
    at_left, at_right = value(left), value(right)
    for _ in range(45):
        if at_left >= at_right:
            high, right, at_right = right, left, at_left
            left = high - ratio * (high - low)
            at_left = value(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + ratio * (high - low)
            at_right = value(right)
    return (left, at_left) if at_left >= at_right else (right, at_right)


def _ends(
    value: Callable[[float], float], best: float, top: float, low: float, high: float
) -> tuple[float | None, float | None]:
    """Where the log likelihood has fallen by what a 90 % interval allows, on either side."""

    def over(log: float) -> float:
        return value(log) - (top - DROP_90)

    lower = None if over(low) > 0.0 else -_falls_through(lambda log: over(-log), -best, -low)
    upper = None if over(high) > 0.0 else _falls_through(over, best, high)
    return lower, upper


def _falls_through(falling: Callable[[float], float], low: float, high: float) -> float:
    """Where a falling function passes 0, by halving."""
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if falling(middle) > 0.0 else (low, middle)
    return (low + high) / 2.0
