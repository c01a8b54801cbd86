"""The Desk: what hands do next, at which printer, by when; every printer; what is at risk."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from printcrib.core.calendar import moment_words
from printcrib.core.materials import Spool
from printcrib.core.printers import Printer
from printcrib.core.requests import Copy, CopyState, RequestState
from printcrib.core.running import expected_end, minutes_left, percent_done
from printcrib.core.runs import Run, RunOrigin
from printcrib.core.units import bore_text, duration_words
from printcrib.services.build_floor import text_of
from printcrib.services.find_next_steps import NextSteps, next_steps, steps_at
from printcrib.services.interfaces import Shop, UnitOfWork, is_
from printcrib.services.read_open_work import OpenWork, read_open_work
from printcrib.services.read_promised import Draw, draws_of
from printcrib.services.read_timeline import TimedPlan, TimedRequest, is_over, timeline_of
from printcrib.services.say_when import at_risk

TIGHT_MINUTES = 30
"""A request with less to spare than this is shown as at risk."""

NEXT_RUNS = 3

AIDS_HOLD = timedelta(hours=1)
AIDS_REST_ON = ("aids", "use_entries", "machine_readings", "patterns", "sizes", "requests", "machines")
"""Kinds of record the forecast of an aid rests on."""


@dataclass(frozen=True, kw_only=True)
class DeskSpool:
    """The spool on a printer, as its bar shows it.

    Attributes:
        promised_mg: of the run on the printer and the kept plan. short_mg: what is missing of that.
    """

    spool_id: int
    tag: str
    words: str
    colour: str
    left_mg: int
    half_band_mg: int
    nominal_mg: int
    promised_mg: int
    short_mg: int
    below_minimum: bool


@dataclass(frozen=True, kw_only=True)
class DeskRun:
    """The run on a printer.

    Attributes:
        over: stopped, or over by the clock ("expected over"). percent, minutes_left, ends: None when
            nobody can say. side: "1 h 12 left" or "done 09:38". below: "ends 10:54" or "take it off".
    """

    run_id: int
    number: int
    name: str
    by_hand: bool
    stopped: bool
    over: bool
    percent: float | None
    minutes_left: int | None
    ends: datetime | None
    copies: tuple[Copy, ...]
    side: str
    below: str


@dataclass(frozen=True, kw_only=True)
class NextRun:
    """One of the next runs of a printer: its number and when hands are needed for it.

    Attributes:
        bore: the nozzle it needs; swaps: that one has to be fitted first.
    """

    run_id: int | None
    number: int | None
    hands_on_from: datetime
    ends: datetime
    words: str
    bore: str = ""
    swaps: bool = False


@dataclass(frozen=True, kw_only=True)
class DeskPrinter:
    """One row of the Desk.

    Attributes:
        steps: what hands do here, where somebody serves this printer; None for nothing.
    """

    printer: Printer
    nozzle: str
    nozzle_tag: str
    spool: DeskSpool | None
    run: DeskRun | None
    next_runs: tuple[NextRun, ...]
    steps: NextSteps | None = None


@dataclass(frozen=True, kw_only=True)
class AtRisk:
    """A request that is or will be late, or has little to spare; late ones first."""

    request_id: int
    tag: str
    name: str
    words: str
    is_late: bool


@dataclass(frozen=True, kw_only=True)
class DeskAid:
    """An aid whose next one is needed soon."""

    aid_id: int
    tag: str
    name: str
    words: str
    is_due: bool


@dataclass(frozen=True, kw_only=True)
class NotLasting:
    """A spool that will not last its run."""

    spool_id: int
    run_id: int | None
    name: str
    words: str
    out_at: datetime | None


@dataclass(frozen=True, kw_only=True)
class ToCheck:
    """Copies off a printer that nobody judged yet."""

    run_id: int
    run_number: int
    copies: tuple[Copy, ...]
    words: str


@dataclass(frozen=True, kw_only=True)
class DeskView:
    """All the Desk shows.

    Attributes:
        next: the steps at the printer to serve next; None with nothing to do.
        to_accept: requests raised that nobody accepted or sent back yet.
        change_number: of the newest change it was read after.
        next_swap: when and where the next nozzle swap or spool is due, in words ("10:02, North").
    """

    now: datetime
    zone: str
    next: NextSteps | None
    printers: tuple[DeskPrinter, ...]
    at_risk: tuple[AtRisk, ...]
    aids_due: tuple[DeskAid, ...]
    not_lasting: tuple[NotLasting, ...]
    to_check: tuple[ToCheck, ...]
    next_swap: str
    next_swap_at: datetime | None
    to_accept: int = 0
    change_number: int = 0


def look_at_desk(shop: Shop, before: DeskView | None = None) -> DeskView:
    """What the Desk shows now; the books are read first and closed, then it is worked out.

    Args:
        before: what it showed last. Its aids are shown again where nothing was booked on aids since,
            because forecasting hundreds of them takes longer than all else here.
    """
    now = shop.clock.now()
    with shop.read() as uow:
        work = read_open_work(uow, now)
        minimums = {(m.material_id, m.colour): m.minimum_mg for m in uow.stock_minimums.find()}
        change_number = uow.changes.last_number()
        aids = before.aids_due if before and _aids_still_hold(uow, before, now) else _aids(uow, now)
        to_check = _to_check(uow)
        to_accept = uow.requests.count(is_("state", RequestState.RAISED))
    sheet = timeline_of(work)
    draws = draws_of(sheet)
    swap = next((run for run in sheet.runs if run.swaps_nozzle or run.loads_spool), None)
    zone = work.settings.zone
    names = {printer.id: printer.name for printer in work.printers}
    return DeskView(
        now=now,
        zone=zone,
        next=next_steps(sheet),
        printers=tuple(_printer(sheet, printer, draws, minimums) for printer in work.printers),
        at_risk=at_risk_of(sheet),
        aids_due=aids,
        not_lasting=tuple(not_lasting(work, draws)),
        to_check=to_check,
        next_swap="" if swap is None else f"{_moment(work, swap.hands_on_from)}, {names[swap.printer_id]}",
        next_swap_at=None if swap is None else swap.hands_on_from,
        to_accept=to_accept,
        change_number=change_number,
    )


def _moment(work: OpenWork, moment: datetime) -> str:
    return moment_words(work.now, moment, work.settings.zone)


def _printer(
    sheet: TimedPlan,
    printer: Printer,
    draws: Mapping[int, tuple[Draw, ...]],
    minimums: Mapping[tuple[int, str], int],
) -> DeskPrinter:
    work = sheet.work
    nozzle = work.nozzles.get(printer.fitted_nozzle_id or 0)
    spool = next((each for each in work.spools if each.id == printer.mounted_spool_id), None)
    run = next((each for each in work.runs if each.printer_id == printer.id), None)
    return DeskPrinter(
        printer=printer,
        nozzle=bore_text(nozzle.bore_um) if nozzle else "",
        nozzle_tag=nozzle.tag if nozzle else "",
        spool=desk_spool(work, spool, draws.get(spool.id, ()), minimums) if spool else None,
        run=_run(work, run) if run else None,
        next_runs=tuple(
            NextRun(
                run_id=planned.run_id,
                number=planned.number,
                hands_on_from=planned.hands_on_from,
                ends=planned.ends,
                words=_moment(work, planned.hands_on_from),
                bore=bore_text(planned.bore_um),
                swaps=planned.swaps_nozzle,
            )
            for planned in sheet.runs_on(printer.id)[:NEXT_RUNS]
        ),
        steps=steps_at(sheet, printer),
    )


def desk_spool(
    work: OpenWork, spool: Spool, draws: Iterable[Draw], minimums: Mapping[tuple[int, str], int]
) -> DeskSpool:
    """A spool's bar: what is left, promised, short."""
    doubt = work.left[spool.id]
    promised = sum(draw.mg for draw in draws)
    left = doubt.left_mg
    return DeskSpool(
        spool_id=spool.id,
        tag=spool.tag,
        words=text_of(work, spool),
        colour=spool.colour,
        left_mg=left,
        half_band_mg=round(doubt.half_band_mg),
        nominal_mg=spool.nominal_mg,
        promised_mg=promised,
        short_mg=max(promised + work.settings.tail_mg - left, 0) if promised else 0,
        below_minimum=left < minimums.get((spool.material_id, spool.colour), 0),
    )


