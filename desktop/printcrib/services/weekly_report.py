"""The weekly usage report: the week's figures, its JSON form and its paper.

The records are copied out first and the read transaction closed; only then is anything computed.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from printcrib.core.calendar import (
    ShopCalendar,
    add_working_days,
    iso_week_span,
    iso_week_text,
    shop_day,
    wall_time_utc,
    working_days_between,
)
from printcrib.core.errors import ShopError
from printcrib.core.materials import Spool, SpoolEntry, SpoolState, StockMinimum
from printcrib.core.requests import Copy, HoldKind, Request, RequestState
from printcrib.core.runs import Run, RunState
from printcrib.core.spool_ledger import Doubt, counted
from printcrib.core.week import DueRow, LowRow, Week
from printcrib.core.week_asked import WAITING
from printcrib.core.week_made import week_of
from printcrib.core.week_printed import USED
from printcrib.core.week_records import WeekRecords
from printcrib.services.due_reprints import due_of
from printcrib.services.forecast_aids import AidForecast, aid_name, forecast_aids
from printcrib.services.interfaces import Shop, UnitOfWork, Where, among, is_
from printcrib.services.read_aids import read_in_steps
from printcrib.services.read_calendar import calendar_of, settings_of
from printcrib.services.read_runs import LIVE_SPOOLS, OPEN_RUNS, doubts_of, kind_words
from printcrib.services.write_week import week_json as week_json

LONGEST_RUN = timedelta(days=14)
DUE_WITHIN = timedelta(days=14)
RATE_DAYS = 28


def this_week(shop: Shop) -> str:
    """The ISO week the shop is in: "2026-W48"."""
    with shop.read() as uow:
        return iso_week_text(uow.now, settings_of(uow).zone)


def week_before(text: str, zone: str, weeks: int = 1) -> str:
    """The ISO week so many weeks earlier (later, if negative)."""
    starts, _ = iso_week_span(text, zone)
    return iso_week_text(starts + timedelta(days=3 - 7 * weeks), zone)


def week(shop: Shop, text: str = "") -> Week:
    """The figures of one ISO week of the shop, "2026-W48"; "" is the week the shop is in.

    Raises:
        ShopError: the text is no week.
    """
    forecasts = forecast_aids(read_in_steps(shop))
    with shop.read() as uow:
        copied = _copy_out(uow, text, forecasts)
    due = tuple(_due_row(each, copied.now) for each in copied.due)
    return week_of(copied.text, copied.zone, copied.shop, copied.records, due, copied.low)


def week_pdf(shop: Shop, text: str = "") -> bytes:
    """The weekly report of one week as a PDF."""
    return shop.reports.week_pdf(week_json(week(shop, text)))


@dataclass(frozen=True)
class _Copied:
    """All one week needs, out of the books."""

    text: str
    zone: str
    shop: str
    now: datetime
    records: WeekRecords
    due: tuple[AidForecast, ...]
    low: tuple[LowRow, ...]


def _copy_out(uow: UnitOfWork, text: str, forecasts: tuple[AidForecast, ...]) -> _Copied:
    settings, calendar = settings_of(uow), calendar_of(uow)
    text = text or iso_week_text(uow.now, settings.zone)
    starts, ends = iso_week_span(text, settings.zone)
    text = iso_week_text(starts, settings.zone)
    dues = due_of(uow, forecasts, uow.now)
    due = tuple(
        each.forecast for each in dues if each.is_due(uow.now) or each.needed_by <= uow.now + DUE_WITHIN
    )
    return _Copied(
        text,
        settings.zone,
        settings.name,
        uow.now,
        _records(uow, starts, ends, settings.zone, settings.nozzle_minutes),
        due,
        _low(uow, calendar),
    )


def _records(uow: UnitOfWork, starts: datetime, ends: datetime, zone: str, swap_minutes: int) -> WeekRecords:
    monday = shop_day(starts, zone)
    midnights = tuple(wall_time_utc(monday + timedelta(days=day), time(), zone) for day in range(8))
    requests = _requests(uow, starts, ends)
    request_ids = tuple(request.id for request in requests)
    runs = _runs(uow, starts, ends)
    run_copies = _by(uow.copies.find(among("run_id", tuple(run.id for run in runs))), "run_id")
    asked_ids = {copy.request_id for copies in run_copies.values() for copy in copies}
    asked = {request.id: request for request in uow.requests.find(among("id", tuple(sorted(asked_ids))))}
    return WeekRecords(
        midnights=midnights,
        now=uow.now,
        requests=requests,
        copies=_by(uow.copies.find(among("request_id", request_ids)), "request_id"),
        promises=uow.promises.find(among("request_id", request_ids)),
        reviews_open=uow.holds.count(is_("kind", HoldKind.REVIEW), Where("closed_at", "is none")),
        runs=runs,
        open_runs=uow.runs.count(among("state", OPEN_RUNS)),
        run_copies=run_copies,
        asked=asked,
        failures=uow.failures.find(*_in("happened_at", starts, ends)),
        spool_entries=_entries(uow, starts, ends),
        spools={spool.id: spool for spool in uow.spools.find()},
        materials={material.id: material for material in uow.materials.find()},
        printers=uow.printers.find(),
        names=_names(uow, requests),
        people={person.id: person.name for person in uow.people.find()},
        swap_minutes=swap_minutes,
    )


def _in(field_name: str, starts: datetime, ends: datetime) -> tuple[Where, Where]:
    return Where(field_name, ">=", starts), Where(field_name, "<", ends)


def _requests(uow: UnitOfWork, starts: datetime, ends: datetime) -> tuple[Request, ...]:
    """Those that came in, were done, got a copy ready in the week, or are open and late."""
    found = {request.id: request for request in uow.requests.find(*_in("happened_at", starts, ends))}
    found |= {request.id: request for request in uow.requests.find(*_in("done_at", starts, ends))}
    late = uow.requests.find(among("state", WAITING), Where("needed_by", "<", min(ends, uow.now)))
    found |= {request.id: request for request in late}
    ready = {copy.request_id for copy in uow.copies.find(*_in("ready_at", starts, ends))} - found.keys()
    found |= {request.id: request for request in uow.requests.find(among("id", tuple(sorted(ready))))}
    return tuple(request for request in found.values() if request.state is not RequestState.DRAFT)


def _runs(uow: UnitOfWork, starts: datetime, ends: datetime) -> tuple[Run, ...]:
    """Runs taken off that may reach into the week, or were taken off in it."""
    begun = uow.runs.find(is_("state", RunState.TAKEN_OFF), *_in("started_at", starts - LONGEST_RUN, ends))
    off = uow.runs.find(is_("state", RunState.TAKEN_OFF), *_in("taken_off_at", starts, ends))
    return tuple({run.id: run for run in (*begun, *off)}.values())


def _entries(uow: UnitOfWork, starts: datetime, ends: datetime) -> tuple[SpoolEntry, ...]:
    """The week's entries; one opposed since cancels out with what opposes it, whenever that was booked."""
    entries = uow.spool_entries.find(*_in("happened_at", starts, ends))
    opposing = uow.spool_entries.find(among("opposes_id", tuple(entry.id for entry in entries)))
    both = {entry.id: entry for entry in (*entries, *opposing)}
    return tuple(counted(both.values()))


