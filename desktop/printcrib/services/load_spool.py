"""Put a spool on a printer; what is really on it counts, not what was planned."""

from dataclasses import replace

from printcrib.core.errors import ShopError
from printcrib.core.materials import Spool, SpoolState
from printcrib.core.printers import Printer
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press
from printcrib.services.read_runs import open_run_on, refuse_busy


def load_spool(
    shop: Shop, press: Press, printer_id: int, spool_id: int | None, *, old_is_empty: bool = False
) -> Done[Printer]:
    """This spool is really on the printer now (None: the printer is empty).

    The spool that was on it goes back to the shelf, or is empty if the person says so.

    Raises:
        ShopError: a run lies on the printer, or the spool is empty, gone or in use on another one.
    """
    with shop.write(press, "load spool") as uow:
        printer = uow.printers.get(printer_id)
        refuse_busy(uow, printer)
        spool = None if spool_id is None else uow.spools.get(spool_id)
        printer = load(uow, printer, spool, old_is_empty=old_is_empty)
        uow.commit()
        done = Done(printer, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def load(uow: UnitOfWork, printer: Printer, spool: Spool | None, *, old_is_empty: bool = False) -> Printer:
    """Book a spool on a printer within an open unit; nothing happens if it is on it already."""
    if spool is not None and printer.mounted_spool_id == spool.id:
        return printer
    if spool is not None:
        _refuse_unloadable(spool)
        _take_from_other(uow, spool)
    if printer.mounted_spool_id is not None:
        take_down(uow, uow.spools.get(printer.mounted_spool_id), is_empty=old_is_empty)
    printer = uow.printers.save(replace(printer, mounted_spool_id=None if spool is None else spool.id))
    if spool is not None:
        uow.spools.save(spool.put_on_printer(uow.happened_at))
    return printer


def take_down(uow: UnitOfWork, spool: Spool, *, is_empty: bool) -> Spool:
    """A spool comes off its printer: back to the shelf, or it is empty."""
    if spool.state is not SpoolState.ON_PRINTER:
        return spool
    return uow.spools.save(replace(spool, state=SpoolState.EMPTY if is_empty else SpoolState.SHELF))


def _refuse_unloadable(spool: Spool) -> None:
    if spool.state in (SpoolState.EMPTY, SpoolState.GONE):
        raise ShopError(
            f"Spool {spool.tag} is {spool.state}", "Choose another one, or weigh it if that is wrong."
        )


def _take_from_other(uow: UnitOfWork, spool: Spool) -> None:
    """What is really on this printer cannot be on another one."""
    holder = uow.printers.one(is_("mounted_spool_id", spool.id))
    if holder is None:
        return
    run = open_run_on(uow, holder.id)
    if run is not None:
        raise ShopError(
            f"Spool {spool.tag} feeds run {run.number} on {holder.name}",
            "Choose another one, or stop that run.",
        )
    uow.printers.save(replace(holder, mounted_spool_id=None))
