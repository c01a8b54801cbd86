"""The shop's hours as the books have them."""

from datetime import date, time

from printcrib.core.calendar import ShopCalendar, WeeklyShift
from printcrib.core.shop import ShopSettings
from printcrib.services.interfaces import UnitOfWork


def settings_of(uow: UnitOfWork) -> ShopSettings:
    """How this shop works; the usual figures while nobody has set it up."""
    return uow.settings.one() or ShopSettings(name="")


def zone_of(uow: UnitOfWork) -> str:
    """The shop's one zone (IANA name)."""
    return settings_of(uow).zone


def calendar_of(uow: UnitOfWork) -> ShopCalendar:
    """The shop's zone, weekly shifts and closed days."""
    shifts = tuple(
        WeeklyShift(shift.weekday, time.fromisoformat(shift.opens), time.fromisoformat(shift.closes))
        for shift in uow.shifts.find()
    )
    closed = frozenset(date.fromisoformat(each.day) for each in uow.closed_days.find())
    return ShopCalendar(zone_of(uow), shifts, closed)
