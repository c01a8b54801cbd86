"""Lives as points to look at: the share surviving, and median ranks with their straight line."""

import math
from collections.abc import Sequence

from printcrib.core.life import LifeUnit


def surviving(units: Sequence[LifeUnit]) -> list[tuple[float, float]]:
    """The share that outlives each count, failed or not, in order (Kaplan and Meier 1958)."""
    points: list[tuple[float, float]] = []
    share = 1.0
    for age in sorted({unit.age for unit in units}):
        at_risk = sum(unit.weight for unit in units if unit.age >= age and (unit.entry < age or age == 0.0))
        failed = sum(unit.weight for unit in units if unit.age == age and unit.failed)
        if at_risk > 0.0:
            share *= 1.0 - failed / at_risk
        points.append((age, max(share, 0.0)))
    return points


def median_ranks(units: Sequence[LifeUnit]) -> list[tuple[float, float]]:
    """Each failure with the share that has failed by then: ranks adjusted for unfailed aids (Johnson 1964).

    The share is Benard's (rank - 0.3) / (n + 0.4). Aids are taken one by one, weights are not read.
    """
    ordered = sorted(units, key=lambda unit: (unit.age, not unit.failed))
    number, rank = len(ordered), 0.0
    points = []
    for before, unit in enumerate(ordered):
        if unit.failed:
            rank += (number + 1 - rank) / (1 + number - before)
            points.append((unit.age, (rank - 0.3) / (number + 0.4)))
    return points


def straight_line(points: Sequence[tuple[float, float]]) -> tuple[float, float] | None:
    """Shape and scale of the line through median ranks, use regressed on rank; None where there is none."""
    if len({age for age, _ in points if age > 0.0}) < 2:
        return None
    pairs = [(math.log(age), math.log(-math.log1p(-share))) for age, share in points if age > 0.0]
    mean_x = sum(x for x, _ in pairs) / len(pairs)
    mean_y = sum(y for _, y in pairs) / len(pairs)
    slope = sum((x - mean_x) * (y - mean_y) for x, y in pairs) / sum((y - mean_y) ** 2 for _, y in pairs)
    return 1.0 / slope, math.exp(mean_x - slope * mean_y)
