"""The weekly question on aids nobody counted: "parts since Tuesday?"."""

from dataclasses import dataclass
from datetime import datetime

from printcrib.core.aids import Aid, AidState
from printcrib.core.calendar import (
    WEEKDAYS,
    ShopCalendar,
    day_words,
    shop_day,
    working_days_between,
)
from printcrib.core.patterns import CountedBy
from printcrib.core.wear import ASK_AFTER_DAYS
from printcrib.services.forecast_aids import aid_name
from printcrib.services.interfaces import Shop, UnitOfWork, is_
from printcrib.services.read_calendar import calendar_of
from printcrib.services.read_use import rate_of, told_until


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
        calendar = calendar_of(uow)
        return tuple(_question(uow, aid, since, calendar) for aid, since in asked(uow, calendar))


def asked(uow: UnitOfWork, calendar: ShopCalendar) -> list[tuple[Aid, datetime]]:
    """Aids in use without an entry for five shop days, and since when; a day without one is unknown."""
    told = told_until(uow)
    today = shop_day(uow.now, calendar.zone)
    quiet = []
    for aid in uow.aids.find(is_("state", AidState.IN_USE), order_by="number"):
        moments = [each for each in (told.get(aid.id), aid.since) if each is not None]
        if aid.counted_by is CountedBy.CALENDAR or not moments:
            continue
        since = max(moments)
        if working_days_between(calendar, shop_day(since, calendar.zone), today) >= ASK_AFTER_DAYS:
            quiet.append((aid, since))
    return quiet


def _question(uow: UnitOfWork, aid: Aid, since: datetime, calendar: ShopCalendar) -> Question:
    size = uow.sizes.get(aid.size_id)
    pattern = uow.patterns.get(size.pattern_id)
    day = shop_day(since, calendar.zone)
    far = (shop_day(uow.now, calendar.zone) - day).days >= 7
    when = day_words(day, shop_day(uow.now, calendar.zone).year) if far else WEEKDAYS[day.weekday()]
    unit = "parts" if aid.counted_by in (CountedBy.PARTS, CountedBy.READING) else pattern.use_unit
    rate = rate_of(uow, aid, calendar)
    return Question(
        aid_id=aid.id,
        tag=aid.tag,
        name=aid_name(pattern, size, aid.label),
        asked=f"{unit} since {when}?",
        usual=None if rate is None else round(rate.per_day * rate.unknown_days),
        machine_id=aid.machine_id if aid.counted_by is CountedBy.READING else None,
    )
