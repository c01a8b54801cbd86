"""A run started without the run sheet, told in two presses: which printer, free again at about."""

from dataclasses import dataclass, replace
from datetime import datetime

from printcrib.core.errors import ShopError
from printcrib.core.requests import CopyState
from printcrib.core.runs import Run, RunOrigin, RunState
from printcrib.services.interfaces import Done, Shop, UnitOfWork
from printcrib.services.load_spool import load
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press
from printcrib.services.read_runs import copies_on, open_run_on
from printcrib.services.take_off_run import TakenOff, all_to_check, take_off_in


@dataclass(frozen=True)
class ByHand:
    """A run by hand, and the run that was still open there and is taken off with its copies to check."""

    run: Run
    taken_off: TakenOff | None = None


def run_by_hand(
    shop: Shop,
    press: Press,
    printer_id: int,
    free_again_at: datetime,
    *,
    spool_id: int | None = None,
    name: str = "",
) -> Done[ByHand]:
    """The printer runs something nobody planned; the plan leaves it alone until then.

    Args:
        free_again_at: UTC, about. spool_id: what is on it, if somebody looked. name: what it is.

    Raises:
        ShopError: that time is over already.
    """
    with shop.write(press, "run by hand") as uow:
        if free_again_at <= uow.happened_at:
            raise ShopError("That time is over already", "Say when the printer is free again.")
        by_hand = _start(uow, printer_id, free_again_at, spool_id, name.strip())
        uow.commit()
        done = Done(by_hand, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def _start(
    uow: UnitOfWork, printer_id: int, free_again_at: datetime, spool_id: int | None, name: str
) -> ByHand:
    taken = None
    open_run = open_run_on(uow, printer_id)
    if open_run is not None:
        told = all_to_check(copies_on(uow, open_run.id, CopyState.PRINTING))
        taken = take_off_in(uow, open_run, told)
    printer = uow.printers.get(printer_id)
    if spool_id is not None:
        printer = load(uow, printer, uow.spools.get(spool_id))
    nozzle = None if printer.fitted_nozzle_id is None else uow.nozzles.get(printer.fitted_nozzle_id)
    spool = None if spool_id is None else uow.spools.get(spool_id)
    if printer.needs_clearing:
        uow.printers.save(replace(printer, needs_clearing=False))
    run = uow.runs.add(
        Run(
            number=uow.next_number("run"),
            printer_id=printer_id,
            bore_um=nozzle.bore_um if nozzle else 0,
            nozzle_id=printer.fitted_nozzle_id,
            material_id=spool.material_id if spool else None,
            colour=spool.colour if spool else "",
            spool_ids=(spool.id,) if spool else (),
            origin=RunOrigin.BY_HAND,
            state=RunState.STARTED,
            started_at=uow.happened_at,
            started_by_id=uow.press.who_id,
            planned_start=uow.happened_at,
            planned_end=free_again_at,
            free_again_at=free_again_at,
            name=name,
        )
    )
    return ByHand(run, taken)
