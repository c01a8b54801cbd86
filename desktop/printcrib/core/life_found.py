"""The belief in an aid's rate of wearing where a failure was only found at an inspection.

Such a failure lies between the last count at which the aid was known good and the count at which it
was found; its likelihood is R(a) - R(b). Given the shape, the posterior of the rate is then no longer
a Gamma distribution, so it is summed over 240 rates a shape. Euler-Maclaurin end terms make the
running sums exact to about 1e-7.
"""

from collections.abc import Sequence
from typing import Any

RATES = 240
"""Rates looked at for each shape."""

DEPTH = 45.0
"""Rates whose log density lies so far below the highest carry nothing."""


class FoundBelief:
    """Shapes, rates and their weights, after failures found between two counts.

    Args:
        betas: the shapes. log_prior: log weight of each shape with what exact failures add.
        power: Gamma power from the guess and the exact failures. rates: Gamma rate of each shape.
        between: for each failure found between two counts (weight, growth of x^beta for each shape).
    """

    def __init__(
        self,
        betas: Sequence[float],
        log_prior: Sequence[float],
        power: float,
        rates: Sequence[float],
        between: Sequence[tuple[float, Sequence[float]]],
    ) -> None:
        import numpy as np

        self.betas = np.array(betas)
        weights = np.array([weight for weight, _ in between])
        grown = np.array([each for _, each in between])
        whole = power + float(weights.sum())

        def log_density(logs: Any) -> Any:
            lam = np.exp(logs)
            found = np.log(-np.expm1(-lam[None] * grown[:, :, None]))
            return power * logs - lam * np.array(rates)[:, None] + np.tensordot(weights, found, 1)

        begin = np.log(np.array(rates))
        widest = np.log(np.array(rates) + grown.sum(0))
        low, high = -2.0 * DEPTH / whole - widest, np.log(whole + 2.0 * DEPTH) - begin
        for points in (RATES, RATES, RATES):
            logs = np.linspace(low, high, points).T
            dense = log_density(logs)
            inside = dense > dense.max(1)[:, None] - DEPTH
            first = np.maximum(inside.argmax(1) - 1, 0)
            last = np.minimum(points - inside[:, ::-1].argmax(1), points - 1)
            rows = np.arange(len(betas))
            low, high = logs[rows, first], logs[rows, last]
        dense += np.array(log_prior)[:, None]
        steps = logs[:, 1] - logs[:, 0]
        weight = np.exp(dense - dense.max()) * steps[:, None]
        self.weights = weight / weight.sum()
        self.rates, self._logs = np.exp(logs), logs

    def lasts_and_slope(self, now: float, then: float) -> tuple[float, float]:
        """R(then | now) in x, and how fast it falls with x."""
        import numpy as np

        powers = then**self.betas
        parts = self.weights * np.exp(-self.rates * (powers - now**self.betas)[:, None])
        slopes = (parts * self.rates).sum(1) * self.betas * powers
        return float(parts.sum()), float(slopes.sum() / then) if then > 0.0 else 0.0

    def belief_worn_out(self, need: float, x: float) -> float:
        """How sure it is that the rate is at least need x^-beta, whatever the shape."""
        import numpy as np

        bars = np.log(need) - self.betas * np.log(x)
        sure = 0.0
        for bar, logs, weight in zip(bars, self._logs, self.weights, strict=True):
            whole = float(weight.sum())
            running = np.cumsum(weight) - weight / 2.0 - np.gradient(weight) / 12.0
            place = (bar - logs[0]) / (logs[1] - logs[0])
            index = int(min(max(place, 0.0), len(logs) - 2.0))
            below = _between(place - index, running[index : index + 2], weight[index : index + 2])
            sure += whole if place < 0.0 else max(whole - below, 0.0) if place < len(logs) - 1.0 else 0.0
        return min(max(sure, 0.0), 1.0)

    def shape_weights(self) -> list[float]:
        """How much is believed in each shape."""
        return [float(each) for each in self.weights.sum(1)]


def _between(share: float, ends: Any, slopes: Any) -> float:
    """Cubic Hermite interpolation between two points, slopes being those over the whole step."""
    left, right = 1.0 - share, share
    straight = left * left * (1.0 + 2.0 * right) * ends[0] + right * right * (1.0 + 2.0 * left) * ends[1]
    return float(straight + left * left * right * slopes[0] - left * right * right * slopes[1])
