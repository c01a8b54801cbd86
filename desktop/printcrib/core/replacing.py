"""When to replace an aid that still works, where failing in use is dear, and how many spares to keep.

Age replacement (Barlow and Proschan 1965): a working one is replaced at age t, a failed one at once.
The cost a unit of use is C(t) = [Cp + (Cf - Cp) F(t)] / integral of R from 0 to t; over what the shop
believes, the expected cost of a round over its expected length.
"""

import math
from collections.abc import Callable
from typing import Any

from printcrib.core.errors import ShopError
from printcrib.core.life import Forecast

STEPS = 1200
LEAST_LEFT = 0.01
"""Ages past which fewer than one in a hundred get are not looked at."""

MOST_COPIES = 10_000


def cost_a_use(shape: float, scale: float, planned: float, failing: float, age: float) -> float:
    """C(age) of a known Weibull life; the integral is scale Gamma(1 + 1/b) P(1/b, (age/scale)^b)."""
    from scipy.special import gammainc

    grown = (age / scale) ** shape
    lived = scale * math.gamma(1.0 + 1.0 / shape) * float(gammainc(1.0 / shape, grown))
    return (planned - (failing - planned) * math.expm1(-grown)) / lived


def known_age(shape: float, scale: float, planned: float, failing: float) -> float | None:
    """The cheapest age of a known Weibull life; None where running to failure is cheapest.

    Needs a shape over 1 and failing dearer than replacing: the hazard times the use lived must
    outgrow F(t) + Cp / (Cf - Cp), which it does exactly once.
    """
    if shape <= 1.0 or failing <= planned:
        return None
    from scipy.special import gammainc

    whole = math.gamma(1.0 + 1.0 / shape)

    def lacks(x: float) -> float:
        lived = whole * float(gammainc(1.0 / shape, x**shape))
        hazard: float = shape * x ** (shape - 1.0)
        return planned / (failing - planned) - math.expm1(-(x**shape)) - hazard * lived

    low, high = 0.0, 1.0
    while lacks(high) > 0.0:
        low, high = high, 2.0 * high
        if high**shape > 700.0:
            return None
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if lacks(middle) > 0.0 else (low, middle)
    return scale * (low + high) / 2.0


def best_age(forecast: Forecast, planned: float, failing: float) -> float | None:
    """The cheapest age by what the shop believes; None where running to failure is about as cheap.

    Args:
        planned, failing: cost of a replacement in time, and of one after a failure in use.
    """
    if failing <= planned:
        return None
    end = forecast.remaining(0.0, LEAST_LEFT)
    age, inside = cheapest_age(forecast.lasts, planned, failing, end)
    return age if inside else None


def cheapest_age(
    lasts: Callable[[float], float], planned: float, failing: float, end: float
) -> tuple[float, bool]:
    """The cheapest age up to an end by summing R, and whether it is cheaper than going on to that end."""
    import numpy as np

    ages = end * np.linspace(0.0, 1.0, STEPS + 1) ** 2
    left = np.array([lasts(float(age)) for age in ages])
    lived = np.concatenate(([0.0], np.cumsum(np.diff(ages) * (left[1:] + left[:-1]) / 2.0)))[1:]
    costs: Any = (planned + (failing - planned) * (1.0 - left[1:])) / lived
    best = int(costs.argmin())
    return float(ages[best + 1]), best < STEPS - 1


def fewest_spares(demand: float, enough: float) -> int:
    """The fewest spares that with this probability last through a time of so much Poisson demand.

    Args:
        demand: mean number of aids worn out until a reprint is there. enough: cf / (cf + h).
    """
    if not (0.0 <= demand <= MOST_COPIES and 0.0 < enough < 1.0):
        raise ShopError("So many spares cannot be worked out", "Give a demand and a chance below 1.")
    from scipy.special import pdtr

    spares = 0
    while float(pdtr(spares, demand)) < enough:
        spares += 1
    return spares


def copies_to_print(good: int, share_good: float, enough: float = 0.95) -> int:
    """The fewest copies of which with this probability at least so many are good (binomial)."""
    if not (0 < good <= MOST_COPIES and 0.0 < share_good <= 1.0 and 0.0 < enough < 1.0):
        raise ShopError("So many good copies cannot be worked out", "Give a share of good ones above 0.")
    from scipy.special import bdtrc

    copies = good
    while copies < MOST_COPIES * 2 and float(bdtrc(good - 1, copies, share_good)) < enough:
        copies += max(1, (copies - good) // 64)
    return copies
