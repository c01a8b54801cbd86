"""Swap the nozzle of a printer."""

from dataclasses import replace

from printcrib.core.errors import ShopError
from printcrib.core.printers import Nozzle, Printer
from printcrib.core.units import bore_text
from printcrib.services.interfaces import Done, Shop, UnitOfWork, Where, is_
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press
from printcrib.services.read_runs import refuse_busy


def fit_nozzle(shop: Shop, press: Press, printer_id: int, nozzle_id: int | None) -> Done[Printer]:
    """Another nozzle is on the printer now (None: it was taken off and none fitted).

    Raises:
        ShopError: a run lies on the printer, or the nozzle is retired, kept for or fitted on another.
    """
    with shop.write(press, "fit nozzle") as uow:
        printer = uow.printers.get(printer_id)
        refuse_busy(uow, printer)
        printer = fit(uow, printer, None if nozzle_id is None else uow.nozzles.get(nozzle_id))
        uow.commit()
        done = Done(printer, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def fit(uow: UnitOfWork, printer: Printer, nozzle: Nozzle | None) -> Printer:
    """Book a nozzle on a printer within an open unit; nothing happens if it is on it already."""
    if nozzle is None:
        return uow.printers.save(replace(printer, fitted_nozzle_id=None))
    if printer.fitted_nozzle_id == nozzle.id:
        return printer
    words = f"Nozzle {nozzle.tag} ({bore_text(nozzle.bore_um)})"
    if nozzle.retired:
        raise ShopError(f"{words} is retired", "Choose another one.")
    if nozzle.printer_id not in (None, printer.id):
        other = uow.printers.get(nozzle.printer_id or 0)
        raise ShopError(f"{words} is kept for {other.name}", "Choose another one.")
    holder = uow.printers.one(is_("fitted_nozzle_id", nozzle.id))
    if holder is not None:
        raise ShopError(f"{words} is fitted on {holder.name}", "Take it off there first.")
    return uow.printers.save(replace(printer, fitted_nozzle_id=nozzle.id))


def nozzle_for(uow: UnitOfWork, printer: Printer, bore_um: int, abrasive: bool) -> Nozzle:
    """The nozzle to fit for a bore: the one on it where it will do, else the least used that is free.

    Raises:
        ShopError: the shop has none that will do.
    """
    fitted_elsewhere = {
        other.fitted_nozzle_id for other in uow.printers.find(Where("fitted_nozzle_id", "not none"))
    } - {printer.fitted_nozzle_id}
    fitting = [
        nozzle
        for nozzle in uow.nozzles.find(is_("bore_um", bore_um), is_("retired", False))
        if nozzle.printer_id in (None, printer.id)
        and nozzle.id not in fitted_elsewhere
        and (nozzle.hardened or not abrasive)
    ]
    if not fitting:
        kind = "hardened nozzle" if abrasive else "nozzle"
        raise ShopError(
            f"No {kind} {bore_text(bore_um)} is free for {printer.name}",
            "Free one, add one in Shop settings, or plan again.",
        )
    return min(fitting, key=lambda nozzle: (nozzle.id != printer.fitted_nozzle_id, nozzle.mg_used, nozzle.id))
