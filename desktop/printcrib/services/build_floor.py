"""The printers, spools and shifts of the planner from the open work."""

import math
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta

from printcrib.core.calendar import Span, open_spans
from printcrib.core.materials import Spool, SpoolState
from printcrib.core.planning.clock import PlanClock
from printcrib.core.planning.problem import FrozenRun, PlanPrinter, PlanSpool, SetupMinutes
from printcrib.core.printers import Nozzle, Printer
from printcrib.core.running import expected_end, expected_mg
from printcrib.core.runs import Run, RunOrigin
from printcrib.core.spool_ledger import usable_mg
from printcrib.services.read_open_work import OpenWork
from printcrib.services.read_runs import kind_words

LOOK_AHEAD = timedelta(days=60)
"""How far the plan looks for shifts."""

Kinds = Mapping[str, tuple[int, str]]


def spans_of(work: OpenWork, start: datetime) -> list[Span]:
    """When somebody is in from the plan's start on."""
    return open_spans(work.calendar, start, start + LOOK_AHEAD)


def longest_shift(work: OpenWork) -> int:
    """Minutes of the longest shift of the next week."""
    spans = open_spans(work.calendar, work.now, work.now + timedelta(days=8))
    return max((int((closes - opens).total_seconds() // 60) for opens, closes in spans), default=0)


def may_run_alone(work: OpenWork, printer_id: int, material_id: int) -> bool:
    """Whether the lead allowed this printer to print this material with nobody in."""
    return any(
        answer.printer_id == printer_id and answer.material_id == material_id for answer in work.unattended
    )


def text_of(work: OpenWork, spool: Spool) -> str:
    """Material and colour of a spool as the planner calls it."""
    return kind_words(work.materials.get(spool.material_id), spool.colour)


def promised_to_open_runs(work: OpenWork) -> dict[int, int]:
    """Milligrams that runs on the printers will still book, by spool."""
    promised: dict[int, int] = {}
    for run in work.runs:
        if run.spool_ids:
            promised[run.spool_ids[0]] = promised.get(run.spool_ids[0], 0) + expected_mg(run)
    return promised


def plan_spools(work: OpenWork, clock: PlanClock) -> tuple[PlanSpool, ...]:
    """The spools a plan may draw from: on the shelf, on a printer, or out of the dryer at a known time."""
    promised = promised_to_open_runs(work)
    return tuple(
        PlanSpool(
            key=str(spool.id),
            material=text_of(work, spool),
            mg=usable_mg(work.left[spool.id].left_mg - promised.get(spool.id, 0), work.settings.tail_mg),
            available_from=max(clock.at_or_after(spool.dryer_until), 0) if spool.dryer_until else 0,
        )
        for spool in work.spools
        if may_be_used(spool)
    )


def may_be_used(spool: Spool) -> bool:
    """Whether a plan may use a spool: not sealed, not damp, out of the dryer some time."""
    if spool.state is SpoolState.SEALED or spool.damp:
        return False
    return spool.state is not SpoolState.DRYER or spool.dryer_until is not None


def not_usable_words(work: OpenWork, text: str) -> str:
    """Spools of a kind that the plan leaves alone, with what would help; "" for none."""
    return ", ".join(
        f"{spool.tag} is {'damp' if spool.damp else spool.state}"
        for spool in work.spools
        if text_of(work, spool) == text and not may_be_used(spool)
    )


def plan_printers(
    work: OpenWork, clock: PlanClock, kinds: Kinds, heat_up: Mapping[int, float]
) -> tuple[PlanPrinter, ...]:
    """The printers in service with what is on them now."""
    runs = {run.printer_id: run for run in work.runs}
    return tuple(
        _plan_printer(work, clock, kinds, printer, runs.get(printer.id), heat_up.get(printer.id, 0.0))
        for printer in work.printers
        if not printer.out_of_service
    )


def _plan_printer(
    work: OpenWork, clock: PlanClock, kinds: Kinds, printer: Printer, run: Run | None, heat_up: float
) -> PlanPrinter:
    settings = work.settings
    nozzles = tuple(nozzles_for(work, printer))
    fitted = work.nozzles.get(printer.fitted_nozzle_id or 0)
    mounted = next((spool for spool in work.spools if spool.id == printer.mounted_spool_id), None)
    allowed = printer.material_ids
    return PlanPrinter(
        key=str(printer.id),
        name=printer.name,
        platform_mm=printer.platform_mm,
        nozzles=tuple(sorted({nozzle.bore_um for nozzle in nozzles})),
        hardened=frozenset(nozzle.bore_um for nozzle in nozzles if nozzle.hardened),
        fitted=fitted.bore_um if fitted else None,
        materials=frozenset(t for t, (key, _) in kinds.items() if key in allowed) if allowed else None,
        loaded=text_of(work, mounted) if mounted else None,
        loaded_spool=str(mounted.id) if mounted else None,
        unattended=frozenset(t for t, (key, _) in kinds.items() if may_run_alone(work, printer.id, key)),
        needs_clearing=printer.needs_clearing,
        frozen=_frozen(run, clock) if run else None,
        setups=SetupMinutes(
            clear=settings.clear_minutes,
            nozzle=settings.nozzle_minutes,
            material=settings.material_minutes,
            heat_up=math.ceil(heat_up),
        ),
    )


def nozzles_for(work: OpenWork, printer: Printer) -> Iterable[Nozzle]:
    """The nozzles a printer can be given: kept for it or for any, and not fitted on another."""
    elsewhere = {other.fitted_nozzle_id for other in work.printers if other.id != printer.id}
    for nozzle in work.nozzles.values():
        if nozzle.printer_id in (None, printer.id) and nozzle.id not in elsewhere:
            yield nozzle


def _frozen(run: Run, clock: PlanClock) -> FrozenRun:
    """A run on a printer: it ends when expected; one that should be over ends now."""
    end = expected_end(run)
    return FrozenRun(
        key=str(run.number),
        ends=0 if end is None else max(clock.at_or_after(end), 0),
        starts=None if run.started_at is None else clock.at_or_after(run.started_at),
        by_hand=run.origin is RunOrigin.BY_HAND,
    )
