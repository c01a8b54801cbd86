"""`printcrib estimate MODEL...`: minutes, grams and cost per nozzle of model files."""

import json
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from printcrib.app.commands.answering import REFUSED, answer, content_of, opened, refuse, table
from printcrib.core.errors import ShopError
from printcrib.core.estimating.settings import settings_as_dict, settings_with, typical_settings
from printcrib.core.materials import Material
from printcrib.core.patterns import Fineness
from printcrib.core.units import between_words, bore_text, bore_um
from printcrib.services.estimate_files import (
    TIERS,
    AskedNozzle,
    FileAnswer,
    Wishes,
    default_nozzles,
    estimate_file,
    material_named,
    shop_nozzles,
)
from printcrib.services.interfaces import Shop

TYPICAL = "default"
"""In place of a settings file: print the typical settings."""


@dataclass(frozen=True)
class Options:
    """How an estimate is asked on the command line; None is what is usual.

    Attributes:
        nozzles: bores in mm. settings: a JSON file. fill: 0 to 1, or percent.
        supports: "on" or "off". tier: see `services.estimate_files.TIERS`.
    """

    nozzles: Sequence[str] = ()
    material: str | None = None
    settings: str | None = None
    fill: str | None = None
    walls: int | None = None
    supports: str | None = None
    tier: int = 1


def estimate(
    files: Sequence[Path], fine: Fineness, shop: str | None, as_json: bool, options: Options | None = None
) -> int:
    """Answer for every file; a refused one gives one sentence on stderr and exit code 2."""
    options = options or Options()
    answers: list[FileAnswer] = []
    code = 0
    with ExitStack() as stack:
        try:
            if options.tier not in TIERS:
                raise ShopError(f"There is no tier {options.tier}", "Ask for 1 (at once) or 2 (by paths).")
            nozzles, reader = _setting(stack, shop, options)
        except ShopError as error:
            refuse(error)
            return REFUSED
        for file in files:
            try:
                found = estimate_file(reader, content_of(file), str(file), nozzles, fine, options.tier)
                answers.append(found)
            except ShopError as error:
                refuse(error)
                code = REFUSED
    answer([_as_json(each) for each in answers], as_json, lambda: _lines(answers))
    return code


def print_settings(options: Options) -> int:
    """Print the settings of one nozzle whole, as a settings file holds them; the first one asked for."""
    try:
        (first, *_) = default_nozzles(_wishes(replace(options, settings=None), _shipped))
    except ShopError as error:
        refuse(error)
        return REFUSED
    answer(settings_as_dict(first.settings), True, list)
    return 0


def _setting(stack: ExitStack, shop: str | None, options: Options) -> tuple[tuple[AskedNozzle, ...], Any]:
    if shop is None:
        from printcrib.meshes.reader import ModelReader

        return asked_nozzles(None, options), stack.enter_context(ModelReader())
    wired = stack.enter_context(opened(shop))
    return asked_nozzles(wired.shop, options), wired.reader


def asked_nozzles(shop: Shop | None, options: Options) -> tuple[AskedNozzle, ...]:
    """The nozzles a command is asked about: of a shop, or of the printer that answers where there is none.

    Raises:
        ShopError: an option or a settings file holds what nobody can follow.
    """
    if shop is None:
        return default_nozzles(_wishes(options, _shipped))
    with shop.read() as uow:
        return shop_nozzles(uow, _wishes(options, lambda: uow.materials.find()))


def _shipped() -> Sequence[Material]:
    from printcrib.app.begin_shop import shipped_materials

    return shipped_materials()


def _wishes(options: Options, materials: Callable[[], Sequence[Material]]) -> Wishes:
    """What the options ask for; a settings file that names its bore is for that nozzle alone."""
    changes = _changes(options)
    bore = changes.pop("bore_um", None)
    bores = tuple(dict.fromkeys(map(bore_um, options.nozzles)))
    if bore is not None:
        asked = settings_with(typical_settings(400), {"bore_um": bore}).bore_um
        bores = bores or (asked,)
    material = None if options.material is None else material_named(materials(), options.material)
    if material is not None:
        changes.pop("density_g_cm3", None)
    return Wishes(bores, material, changes)


