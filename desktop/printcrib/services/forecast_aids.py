"""How long each aid will do and by when the next one must be there, from counts, rates and lives."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from printcrib.core.aids import Aid, AidState, Machine, RetireReason
from printcrib.core.calendar import next_opening, wall_time_utc
from printcrib.core.life import Forecast, LifeUnit, family
from printcrib.core.patterns import CountedBy, Pattern, Size
from printcrib.core.wear import (
    FARTHEST_DAYS,
    NO_USAGE,
    CountBand,
    Need,
    UseRate,
    count_band,
    days_a_unit,
    life_left,
    limit_of,
    need_by_service,
    need_by_use,
    spare_life,
)
from printcrib.services.read_aids import Books as Books
from printcrib.services.read_aids import read_books as read_books
from printcrib.services.read_use import days_in_use, rates_of, working_days

MOST_SPARES = 50
"""More spares of a size than these move no date any further."""

ON_THE_SHELF = "on the shelf"
FAILED_REASONS = (RetireReason.WORN_OUT, RetireReason.BROKEN)


@dataclass(frozen=True)
class AidForecast:
    """One aid with everything that says how long it will do.

    Attributes:
        count: what was told or the calendar says; band: with what nobody told since.
        limit: the count past which it is checked. life: None while the shop has no guess.
        spares: never used aids of its size on the shelf. need: the days left; needed_by: UTC, None
            when no day can be named.
    """

    aid: Aid
    size: Size
    pattern: Pattern
    machine: Machine | None
    count: int
    band: CountBand
    limit: int | None
    life: Forecast | None
    rate: UseRate | None
    spares: int
    need: Need
    needed_by: datetime | None

    @property
    def name(self) -> str:
        """What people call it: pattern and size."""
        return aid_name(self.pattern, self.size, self.aid.label)

    @property
    def expected(self) -> int | None:
        """The use half of its size reach, as far as the shop knows by now; None without a guess.

        It begins as the pattern's expected life and moves with every aid that wears out or lasts; it is
        the middle of the wear-out zone, so words and bar say the same.
        """
        return None if self.life is None else two_figures(self.life.median)

    @property
    def past_limit(self) -> bool:
        """Whether its count is past its limit."""
        return self.limit is not None and self.count > self.limit


def two_figures(value: float) -> int:
    """A forecast is not said finer than two figures."""
    step = 1
    while value / step >= 100:
        step *= 10
    return max(round(value / step) * step, 1)


def aid_name(pattern: Pattern, size: Size, label: str = "") -> str:
    """What people call an aid: "Spindle stop 32", and its label when it has one."""
    first = pattern.name if pattern.listed else ""
    return " ".join(word for word in (first, size.name, label) if word)


def forecast_aids(books: Books) -> tuple[AidForecast, ...]:
    """The forecast of every aid that is not retired, by its tag."""
    lives, rates = _lives(books), rates_of(books.entries, books.calendar, books.now)
    spares = _spares(books)
    days = _WorkingDays(books)
    made = [
        _forecast(books, aid, lives[aid.size_id], _rate(books, aid, rates))
        for aid in books.aids
        if aid.state is not AidState.RETIRED
    ]
    by_size: dict[int, list[AidForecast]] = defaultdict(list)
    for each in made:
        if each.aid.state is not AidState.SHELF:
            by_size[each.size.id].append(each)
    given = {
        aid_id: count
        for size_id, users in by_size.items()
        for aid_id, count in _share_spares(books, users, spares.get(size_id, 0)).items()
    }
    return tuple(_dated(_with_spares(books, each, given, spares), days) for each in made)


def _lives(books: Books) -> dict[int, Forecast | None]:
    """The life of each size from all its aids, in use and retired."""
    units: dict[int, list[LifeUnit]] = {key: [] for key in books.sizes}
    for aid in books.aids:
        failed = aid.retired_reason in FAILED_REASONS
        units[aid.size_id].append(LifeUnit(float(books.counts[aid.id]), failed))
    return {key: family(books.pattern_of[key].expected_life, units[key]) for key in books.sizes}


def _spares(books: Books) -> dict[int, int]:
    counts: dict[int, int] = defaultdict(int)
    for aid in books.aids:
        if aid.id in books.spare_ids:
            counts[aid.size_id] += 1
    return counts


def _forecast(books: Books, aid: Aid, life: Forecast | None, rate: UseRate | None) -> AidForecast:
    size, pattern = books.sizes[aid.size_id], books.pattern_of[aid.size_id]
    band = count_band(books.counts[aid.id], None if aid.counted_by is CountedBy.CALENDAR else rate)
    made = AidForecast(
        aid=aid,
        size=size,
        pattern=pattern,
        machine=books.machines.get(aid.machine_id or 0),
        count=books.counts[aid.id],
        band=band,
        limit=limit_of(aid.limit, size.count_limit, pattern.expected_life),
        life=life,
        rate=rate,
        spares=0,
        need=Need(None, why=NO_USAGE),
        needed_by=None,
    )
    return replace(made, need=_need(books, made, 0))


def _rate(books: Books, aid: Aid, rates: Mapping[int, UseRate]) -> UseRate | None:
    if aid.counted_by is CountedBy.CALENDAR:
        return UseRate(1.0 / days_a_unit(books.pattern_of[aid.size_id].use_unit), 0.0, 1)
    return rates.get(aid.id)


def _need(books: Books, made: AidForecast, spares: int) -> Need:
    """From the use rate and the life; for an aid nobody counted, from the pattern's days in service."""
    aid, reliability = made.aid, made.pattern.reliability
    if aid.state is AidState.SHELF:
        return Need(None, why=ON_THE_SHELF)
    calendar = aid.counted_by is CountedBy.CALENDAR
    left = life_left(made.life, made.limit, made.count, reliability)
    if made.rate is None or left is None:
        used = days_in_use(aid, books.now, books.calendar.zone)
        return need_by_service(made.pattern.days_in_service, used, spares)
    more = spare_life(made.life, made.limit, reliability, spares)
    return need_by_use(left, made.rate, reliability, more, calendar)


