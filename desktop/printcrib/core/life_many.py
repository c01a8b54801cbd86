"""The life left of many aids of many families at once: the same belief, in whole arrays."""

from collections.abc import Sequence
from typing import Any

from printcrib.core.life import MIDDLE_SHAPE, SHAPE_REACH, SHAPE_SD, Forecast

MOST_STEPS = 60
NEAR = 1e-5
"""The last step is shorter than this share; the next, Newton's being quadratic, would be about 1e-10."""


def remaining_of_all(families: Sequence[Forecast], asked: Sequence[tuple[int, float, float]]) -> list[float]:
    """How much further use each asked aid does with its probability, as `Forecast.remaining` one by one.

    Args:
        families: forecasts of the families; those with failures found at inspections are asked singly.
        asked: family (its place), age and probability of each aid.
    """
    import numpy as np

    found = [forecast.has_found for forecast in families]
    left = np.zeros(len(asked))
    plain = [place for place, (key, _, _) in enumerate(asked) if not found[key]]
    for place, (key, age, sure) in enumerate(asked):
        if found[key]:
            left[place] = families[key].remaining(age, sure)
    if plain:
        rows = np.array([asked[place] for place in plain])
        left[plain] = _remaining(_Beliefs(families), rows[:, 0].astype(int), rows[:, 1], rows[:, 2])
    return [float(each) for each in left]


class _Beliefs:
    """Shapes, rates and weights of all families."""

    def __init__(self, families: Sequence[Forecast]) -> None:
        import numpy as np

        self.scale = np.array([each.expected_life for each in families])
        worth = np.array([each.guess_worth for each in families])
        points = families[0].points
        z = SHAPE_REACH * np.linspace(-1.0, 1.0, points)
        self.betas = MIDDLE_SHAPE * np.exp(SHAPE_SD * z)
        told = np.array(
            [
                (key, unit.age, unit.began, unit.weight, unit.failed)
                for key, each in enumerate(families)
                for unit in each.worn
            ]
        ).reshape(-1, 5)
        owner = told[:, 0].astype(int)
        with np.errstate(divide="ignore"):
            ages, began = np.log(told[:, 1] / self.scale[owner]), np.log(told[:, 2] / self.scale[owner])
        grown = (np.exp(np.outer(ages, self.betas)) - np.exp(np.outer(began, self.betas))) * told[:, 3:4]
        failed = told[:, 3] * told[:, 4]
        self.failures = np.bincount(owner, failed, len(families))
        logs = np.bincount(owner, failed * ages, len(families))
        exposure = np.zeros((len(families), points))
        np.add.at(exposure, owner, grown)
        self.rates = 1.0 / (2.0 ** (1.0 / worth) - 1.0)[:, None] + exposure
        self.power = worth + self.failures
        weight = -z * z / 2.0 + np.outer(self.failures, np.log(self.betas))
        weight += np.outer(logs, self.betas - 1.0) - self.power[:, None] * np.log(self.rates)
        weight = np.exp(weight - weight.max(1)[:, None])
        self.weights = weight / weight.sum(1)[:, None]


def _remaining(beliefs: _Beliefs, owner: Any, ages: Any, sure: Any) -> Any:
    """Newton's steps on the log of the further use, kept between ends that hold the answer."""
    import numpy as np

    betas, scale = beliefs.betas, beliefs.scale[owner]
    x = np.maximum(ages, 0.0) / scale
    with np.errstate(divide="ignore"):
        before = np.exp(np.outer(np.log(x), betas))
    rates, weights, power = beliefs.rates[owner], beliefs.weights[owner], beliefs.power[owner]
    low, high = np.full(len(x), -80.0), np.full(len(x), 80.0)
    guess = _first_guess(rates, weights, power, betas, before, sure)
    live = np.arange(len(x))
    steps = 0
    while len(live) and steps < MOST_STEPS:
        steps += 1
        further = np.exp(guess[live])
        then = x[live] + further
        grown = np.exp(np.log(then)[:, None] * betas)
        whole = rates[live] + (grown - before[live])
        parts = weights[live] * np.exp(power[live, None] * np.log(rates[live] / whole))
        value = parts.sum(1) - sure[live]
        slope = power[live] * (parts * grown / whole * betas).sum(1) * further / then
        over = value > 0.0
        low[live[over]], high[live[~over]] = guess[live[over]], guess[live[~over]]
        with np.errstate(divide="ignore", invalid="ignore"):
            step = guess[live] + np.log((value + sure[live]) / sure[live]) * (value + sure[live]) / slope
        inside = (step >= low[live]) & (step <= high[live])
        step = np.where(inside, step, (low[live] + high[live]) / 2.0)
        moved = np.abs(step - guess[live]) > NEAR
        guess[live] = step
        live = live[moved]
    return scale * np.exp(guess)


def _first_guess(rates: Any, weights: Any, power: Any, betas: Any, before: Any, sure: Any) -> Any:
    """The log of the further use, were the most believed shape the only one."""
    import numpy as np

    best = weights.argmax(1)
    rows = np.arange(len(best))
    grown = rates[rows, best] * np.expm1(-np.log(sure) / power)
    beta, earlier = betas[best], before[rows, best]
    then = (earlier + grown) ** (1.0 / beta)
    further = then - earlier ** (1.0 / beta)
    slow = then * grown / ((earlier + grown) * beta)
    return np.clip(np.log(np.where(further > 1e-9 * then, further, slow)), -79.0, 79.0)