def _run(work: OpenWork, run: Run) -> DeskRun:
    end, over = expected_end(run), is_over(work, run)
    left = minutes_left(run, work.now)
    if over and end is not None:
        stopped = run.stopped_at is not None
        side, below = f"{'stopped' if stopped else 'done'} {_moment(work, end)}", "take it off"
    else:
        side = "" if left is None else f"{duration_words(left)} left"
        below = "" if end is None else f"ends {_moment(work, end)}"
    return DeskRun(
        run_id=run.id,
        number=run.number,
        name=run.name,
        by_hand=run.origin is RunOrigin.BY_HAND,
        stopped=run.stopped_at is not None,
        over=over,
        percent=percent_done(run, work.now),
        minutes_left=left,
        ends=end,
        copies=work.on_printers.get(run.id, ()),
        side=side,
        below=below,
    )


def at_risk_of(sheet: TimedPlan) -> tuple[AtRisk, ...]:
    """Late requests, the latest first, then those with little to spare or late at most, tightest first."""
    likely_late = [r for r in sheet.requests.values() if r.late_minutes]
    unplanned = [r for r in sheet.requests.values() if r.ready is None and _overdue(sheet, r)]
    risky = at_risk(sheet, timeline_of(sheet.work, at_most=True))
    tight = [
        r
        for r in sheet.requests.values()
        if not r.late_minutes
        and r.spare_minutes is not None
        and (r.spare_minutes < TIGHT_MINUTES or r.request.id in risky)
    ]
    late = sorted(likely_late, key=lambda r: -r.late_minutes)
    return (
        *(_at_risk(sheet, r, f"{duration_words(r.late_minutes)} late", is_late=True) for r in late),
        *(_at_risk(sheet, r, r.unplanned or "not planned", is_late=True) for r in unplanned),
        *(
            _at_risk(sheet, r, f"{duration_words(r.spare_minutes or 0)} to spare", is_late=False)
            for r in sorted(tight, key=lambda r: r.spare_minutes or 0)
        ),
    )