def _share_spares(books: Books, users: list[AidForecast], spares: int) -> dict[int, int]:
    """Give each spare of a size to the aid whose next one is needed soonest."""
    given = {each.aid.id: 0 for each in users}
    current = {each.aid.id: each for each in users if each.need.days is not None}
    for _ in range(min(spares, MOST_SPARES)):
        if not current:
            break
        soonest = min(current.values(), key=lambda each: (each.need.days or 0, each.aid.id))
        key = soonest.aid.id
        given[key] += 1
        need = _need(books, soonest, given[key])
        if need.days is None:
            del current[key]
        else:
            current[key] = replace(soonest, need=need)
    return given


def _with_spares(
    books: Books, made: AidForecast, given: Mapping[int, int], spares: Mapping[int, int]
) -> AidForecast:
    own = given.get(made.aid.id, 0)
    need = _need(books, made, own) if own else made.need
    return replace(made, need=need, spares=spares.get(made.size.id, 0))


class _WorkingDays:
    """Turns so many days from today into the moment the shop opens on that day."""

    def __init__(self, books: Books) -> None:
        self._books = books
        is_working = working_days(books.calendar)
        ahead = (books.today + timedelta(days=count) for count in range(1, 3 * FARTHEST_DAYS))
        self._days = [day for day in ahead if is_working(day)]
        self._known: dict[date, datetime] = {}

    def moment(self, need: Need) -> datetime | None:
        """The opening of the day by which the next one is needed; now when that is today."""
        if need.days is None:
            return None
        if need.days == 0:
            return self._books.now
        if need.calendar or need.days > len(self._days):
            day = self._books.today + timedelta(days=need.days)
        else:
            day = self._days[need.days - 1]
        if day not in self._known:
            midnight = wall_time_utc(day, time(), self._books.calendar.zone)
            self._known[day] = next_opening(self._books.calendar, midnight) or midnight
        return self._known[day]


def _dated(made: AidForecast, days: _WorkingDays) -> AidForecast:
    return replace(made, needed_by=days.moment(made.need))
