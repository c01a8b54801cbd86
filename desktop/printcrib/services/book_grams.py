"""Book a run's filament on its spools: printed, scrap, purge."""

from dataclasses import replace

from printcrib.core.materials import Source, SpoolEntry, SpoolEntryKind, SpoolState
from printcrib.core.running import shares
from printcrib.core.runs import Run
from printcrib.core.spool_ledger import usable_mg
from printcrib.services.interfaces import UnitOfWork
from printcrib.services.read_calendar import settings_of
from printcrib.services.read_runs import doubt_of


def book_grams(uow: UnitOfWork, run: Run, lost_share: float) -> None:
    """What the run took: good and unjudged copies as printed, lost ones as scrap, and the purge.

    Args:
        lost_share: the part of the run's filament that failed or scrapped copies took, 0 to 1.
    """
    if not run.spool_ids:
        return
    settings = settings_of(uow)
    purge = settings.purge_mg if run.changed_material else 0
    if purge:
        _book(uow, run, run.spool_ids[0], SpoolEntryKind.PURGE, purge, Source.ASSUMED)
    first = doubt_of(uow, uow.spools.get(run.spool_ids[0])).left_mg
    total = run.mg or 0
    source = run.grams_source or Source.ASSUMED
    first_has = usable_mg(first, settings.tail_mg)
    for spool_id, mg in zip(run.spool_ids, shares(total, len(run.spool_ids), first_has), strict=True):
        scrap = round(mg * lost_share)
        _book(uow, run, spool_id, SpoolEntryKind.PRINTED, mg - scrap, source)
        _book(uow, run, spool_id, SpoolEntryKind.SCRAP, scrap, source)


def _book(uow: UnitOfWork, run: Run, spool_id: int, kind: SpoolEntryKind, mg: int, source: Source) -> None:
    if mg:
        uow.spool_entries.add(
            SpoolEntry(
                spool_id=spool_id, kind=kind, mg=-mg, who_id=uow.press.who_id, source=source, run_id=run.id
            )
        )


def settle_spools(uow: UnitOfWork, run: Run) -> None:
    """After a run from two spools the first is empty and the second is on the printer."""
    if len(run.spool_ids) < 2:
        return
    first, second = (uow.spools.get(key) for key in run.spool_ids[:2])
    if usable_mg(doubt_of(uow, first).left_mg, settings_of(uow).tail_mg) > 0:
        return
    rest = doubt_of(uow, first).left_mg
    if rest > 0:
        uow.spool_entries.add(
            SpoolEntry(
                spool_id=first.id,
                kind=SpoolEntryKind.THROWN_AWAY,
                mg=-rest,
                who_id=uow.press.who_id,
                run_id=run.id,
                note="the end that never comes off",
            )
        )
    uow.spools.save(replace(first, state=SpoolState.EMPTY))
    uow.spools.save(second.put_on_printer(uow.happened_at))
    printer = uow.printers.get(run.printer_id)
    uow.printers.save(replace(printer, mounted_spool_id=second.id))
