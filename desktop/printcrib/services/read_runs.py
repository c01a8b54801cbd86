"""What the desk's acts read again and again: open runs, their copies, spools with their grams."""

from collections import defaultdict
from collections.abc import Iterable

from printcrib.core.errors import ShopError
from printcrib.core.materials import Material, Spool, SpoolEntry, SpoolState
from printcrib.core.printers import Printer
from printcrib.core.requests import Copy, CopyState
from printcrib.core.runs import Run, RunState
from printcrib.core.spool_ledger import Doubt, grams_left
from printcrib.services.interfaces import UnitOfWork, among, is_

OPEN_RUNS = (RunState.STARTED, RunState.STOPPED)
"""States of a run that lies on its printer."""

LIVE_SPOOLS = (SpoolState.SHELF, SpoolState.DRYER, SpoolState.ON_PRINTER)
"""States of a spool that a run may draw from; a sealed one has to be opened first."""


def open_run_on(uow: UnitOfWork, printer_id: int) -> Run | None:
    """The run on a printer that nobody took off yet."""
    return uow.runs.one(is_("printer_id", printer_id), among("state", OPEN_RUNS))


def refuse_busy(uow: UnitOfWork, printer: Printer) -> None:
    """Refuse to touch a printer with a run on it."""
    run = open_run_on(uow, printer.id)
    if run is not None:
        raise ShopError(f"Run {run.number} is still on {printer.name}", "Take it off first.")


def copies_on(uow: UnitOfWork, run_id: int, *states: CopyState) -> tuple[Copy, ...]:
    """The copies of a run that are in one of the states."""
    return uow.copies.find(is_("run_id", run_id), among("state", states))


def doubt_of(uow: UnitOfWork, spool: Spool) -> Doubt:
    """Grams left on a spool with their doubt."""
    return grams_left(uow.spool_entries.find(is_("spool_id", spool.id)), spool.tare_mg, spool.tare_guessed)


def doubts_of(uow: UnitOfWork, spools: Iterable[Spool]) -> dict[int, Doubt]:
    """Grams left of many spools, by their keys."""
    listed = tuple(spools)
    entries: dict[int, list[SpoolEntry]] = defaultdict(list)
    for entry in uow.spool_entries.find(among("spool_id", tuple(spool.id for spool in listed))):
        entries[entry.spool_id].append(entry)
    return {spool.id: grams_left(entries[spool.id], spool.tare_mg, spool.tare_guessed) for spool in listed}


def kind_words(material: Material | None, colour: str) -> str:
    """Material and colour as people say them: "ASA grey"."""
    name = material.name if material else "unknown material"
    return f"{name} {colour}".strip()


def spool_words(uow: UnitOfWork, spool: Spool) -> str:
    """What is on a spool: "ASA grey"."""
    return kind_words(uow.materials.get(spool.material_id), spool.colour)
