"""Runs a person may log a failure on: what lies on the printers, and what was taken off lately."""

from dataclasses import dataclass

from printcrib.core.calendar import moment_words
from printcrib.core.requests import CopyState
from printcrib.core.runs import Run, RunState
from printcrib.services.finish_copy import copy_tag
from printcrib.services.interfaces import Shop, UnitOfWork, among, is_
from printcrib.services.read_calendar import zone_of
from printcrib.services.read_runs import OPEN_RUNS

TAKEN_OFF_SHOWN = 12
STILL_HERE = (CopyState.TO_CHECK, CopyState.FINISHING, CopyState.READY)
"""Copies that can still be found bad at the desk; one handed out is an aid by now."""


@dataclass(frozen=True, kw_only=True)
class FailableRun:
    """One run with the copies that may turn out bad.

    Attributes:
        on_printer: it lies on its printer; logging a failure stops it.
        copies: (key, tag) of copies taken off before; none for a run on its printer.
    """

    run: Run
    words: str
    where: str
    on_printer: bool
    copies: tuple[tuple[int, str], ...] = ()


def look_at_failable(shop: Shop) -> tuple[FailableRun, ...]:
    """Runs on printers first, then those taken off lately whose copies are still at the desk."""
    with shop.read() as uow:
        zone = zone_of(uow)
        printers = {printer.id: printer.name for printer in uow.printers.find()}
        running = uow.runs.find(among("state", OPEN_RUNS), order_by="number")
        off = uow.runs.find(
            is_("state", RunState.TAKEN_OFF),
            order_by="taken_off_at",
            newest_first=True,
            limit=TAKEN_OFF_SHOWN,
        )
        found = [
            FailableRun(
                run=run,
                words=f"Run {run.number}",
                where=f"on {printers[run.printer_id]} now",
                on_printer=True,
            )
            for run in running
        ]
        for run in off:
            copies = _copies(uow, run)
            if copies and run.taken_off_at is not None:
                when = moment_words(uow.now, run.taken_off_at, zone)
                where = f"taken off {printers[run.printer_id]} {when}"
                words = f"Run {run.number}"
                found.append(FailableRun(run=run, words=words, where=where, on_printer=False, copies=copies))
    return tuple(found)


def _copies(uow: UnitOfWork, run: Run) -> tuple[tuple[int, str], ...]:
    copies = uow.copies.find(is_("run_id", run.id), among("state", STILL_HERE))
    requests = {
        each.id: each for each in uow.requests.find(among("id", {copy.request_id for copy in copies}))
    }
    return tuple((copy.id, copy_tag(copy, requests[copy.request_id])) for copy in copies)
