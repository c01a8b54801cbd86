"""Puts one week together from its records and says what in it is worth a look."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from printcrib.core.calendar import WEEKDAYS, shop_day
from printcrib.core.causes import CauseGroup
from printcrib.core.units import duration_words, grams_words
from printcrib.core.week import CauseFigures, DueRow, LowRow, Remark, Week
from printcrib.core.week_asked import request_figures, request_rows
from printcrib.core.week_printed import (
    cause_figures,
    gram_figures,
    hour_figures,
    run_rows,
    swap_figures,
)
from printcrib.core.week_records import WeekRecords

MOST_REMARKS = 4


def week_of(
    text: str,
    zone: str,
    shop: str,
    records: WeekRecords,
    aids_due: tuple[DueRow, ...] = (),
    spools_low: tuple[LowRow, ...] = (),
) -> Week:
    """All figures of one week.

    Args:
        text: "2026-W48". zone: the shop's. shop: its name.
        records: what was copied out of the books. aids_due, spools_low: as of now.
    """
    week = Week(
        week=text,
        first=shop_day(records.starts, zone),
        last=shop_day(records.midnights[6], zone),
        made_at=records.now,
        zone=zone,
        shop=shop,
        over=records.now >= records.ends,
        requests=request_figures(records),
        hours=hour_figures(records),
        grams=gram_figures(records),
        swaps=swap_figures(records),
        causes=cause_figures(records),
        aids_due=aids_due,
        spools_low=spools_low,
        request_rows=request_rows(records),
        run_rows=run_rows(records),
    )
    return replace(week, remarks=tuple(_remarks(week, records))[:MOST_REMARKS])


def _remarks(week: Week, records: WeekRecords) -> Iterable[Remark]:
    known = [cause for cause in week.causes if cause.group != CauseGroup.NOT_KNOWN]
    if known:
        yield _most_often(known[0], records, week.zone)
    if week.requests.still_open_late:
        count = week.requests.still_open_late
        yield Remark(
            f"{_count(count, 'request is', 'requests are')} late", "Needed by now and not ready yet."
        )
    if week.swaps.avoided:
        saved = duration_words(week.swaps.minutes_avoided)
        yield Remark(
            f"Grouping saved {_count(week.swaps.avoided, 'swap', 'swaps')}", f"That is {saved} by hand."
        )
    dearest = max(known, key=lambda cause: cause.mg, default=None)
    if dearest is not None and dearest.mg and dearest is not known[0]:
        runs = _count(dearest.runs, "run", "runs")
        yield Remark(f"{_said(dearest.cause)} cost most", f"{grams_words(dearest.mg)} lost in {runs}.")
    unknown = sum(cause.copies for cause in week.causes if cause.group == CauseGroup.NOT_KNOWN)
    if unknown:
        yield Remark(
            f"{_count(unknown, 'failure has', 'failures have')} no cause yet", "Name it within 7 days."
        )


def _most_often(top: CauseFigures, records: WeekRecords, zone: str) -> Remark:
    """The cause met most often, and whether one printer has most of it."""
    printer_of = {run.id: run.printer_id for run in records.runs}
    names = {printer.id: printer.name for printer in records.printers}
    mine = [failure for failure in records.failures if failure.cause == top.cause]
    by_printer = Counter(printer_of[failure.run_id] for failure in mine if failure.run_id in printer_of)
    since = WEEKDAYS[min(shop_day(failure.happened_at, zone) for failure in mine).weekday()]
    title = f"{_said(top.cause)}: {top.copies}"
    if not by_printer:
        return Remark(title, f"First on {since}.")
    printer_id, failures = by_printer.most_common(1)[0]
    where = names.get(printer_id, "one printer")
    if failures == len(mine):
        return Remark(title, f"All on {where}, first on {since}.")
    return Remark(title, f"{failures} of {len(mine)} failures on {where}, first on {since}.")


def _said(cause: str) -> str:
    return cause[:1].upper() + cause[1:]


def _count(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"
