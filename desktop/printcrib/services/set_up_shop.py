"""Set up an own shop in one go: people, printers, nozzles, spools, hours, and what may run unattended."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from printcrib.core.errors import ShopError
from printcrib.core.materials import Material, Source, Spool, SpoolEntry, SpoolEntryKind, SpoolState
from printcrib.core.people import Person, Role
from printcrib.core.printers import Printer
from printcrib.core.shop import Shift, ShopSettings
from printcrib.services.edit_people import ARGON2, NewPerson, PinHasher, hashed, person_in
from printcrib.services.edit_printers import NewNozzle, nozzle_in, printer_in, unattended_in
from printcrib.services.edit_shop import (
    checked_settings,
    checked_shift,
    closed_day_in,
    machine_in,
    material_in,
)
from printcrib.services.interfaces import Done, Shop, UnitOfWork
from printcrib.services.press import Press
from printcrib.services.read_model import one_off

NO_SOURCE = "typical, no source; see the spool maker's sheet"


@dataclass(frozen=True, kw_only=True)
class NewPrinter:
    """A printer of the shop as it is told in set-up.

    Attributes:
        nozzles: (bore in um, hardened) of each nozzle kept for it.
        fitted: index among them of the nozzle on it now; None for none.
        materials: names of those it may print; empty for all.
    """

    name: str
    platform_mm: tuple[float, float] = (220.0, 220.0)
    height_mm: float = 220.0
    nozzles: tuple[tuple[int, bool], ...] = ((400, False),)
    fitted: int | None = 0
    materials: tuple[str, ...] = ()
    rate_thousandths: int | None = None


@dataclass(frozen=True, kw_only=True)
class NewSpool:
    """A spool as it is told in set-up.

    Attributes:
        material: its name. left_mg: filament on it now; None for a full spool.
        on_printer: name of the printer it is mounted on, "" for the shelf.
    """

    material: str
    colour: str = ""
    lot: str = ""
    nominal_mg: int = 1_000_000
    left_mg: int | None = None
    tare_mg: int | None = None
    price_thousandths: int | None = None
    place: str = ""
    on_printer: str = ""
    sealed: bool = False


@dataclass(frozen=True, kw_only=True)
class SetUp:
    """All that a shop is begun with.

    Attributes:
        people: at least one lead. materials: the table shipped with the application, parsed.
        nozzles: those kept for no one printer.
        unattended: (printer name, material name) pairs the lead allows when nobody is in; all others
            are not allowed.
    """

    settings: ShopSettings
    people: tuple[NewPerson, ...]
    materials: tuple[Material, ...]
    printers: tuple[NewPrinter, ...] = ()
    nozzles: tuple[tuple[int, bool], ...] = ()
    spools: tuple[NewSpool, ...] = ()
    shifts: tuple[Shift, ...] = ()
    closed_days: tuple[tuple[date, str], ...] = ()
    machines: tuple[str, ...] = ()
    unattended: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class SetUpDone:
    """The shop as it begins, by the names used in set-up."""

    settings: ShopSettings
    people: Mapping[str, Person]
    printers: Mapping[str, Printer]
    materials: Mapping[str, Material]
    machines: Mapping[str, int]
    spools: tuple[Spool, ...]


def materials_from(rows: Iterable[Mapping[str, Any]]) -> tuple[Material, ...]:
    """Materials from the rows of the shipped table; every figure keeps its source beside it."""
    made = []
    for row in rows:
        values = dict(row)
        words = values.pop("density_words", "")
        source = values.pop("density_source", f"{words} g/cm3; {NO_SOURCE}" if words else NO_SOURCE)
        made.append(Material(**values, density_source=source))
    return tuple(made)


def set_up_shop(shop: Shop, press: Press, set_up: SetUp, hasher: PinHasher = ARGON2) -> Done[SetUpDone]:
    """Begin a shop; all of it or nothing.

    Raises:
        ShopError: the shop is set up already, nobody is lead, or a name does not match.
    """
    if not any(Role.LEAD in person.roles for person in set_up.people):
        raise ShopError("Nobody is lead", "Give one person the role of lead.")
    pins = [hashed(person.pin, hasher) for person in set_up.people]
    with shop.write(press, "set up shop") as uow:
        if uow.settings.count():
            raise ShopError("This shop is set up already", "Change it in Shop settings.")
        settings = uow.settings.add(checked_settings(set_up.settings))
        people = {new.name: person_in(uow, new, pin) for new, pin in zip(set_up.people, pins, strict=True)}
        materials = {new.name: material_in(uow, new) for new in set_up.materials}
        machines = {name: machine_in(uow, name).id for name in set_up.machines}
        for shift in set_up.shifts:
            uow.shifts.add(checked_shift(shift))
        for day, words in set_up.closed_days:
            closed_day_in(uow, day, words)
        one_off(uow)
        printers = _printers(uow, set_up, materials)
        spools = _spools(uow, set_up, materials, printers)
        _answer_unattended(uow, set_up, people, materials, printers)
        done = SetUpDone(settings, people, printers, materials, machines, spools)
        uow.commit()
        return Done(done, uow.changed, uow.press_number)


def _named(known: Mapping[str, Any], name: str, kind: str) -> Any:
    if name not in known:
        raise ShopError(f"There is no {kind} {name}", f"Name one of: {', '.join(known) or 'none yet'}.")
    return known[name]


def _printers(uow: UnitOfWork, set_up: SetUp, materials: Mapping[str, Material]) -> dict[str, Printer]:
    printers = {}
    for new in set_up.printers:
        printer = printer_in(
            uow,
            Printer(
                name=new.name,
                platform_mm=new.platform_mm,
                height_mm=new.height_mm,
                material_ids=tuple(_named(materials, name, "material").id for name in new.materials),
                rate_thousandths=new.rate_thousandths,
            ),
        )
        kept = [
            nozzle_in(uow, NewNozzle(bore_um=bore, hardened=hardened, printer_id=printer.id))
            for bore, hardened in new.nozzles
        ]
        if kept and new.fitted is not None:
            printer = uow.printers.save(replace(printer, fitted_nozzle_id=kept[new.fitted].id))
        printers[new.name] = printer
    for bore, hardened in set_up.nozzles:
        nozzle_in(uow, NewNozzle(bore_um=bore, hardened=hardened))
    return printers


def _spools(
    uow: UnitOfWork, set_up: SetUp, materials: Mapping[str, Material], printers: dict[str, Printer]
) -> tuple[Spool, ...]:
    spools = []
    for new in set_up.spools:
        material = _named(materials, new.material, "material")
        spool = _spool(uow, new, material)
        if new.on_printer:
            printer = _named(printers, new.on_printer, "printer")
            printers[new.on_printer] = uow.printers.save(replace(printer, mounted_spool_id=spool.id))
        spools.append(spool)
    return tuple(spools)


def _spool(uow: UnitOfWork, new: NewSpool, material: Material) -> Spool:
    state = SpoolState.SEALED if new.sealed else SpoolState.SHELF
    spool = uow.spools.add(
        Spool(
            number=uow.next_number("spool"),
            material_id=material.id,
            colour=new.colour.strip(),
            lot=new.lot.strip(),
            nominal_mg=new.nominal_mg,
            tare_mg=new.tare_mg,
            tare_guessed=new.tare_mg is None,
            density=material.density,
            density_source=material.density_source,
            price_thousandths=new.price_thousandths,
            state=SpoolState.ON_PRINTER if new.on_printer else state,
            place=new.place.strip(),
            opened_at=None if new.sealed else uow.happened_at,
        )
    )
    uow.spool_entries.add(
        SpoolEntry(
            spool_id=spool.id,
            kind=SpoolEntryKind.RECEIVED,
            mg=new.nominal_mg if new.left_mg is None else new.left_mg,
            who_id=uow.press.who_id,
            source=Source.ASSUMED,
            note="set up",
        )
    )
    return spool


def _answer_unattended(
    uow: UnitOfWork,
    set_up: SetUp,
    people: Mapping[str, Person],
    materials: Mapping[str, Material],
    printers: Mapping[str, Printer],
) -> None:
    lead = next(person for person in people.values() if person.may(Role.LEAD))
    for printer_name, material_name in set_up.unattended:
        printer = _named(printers, printer_name, "printer")
        material = _named(materials, material_name, "material")
        unattended_in(uow, printer.id, material.id, True, lead.id)
