"""`printcrib estimate MODEL...`: minutes, grams and cost per nozzle of model files."""

from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from printcrib.app.commands.answering import REFUSED, answer, opened, refuse, table
from printcrib.core.errors import ShopError
from printcrib.core.patterns import Fineness
from printcrib.core.units import bore_text
from printcrib.services.estimate_files import (
    AskedNozzle,
    FileAnswer,
    default_nozzles,
    estimate_file,
    shop_nozzles,
)


def estimate(files: Sequence[Path], fine: Fineness, shop: str | None, as_json: bool) -> int:
    """Answer for every file; a refused one gives one sentence on stderr and exit code 2."""
    answers: list[FileAnswer] = []
    code = 0
    with ExitStack() as stack:
        nozzles, reader = _setting(stack, shop)
        for file in files:
            try:
                answers.append(estimate_file(reader, _content(file), str(file), nozzles, fine))
            except ShopError as error:
                refuse(error)
                code = REFUSED
    answer([_as_json(each) for each in answers], as_json, lambda: _lines(answers))
    return code


def _setting(stack: ExitStack, shop: str | None) -> tuple[tuple[AskedNozzle, ...], Any]:
    if shop is None:
        from printcrib.meshes.reader import ModelReader

        return default_nozzles(), stack.enter_context(ModelReader())
    wired = stack.enter_context(opened(shop))
    with wired.shop.read() as uow:
        return shop_nozzles(uow), wired.reader


def _content(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as error:
        raise ShopError(f"{file} cannot be read", "Check its name and try again.") from error


def _as_json(each: FileAnswer) -> dict[str, Any]:
    return {
        "file": each.file,
        "model": {
            "triangles": each.facts.triangles,
            "volume_cm3": round(each.facts.volume_cm3, 6),
            "extents_mm": [round(length, 6) for length in each.facts.extents_mm],
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
            }
            for nozzle in each.nozzles
        ],
    }


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
                f"{nozzle.minutes:.0f}",
                f"{nozzle.grams:.1f}",
                "-" if nozzle.cost_thousandths is None else f"{nozzle.cost_thousandths / 1000:.2f}",
                "" if nozzle.allowed else "not for this request",
            )
            for nozzle in each.nozzles
        ]
        lines += table(rows)
    return lines
