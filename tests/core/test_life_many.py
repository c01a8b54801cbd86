"""Many aids at once are told the same as one by one."""

import random

import pytest

from printcrib.core.life import Forecast, LifeUnit
from printcrib.core.life_many import remaining_of_all


def test_all_at_once_is_one_by_one() -> None:
    dice = random.Random(6)
    families, asked = [], []
    for key in range(60):
        scale = dice.choice((1e-6, 1.0, 600.0, 1e9))
        units = []
        for _ in range(dice.randrange(6)):
            age = scale * dice.choice((0.0, 0.01, 0.7, 1.0, 1.0, 3.0, 40.0))
            entry = dice.choice((0.0, 0.0, age / 2, age))
            units.append(LifeUnit(age, dice.random() < 0.5, entry, weight=dice.choice((1.0, 2.5))))
        families.append(Forecast(scale, tuple(units), dice.choice((0.6, 3.0))))
        asked += [(key, each.age, dice.choice((0.5, 0.8, 0.9, 0.99))) for each in units]
    asked.append((0, 0.0, 0.9))
    together = remaining_of_all(families, asked)
    for told, (key, age, sure) in zip(together, asked, strict=True):
        alone = families[key].remaining(age, sure)
        assert told == pytest.approx(alone, rel=1e-5, abs=1e-9 * max(age, families[key].expected_life))


def test_found_failures_are_asked_singly() -> None:
    found = Forecast(600.0, (LifeUnit(500.0, True, 0.0, 300.0), LifeUnit(400.0, False)))
    assert remaining_of_all([found], [(0, 400.0, 0.9)]) == [found.remaining(400.0, 0.9)]
    both = remaining_of_all([found, Forecast(600.0)], [(0, 400.0, 0.9), (1, 0.0, 0.5)])
    assert both == [pytest.approx(found.remaining(400.0, 0.9)), pytest.approx(600.0)]
    assert remaining_of_all([], []) == []
