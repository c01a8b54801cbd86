"""The spool rack: grams left with their doubt, what is promised, how long each spool lasts."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

from printcrib.core.calendar import (
    add_working_days,
    day_words,
    moment_words,
    shop_day,
    wall_time_utc,
    working_days_between,
)
from printcrib.core.materials import Insert, Material, Spool, SpoolEntry, SpoolEntryKind, SpoolState
from printcrib.core.printers import Printer
from printcrib.core.shop import ShopSettings
from printcrib.core.units import grams_words
from printcrib.services.build_floor import text_of
from printcrib.services.interfaces import Shop, UnitOfWork, Where, among, is_
from printcrib.services.read_open_work import OpenWork, read_open_work
from printcrib.services.read_promised import Draw, draws_of
from printcrib.services.read_runs import doubt_of
from printcrib.services.read_timeline import timeline_of

RATE_DAYS = 28
"""Use is counted over so many days back."""

WEIGH_FROM_MG = 25_000
"""Half a band wider than this asks for a weigh-in."""

USED = (SpoolEntryKind.PRINTED, SpoolEntryKind.PURGE, SpoolEntryKind.SCRAP)

Kind = tuple[int, str]
"""Material key and colour."""


@dataclass(frozen=True, kw_only=True)
class SpoolRow:
    """One spool of the rack.

    Attributes:
        promised_mg, short_mg: of runs on printers and the kept plan. minimum_mg: of its material and
            colour, 0 for none. below_minimum: all spools of the kind together hold less.
        lasts_until, from_day, to_day: at the usual use after what is promised; None when nothing is used.
        lasts: in words. note: what to know or do ("60 g short of run 34", "weigh it", "sealed").
    """

    spool: Spool
    words: str
    place: str
    printer_id: int | None
    left_mg: int
    half_band_mg: int
    promised_mg: int
    short_mg: int
    minimum_mg: int
    below_minimum: bool
    will_not_last: bool
    weigh_it: bool
    lasts_until: datetime | None
    from_day: datetime | None
    to_day: datetime | None
    lasts: str
    note: str
    draws: tuple[Draw, ...]


@dataclass(frozen=True, kw_only=True)
class InsertRow:
    """Magnets, bushings, screws: how many are left."""

    insert: Insert
    left: int
    below_minimum: bool


@dataclass(frozen=True, kw_only=True)
class Rack:
    """All the rack shows; spools that will not last first, then by what lasts least."""

    now: datetime
    zone: str
    words: str
    spools: tuple[SpoolRow, ...]
    inserts: tuple[InsertRow, ...]


@dataclass(frozen=True, kw_only=True)
class SpoolStory:
    """One spool in full: its row, its bookings newest first, its use in grams a working day."""

    row: SpoolRow
    material: Material
    entries: tuple[SpoolEntry, ...]
    mg_a_day: float
    steps: tuple[tuple[datetime, int, str], ...]


def look_at_spools(shop: Shop) -> Rack:
    """The rack as it is now; spools that are empty or gone are left out."""
    now = shop.clock.now()
    with shop.read() as uow:
        books = _read(uow, now)
        inserts = _inserts(uow)
    rows = _rows(books)
    return Rack(now=now, zone=books.settings.zone, words=_words(rows), spools=rows, inserts=inserts)


def look_at_spool(shop: Shop, spool_id: int) -> SpoolStory:
    """One spool in full.

    Raises:
        NotFound: there is no such spool.
    """
    now = shop.clock.now()
    with shop.read() as uow:
        books = _read(uow, now, uow.spools.get(spool_id))
        entries = uow.spool_entries.find(is_("spool_id", spool_id), newest_first=True)
    row = next(row for row in _rows(books) if row.spool.id == spool_id)
    steps = [(now, row.left_mg, "")]
    steps += [(draw.ends, draw.left_after_mg, draw.called.removeprefix("run ")) for draw in row.draws]
    return SpoolStory(
        row=row,
        material=books.work.materials[row.spool.material_id],
        entries=entries,
        mg_a_day=books.rates.get((row.spool.material_id, row.spool.colour), 0.0),
        steps=tuple(steps),
    )


@dataclass(frozen=True, kw_only=True)
class _Books:
    """What the rows need."""

    work: OpenWork
    spools: tuple[Spool, ...]
    printers: Mapping[int, Printer]
    minimums: Mapping[Kind, int]
    rates: Mapping[Kind, float]

    @property
    def settings(self) -> ShopSettings:
        return self.work.settings


def _read(uow: UnitOfWork, now: datetime, asked: Spool | None = None) -> _Books:
    work = read_open_work(uow, now)
    spools = work.spools
    if asked is not None and asked.id not in work.left:
        spools = (*spools, asked)
        work = replace(work, left={**work.left, asked.id: doubt_of(uow, asked)})
    return _Books(
        work=work,
        spools=spools,
        printers={p.mounted_spool_id: p for p in work.printers if p.mounted_spool_id is not None},
        minimums={(m.material_id, m.colour): m.minimum_mg for m in uow.stock_minimums.find()},
        rates=_rates(uow, work, now),
    )


def _rates(uow: UnitOfWork, work: OpenWork, now: datetime) -> dict[Kind, float]:
    """Milligrams used a working day, by material and colour, over the last weeks."""
    since = now - timedelta(days=RATE_DAYS)
    zone = work.settings.zone
    used: dict[Kind, int] = defaultdict(int)
    entries = uow.spool_entries.find(Where("happened_at", ">=", since), among("kind", USED))
    spools = {s.id: s for s in uow.spools.find(among("id", {entry.spool_id for entry in entries}))}
    for entry in entries:
        spool = spools[entry.spool_id]
        used[spool.material_id, spool.colour] -= entry.mg
    days = max(working_days_between(work.calendar, shop_day(since, zone), shop_day(now, zone)), 1)
    return {kind: mg / days for kind, mg in used.items() if mg > 0}


def _rows(books: _Books) -> tuple[SpoolRow, ...]:
    draws = draws_of(timeline_of(books.work))
    in_stock: dict[Kind, int] = defaultdict(int)
    for spool in books.spools:
        in_stock[spool.material_id, spool.colour] += books.work.left[spool.id].left_mg
    rows = [_row(books, spool, draws.get(spool.id, ()), in_stock) for spool in books.spools]
    return tuple(sorted(rows, key=_urgency))


def _urgency(row: SpoolRow) -> tuple[bool, bool, bool, float]:
    lasts = row.lasts_until.timestamp() if row.lasts_until else float("inf")
    return (not row.will_not_last, not row.below_minimum, row.printer_id is None, lasts)


def _row(books: _Books, spool: Spool, draws: tuple[Draw, ...], in_stock: Mapping[Kind, int]) -> SpoolRow:
    work, kind = books.work, (spool.material_id, spool.colour)
    doubt, promised = work.left[spool.id], sum(draw.mg for draw in draws)
    minimum = books.minimums.get(kind, 0)
    printer = books.printers.get(spool.id)
    failing = next((draw for draw in draws if draw.will_not_last), None)
    low, likely, high = _lasts(books, spool, draws, promised)
    weigh = doubt.half_band_mg > WEIGH_FROM_MG and spool.state is not SpoolState.SEALED
    return SpoolRow(
        spool=spool,
        words=text_of(work, spool),
        place=_place(spool, printer),
        printer_id=printer.id if printer else None,
        left_mg=doubt.left_mg,
        half_band_mg=round(doubt.half_band_mg),
        promised_mg=promised,
        short_mg=_short(books, doubt.left_mg, promised),
        minimum_mg=minimum,
        below_minimum=in_stock[kind] < minimum,
        will_not_last=failing is not None,
        weigh_it=weigh,
        lasts_until=likely,
        from_day=low,
        to_day=high,
        lasts=_lasts_words(work, failing, likely),
        note=_note(books, spool, failing, weigh, low, high),
        draws=draws,
    )


def _short(books: _Books, left_mg: int, promised_mg: int) -> int:
    return max(promised_mg + books.settings.tail_mg - left_mg, 0) if promised_mg else 0


def _place(spool: Spool, printer: Printer | None) -> str:
    if printer is not None:
        return f"on {printer.name}"
    return "in the dryer" if spool.state is SpoolState.DRYER else spool.place or spool.state.value


def _lasts(
    books: _Books, spool: Spool, draws: Iterable[Draw], promised: int
) -> tuple[datetime | None, datetime | None, datetime | None]:
    """When a spool is used up: earliest, likely, latest, at its kind's usual use after what is promised."""
    rate = books.rates.get((spool.material_id, spool.colour), 0.0)
    if rate <= 0:
        return None, None, None
    doubt = books.work.left[spool.id]
    start = max([books.work.now, *(draw.ends for draw in draws)])
    free = doubt.left_mg - promised - books.settings.tail_mg
    low, likely, high = (
        _after_days(books, start, (free + offset) / rate)
        for offset in (-doubt.half_band_mg, 0.0, doubt.half_band_mg)
    )
    return low, likely, high