def _overdue(sheet: TimedPlan, request: TimedRequest) -> bool:
    return request.needed is not None and request.needed <= sheet.now


def _at_risk(sheet: TimedPlan, timed: TimedRequest, words: str, *, is_late: bool) -> AtRisk:
    request = timed.request
    return AtRisk(
        request_id=request.id, tag=request.tag, name=sheet.work.name_of(request), words=words, is_late=is_late
    )


def not_lasting(work: OpenWork, draws: Mapping[int, tuple[Draw, ...]]) -> Iterable[NotLasting]:
    """The first run each spool will not last for."""
    holders = {printer.mounted_spool_id: printer.name for printer in work.printers}
    for spool in work.spools:
        draw = next((each for each in draws.get(spool.id, ()) if each.will_not_last), None)
        if draw is None:
            continue
        where = f"on {holders[spool.id]}" if spool.id in holders else spool.tag
        words = f"may run out on {draw.called}"
        if draw.out_at is not None:
            words = f"out at {_moment(work, draw.out_at)}"
        yield NotLasting(
            spool_id=spool.id,
            run_id=draw.run_id,
            name=f"{text_of(work, spool)} {where}",
            words=words,
            out_at=draw.out_at,
        )


def _aids_still_hold(uow: UnitOfWork, before: DeskView, now: datetime) -> bool:
    """Whether the aids due are those shown last: the same hour, and nothing they rest on has changed."""
    if now - before.now >= AIDS_HOLD:
        return False
    newest = uow.changes.newest_of_each(AIDS_REST_ON, limit=1)
    return not newest or newest[0].number <= before.change_number


def _aids(uow: UnitOfWork, now: datetime) -> tuple[DeskAid, ...]:
    """Aids whose next one is needed within a week or due to be asked for."""
    from printcrib.services.due_reprints import aids_due
    from printcrib.services.forecast_aids import aid_name
    from printcrib.services.read_calendar import zone_of

    zone = zone_of(uow)
    machines = {machine.id: machine.name for machine in uow.machines.find()}
    shown = []
    for due in aids_due(uow, now):
        if not due.is_due(now) and (due.needed_by - now).days >= 7:
            continue
        forecast = due.forecast
        name = aid_name(forecast.pattern, forecast.size)
        machine = machines.get(due.aid.machine_id or 0)
        shown.append(
            DeskAid(
                aid_id=due.aid.id,
                tag=due.aid.tag,
                name=f"{name}, {machine}" if machine else name,
                words=f"print by {moment_words(now, due.needed_by, zone)}",
                is_due=due.is_due(now),
            )
        )
    return tuple(shown)


def _to_check(uow: UnitOfWork) -> tuple[ToCheck, ...]:
    by_run: dict[int, list[Copy]] = {}
    for copy in uow.copies.find(is_("state", CopyState.TO_CHECK)):
        by_run.setdefault(copy.run_id or 0, []).append(copy)
    return tuple(
        ToCheck(
            run_id=run_id,
            run_number=uow.runs.get(run_id).number,
            copies=tuple(copies),
            words=f"{len(copies)} cop{'y' if len(copies) == 1 else 'ies'} of run "
            f"{uow.runs.get(run_id).number} to check",
        )
        for run_id, copies in by_run.items()
    )
