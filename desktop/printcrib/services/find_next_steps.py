"""The next hands-on steps at the printer to serve next, one press at a time."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from printcrib.core.calendar import moment_words
from printcrib.core.printers import Printer
from printcrib.core.runs import Run
from printcrib.core.units import bore_text, duration_words
from printcrib.services.build_floor import text_of
from printcrib.services.read_open_work import OpenWork
from printcrib.services.read_runs import kind_words
from printcrib.services.read_timeline import TimedPlan, TimedRun, is_over, ready_of


class StepKind(StrEnum):
    """What hands do."""

    TAKE_OFF = "take off"
    FIT = "fit"
    LOAD = "load"
    START = "start"


@dataclass(frozen=True, kw_only=True)
class Step:
    """One operation: its number (10, 20, ...), what to do and what belongs to it."""

    number: int
    kind: StepKind
    words: str
    detail: str


@dataclass(frozen=True, kw_only=True)
class NextSteps:
    """What to do next on one printer.

    Attributes:
        press: what the one button does now: take off the run, or fit, load and start as one.
        press_words: what it says. run_id: to take off. next_run_id: to start after it.
        from_when: when hands are needed; not after now means now.
        start_by: the latest start of the set-up that keeps the most pressing request in time.
        words: "Start by 10:05, for R 214 at 16:00 · 16 min by hand".
    """

    printer_id: int
    printer_name: str
    steps: tuple[Step, ...]
    press: StepKind
    press_words: str
    run_id: int | None
    next_run_id: int | None
    from_when: datetime
    start_by: datetime | None
    request_id: int | None
    hands_on_minutes: int
    words: str


def next_steps(sheet: TimedPlan) -> NextSteps | None:
    """The steps at the printer where hands are needed first; a run that is over goes before a start."""
    work = sheet.work
    found: list[tuple[datetime, int, Printer, Run | None]] = []
    for order, printer in enumerate(work.printers):
        run = next((each for each in work.runs if each.printer_id == printer.id), None)
        when = _hands_needed(sheet, printer, run)
        if when is not None:
            found.append((when, order, printer, run))
    if not found:
        return None
    when, _, printer, run = min(found, key=lambda each: (each[0], each[3] is None, each[1]))
    return _steps(sheet, printer, run, when)


def steps_at(sheet: TimedPlan, printer: Printer) -> NextSteps | None:
    """The steps at one printer, where somebody serves another one than the first; None for nothing."""
    run = next((each for each in sheet.work.runs if each.printer_id == printer.id), None)
    when = _hands_needed(sheet, printer, run)
    return None if when is None else _steps(sheet, printer, run, when)


def _hands_needed(sheet: TimedPlan, printer: Printer, run: Run | None) -> datetime | None:
    if run is not None:
        return sheet.now if is_over(sheet.work, run) else ready_of(sheet.work, run)
    planned = sheet.runs_on(printer.id)
    return planned[0].hands_on_from if planned else None


def _steps(sheet: TimedPlan, printer: Printer, run: Run | None, when: datetime) -> NextSteps:
    work = sheet.work
    planned = next(iter(sheet.runs_on(printer.id)), None)
    said = [] if run is None else [(StepKind.TAKE_OFF, f"Take off run {run.number}", _what_is_on(work, run))]
    if planned is not None:
        said += _set_up(work, printer, planned)
    steps = tuple(
        Step(number=10 * place, kind=kind, words=words, detail=detail)
        for place, (kind, words, detail) in enumerate(said, start=1)
    )
    start_by, request_id, words = _pressing(sheet, planned)
    minutes = planned.hands_on_minutes if planned else 0
    hands = [f"{duration_words(minutes)} by hand"] if minutes else []
    return NextSteps(
        printer_id=printer.id,
        printer_name=printer.name,
        steps=steps,
        press=StepKind.START if run is None else StepKind.TAKE_OFF,
        press_words=steps[-1].words if run is None else steps[0].words,
        run_id=run.id if run else None,
        next_run_id=planned.run_id if planned else None,
        from_when=when,
        start_by=start_by,
        request_id=request_id,
        hands_on_minutes=minutes,
        words=" · ".join([*words, *hands]),
    )


def _what_is_on(work: OpenWork, run: Run) -> str:
    count = len(work.on_printers.get(run.id, ()))
    if not count:
        return run.name or "by hand"
    return "1 copy" if count == 1 else f"{count} copies"


def _set_up(work: OpenWork, printer: Printer, planned: TimedRun) -> list[tuple[StepKind, str, str]]:
    """Fit, load and start, as far as they are needed."""
    said = []
    if planned.swaps_nozzle:
        fitted = work.nozzles.get(printer.fitted_nozzle_id or 0)
        off = f"{bore_text(fitted.bore_um)} comes off" if fitted else "none is on it"
        said.append((StepKind.FIT, f"Fit nozzle {bore_text(planned.bore_um)}", off))
    if planned.loads_spool:
        spool = next((each for each in work.spools if each.id == planned.spool_id), None)
        material = work.materials.get(planned.material_id)
        kind = text_of(work, spool) if spool else kind_words(material, planned.colour)
        said.append((StepKind.LOAD, f"Load {kind}", f"spool {spool.tag}" if spool else ""))
    ends = moment_words(work.now, planned.ends, work.settings.zone)
    number = "" if planned.number is None else f" {planned.number}"
    said.append((StepKind.START, f"Start run{number}", f"ends {ends}"))
    return said


def _pressing(sheet: TimedPlan, planned: TimedRun | None) -> tuple[datetime | None, int | None, list[str]]:
    """By when to start for the request of the run that has least to spare."""
    if planned is None:
        return None, None, []
    spare = [
        (timed.needed - planned.ready, timed.needed, timed.request)
        for key in planned.request_ids
        if (timed := sheet.requests[key]).needed is not None
    ]
    if not spare:
        return None, None, []
    left, needed, request = min(spare, key=lambda each: (each[0], each[2].id))
    zone = sheet.work.settings.zone
    start_by = planned.hands_on_from + left
    for_whom = f"for {request.tag} at {moment_words(sheet.now, needed, zone)}"
    if left < timedelta(0):
        return start_by, request.id, [f"Start at once, {for_whom}"]
    return start_by, request.id, [f"Start by {moment_words(sheet.now, start_by, zone)}, {for_whom}"]