def _changes(options: Options) -> dict[str, object]:
    changes = {} if options.settings is None else _read_settings(Path(options.settings))
    if options.fill is not None:
        changes["fill"] = _share(options.fill)
    if options.walls is not None:
        changes["walls"] = options.walls
    if options.supports is not None:
        if options.supports not in ("on", "off"):
            raise ShopError(f"Supports are {options.supports}", "Say on or off.")
        changes["supports"] = options.supports == "on"
    return changes


def _share(text: str) -> float:
    """A share from 0 to 1, or percent: "0.2", "20" and "20%" are the same."""
    try:
        number = float(text.strip().removesuffix("%"))
    except ValueError:
        raise ShopError(
            f"{text.strip() or 'An empty fill'} is not a number", "Give the fill from 0 to 1, or in percent."
        ) from None
    return number / 100 if number > 1 or text.strip().endswith("%") else number


def _read_settings(file: Path) -> dict[str, object]:
    try:
        held = json.loads(content_of(file))
    except (ValueError, RecursionError):
        held = None
    if not isinstance(held, dict):
        do = "Print one with --settings default and change it."
        raise ShopError(f"{file} holds no settings", do)
    return held


def _as_json(each: FileAnswer) -> dict[str, Any]:
    return {
        "file": each.file,
        "model": {
            "triangles": each.facts.triangles,
            "volume_cm3": round(each.facts.volume_cm3, 6),
            "extents_mm": [round(length, 6) for length in each.facts.extents_mm],
            "trustworthy": each.facts.trustworthy,
            "findings": [{"code": code, "words": words} for code, words in each.findings],
        },
        "nozzles": [
            {
                "printer": nozzle.printer,
                "nozzle_mm": bore_text(nozzle.bore_um),
                "minutes": round(nozzle.minutes, 3),
                "grams": round(nozzle.grams, 3),
                "cost": None if nozzle.cost_thousandths is None else nozzle.cost_thousandths / 1000,
                "allowed": nozzle.allowed,
                "minutes_p50": round(nozzle.minutes, 3),
                "minutes_p90": round(nozzle.minutes_at_most, 3),
                "grams_p90": round(nozzle.grams_at_most, 3),
                "tier": nozzle.tier,
                "support_grams": round(nozzle.support_grams, 3),
                "lost_percent": round(nozzle.lost_percent, 3),
                "recommended": each.recommended is not None and nozzle.bore_um == each.recommended.bore_um,
                "minutes_range": _rounded(nozzle.minutes_range),
                "grams_range": _rounded(nozzle.grams_range),
            }
            for nozzle in each.nozzles
        ],
        "recommended": None
        if each.recommended is None
        else {"nozzle_mm": bore_text(each.recommended.bore_um), "why": each.recommended.words},
    }


def _rounded(ends: tuple[float, float] | None) -> list[float] | None:
    return [round(end, 3) for end in ends] if ends else None


def _lines(answers: Sequence[FileAnswer]) -> list[str]:
    lines = []
    for each in answers:
        size = " x ".join(f"{length:.1f}" for length in each.facts.extents_mm)
        lines.append(f"{each.file}: {size} mm, {each.facts.volume_cm3:.1f} cm3")
        lines += [f"  {words}" for _, words in each.findings]
        rows = [("", "printer", "nozzle", "minutes", "grams", "cost", "")]
        rows += [
            (
                "",
                nozzle.printer,
                bore_text(nozzle.bore_um),
                between_words(*(nozzle.minutes_range or (nozzle.minutes, nozzle.minutes_at_most))),
                " to ".join(f"{grams:.1f}" for grams in (nozzle.grams_range or (nozzle.grams,))),
                "-" if nozzle.cost_thousandths is None else f"{nozzle.cost_thousandths / 1000:.2f}",
                nozzle.lost if nozzle.allowed else "not for this request",
            )
            for nozzle in each.nozzles
        ]
        lines += table(rows)
        lines += [f"  {each.recommended.words}"] if each.recommended else []
    return lines
