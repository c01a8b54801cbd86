"""Edit printers, nozzles, print settings, and whether prints may run when nobody is in."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from printcrib.core.errors import ShopError
from printcrib.core.estimating.settings import settings_with, typical_settings
from printcrib.core.people import Role
from printcrib.core.printers import Nozzle, Printer, PrintProfile, Unattended
from printcrib.core.units import LARGEST_BORE_UM, SMALLEST_BORE_UM, bore_text
from printcrib.services.check_role import require
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.press import Press
from printcrib.services.save_edit import refuse_blank, save_edit

UNATTENDED_ASKED_AS = "May prints run when nobody is in? Site fire rules decide."
SMALLEST_PLATFORM_MM, LARGEST_PLATFORM_MM = 30.0, 2000.0


@dataclass(frozen=True, kw_only=True)
class NewNozzle:
    """A nozzle the shop owns; printer_id None for any printer."""

    bore_um: int
    hardened: bool = False
    printer_id: int | None = None


def add_printer(shop: Shop, press: Press, new: Printer) -> Done[Printer]:
    """The desk adds a printer."""
    with shop.write(press, "add printer") as uow:
        require(uow, "add printers", Role.DESK)
        printer = printer_in(uow, new)
        uow.commit()
        return Done(printer, uow.changed, uow.press_number)


def printer_in(uow: UnitOfWork, new: Printer) -> Printer:
    """Add a printer within an open unit."""
    _refuse_odd(new)
    return uow.printers.add(replace(new, name=new.name.strip()))


def change_printer(shop: Shop, press: Press, edited: Printer) -> Done[Printer]:
    """The desk changes name, platform, materials, rate, out of service or switches it off.

    What is fitted and mounted is not edited here but told where it is done.

    Raises:
        StaleEdit: somebody else changed the printer since.
    """
    with shop.write(press, "change printer") as uow:
        require(uow, "change printers", Role.DESK)
        before = uow.printers.get(edited.id)
        _refuse_odd(edited)
        printer = save_edit(
            uow.printers,
            replace(
                edited,
                fitted_nozzle_id=before.fitted_nozzle_id,
                mounted_spool_id=before.mounted_spool_id,
                needs_clearing=before.needs_clearing,
            ),
        )
        uow.commit()
        return Done(printer, uow.changed, uow.press_number)


def _refuse_odd(printer: Printer) -> None:
    refuse_blank(printer.name, "The printer")
    for mm in (*printer.platform_mm, printer.height_mm):
        if not SMALLEST_PLATFORM_MM <= mm <= LARGEST_PLATFORM_MM:
            raise ShopError(
                f"{mm:g} mm is no size of a platform",
                f"Give {SMALLEST_PLATFORM_MM:g} to {LARGEST_PLATFORM_MM:g} mm.",
            )
    if printer.rate_thousandths is not None and printer.rate_thousandths < 0:
        raise ShopError("A machine rate below nothing makes no sense", "Give an amount, or leave it empty.")


def add_nozzles(shop: Shop, press: Press, new: NewNozzle, count: int = 1) -> Done[tuple[Nozzle, ...]]:
    """The desk adds nozzles of one kind; each is a thing with a number of its own."""
    if not 1 <= count <= 100:
        raise ShopError(f"{count} nozzles make no sense", "Add 1 to 100.")
    with shop.write(press, "add nozzles") as uow:
        require(uow, "add nozzles", Role.DESK)
        nozzles = tuple(nozzle_in(uow, new) for _ in range(count))
        uow.commit()
        return Done(nozzles, uow.changed, uow.press_number)


def nozzle_in(uow: UnitOfWork, new: NewNozzle) -> Nozzle:
    """Add a nozzle within an open unit."""
    if not SMALLEST_BORE_UM <= new.bore_um <= LARGEST_BORE_UM:
        raise ShopError(f"{new.bore_um} um is no nozzle bore", "Give a bore such as 0.4 mm.")
    return uow.nozzles.add(
        Nozzle(
            number=uow.next_number("nozzle"),
            bore_um=new.bore_um,
            hardened=new.hardened,
            printer_id=new.printer_id,
        )
    )


def change_nozzle(shop: Shop, press: Press, edited: Nozzle) -> Done[Nozzle]:
    """The desk says which printer a nozzle is kept for, whether it is hardened, or retires it."""
    with shop.write(press, "change nozzle") as uow:
        require(uow, "change nozzles", Role.DESK)
        before = uow.nozzles.get(edited.id)
        fitted = uow.printers.one(is_("fitted_nozzle_id", edited.id))
        if fitted is not None and edited.retired:
            raise ShopError(f"{before.tag} is fitted on {fitted.name}", "Take it off there first.")
        if fitted is not None and edited.printer_id not in (None, fitted.id):
            raise ShopError(f"{before.tag} is fitted on {fitted.name}", "Take it off there first.")
        kept = replace(edited, bore_um=before.bore_um, number=before.number)
        nozzle = save_edit(
            uow.nozzles, replace(kept, minutes_used=before.minutes_used, mg_used=before.mg_used)
        )
        uow.commit()
        return Done(nozzle, uow.changed, uow.press_number)


def set_profile(
    shop: Shop,
    press: Press,
    printer_id: int,
    bore_um: int,
    values: Mapping[str, float],
    material_id: int | None = None,
    version: int | None = None,
) -> Done[PrintProfile]:
    """The desk says how a printer really prints with a bore; `estimate_again` then brings it to the plan.

    Args:
        values: setting name to value, only those that differ from the typical ones; empty for none.
        material_id: None for every material.
        version: of the profile as it was read, 0 when there was none; None takes whatever is there.

    Raises:
        ShopError: an unknown setting or a value outside its limits.
        StaleEdit: somebody else changed them since.
    """
    settings_with(typical_settings(bore_um), dict(values))
    with shop.write(press, "set print settings") as uow:
        require(uow, "change print settings", Role.DESK)
        uow.printers.get(printer_id)
        found = uow.print_profiles.find(is_("printer_id", printer_id), is_("bore_um", bore_um))
        known = next((each for each in found if each.material_id == material_id), None)
        if known is None:
            profile = uow.print_profiles.add(
                PrintProfile(
                    printer_id=printer_id, bore_um=bore_um, material_id=material_id, values=dict(values)
                )
            )
        else:
            seen = known.version if version is None else version
            edited = replace(known, values=dict(values), version=seen)
            profile = save_edit(uow.print_profiles, edited)
        uow.commit()
        return Done(profile, uow.changed, uow.press_number)


def answer_unattended(
    shop: Shop, press: Press, printer_id: int, material_id: int, allowed: bool
) -> Done[Unattended]:
    """The lead answers "May prints run when nobody is in?" for one printer and material."""
    with shop.write(press, "answer unattended") as uow:
        lead = require(uow, "answer whether prints run when nobody is in", Role.LEAD)
        answer = unattended_in(uow, printer_id, material_id, allowed, lead.id)
        uow.commit()
        return Done(answer, uow.changed, uow.press_number)


def unattended_in(
    uow: UnitOfWork, printer_id: int, material_id: int, allowed: bool, lead_id: int
) -> Unattended:
    """Book the lead's answer within an open unit."""
    known = uow.unattended.one(is_("printer_id", printer_id), is_("material_id", material_id))
    if known is not None:
        return uow.unattended.save(replace(known, allowed=allowed, answered_by_id=lead_id))
    return uow.unattended.add(
        Unattended(printer_id=printer_id, material_id=material_id, allowed=allowed, answered_by_id=lead_id)
    )


def nozzle_words(nozzle: Nozzle) -> str:
    """A nozzle as people say it: "0.6 hardened (N-3)"."""
    return f"{bore_text(nozzle.bore_um)}{' hardened' if nozzle.hardened else ''} ({nozzle.tag})"
