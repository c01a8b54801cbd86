"""What the place "Aids in service" shows: every aid with its count, its life and its next one."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from printcrib.core.aids import AidState
from printcrib.core.calendar import (
    MONTHS,
    day_words,
    shop_day,
)
from printcrib.core.patterns import CountedBy
from printcrib.core.wear import NO_USAGE
from printcrib.services.ask_weekly import asked
from printcrib.services.forecast_aids import AidForecast, forecast_aids
from printcrib.services.interfaces import Shop
from printcrib.services.read_aids import read_in_steps

SOON_DAYS = 60


@dataclass(frozen=True)
class LifeBar:
    """The life of an aid as a bar, in use units.

    Attributes:
        count: solid. scale: the full length. wears_from, wears_to: the hatched zone; middle: the
            triangle; None while the shop has no guess. past: beyond its limit.
    """

    count: float
    scale: float
    wears_from: float | None = None
    wears_to: float | None = None
    middle: float | None = None
    past: bool = False


@dataclass(frozen=True)
class AidRow:
    """One aid in the list.

    Attributes:
        where: machine, or its place on the shelf. count_words: "340 of about 600".
        reprint_words: "Fri 27 Nov", "today", "Mar 2027", "no usage yet". note: what stands below it
            ("in 2 days", "set aside", "no spare", "by calendar"); note_bad: it is a warning.
        search: everything in lower case, to filter by.
    """

    aid_id: int
    tag: str
    name: str
    where: str
    state: AidState
    counted_by: CountedBy
    count: int
    expected: int | None
    count_words: str
    unit: str
    bar: LifeBar
    reprint_words: str
    note: str
    note_bad: bool
    spares: int
    needed_by: datetime | None
    search: str


@dataclass(frozen=True)
class AidsPage:
    """The whole place: what its head says, and a row an aid, soonest needed first."""

    head: str
    rows: tuple[AidRow, ...]
    questions: int


def look_at_aids(shop: Shop) -> AidsPage:
    """Every aid that is not retired: set aside first, then by when the next one is needed."""
    books = read_in_steps(shop)
    with shop.read() as uow:
        questions = len(asked(uow, books.calendar))
    forecasts = forecast_aids(books)
    rows = [row_of(each, books.now, books.calendar.zone) for each in forecasts]
    order = (AidState.ASIDE, AidState.IN_USE, AidState.SHELF)
    rows.sort(key=lambda row: (order.index(row.state), row.needed_by is None, row.needed_by, row.tag))
    return AidsPage(_head(forecasts, books.now, books.calendar.zone), tuple(rows), questions)


def _head(forecasts: Iterable[AidForecast], now: datetime, zone: str) -> str:
    """ "38 aids in use on 6 machines. 2 to reprint this week, 1 set aside, past its limit." """
    listed = tuple(forecasts)
    used = [each for each in listed if each.aid.state is AidState.IN_USE]
    machines = {each.aid.machine_id for each in used}
    week = shop_day(now, zone).isocalendar()[:2]
    due = [
        each for each in used if each.needed_by and shop_day(each.needed_by, zone).isocalendar()[:2] <= week
    ]
    aside = [each for each in listed if each.aid.state is AidState.ASIDE]
    words = f"{_count(len(used), 'aid', 'aids')} in use on {_count(len(machines), 'machine', 'machines')}."
    more = []
    if due:
        more.append(f"{len(due)} to reprint this week")
    if aside:
        past = [each for each in aside if each.past_limit]
        more.append(f"{len(aside)} set aside" + (f", {len(past)} past its limit" if past else ""))
    return f"{words} {', '.join(more)}." if more else words


def _count(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"


def row_of(made: AidForecast, now: datetime, zone: str) -> AidRow:
    """One aid as the list shows it."""
    aid = made.aid
    where = made.machine.name if made.machine else (aid.place or "shelf")
    expected = made.expected
    note, bad = _note(made, now, zone)
    words = reprint_words(made, now, zone)
    return AidRow(
        aid_id=aid.id,
        tag=aid.tag,
        name=made.name,
        where=where,
        state=aid.state,
        counted_by=aid.counted_by,
        count=made.count,
        expected=expected,
        count_words=str(made.count) if expected is None else f"{made.count} of about {expected}",
        unit=made.pattern.use_unit,
        bar=life_bar(made),
        reprint_words=words,
        note=note,
        note_bad=bad,
        spares=made.spares,
        needed_by=made.needed_by,
        search=f"{aid.tag} {aid.number} {made.name} {where} {aid.state} {made.pattern.use_unit}".lower(),
    )


def life_bar(made: AidForecast) -> LifeBar:
    """The figures of the bar: the wear-out zone is where one in three is worn out to one in three is not."""
    count = float(made.count)
    if made.life is None:
        return LifeBar(count, max(1.1 * max(count, float(made.limit or 0)), 1.0), past=made.past_limit)
    wears_from, wears_to = made.life.wears_out
    scale = 1.1 * max(wears_to, count)
    return LifeBar(count, scale, wears_from, wears_to, made.life.median, made.past_limit)


def reprint_words(made: AidForecast, now: datetime, zone: str) -> str:
    """By when the next one is needed: a day within two months, else a month; or why no day is named."""
    if made.needed_by is None:
        return made.need.why or NO_USAGE
    today, day = shop_day(now, zone), shop_day(made.needed_by, zone)
    if day <= today:
        return "today"
    if (day - today).days > SOON_DAYS:
        return f"{MONTHS[day.month - 1]} {day.year}"
    return day_words(day, today.year)


def _note(made: AidForecast, now: datetime, zone: str) -> tuple[str, bool]:
    if made.aid.state is AidState.ASIDE:
        return "set aside", True
    if made.past_limit:
        return "past its limit", True
    if made.needed_by is None:
        return "", False
    days = (shop_day(made.needed_by, zone) - shop_day(now, zone)).days
    if days <= 14 and not made.spares:
        return "no spare", True
    if made.aid.counted_by is CountedBy.CALENDAR:
        return "by calendar", False
    if made.need.assumed:
        return "assumed", False
    if 0 < days <= 7:
        return f"in {_count(days, 'day', 'days')}", False
    return "", False
