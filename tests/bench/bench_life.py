"""How far the forecast of lives can be trusted, and how long it takes.

    python -m tests.bench.bench_life [SHOPS]

The truth of every simulated size is drawn from what the forecast believes beforehand; seeded. Each
aid is watched until it wears out, but no longer than 0.2 to 1.2 expected lives (some are still good).
"""

import math
import statistics
import sys
import time

import numpy as np

from printcrib.core.life import MIDDLE_SHAPE, SHAPE_REACH, SHAPE_SD, Forecast, LifeUnit
from printcrib.core.life_many import remaining_of_all
from printcrib.core.replacing import best_age, cost_a_use, known_age

WORTH = 0.6
SEED = 20261125
PLANNED, FAILING = 1.0, 5.0


def truth(dice: np.random.Generator) -> tuple[float, float]:
    """Shape and characteristic life (expected life 1) as believed beforehand."""
    z = dice.normal()
    while abs(z) > SHAPE_REACH:
        z = dice.normal()
    shape = MIDDLE_SHAPE * math.exp(SHAPE_SD * z)
    rate = dice.gamma(WORTH) / (1 / (2 ** (1 / WORTH) - 1))
    return shape, math.exp(-math.log(max(rate, 1e-300)) / shape)


def watched(
    dice: np.random.Generator, shape: float, scale: float, number: int, longest: float = 1.2
) -> tuple[LifeUnit, ...]:
    """So many aids, each worn out or still good when we look."""
    units = []
    for _ in range(number):
        life, until = scale * dice.weibull(shape), dice.uniform(0.2, longest)
        units.append(LifeUnit(min(life, until), life <= until))
    return tuple(units)


def covered(shops: int, number: int) -> tuple[float, float]:
    """Shops whose B10 lies in its 90 % interval, and new aids that outlive their 10 % point, as shares."""
    dice = np.random.default_rng([SEED, number])
    inside = outlived = 0.0
    for _ in range(shops):
        shape, scale = truth(dice)
        forecast = Forecast(1.0, watched(dice, shape, scale, number))
        b10 = scale * (-math.log1p(-0.1)) ** (1 / shape)
        inside += 0.05 <= forecast.belief_worn_out(0.1, b10) <= 0.95
        outlived += math.exp(-((forecast.remaining(0.0, 0.9) / scale) ** shape))
    return inside / shops, outlived / shops


def regrets(shops: int, number: int, longest: float) -> tuple[list[float], list[float]]:
    """Cost above the least possible, a share of it: replaced at the forecast's age, and run to failure."""
    dice = np.random.default_rng([SEED, number, 1])
    ours, never = [], []
    for _ in range(shops):
        shape, scale = truth(dice)
        best = known_age(shape, scale, PLANNED, FAILING)
        to_failure = FAILING / (scale * math.gamma(1 + 1 / shape))
        least = to_failure if best is None else cost_a_use(shape, scale, PLANNED, FAILING, best)
        age = best_age(Forecast(1.0, watched(dice, shape, scale, number, longest)), PLANNED, FAILING)
        cost = to_failure if age is None else cost_a_use(shape, scale, PLANNED, FAILING, age)
        ours.append(cost / least - 1)
        never.append(to_failure / least - 1)
    return ours, never


def many() -> tuple[float, float]:
    """Seconds for 10,000 aids of 3,000 families (best of five, warm), and for one aid alone."""
    dice = np.random.default_rng(SEED)
    families, asked = [], []
    for key in range(3000):
        units = watched(dice, 2.5, 1.1, 4 if key < 1000 else 3)
        families.append([LifeUnit(600 * each.age, each.failed) for each in units])
        asked += [(key, 600 * each.age, 0.9) for each in units]
    took, one = [], []
    for _ in range(5):
        fresh = [Forecast(600.0, tuple(units)) for units in families]
        begun = time.perf_counter()
        remaining_of_all(fresh, asked)
        took.append(time.perf_counter() - begun)
        begun = time.perf_counter()
        Forecast(600.0, tuple(families[0])).remaining(asked[0][1], 0.9)
        one.append(time.perf_counter() - begun)
    assert len(asked) == 10_000
    return min(took), min(one)


def main() -> None:
    """Print the tables."""
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    print(f"{shops} shops a row\naids  90 % interval of B10 holds  outlive their 10 % point")
    rows = [(number, *covered(shops, number)) for number in (0, 1, 5, 20)]
    for number, inside, outlived in rows:
        print(f"{number:4d}  {inside:26.1%}  {outlived:24.1%}")
    seen = rows[1:]
    print(f" all  {statistics.mean(r[1] for r in seen):26.1%}  {statistics.mean(r[2] for r in seen):24.1%}")
    for words, longest in (("watched at most 1.2 lives", 1.2), ("watched to the end", math.inf)):
        ours, never = regrets(shops // 4, 5, min(longest, 1e12))
        print(
            f"5 aids {words}, failing 5 x as dear: cost over the least {statistics.mean(ours):.1%} "
            f"(median {statistics.median(ours):.1%}), run to failure {statistics.mean(never):.1%}"
        )
    all_of_them, one = many()
    print(f"10,000 aids of 3,000 families {all_of_them:.3f} s, one {1000 * one:.2f} ms")


if __name__ == "__main__":
    main()
