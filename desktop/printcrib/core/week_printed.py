"""The week's printing: hours by day, printer and nozzle, filament, swaps, failures."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from itertools import pairwise

from printcrib.core.causes import CauseGroup
from printcrib.core.materials import SpoolEntryKind
from printcrib.core.requests import CopyState, Request
from printcrib.core.runs import Run, RunOrigin, RunState
from printcrib.core.units import bore_text
from printcrib.core.week import (
    CauseFigures,
    GramsOf,
    HourFigures,
    NamedHours,
    RunRow,
    SwapFigures,
)
from printcrib.core.week_records import WeekRecords

USED = (SpoolEntryKind.PRINTED, SpoolEntryKind.PURGE, SpoolEntryKind.SCRAP)


def hour_figures(records: WeekRecords) -> HourFigures:
    """Printer hours of runs taken off, cut at the shop's midnights."""
    by_day = [0.0] * 7
    by_printer: dict[int, list[float]] = defaultdict(lambda: [0.0] * 7)
    by_bore: dict[int, list[float]] = defaultdict(lambda: [0.0] * 7)
    planned = by_hand = 0.0
    for run in records.runs:
        days = hours_by_day(records.midnights, run)
        inside = sum(days)
        for day, hours in enumerate(days):
            by_day[day] += hours
            by_printer[run.printer_id][day] += hours
            by_bore[run.bore_um][day] += hours
        if run.origin is RunOrigin.BY_HAND:
            by_hand += inside
        elif run.minutes:
            planned += inside * run.estimated_minutes / run.minutes
    off = [run for run in records.runs if records.within(run.taken_off_at)]
    failed = {failure.run_id for failure in records.failures}
    printers = [
        (printer.name, by_printer[printer.id])
        for printer in records.printers
        if printer.active or any(by_printer[printer.id])
    ]
    return HourFigures(
        printed=sum(by_day),
        planned=planned,
        by_hand=by_hand,
        by_day=tuple(by_day),
        by_printer=_named(printers),
        by_nozzle=_named((bore_text(bore), by_bore[bore]) for bore in sorted(by_bore) if sum(by_bore[bore])),
        runs=len(off),
        failed_runs=sum(run.id in failed for run in off),
        not_taken_off=records.open_runs,
    )


def _named(days: Iterable[tuple[str, list[float]]]) -> tuple[NamedHours, ...]:
    return tuple(NamedHours(name, sum(each), tuple(each)) for name, each in days)


def hours_by_day(midnights: tuple[datetime, ...], run: Run) -> list[float]:
    """Hours of a run on each day of the week, from its start for as long as it really took."""
    hours = [0.0] * 7
    if run.started_at is None or not run.minutes or run.state is not RunState.TAKEN_OFF:
        return hours
    end = run.started_at + timedelta(minutes=run.minutes)
    for day in range(7):
        begins, ends = max(run.started_at, midnights[day]), min(end, midnights[day + 1])
        hours[day] = max((ends - begins).total_seconds(), 0.0) / 3600.0
    return hours


def gram_figures(records: WeekRecords) -> tuple[GramsOf, ...]:
    """Filament by material and spool, most used first."""
    sums: dict[int, dict[SpoolEntryKind, int]] = defaultdict(lambda: defaultdict(int))
    for entry in records.spool_entries:
        if records.within(entry.happened_at):
            sums[entry.spool_id][entry.kind] -= entry.mg
    spools: dict[str, list[GramsOf]] = defaultdict(list)
    for spool_id in sorted(sums):
        spool, by_kind = records.spools[spool_id], sums[spool_id]
        made = GramsOf(
            name=spool.tag,
            used=sum(by_kind[kind] for kind in USED),
            purge=by_kind[SpoolEntryKind.PURGE],
            scrap=by_kind[SpoolEntryKind.SCRAP],
            thrown_away=by_kind[SpoolEntryKind.THROWN_AWAY],
        )
        if made.used or made.thrown_away:
            material = records.materials[spool.material_id].name
            spools[f"{material} {spool.colour}".strip()].append(made)
    together = [_together(name, each) for name, each in spools.items()]
    return tuple(sorted(together, key=lambda each: (-each.used, each.name)))


