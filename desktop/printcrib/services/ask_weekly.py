"""The weekly question on aids nobody counted: "parts since Tuesday?"."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from printcrib.core.aids import Aid, AidState
from printcrib.core.calendar import (
    LOOK_AHEAD_DAYS,
    WEEKDAYS,
    ShopCalendar,
    day_words,
    is_working_day,
    shop_day,
)
from printcrib.core.patterns import CountedBy, Pattern, Size
from printcrib.core.wear import ASK_AFTER_DAYS, UseRate
from printcrib.services.forecast_aids import aid_name
from printcrib.services.interfaces import Shop, UnitOfWork, among, is_
from printcrib.services.read_calendar import calendar_of
from printcrib.services.read_use import rates_of, recent_use, told_until


@dataclass(frozen=True)
class Question:
    """The weekly question on an aid nobody counted lately.

    Attributes:
        asked: "clamp cycles since Tue 17 Nov?". usual: what "same as usual" would book; None when the
            aid was never counted. machine_id: set where the part counter of the machine is asked for.
    """

    aid_id: int
    tag: str
    name: str
    asked: str
    usual: int | None
    machine_id: int | None = None


def weekly_questions(shop: Shop) -> tuple[Question, ...]:
    """The aids in use that nobody counted for five shop days, by tag; asked once a week."""
    with shop.read() as uow:
        calendar, now = calendar_of(uow), uow.now
        quiet = asked(uow, calendar)
        entries = recent_use(uow, [aid for aid, _ in quiet])
        sizes = uow.sizes.find(among("id", {aid.size_id for aid, _ in quiet}))
        patterns = {pattern.id: pattern for pattern in uow.patterns.find()}
    rates = rates_of(entries, calendar, now)
    named = {size.id: (size, patterns[size.pattern_id]) for size in sizes}
    return tuple(
        _question(aid, since, *named[aid.size_id], rates.get(aid.id), now, calendar) for aid, since in quiet
    )


def asked(uow: UnitOfWork, calendar: ShopCalendar) -> list[tuple[Aid, datetime]]:
    """Aids in use without an entry for five shop days, and since when; a day without one is unknown."""
    fifth = _working_day_back(calendar, shop_day(uow.now, calendar.zone), ASK_AFTER_DAYS)
    told = told_until(uow)
    quiet = []
    for aid in uow.aids.find(is_("state", AidState.IN_USE), order_by="number"):
        moments = [each for each in (told.get(aid.id), aid.since) if each is not None]
        if aid.counted_by is CountedBy.CALENDAR or not moments:
            continue
        if fifth is not None and shop_day(max(moments), calendar.zone) < fifth:
            quiet.append((aid, max(moments)))
    return quiet


def _working_day_back(calendar: ShopCalendar, today: date, count: int) -> date | None:
    """The working day so many back, today counting as one; None in a shop that was never open."""
    for back in range(LOOK_AHEAD_DAYS):
        day = today - timedelta(days=back)
        count -= is_working_day(calendar, day)
        if not count:
            return day
    return None


def _question(
    aid: Aid,
    since: datetime,
    size: Size,
    pattern: Pattern,
    rate: UseRate | None,
    now: datetime,
    calendar: ShopCalendar,
) -> Question:
    day, today = shop_day(since, calendar.zone), shop_day(now, calendar.zone)
    far = (today - day).days >= 7
    when = day_words(day, today.year) if far else WEEKDAYS[day.weekday()]
    unit = "parts" if aid.counted_by in (CountedBy.PARTS, CountedBy.READING) else pattern.use_unit
    return Question(
        aid_id=aid.id,
        tag=aid.tag,
        name=aid_name(pattern, size, aid.label),
        asked=f"{unit} since {when}?",
        usual=None if rate is None else round(rate.per_day * rate.unknown_days),
        machine_id=aid.machine_id if aid.counted_by is CountedBy.READING else None,
    )
