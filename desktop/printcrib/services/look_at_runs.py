"""The run sheet: lanes with shifts, set-ups and needed-by marks, and a list with the reasons."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from printcrib.core.calendar import Span, moment_words, open_spans
from printcrib.core.planning.rules import saving
from printcrib.core.printers import Printer
from printcrib.core.running import expected_end
from printcrib.core.runs import Plan, PlanState, Run, RunState
from printcrib.core.units import bore_text, duration_words
from printcrib.services.build_problem import basis_of
from printcrib.services.interfaces import Shop, Where, is_
from printcrib.services.plan_runs import saving_words
from printcrib.services.read_open_work import OpenWork, read_open_work
from printcrib.services.read_runs import kind_words
from printcrib.services.read_timeline import (
    TimedPlan,
    TimedRequest,
    TimedRun,
    is_over,
    late_lines,
    timed,
    why_lines,
)
from printcrib.services.write_plan import order_of

LOOK_BACK = timedelta(hours=12)
"""Runs taken off since then are still drawn."""

SHOWN = timedelta(hours=36)
"""So much time is drawn at least."""


@dataclass(frozen=True, kw_only=True)
class Bar:
    """One run as drawn on its lane.

    Attributes:
        key: the same as its row's in the list. kind: "taken off", "printing", "over" or "planned".
        done_until: end of the solid part.
    """

    key: int
    run_id: int | None
    number: int | None
    label: str
    kind: str
    starts: datetime
    ends: datetime
    done_until: datetime


@dataclass(frozen=True, kw_only=True)
class HandsOn:
    """A set-up as drawn: a nozzle swap full height, all else small."""

    starts: datetime
    ends: datetime
    is_swap: bool


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """A nozzle's stretch on a printer, from swap to swap; the last one has no end."""

    bore: str
    starts: datetime
    ends: datetime | None


@dataclass(frozen=True, kw_only=True)
class NeededMark:
    """A needed-by triangle, with the run whose end it is measured from."""

    request_id: int
    tag: str
    needed: datetime
    ready: datetime
    late_minutes: int
    words: str


@dataclass(frozen=True, kw_only=True)
class Lane:
    """All that is drawn for one printer."""

    printer: Printer
    bars: tuple[Bar, ...]
    hands_on: tuple[HandsOn, ...]
    fitted: tuple[Fitted, ...]
    marks: tuple[NeededMark, ...]


@dataclass(frozen=True, kw_only=True)
class SheetRow:
    """One run of the list below the lanes.

    Attributes:
        key: the run's; below zero for a run that has no row yet (of a proposal).
        from_to: "10:02 - 15:05" or "to 13:32". needed: of the request with least to spare, and below
            it what is spare or late. why: why it stands here.
    """

    key: int
    run_id: int | None
    number: int | None
    printer_id: int
    printer: str
    bore: str
    material: str
    copies: int
    requests: tuple[str, ...]
    from_to: str
    needed: str
    spare: str
    is_late: bool
    why: str


@dataclass(frozen=True, kw_only=True)
class RunSheet:
    """All the run sheet shows, of the kept plan or of a proposal.

    Attributes:
        open_spans: when somebody is in, over the time drawn. unplanned: (request key, tag, words).
        proposal_id: the newest proposal that waits to be kept; None for none.
    """

    now: datetime
    zone: str
    plan: Plan | None
    is_proposal: bool
    proposal_id: int | None
    saving: str
    planned: str
    starts: datetime
    ends: datetime
    open_spans: tuple[Span, ...]
    lanes: tuple[Lane, ...]
    rows: tuple[SheetRow, ...]
    unplanned: tuple[tuple[int, str, str], ...]


