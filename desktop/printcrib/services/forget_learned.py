"""Have the shop forget what it learned of a printer and nozzle."""

from printcrib.core.people import Role
from printcrib.core.printers import FreshStart
from printcrib.services.check_role import require
from printcrib.services.interfaces import Done, Shop
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press


def forget_learned(shop: Shop, press: Press, printer_id: int, bore_um: int) -> Done[FreshStart]:
    """The lead has what was learned of a printer and nozzle forgotten; undone, it counts again.

    Prints taken off before the press happened no longer count; the plan is mended to the new minutes.

    Raises:
        ShopError: somebody else than the lead pressed. NotFound: there is no such printer.
    """
    with shop.write(press, "forget what was learned") as uow:
        lead = require(uow, "have what was learned forgotten", Role.LEAD)
        uow.printers.get(printer_id)
        start = uow.fresh_starts.add(FreshStart(printer_id=printer_id, bore_um=bore_um, who_id=lead.id))
        uow.commit()
        done = Done(start, uow.changed, uow.press_number)
    return repair_after(shop, press, done)
