"""Replacement in time, spares on the shelf and copies to print: limits and refusals."""

import pytest

from printcrib.core.errors import ShopError
from printcrib.core.life import Forecast, LifeUnit
from printcrib.core.replacing import (
    best_age,
    cheapest_age,
    copies_to_print,
    cost_a_use,
    fewest_spares,
    known_age,
)

WORN = tuple(LifeUnit(age, True) for age in (800.0, 900.0, 1000.0, 1050.0, 1100.0))


def test_where_running_to_failure_is_cheapest() -> None:
    assert known_age(1.0, 1000.0, 1.0, 5.0) is None
    assert known_age(2.5, 1000.0, 5.0, 5.0) is None
    assert known_age(1.0000001, 1000.0, 1.0, 1.0000001) is None
    assert best_age(Forecast(1000.0, WORN), 1.0, 1.0) is None
    assert best_age(Forecast(1000.0, WORN), 1.0, 1.001) is None


def test_a_late_best_age_is_found() -> None:
    late = known_age(2.5, 1000.0, 1.0, 1.5)
    assert late is not None
    assert late > 1000.0
    assert cost_a_use(2.5, 1000.0, 1.0, 1.5, late) < cost_a_use(2.5, 1000.0, 1.0, 1.5, 0.9 * late)


def test_the_dearer_a_failure_the_earlier_the_age() -> None:
    ages = [best_age(Forecast(1000.0, WORN), 1.0, failing) for failing in (3.0, 5.0, 20.0)]
    assert None not in ages
    assert ages == sorted(ages, key=lambda age: -(age or 0.0))
    assert 0.0 < (ages[0] or 0.0) < 1000.0


def test_a_life_without_wear_runs_to_its_end() -> None:
    assert not cheapest_age(lambda age: 2.0 ** (-age), 1.0, 5.0, 7.0)[1]


def test_spares_and_copies() -> None:
    assert fewest_spares(0.0, 0.99) == 0
    assert copies_to_print(3, 1.0) == 3
    assert copies_to_print(1, 0.5) == 5
    assert copies_to_print(10_000, 1e-6) >= 20_000  # nobody prints so many: the search ends
    for demand, enough in ((-1.0, 0.9), (1e9, 0.9), (1.0, 1.0)):
        with pytest.raises(ShopError):
            fewest_spares(demand, enough)
    for good, share, enough in ((0, 0.9, 0.9), (1, 0.0, 0.9), (1, 0.9, 1.0), (10**6, 0.9, 0.9)):
        with pytest.raises(ShopError):
            copies_to_print(good, share, enough)