def look_at_runs(shop: Shop, plan_id: int | None = None) -> RunSheet:
    """The run sheet as it stands now; with a plan's key, that proposal as it would come."""
    now = shop.clock.now()
    with shop.read() as uow:
        work = read_open_work(uow, now)
        plan = work.plan if plan_id is None else uow.plans.get(plan_id)
        newest = uow.plans.find(is_("state", PlanState.PROPOSED), newest_first=True, limit=1)
        past = uow.runs.find(is_("state", RunState.TAKEN_OFF), Where("taken_off_at", ">=", now - LOOK_BACK))
    basis = basis_of(work, keep=plan)
    sheet = timed(basis, order_of(basis, plan or Plan(starts_at=now)))
    starts = min([now, *(run.started_at for run in (*past, *work.runs) if run.started_at is not None)])
    ends = max([now + SHOWN, *(run.ready for run in sheet.runs)])
    newer = newest[0].id if newest and (work.plan is None or newest[0].id > work.plan.id) else None
    return RunSheet(
        now=now,
        zone=work.settings.zone,
        plan=plan,
        is_proposal=plan is not None and plan.state is PlanState.PROPOSED,
        proposal_id=newer,
        saving=saving_words(saving(basis.problem, sheet.order)),
        planned=_planned_words(sheet, plan),
        starts=starts,
        ends=ends,
        open_spans=tuple(open_spans(work.calendar, starts, ends)),
        lanes=tuple(_lane(sheet, printer, past, starts) for printer in work.printers),
        rows=(*_open_rows(sheet), *_planned_rows(sheet)),
        unplanned=tuple((key, work.requests[key].tag, words) for key, words in sheet.unplanned.items()),
    )


def _planned_words(sheet: TimedPlan, plan: Plan | None) -> str:
    """ "Planned 09:40: 14 runs, 1 late, 2 swaps left."."""
    if plan is None:
        return "Nothing is planned yet."
    at = moment_words(sheet.now, plan.recorded_at, sheet.work.settings.zone)
    late = sum(1 for request in sheet.requests.values() if request.late_minutes)
    swaps = sheet.timeline.nozzle_swaps
    runs = f"{len(sheet.runs)} run{'' if len(sheet.runs) == 1 else 's'}"
    return f"Planned {at}: {runs}, {late} late, {swaps} swap{'' if swaps == 1 else 's'} left."


def _lane(sheet: TimedPlan, printer: Printer, past: Iterable[Run], starts: datetime) -> Lane:
    planned = sheet.runs_on(printer.id)
    keys = keys_of(sheet)
    done = [run for run in past if run.printer_id == printer.id]
    lying = [run for run in sheet.work.runs if run.printer_id == printer.id]
    return Lane(
        printer=printer,
        bars=(
            *(_done_bar(run) for run in done if run.started_at is not None),
            *(_open_bar(sheet.work, run) for run in lying),
            *(_planned_bar(run, keys[run.tasks]) for run in planned),
        ),
        hands_on=tuple(
            HandsOn(starts=run.hands_on_from, ends=run.starts, is_swap=run.swaps_nozzle)
            for run in planned
            if run.starts > run.hands_on_from
        ),
        fitted=_fitted(sheet, printer, (*done, *lying), planned, starts),
        marks=tuple(_marks(sheet, planned)),
    )


def keys_of(sheet: TimedPlan) -> dict[tuple[str, ...], int]:
    """A key for every planned run by its tasks: that of its row, else its place below zero."""
    return {
        run.tasks: -place if run.run_id is None else run.run_id
        for place, run in enumerate(sheet.runs, start=1)
    }


def _label(number: int | None, name: str) -> str:
    return name or ("new" if number is None else str(number))


def _done_bar(run: Run) -> Bar:
    ends = run.stopped_at or run.taken_off_at
    assert run.started_at is not None
    assert ends is not None
    if run.minutes is not None:
        ends = min(ends, run.started_at + timedelta(minutes=run.minutes))
    ends = max(ends, run.started_at)
    return Bar(
        key=run.id,
        run_id=run.id,
        number=run.number,
        label=_label(run.number, run.name),
        kind="taken off",
        starts=run.started_at,
        ends=ends,
        done_until=ends,
    )


def _open_bar(work: OpenWork, run: Run) -> Bar:
    starts = run.started_at or work.now
    ends = max(expected_end(run) or work.now, starts)
    return Bar(
        key=run.id,
        run_id=run.id,
        number=run.number,
        label=_label(run.number, run.name),
        kind="over" if is_over(work, run) else "printing",
        starts=starts,
        ends=ends,
        done_until=min(max(work.now, starts), ends),
    )


def _planned_bar(run: TimedRun, key: int) -> Bar:
    return Bar(
        key=key,
        run_id=run.run_id,
        number=run.number,
        label=_label(run.number, ""),
        kind="planned",
        starts=run.starts,
        ends=run.ends,
        done_until=run.starts,
    )


