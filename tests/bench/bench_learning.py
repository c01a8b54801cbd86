"""Simulate shops that log their prints: how wrong the median is, how often "at most" holds.

    python -m tests.bench.bench_learning [SHOPS]

Every shop has the same true bias and noise, prints from 20 minutes to 10 hours, and a fixed seed.
"""

import math
import statistics
import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.learning import MINUTES, Beginning, LoggedPrint, learn

COUNTS = (0, 1, 2, 3, 5, 8, 12, 20, 30, 40)
SHORTEST, LONGEST = 20.0, 600.0
START = 4.0
FACTOR, NOISE = 1.18, 0.07


@dataclass(frozen=True)
class Row:
    """So many logged prints: median relative error of likely, and the share within at most."""

    count: int
    median_error: float
    within: float


def prints_of(dice: np.random.Generator, count: int, factor: float, noise: float) -> tuple[LoggedPrint, ...]:
    """Prints of one simulated shop."""
    sizes = np.exp(dice.uniform(math.log(SHORTEST), math.log(LONGEST), count))
    took = sizes * factor * np.exp(dice.normal(0.0, noise, count))
    return tuple(
        LoggedPrint(key, float(size), float(actual), START)
        for key, (size, actual) in enumerate(zip(sizes, took, strict=True))
    )


def simulated(
    shops: int,
    counts: Sequence[int] = COUNTS,
    factor: float = FACTOR,
    noise: float = NOISE,
    begun: Beginning = MINUTES,
) -> list[Row]:
    """The table: each shop predicts its next print after so many logged ones."""
    dice = np.random.default_rng(20261125)
    errors: dict[int, list[float]] = {count: [] for count in counts}
    within = dict.fromkeys(counts, 0.0)
    law = statistics.NormalDist()
    for _ in range(shops):
        prints = prints_of(dice, max(counts) + 1, factor, noise)
        for count in counts:
            learned, coming = learn(prints[:count], begun), prints[count]
            likely = learned.likely(coming.estimate, coming.once)
            errors[count].append(abs(likely / (coming.estimate * factor) - 1))
            # The share of all such coming prints within at most, by the law the prints are drawn from.
            room = learned.at_most(coming.estimate, coming.once) / (coming.estimate * factor)
            within[count] += law.cdf(math.log(room) / noise)
    return [Row(count, statistics.median(errors[count]), within[count] / shops) for count in counts]


def main() -> None:
    """Print the table for the true bias and for two others."""
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 1500
    for factor, noise in ((FACTOR, NOISE), (1.0, NOISE), (0.9, 0.09)):
        print(f"true bias {factor - 1:+.0%}, noise {noise:.0%}, {shops} shops")
        print("logged prints  median error  within at most")
        for row in simulated(shops, factor=factor, noise=noise):
            print(f"{row.count:13d}  {row.median_error:11.1%}  {row.within:13.1%}")


if __name__ == "__main__":
    main()
