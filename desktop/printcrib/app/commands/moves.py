"""`printcrib moves FILE`: minutes, grams, metres and layers of a print file, by its own moves."""

from contextlib import ExitStack
from pathlib import Path
from typing import Any

from printcrib.app.commands.answering import REFUSED, answer, content_of, opened, refuse
from printcrib.app.commands.estimate import Options, asked_nozzles
from printcrib.core.errors import ShopError
from printcrib.core.estimating.moves import PrintFile, refuse_size
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.units import duration_words
from printcrib.services.read_print_file import read_print_file


def moves(file: Path, printer: str | None, shop: str | None, as_json: bool, options: Options) -> int:
    """Answer for one file; a refusal is one sentence on stderr and exit code 2."""
    try:
        settings = _settings(printer, shop, options)
        if file.is_file():
            refuse_size(file.stat().st_size, file.name)
        found = read_print_file(content_of(file), file.name, settings)
    except ShopError as error:
        refuse(error)
        return REFUSED
    answer(_as_json(file, found), as_json, lambda: _lines(file, found))
    return 0


def _settings(printer: str | None, shop: str | None, options: Options) -> PrintSettings:
    """Of the printer and nozzle asked for; the first ones where none is."""
    with ExitStack() as stack:
        wired = None if shop is None else stack.enter_context(opened(shop))
        nozzles = asked_nozzles(None if wired is None else wired.shop, options)
    wanted = None if printer is None else printer.strip().casefold()
    for each in nozzles:
        if wanted in (None, each.printer.casefold()):
            return each.settings
    names = ", ".join(dict.fromkeys(each.printer for each in nozzles)) or "none yet"
    raise ShopError(f"No printer for this is called {printer or 'anything'}", f"Printers: {names}.")


def _as_json(file: Path, found: PrintFile) -> dict[str, Any]:
    return {
        "file": str(file),
        "minutes": round(found.minutes, 6),
        "grams": round(found.grams, 6),
        "metres": round(found.metres, 6),
        "layers": found.layers,
        "moves": found.moves,
        "heat_minutes": round(found.heat_minutes, 6),
        "wait_minutes": round(found.wait_minutes, 6),
        "notes": list(found.notes),
    }


def _lines(file: Path, found: PrintFile) -> list[str]:
    layers = "1 layer" if found.layers == 1 else f"{found.layers} layers"
    took = f"{file}: {duration_words(round(found.minutes))}, {found.grams:.2f} g"
    filament = f"{found.metres:.2f} m of filament, {layers}"
    return [f"{took}, {filament}", *(f"  {note}" for note in found.notes)]
