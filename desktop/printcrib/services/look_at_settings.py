"""Look at the shop's settings: people, printers, nozzles, hours, materials, ready to show."""

from collections.abc import Mapping
from dataclasses import dataclass

from printcrib.core.aids import Machine
from printcrib.core.calendar import WEEKDAYS
from printcrib.core.estimating.settings import settings_as_dict, typical_settings
from printcrib.core.materials import Material
from printcrib.core.people import Person
from printcrib.core.printers import Nozzle, Printer, PrintProfile
from printcrib.core.shop import ClosedDay, Shift, ShopSettings
from printcrib.core.units import bore_text, grams_words, money_text
from printcrib.services.edit_printers import nozzle_words
from printcrib.services.interfaces import Shop, UnitOfWork, is_
from printcrib.services.look_at_learned import LearnedLine, learned_lines
from printcrib.services.look_at_requests import by_key
from printcrib.services.read_calendar import settings_of


@dataclass(frozen=True, kw_only=True)
class PersonLine:
    """One person of the shop."""

    person: Person
    name: str
    badge: str
    roles: str
    has_pin: bool
    active: bool


@dataclass(frozen=True, kw_only=True)
class NozzleLine:
    """One nozzle: "0.6 hardened (N-3)", where it is and what went through it."""

    nozzle: Nozzle
    words: str
    where: str
    hours: str
    grams: str


@dataclass(frozen=True, kw_only=True)
class ProfileLine:
    """Print settings the shop changed for one bore (and material) of a printer.

    Attributes:
        values: (name of the setting, the shop's value, the typical value).
    """

    profile: PrintProfile
    nozzle: str
    material: str
    values: tuple[tuple[str, float, float], ...]


@dataclass(frozen=True, kw_only=True)
class PrinterLine:
    """One printer with what belongs to it."""

    printer: Printer
    platform: str
    fitted: str
    rate: str
    materials: str
    profiles: tuple[ProfileLine, ...]


@dataclass(frozen=True, kw_only=True)
class UnattendedLine:
    """The lead's answer for one printer and material; not answered counts as no."""

    printer_id: int
    material_id: int
    printer: str
    material: str
    allowed: bool
    who: str


@dataclass(frozen=True, kw_only=True)
class DayLine:
    """One weekday with its shifts in words."""

    weekday: int
    name: str
    words: str


@dataclass(frozen=True, kw_only=True)
class SettingsPage:
    """All of the shop's settings; `settings` is None while it is not set up."""

    settings: ShopSettings | None
    people: tuple[PersonLine, ...]
    printers: tuple[PrinterLine, ...]
    nozzles: tuple[NozzleLine, ...]
    materials: tuple[Material, ...]
    machines: tuple[Machine, ...]
    shifts: tuple[Shift, ...]
    days: tuple[DayLine, ...]
    closed_days: tuple[ClosedDay, ...]
    unattended: tuple[UnattendedLine, ...]
    learned: tuple[LearnedLine, ...] = ()


def look_at_settings(shop: Shop) -> SettingsPage:
    """The shop's settings as they stand."""
    with shop.read() as uow:
        printers = uow.printers.find(order_by="name")
        materials = uow.materials.find(order_by="name")
        shifts = uow.shifts.find()
        return SettingsPage(
            settings=uow.settings.one(),
            people=tuple(_person(person) for person in uow.people.find(order_by="name")),
            printers=_printers(uow, printers, by_key(materials)),
            nozzles=_nozzles(uow, by_key(printers)),
            materials=materials,
            machines=uow.machines.find(order_by="name"),
            shifts=shifts,
            days=tuple(_day(weekday, shifts) for weekday in range(7)),
            closed_days=uow.closed_days.find(order_by="day"),
            unattended=_unattended(uow, printers, materials),
            learned=learned_lines(uow, shop.clock.now()),
        )


def _person(person: Person) -> PersonLine:
    return PersonLine(
        person=person,
        name=person.name,
        badge=person.badge,
        roles=", ".join(role.value for role in person.roles),
        has_pin=bool(person.pin_hash),
        active=person.active,
    )


