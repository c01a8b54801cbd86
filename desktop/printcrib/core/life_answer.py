"""What is said of the life of aids: the fit without a guess beside the forecast with one."""

from collections.abc import Mapping
from dataclasses import dataclass

from printcrib.core.errors import ShopError
from printcrib.core.life import GUESS_WORTH, Forecast, LifeUnit
from printcrib.core.life_fit import LifeFit, fit_life
from printcrib.core.life_rows import LEAST, MOST

NO_GUESS = "Without an expected life there is no forecast: say the count half of them should reach"
SURE = (0.8, 0.9, 0.99)
B10 = 0.1
LEAST_WORTH, MOST_WORTH = 0.05, 1000.0


@dataclass(frozen=True)
class LifeAnswer:
    """The life of a set of aids.

    Attributes:
        number, failures: aids and failures, by weight; failures at 0 use are not wear.
        fit: maximum likelihood, or in words why there is none. forecast: None without an expected life.
        remaining: row, count and further use at each of `SURE`, of every aid still good.
        at: a count and how surely a new aid reaches it, None where nothing tells.
        left_out: rows that failed at 0 use.
    """

    number: float
    failures: float
    fit: LifeFit | str
    forecast: Forecast | None
    remaining: tuple[tuple[int, float, tuple[float, ...]], ...]
    at: tuple[float, float | None] | None
    left_out: tuple[int, ...]

    @property
    def why(self) -> str:
        """Why the fit or the forecast is missing; empty where neither is."""
        reasons = [self.fit] if isinstance(self.fit, str) else []
        reasons += [NO_GUESS] if self.forecast is None else []
        return "".join(f"{reason}. " for reason in reasons).strip()


def tell_life(
    units: Mapping[int, LifeUnit],
    expected: float | None = None,
    worth: float = GUESS_WORTH,
    at: float | None = None,
) -> LifeAnswer:
    """The life of the aids of one family.

    Args:
        units: by row. expected: L50. worth: how many failures that guess counts for.
        at: a count a new one should reach.

    Raises:
        ShopError: a number nobody can mean.
    """
    for name, number, least, most in (
        ("expected life", expected, LEAST, MOST),
        ("worth of the guess", worth, LEAST_WORTH, MOST_WORTH),
        ("count asked about", at, 0.0, MOST),
    ):
        if number is not None and not least <= number <= most:
            raise ShopError(f"The {name} is {number:g}", f"Give a number from {least:g} to {most:g}.")
    worn = tuple(units.values())
    forecast = None if expected is None else Forecast(expected, worn, worth)
    fit = fit_life(worn)
    return LifeAnswer(
        number=sum(unit.weight for unit in worn),
        failures=sum(unit.weight for unit in worn if unit.failed and unit.age > 0.0),
        fit=fit,
        forecast=forecast,
        remaining=() if forecast is None else _remaining(forecast, units),
        at=None if at is None else (at, _reaches(at, forecast, fit)),
        left_out=tuple(row for row, unit in units.items() if unit.failed and unit.age == 0.0),
    )


def _remaining(
    forecast: Forecast, units: Mapping[int, LifeUnit]
) -> tuple[tuple[int, float, tuple[float, ...]], ...]:
    return tuple(
        (row, unit.age, tuple(forecast.remaining(unit.age, sure) for sure in SURE))
        for row, unit in units.items()
        if not unit.failed
    )


def _reaches(count: float, forecast: Forecast | None, fit: LifeFit | str) -> float | None:
    """How surely a new aid reaches a count: by the forecast, else by the fit."""
    if forecast is not None:
        return forecast.lasts(count)
    return None if isinstance(fit, str) else fit.lasts(count)