def _fitted(
    sheet: TimedPlan, printer: Printer, begun: Iterable[Run], planned: Iterable[TimedRun], starts: datetime
) -> tuple[Fitted, ...]:
    """The nozzle line below a lane, from swap to swap.

    It reaches back to the first time drawn, unless the first run known of began with a swap: what was
    fitted before that nobody knows here.
    """
    nozzle = sheet.work.nozzles.get(printer.fitted_nozzle_id or 0)
    changes = [
        (run.started_at, run.bore_um, run.swapped_nozzle)
        for run in begun
        if run.bore_um and run.started_at is not None
    ]
    changes += [(sheet.now, nozzle.bore_um, False)] if nozzle else []
    changes += [(run.hands_on_from, run.bore_um, run.swaps_nozzle) for run in planned]
    lines: list[Fitted] = []
    for at, bore_um, swapped in sorted(changes):
        bore = bore_text(bore_um)
        if lines and lines[-1].bore == bore:
            continue
        if lines:
            lines[-1] = Fitted(bore=lines[-1].bore, starts=lines[-1].starts, ends=at)
        lines.append(Fitted(bore=bore, starts=at if lines or swapped else min(at, starts), ends=None))
    return tuple(lines)


def _marks(sheet: TimedPlan, planned: Iterable[TimedRun]) -> Iterable[NeededMark]:
    """A mark for each request on the run that makes it ready."""
    for run in planned:
        for key in run.request_ids:
            request = sheet.requests[key]
            if request.needed is None or request.ready is None or request.ready != run.ready:
                continue
            tag = request.request.tag
            late = f"{tag}, {duration_words(request.late_minutes)} late" if request.late_minutes else tag
            yield NeededMark(
                request_id=key,
                tag=tag,
                needed=request.needed,
                ready=run.ready,
                late_minutes=request.late_minutes,
                words=late,
            )


def _open_rows(sheet: TimedPlan) -> Iterable[SheetRow]:
    work, names = sheet.work, {printer.id: printer.name for printer in sheet.work.printers}
    for run in work.runs:
        copies = work.on_printers.get(run.id, ())
        keys = tuple(dict.fromkeys(copy.request_id for copy in copies))
        needed, spare, late = _needed(sheet, keys)
        end = expected_end(run)
        why = "Started by hand." if run.name or not copies else "Started."
        yield SheetRow(
            key=run.id,
            run_id=run.id,
            number=run.number,
            printer_id=run.printer_id,
            printer=names.get(run.printer_id, ""),
            bore=bore_text(run.bore_um) if run.bore_um else "",
            material=kind_words(work.materials.get(run.material_id), run.colour) if run.material_id else "",
            copies=len(copies),
            requests=tuple(work.requests[key].tag for key in keys),
            from_to="" if end is None else f"to {moment_words(sheet.now, end, work.settings.zone)}",
            needed=needed,
            spare=spare,
            is_late=late,
            why="Over; take it off." if is_over(work, run) else why,
        )


def _planned_rows(sheet: TimedPlan) -> Iterable[SheetRow]:
    work, names = sheet.work, {printer.id: printer.name for printer in sheet.work.printers}
    late_why = late_lines(sheet)
    keys = keys_of(sheet)
    zone = work.settings.zone
    for run, why in zip(sheet.runs, why_lines(sheet), strict=True):
        needed, spare, late = _needed(sheet, run.request_ids)
        reasons = [late_why[key] for key in run.request_ids if key in late_why]
        yield SheetRow(
            key=keys[run.tasks],
            run_id=run.run_id,
            number=run.number,
            printer_id=run.printer_id,
            printer=names[run.printer_id],
            bore=bore_text(run.bore_um),
            material=kind_words(work.materials.get(run.material_id), run.colour),
            copies=len(run.copy_ids),
            requests=tuple(work.requests[key].tag for key in run.request_ids),
            from_to=" – ".join(moment_words(sheet.now, at, zone) for at in (run.starts, run.ends)),
            needed=needed,
            spare=spare,
            is_late=late,
            why=" ".join([why, *reasons[:1]]),
        )


def _needed(sheet: TimedPlan, keys: Iterable[int]) -> tuple[str, str, bool]:
    """Needed-by of the request with least to spare, what is spare or late, and whether it is late."""
    timed_requests = [sheet.requests[key] for key in keys if sheet.requests[key].spare_minutes is not None]
    if not timed_requests:
        return "", "", False
    first = min(timed_requests, key=_spare)
    assert first.needed is not None
    words = moment_words(sheet.now, first.needed, sheet.work.settings.zone)
    if first.late_minutes:
        return words, f"{duration_words(first.late_minutes)} late", True
    return words, f"{duration_words(first.spare_minutes or 0)} to spare", False


def _spare(request: TimedRequest) -> int:
    return (request.spare_minutes or 0) - request.late_minutes
