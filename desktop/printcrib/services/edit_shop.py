"""Edit how the shop works: its settings, hours, closed days, materials and machines."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, time

from printcrib.core.aids import Machine
from printcrib.core.calendar import shop_zone
from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.materials import Material
from printcrib.core.people import Role
from printcrib.core.shop import ClosedDay, Shift, ShopSettings
from printcrib.services.check_role import require
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.press import Press
from printcrib.services.save_edit import refuse_blank, save_edit

LONGEST_SETUP_MINUTES = 600
NEVER_SEEN = 0
"""Version of no record: a record saved with it was changed by somebody else first."""


def change_settings(shop: Shop, press: Press, edited: ShopSettings) -> Done[ShopSettings]:
    """The lead changes the zone, currency, set-up minutes, rates and the planner's exchange rates.

    Raises:
        StaleEdit: somebody else changed them since.
    """
    with shop.write(press, "change shop settings") as uow:
        require(uow, "change the shop's settings", Role.LEAD)
        settings = save_edit(uow.settings, checked_settings(edited))
        uow.commit()
        return Done(settings, uow.changed, uow.press_number)


def checked_settings(settings: ShopSettings) -> ShopSettings:
    """Settings that make sense, texts stripped.

    Raises:
        ShopError: a value makes no sense, or there is no such time zone.
    """
    refuse_blank(settings.name, "The shop")
    shop_zone(settings.zone)
    minutes = (settings.clear_minutes, settings.nozzle_minutes, settings.material_minutes)
    if any(not 0 <= each <= LONGEST_SETUP_MINUTES for each in (*minutes, settings.safety_minutes)):
        raise ShopError("A set-up is 0 to 600 minutes", "Give whole minutes.")
    if not 0 < settings.fill_limit <= 1:
        raise ShopError("A run fills more than nothing and at most all of a platform", "Give 1 to 100 %.")
    if settings.gap_mm < 0 or settings.purge_mg < 0 or settings.tail_mg < 0:
        raise ShopError("A gap, purge or tail below nothing makes no sense", "Give 0 or more.")
    if settings.persons < 1:
        raise ShopError("Somebody has to run the printers", "Give at least one person.")
    if min(settings.late_cost, settings.setup_cost, settings.makespan_cost) < 0:
        raise ShopError("A cost below nothing makes no sense", "Give 0 or more.")
    return replace(settings, name=settings.name.strip(), currency=settings.currency.strip())


def set_shifts(
    shop: Shop, press: Press, shifts: Iterable[Shift], seen: Iterable[Shift] | None = None
) -> Done[tuple[Shift, ...]]:
    """The lead says when somebody is in, all of the week at once.

    Args:
        seen: the shifts as they were read; None takes whatever is there.

    Raises:
        StaleEdit: somebody else changed the week since; its `typed` is the week as asked for here.
    """
    wanted = tuple(checked_shift(shift) for shift in shifts)
    with shop.write(press, "set shifts") as uow:
        require(uow, "change the shifts", Role.LEAD)
        try:
            _end_shifts(uow, seen)
        except StaleEdit as stale:
            stale.typed = wanted
            raise
        kept = tuple(uow.shifts.add(shift) for shift in wanted)
        uow.commit()
        return Done(kept, uow.changed, uow.press_number)


def _end_shifts(uow: UnitOfWork, seen: Iterable[Shift] | None) -> None:
    """Let the week as it was seen go; one that somebody changed or added since is in the way."""
    known = None if seen is None else {shift.id: shift.version for shift in seen}
    now = {shift.id: shift for shift in uow.shifts.find()}
    gone = () if known is None else (uow.shifts.get(key) for key in known if key not in now)
    for old in (*now.values(), *gone):
        version = old.version if known is None else known.get(old.id, NEVER_SEEN)
        uow.shifts.save(replace(old, version=version, void=True))


def checked_shift(shift: Shift) -> Shift:
    """A new shift with its times written "07:00".

    Raises:
        ShopError: no such weekday or time, or it opens when it closes.
    """
    if shift.weekday not in range(7):
        raise ShopError("A week has seven days", "Choose Monday to Sunday.")
    opens, closes = _wall_time(shift.opens), _wall_time(shift.closes)
    if opens == closes:
        raise ShopError("A shift that closes when it opens has no time in it", "Give another time.")
    return Shift(weekday=shift.weekday, opens=opens, closes=closes)


def _wall_time(text: str) -> str:
    try:
        return time.fromisoformat(text.strip().zfill(5)).strftime("%H:%M")
    except ValueError:
        raise ShopError(f'"{text}" is not a time of day', "Write it like 07:00.") from None


def close_on(shop: Shop, press: Press, day: date, words: str = "") -> Done[ClosedDay]:
    """The lead closes the shop on a day."""
    with shop.write(press, "close on a day") as uow:
        require(uow, "close the shop on a day", Role.LEAD)
        closed = closed_day_in(uow, day, words)
        uow.commit()
        return Done(closed, uow.changed, uow.press_number)


def close_on_days(
    shop: Shop, press: Press, days: Iterable[date], words: str = ""
) -> Done[tuple[ClosedDay, ...]]:
    """The lead closes the shop on several days at once, such as the works holidays."""
    wanted = sorted(set(days))
    if not wanted:
        raise ShopError("No day is chosen", "Choose at least one.")
    with shop.write(press, "close on days") as uow:
        require(uow, "close the shop on a day", Role.LEAD)
        closed = tuple(closed_day_in(uow, day, words) for day in wanted)
        uow.commit()
        return Done(closed, uow.changed, uow.press_number)


def closed_day_in(uow: UnitOfWork, day: date, words: str = "") -> ClosedDay:
    """Close the shop on a day within an open unit."""
    return uow.closed_days.add(ClosedDay(day=day.isoformat(), words=words.strip()))


def open_on(shop: Shop, press: Press, closed_day_id: int) -> Done[ClosedDay]:
    """The lead opens the shop again on a day that was closed."""
    with shop.write(press, "open on a day") as uow:
        require(uow, "open the shop on a day", Role.LEAD)
        opened = uow.closed_days.save(replace(uow.closed_days.get(closed_day_id), void=True))
        uow.commit()
        return Done(opened, uow.changed, uow.press_number)


def add_material(shop: Shop, press: Press, new: Material) -> Done[Material]:
    """The desk adds a material."""
    with shop.write(press, "add material") as uow:
        require(uow, "add materials", Role.DESK)
        material = material_in(uow, new)
        uow.commit()
        return Done(material, uow.changed, uow.press_number)


def material_in(uow: UnitOfWork, new: Material) -> Material:
    """Add a material within an open unit."""
    material = _checked_material(new)
    if uow.materials.one(is_("name", material.name)) is not None:
        raise ShopError(f"There is a material {material.name} already", "Change that one instead.")
    return uow.materials.add(material)


def change_material(shop: Shop, press: Press, edited: Material) -> Done[Material]:
    """The desk changes a material's figures; the source is kept beside them.

    Raises:
        StaleEdit: somebody else changed it since.
    """
    with shop.write(press, "change material") as uow:
        require(uow, "change materials", Role.DESK)
        material = save_edit(uow.materials, _checked_material(edited))
        uow.commit()
        return Done(material, uow.changed, uow.press_number)


def _checked_material(material: Material) -> Material:
    refuse_blank(material.name, "The material")
    if not 0.3 <= material.density <= 10:
        raise ShopError(f"{material.density:g} g/cm3 is no density of filament", "Give 0.3 to 10 g/cm3.")
    if material.price_per_kg_thousandths is not None and material.price_per_kg_thousandths < 0:
        raise ShopError("A price below nothing makes no sense", "Give an amount, or leave it empty.")
    return replace(material, name=material.name.strip())


def add_machine(shop: Shop, press: Press, name: str) -> Done[Machine]:
    """The desk adds a machine that aids are used at."""
    with shop.write(press, "add machine") as uow:
        require(uow, "add machines", Role.DESK)
        machine = machine_in(uow, name)
        uow.commit()
        return Done(machine, uow.changed, uow.press_number)


def machine_in(uow: UnitOfWork, name: str) -> Machine:
    """Add a machine within an open unit."""
    refuse_blank(name, "The machine")
    return uow.machines.add(Machine(name=name.strip()))


def change_machine(shop: Shop, press: Press, edited: Machine) -> Done[Machine]:
    """The desk renames a machine or switches it off.

    Raises:
        StaleEdit: somebody else changed it since.
    """
    with shop.write(press, "change machine") as uow:
        require(uow, "change machines", Role.DESK)
        refuse_blank(edited.name, "The machine")
        machine = save_edit(uow.machines, replace(edited, name=edited.name.strip()))
        uow.commit()
        return Done(machine, uow.changed, uow.press_number)
