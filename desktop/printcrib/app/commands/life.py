"""`printcrib life FILE`: how long aids of one kind last, from a table of counts."""

from pathlib import Path
from typing import Any

from printcrib.app.commands.answering import REFUSED, answer, content_of, refuse
from printcrib.core.errors import ShopError
from printcrib.core.life_answer import B10, LifeAnswer, tell_life
from printcrib.core.life_rows import read_rows


def life(file: Path, expected: float | None, worth: float, at: float | None, as_json: bool) -> int:
    """Answer from the good rows; each bad one is a sentence on stderr and makes the exit code 2."""
    try:
        units, faults = read_rows(content_of(file), file.name)
        told = tell_life(units, expected, worth, at)
    except ShopError as error:
        refuse(error)
        return REFUSED
    for fault in faults:
        refuse(fault)
    for row in told.left_out:
        refuse(f"Row {row} failed at no use: a fault of the print or the fit, not wear, so it is left out.")
    answer(_as_json(told), as_json, lambda: _lines(told))
    return REFUSED if faults else 0


def _as_json(told: LifeAnswer) -> dict[str, Any]:
    data: dict[str, Any] = {
        "n": _whole(told.number),
        "failures": _whole(told.failures),
        "mle": None,
        "forecast": None,
        "remaining": [
            {"row": row, "count": count, "q80": lefts[0], "q90": lefts[1], "q99": lefts[2]}
            for row, count, lefts in told.remaining
        ],
    }
    if not isinstance(told.fit, str):
        data["mle"] = {
            "shape": told.fit.shape,
            "scale": told.fit.scale,
            "shape_90": list(told.fit.shape_90),
            "scale_90": list(told.fit.scale_90),
        }
    if told.forecast is not None:
        low, middle, high = (told.forecast.worn_out_at(B10, believed) for believed in (0.05, 0.5, 0.95))
        data["forecast"] = {
            "median": told.forecast.median,
            "b10": middle,
            "b10_90": [low, high],
            "shape_median": told.forecast.shape_median,
        }
    if told.at is not None:
        data["at"] = {"count": told.at[0], "reliability": told.at[1]}
    if told.why:
        data["why"] = told.why
    return data


def _whole(number: float) -> float:
    """A sum of weights; without a fraction it is a plain count."""
    return int(number) if number == int(number) else number


def _lines(told: LifeAnswer) -> list[str]:
    data = _as_json(told)
    lines = [f"{data['n']} aids, {data['failures']} of them failed."]
    forecast, fit = data["forecast"], data["mle"]
    if forecast:
        low, high = forecast["b10_90"]
        lines.append(
            f"Half of them reach {forecast['median']:.5g}; one in ten is worn out by {forecast['b10']:.5g} "
            f"(90 %: {low:.5g} to {high:.5g}); shape {forecast['shape_median']:.3g}."
        )
    if fit:
        (low, high), (short, long) = fit["shape_90"], fit["scale_90"]
        lines.append(
            f"Without a guess: shape {fit['shape']:.4g} (90 %: {_end(low)} to {_end(high)}), "
            f"63 % are worn out by {fit['scale']:.5g} ({_end(short)} to {_end(long)})."
        )
    lines += [
        f"Row {each['row']} at {each['count']:g}: {each['q90']:.4g} more at 90 % sure, "
        f"{each['q80']:.4g} at 80 %, {each['q99']:.4g} at 99 %."
        for each in data["remaining"]
    ]
    if told.at is not None and told.at[1] is not None:
        lines.append(f"A new one reaches {told.at[0]:g} with {100 * told.at[1]:.1f} %.")
    return [*lines, told.why] if told.why else lines


def _end(number: float | None) -> str:
    return "no end" if number is None else f"{number:.4g}"
