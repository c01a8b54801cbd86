"""What the books say about the use of aids: counts, known days, rates."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime, timedelta

from printcrib.core.aids import Aid, UseEntry, UseKind
from printcrib.core.calendar import ShopCalendar, is_working_day, shop_day
from printcrib.core.patterns import CountedBy, Pattern
from printcrib.core.wear import UseRate, calendar_count, known_use, use_rate
from printcrib.services.interfaces import UnitOfWork, Where, is_

WINDOWS_DAYS = (28, 14, 7)
"""How far back use entries are read for the rates; shorter when there are very many."""

MOST_ENTRIES = 10_000
LAST_ENTRIES = 40
TELL_A_RATE = frozenset({UseKind.READING, UseKind.PARTS, UseKind.ADD})


def working_days(calendar: ShopCalendar) -> Callable[[date], bool]:
    """Whether a date is a working day, remembered so that many aids can ask."""
    known: dict[date, bool] = {}

    def is_working(day: date) -> bool:
        if day not in known:
            known[day] = is_working_day(calendar, day)
        return known[day]

    return is_working


def days_covered(entry: UseEntry, zone: str) -> tuple[date, date]:
    """First and last shop day an entry tells about; the day of a beginning counts to the entry before."""
    last = shop_day(entry.counted_to or entry.happened_at, zone)
    if entry.counted_from is None:
        return last, last
    began = shop_day(entry.counted_from, zone)
    return min(began + timedelta(days=1), last), last


def rate_of(uow: UnitOfWork, aid: Aid, calendar: ShopCalendar) -> UseRate | None:
    """The use rate of one aid; None when nobody ever counted it."""
    entries = _last_entries(uow, aid.id)
    return _rate(entries, calendar, working_days(calendar), uow.now)


def recent_use(uow: UnitOfWork, aids: Iterable[Aid], *only: Where) -> dict[int, tuple[UseEntry, ...]]:
    """The use entries that tell the rate of each aid: those of the last weeks, else its last ones.

    Args:
        only: narrows the use entries that are read, when few aids are asked for.
    """
    recent: dict[int, list[UseEntry]] = {}
    for entry in uow.use_entries.find(Where("happened_at", ">=", _window(uow)), *only):
        recent.setdefault(entry.aid_id, []).append(entry)
    entries: dict[int, tuple[UseEntry, ...]] = {}
    for aid in aids:
        if aid.counted_by is not CountedBy.CALENDAR and aid.in_use_since is not None:
            mine = tuple(recent.get(aid.id, ()))
            tells = any(each.kind in TELL_A_RATE for each in _standing(mine))
            entries[aid.id] = mine if tells else _last_entries(uow, aid.id)
    return entries


def rates_of(
    entries: Mapping[int, Iterable[UseEntry]], calendar: ShopCalendar, now: datetime
) -> dict[int, UseRate]:
    """The use rate of each aid from its entries; those nobody ever counted are left out."""
    is_working = working_days(calendar)
    rates = {key: _rate(mine, calendar, is_working, now) for key, mine in entries.items()}
    return {key: rate for key, rate in rates.items() if rate is not None}


def told_until(uow: UnitOfWork, *only: Where) -> dict[int, datetime]:
    """Until when the use of each aid is known; what was undone tells nothing.

    Args:
        only: narrows the use entries that are read, when few aids are asked for.
    """
    told = uow.use_entries.latest("counted_to", "aid_id", *only)
    for opposing in uow.use_entries.find(Where("opposes_id", "not none"), *only):
        kept = _standing(_last_entries(uow, opposing.aid_id))
        told[opposing.aid_id] = max((each.counted_to for each in kept if each.counted_to), default=None)
    return {key: moment for key, moment in told.items() if moment is not None}


def _standing(entries: Iterable[UseEntry]) -> list[UseEntry]:
    """Entries without those undone and what undid them."""
    listed = list(entries)
    opposed = {entry.opposes_id for entry in listed}
    return [entry for entry in listed if entry.opposes_id is None and entry.id not in opposed]


def _window(uow: UnitOfWork) -> datetime:
    for days in WINDOWS_DAYS[:-1]:
        since = uow.now - timedelta(days=days)
        if uow.use_entries.count(Where("happened_at", ">=", since)) <= MOST_ENTRIES:
            return since
    return uow.now - timedelta(days=WINDOWS_DAYS[-1])


def _last_entries(uow: UnitOfWork, aid_id: int) -> tuple[UseEntry, ...]:
    return uow.use_entries.find(is_("aid_id", aid_id), newest_first=True, limit=LAST_ENTRIES)


def _rate(
    entries: Iterable[UseEntry], calendar: ShopCalendar, is_working: Callable[[date], bool], now: datetime
) -> UseRate | None:
    told = known_use(entries, lambda entry: days_covered(entry, calendar.zone))
    return use_rate(told, is_working, shop_day(now, calendar.zone))


def days_in_use(aid: Aid, now: datetime, zone: str) -> int:
    """Calendar days since an aid was first handed out, until it was retired; 0 while it is a spare."""
    if aid.in_use_since is None:
        return 0
    until = aid.retired_at if aid.retired_at is not None else now
    return max((shop_day(until, zone) - shop_day(aid.in_use_since, zone)).days, 0)


def counts_of(
    uow: UnitOfWork, aids: Iterable[Aid], pattern_of: Mapping[int, Pattern], zone: str, *only: Where
) -> dict[int, int]:
    """The count of each aid: all use told, or days (weeks) by the calendar.

    Args:
        pattern_of: the pattern of each size key. only: narrows the use entries that are summed.
    """
    told = uow.use_entries.totals("amount", "aid_id", *only)
    counts: dict[int, int] = {}
    for aid in aids:
        if aid.counted_by is CountedBy.CALENDAR:
            days = days_in_use(aid, uow.now, zone)
            counts[aid.id] = calendar_count(pattern_of[aid.size_id].use_unit, days)
        else:
            counts[aid.id] = told.get(aid.id, 0)
    return counts