def _nozzles(uow: UnitOfWork, printers: Mapping[int, Printer]) -> tuple[NozzleLine, ...]:
    fitted = {printer.fitted_nozzle_id: printer.name for printer in printers.values()}
    lines = []
    for nozzle in uow.nozzles.find(order_by="number"):
        kept = printers.get(nozzle.printer_id or 0)
        where = f"for {kept.name}" if kept else "for any printer"
        if nozzle.id in fitted:
            where = f"on {fitted[nozzle.id]}"
        lines.append(
            NozzleLine(
                nozzle=nozzle,
                words=nozzle_words(nozzle),
                where="retired" if nozzle.retired else where,
                hours=f"{nozzle.minutes_used / 60:.0f} h",
                grams=grams_words(nozzle.mg_used),
            )
        )
    return tuple(lines)


def _printers(
    uow: UnitOfWork, printers: tuple[Printer, ...], materials: Mapping[int, Material]
) -> tuple[PrinterLine, ...]:
    nozzles = by_key(uow.nozzles.find())
    currency = settings_of(uow).currency
    profiles = uow.print_profiles.find(order_by="bore_um")
    lines = []
    for printer in printers:
        width, depth = printer.platform_mm
        fitted = nozzles.get(printer.fitted_nozzle_id or 0)
        rate = printer.rate_thousandths
        lines.append(
            PrinterLine(
                printer=printer,
                platform=f"{width:g} x {depth:g} x {printer.height_mm:g} mm",
                fitted=nozzle_words(fitted) if fitted else "none",
                rate="" if rate is None else f"{money_text(rate)} {currency} an hour",
                materials=", ".join(materials[key].name for key in printer.material_ids) or "all",
                profiles=tuple(
                    _profile(profile, materials) for profile in profiles if profile.printer_id == printer.id
                ),
            )
        )
    return tuple(lines)


def _profile(profile: PrintProfile, materials: Mapping[int, Material]) -> ProfileLine:
    material = materials.get(profile.material_id or 0)
    typical = settings_as_dict(typical_settings(profile.bore_um, material.density if material else 1.24))
    return ProfileLine(
        profile=profile,
        nozzle=bore_text(profile.bore_um),
        material=material.name if material else "every material",
        values=tuple((name, value, typical[name]) for name, value in profile.values.items()),
    )


def _day(weekday: int, shifts: tuple[Shift, ...]) -> DayLine:
    mine = sorted((shift.opens, shift.closes) for shift in shifts if shift.weekday == weekday)
    words = ", ".join(f"{opens} to {closes}" for opens, closes in mine)
    return DayLine(weekday=weekday, name=WEEKDAYS[weekday], words=words or "nobody in")


def _unattended(
    uow: UnitOfWork, printers: tuple[Printer, ...], materials: tuple[Material, ...]
) -> tuple[UnattendedLine, ...]:
    """Every active printer with every material it may print."""
    people = {person.id: person.name for person in uow.people.find()}
    answers = {(each.printer_id, each.material_id): each for each in uow.unattended.find()}
    lines = []
    for printer in printers:
        for material in materials if printer.active else ():
            if material.active and material.id in (printer.material_ids or (material.id,)):
                answer = answers.get((printer.id, material.id))
                lines.append(
                    UnattendedLine(
                        printer_id=printer.id,
                        material_id=material.id,
                        printer=printer.name,
                        material=material.name,
                        allowed=answer is not None and answer.allowed,
                        who=people.get(answer.answered_by_id, "") if answer else "",
                    )
                )
    return tuple(lines)


def typical_values(shop: Shop, bore_um: int, material_id: int | None = None) -> dict[str, float]:
    """The typical print settings a profile starts from, by name."""
    with shop.read() as uow:
        material = None if material_id is None else uow.materials.one(is_("id", material_id))
    return settings_as_dict(typical_settings(bore_um, material.density if material else 1.24))