def _after_days(books: _Books, start: datetime, days: float) -> datetime:
    zone, calendar = books.settings.zone, books.work.calendar
    whole = int(min(max(days, 0.0), 400.0))
    if not calendar.shifts or whole == 0:
        return start + timedelta(days=whole)
    return wall_time_utc(add_working_days(calendar, shop_day(start, zone), whole), time(12), zone)


def _lasts_words(work: OpenWork, failing: Draw | None, likely: datetime | None) -> str:
    if failing is not None:
        return moment_words(work.now, failing.out_at or failing.ends, work.settings.zone)
    if likely is None:
        return "not used lately"
    return _day(work, likely)


def _day(work: OpenWork, moment: datetime) -> str:
    zone = work.settings.zone
    return day_words(shop_day(moment, zone), shop_day(work.now, zone).year)


def _note(
    books: _Books,
    spool: Spool,
    failing: Draw | None,
    weigh: bool,
    low: datetime | None,
    high: datetime | None,
) -> str:
    """The one thing to know about a spool now."""
    work = books.work
    if failing is not None:
        short = books.settings.tail_mg - failing.left_after_mg
        if short > 0:
            return f"{grams_words(short)} short of {failing.called}"
        return f"may run out on {failing.called}"
    if spool.damp:
        return _dry_words(work.materials[spool.material_id])
    if spool.state is SpoolState.DRYER and spool.dryer_until is not None:
        return f"dry {moment_words(work.now, spool.dryer_until, books.settings.zone)}"
    if spool.state is SpoolState.SEALED:
        return "sealed"
    if weigh:
        return "weigh it"
    if not (low and high):
        return ""
    first, last = _day(work, low), _day(work, high)
    return "" if first == last else f"{first} to {last}"


def _dry_words(material: Material) -> str:
    if material.drying_c is None or material.drying_hours is None:
        return "dry it"
    return f"dry {material.drying_hours:g} h at {material.drying_c} °C"


def _words(rows: Iterable[SpoolRow]) -> str:
    """ "17 spools. 1 will not last its run, 1 below minimum, 1 to dry."."""
    listed = tuple(rows)
    counts = [
        (sum(row.will_not_last for row in listed), "will not last its run"),
        (len({row.words for row in listed if row.below_minimum}), "below minimum"),
        (sum(row.spool.damp for row in listed), "to dry"),
    ]
    said = ", ".join(f"{count} {words}" for count, words in counts if count)
    spools = f"{len(listed)} spool{'' if len(listed) == 1 else 's'}."
    return f"{spools} {said}." if said else spools


def _inserts(uow: UnitOfWork) -> tuple[InsertRow, ...]:
    left = uow.insert_entries.totals("amount", "insert_id")
    return tuple(
        InsertRow(insert=each, left=left.get(each.id, 0), below_minimum=left.get(each.id, 0) < each.minimum)
        for each in uow.inserts.find(is_("active", True), order_by="name")
    )