def _together(name: str, spools: list[GramsOf]) -> GramsOf:
    return GramsOf(
        name=name,
        used=sum(each.used for each in spools),
        purge=sum(each.purge for each in spools),
        scrap=sum(each.scrap for each in spools),
        thrown_away=sum(each.thrown_away for each in spools),
        spools=tuple(sorted(spools, key=lambda each: (-each.used, each.name))),
    )


def swap_figures(records: WeekRecords) -> SwapFigures:
    """Swaps made, and those saved against the same runs in the order their requests came in."""
    begun = [run for run in records.runs if records.within(run.started_at)]
    made = sum(run.swapped_nozzle for run in begun)
    lanes: dict[int, list[Run]] = defaultdict(list)
    for run in sorted(begun, key=lambda run: (run.started_at or records.now, run.id)):
        lanes[run.printer_id].append(run)
    first_come = sum(_first_come_swaps(records, lane) for lane in lanes.values())
    avoided = max(first_come - made, 0)
    return SwapFigures(made, avoided, avoided * records.swap_minutes)


def _first_come_swaps(records: WeekRecords, lane: list[Run]) -> int:
    """Nozzle changes of one printer had it printed each request by itself, as they came in."""
    tasks: set[tuple[datetime, int, int]] = set()
    for run in lane:
        asked = [records.asked[copy.request_id] for copy in records.run_copies.get(run.id, ())]
        began = run.started_at or records.now
        tasks |= {(_asked_at(request), request.number, run.bore_um) for request in asked}
        if not asked:
            tasks.add((began, 0, run.bore_um))
    bores = [bore for _, _, bore in sorted(tasks)]
    before = lane[0].bore_um if not lane[0].swapped_nozzle else None
    swaps = sum(first != second for first, second in pairwise(bores))
    return swaps + (before is None or bores[0] != before)


def _asked_at(request: Request) -> datetime:
    return request.accepted_at or request.happened_at


def cause_figures(records: WeekRecords) -> tuple[CauseFigures, ...]:
    """What failed by cause, most copies first; "not known yet" is its own and comes last."""
    copies: dict[str, int] = defaultdict(int)
    runs: dict[str, set[int]] = defaultdict(set)
    mg: dict[str, int] = defaultdict(int)
    minutes: dict[str, float] = defaultdict(float)
    groups: dict[str, str] = {}
    for failure in records.failures:
        copies[failure.cause] += max(len(failure.copy_ids), 1)
        runs[failure.cause].add(failure.run_id)
        mg[failure.cause] += failure.mg_lost
        minutes[failure.cause] += failure.minutes_lost
        groups[failure.cause] = failure.cause_group
    rows = [
        CauseFigures(cause, groups[cause], count, len(runs[cause]), mg[cause], minutes[cause] / 60.0)
        for cause, count in copies.items()
    ]
    unknown = CauseGroup.NOT_KNOWN.value
    return tuple(sorted(rows, key=lambda row: (row.cause == unknown, -row.copies, -row.mg, row.cause)))


def run_rows(records: WeekRecords) -> tuple[RunRow, ...]:
    """The runs taken off in the week, by number."""
    off = [run for run in records.runs if records.within(run.taken_off_at)]
    printers = {printer.id: printer.name for printer in records.printers}
    return tuple(_run_row(records, run, printers) for run in sorted(off, key=lambda run: run.number))


def _run_row(records: WeekRecords, run: Run, printers: Mapping[int, str]) -> RunRow:
    copies = records.run_copies.get(run.id, ())
    failed = sum(copy.state is CopyState.FAILED for copy in copies)
    material = records.materials.get(run.material_id or 0)
    tags = dict.fromkeys(records.asked[copy.request_id].tag for copy in copies)
    return RunRow(
        number=run.number,
        printer=printers.get(run.printer_id, ""),
        nozzle=bore_text(run.bore_um),
        material=f"{material.name if material else ''} {run.colour}".strip(),
        what=", ".join(tags) or run.name or "nothing to keep",
        good=len(copies) - failed,
        failed=failed,
        planned_minutes=run.estimated_minutes if run.origin is RunOrigin.PLANNED else None,
        minutes=run.minutes or 0.0,
        minutes_source=str(run.minutes_source or ""),
        mg=run.mg or 0,
        grams_source=str(run.grams_source or ""),
    )