def _by(copies: Iterable[Copy], field_name: str) -> dict[int, tuple[Copy, ...]]:
    grouped: dict[int, list[Copy]] = defaultdict(list)
    for copy in copies:
        grouped[getattr(copy, field_name)].append(copy)
    return {key: tuple(each) for key, each in grouped.items()}


def _names(uow: UnitOfWork, requests: Iterable[Request]) -> dict[int, str]:
    listed = tuple(requests)
    size_ids = sorted({request.size_id for request in listed if request.size_id is not None})
    sizes = {size.id: size for size in uow.sizes.find(among("id", tuple(size_ids)))}
    patterns = {pattern.id: pattern for pattern in uow.patterns.find()}
    names: dict[int, str] = {}
    for request in listed:
        size = sizes.get(request.size_id or 0)
        pattern = None if size is None else patterns[size.pattern_id]
        if size is not None and pattern is not None and pattern.listed:
            names[request.id] = aid_name(pattern, size)
        else:
            names[request.id] = request.words or (size.name if size else request.tag)
    return names


def _low(uow: UnitOfWork, calendar: ShopCalendar) -> tuple[LowRow, ...]:
    """Materials and colours below their minimum, with the day they last until at the present use."""
    minimums = uow.stock_minimums.find()
    spools = uow.spools.find(among("state", (*LIVE_SPOOLS, SpoolState.SEALED)))
    doubts = doubts_of(uow, spools)
    materials = {material.id: material for material in uow.materials.find()}
    rows = []
    for minimum in minimums:
        mine = [
            spool
            for spool in spools
            if (spool.material_id, spool.colour) == (minimum.material_id, minimum.colour)
        ]
        if sum(doubts[spool.id].left_mg for spool in mine) < minimum.minimum_mg:
            name = kind_words(materials[minimum.material_id], minimum.colour)
            rows.append(_low_row(uow, calendar, minimum, name, mine, doubts))
    return tuple(sorted(rows, key=lambda row: (row.lasts_until or date.max, row.name)))


def _low_row(
    uow: UnitOfWork,
    calendar: ShopCalendar,
    minimum: StockMinimum,
    name: str,
    spools: list[Spool],
    doubts: Mapping[int, Doubt],
) -> LowRow:
    left = sum(doubts[spool.id].left_mg for spool in spools)
    band = sum(doubts[spool.id].half_band_mg ** 2 for spool in spools) ** 0.5
    return LowRow(
        name=name,
        tags=tuple(spool.tag for spool in spools),
        left_mg=left,
        doubt_mg=round(band),
        minimum_mg=minimum.minimum_mg,
        lasts_until=_lasts_until(uow, calendar, minimum, left),
    )


def _lasts_until(uow: UnitOfWork, calendar: ShopCalendar, minimum: StockMinimum, left_mg: int) -> date | None:
    """At the mean use a working day of the last four weeks, all spools of the kind together."""
    today = shop_day(uow.now, calendar.zone)
    since = uow.now - timedelta(days=RATE_DAYS)
    kind = uow.spools.find(is_("material_id", minimum.material_id), is_("colour", minimum.colour))
    entries = uow.spool_entries.find(
        among("spool_id", tuple(spool.id for spool in kind)), Where("happened_at", ">=", since)
    )
    used = -sum(entry.mg for entry in counted(entries) if entry.kind in USED)
    days = working_days_between(calendar, today - timedelta(days=RATE_DAYS), today)
    if used <= 0 or days <= 0:
        return None
    try:
        return add_working_days(calendar, today, int(max(left_mg, 0) * days // used))
    except ShopError:  # no working days ahead: nothing is used either
        return None


def _due_row(made: AidForecast, now: datetime) -> DueRow:
    aid = made.aid
    return DueRow(
        tag=aid.tag,
        name=made.name,
        where=made.machine.name if made.machine else aid.place or "shelf",
        count=made.count,
        expected=made.expected,
        unit=made.pattern.use_unit,
        needed_by=made.needed_by,
        words=aid.state.value if aid.aside_why else "",
    )
