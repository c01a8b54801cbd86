"""Start a run: what is really on the printer, enough grams, minutes and grams as told."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import timedelta

from printcrib.core.errors import ShopError
from printcrib.core.materials import Source, Spool
from printcrib.core.printers import Printer
from printcrib.core.requests import Copy, CopyState
from printcrib.core.running import expected_mg, expected_minutes, may_stand_on, stepped
from printcrib.core.runs import Run, RunState
from printcrib.core.units import bore_text
from printcrib.services.build_tasks import STOPPING
from printcrib.services.estimate_run import estimate_run, model_of
from printcrib.services.find_spools import refuse_too_few, refuse_wrong_material
from printcrib.services.fit_nozzle import fit, nozzle_for
from printcrib.services.hold_request import open_holds
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.load_spool import load
from printcrib.services.plan_runs import live_plan, repair_after
from printcrib.services.press import Press
from printcrib.services.read_runs import copies_on, kind_words, refuse_busy


@dataclass(frozen=True, kw_only=True)
class Start:
    """What a person says when starting a run; all may be left out.

    Attributes:
        spool_id: what is really on the printer, None for what the books say.
        second_spool_id: goes on when the first one is empty.
        nozzle_id: what is really fitted, None for what the books say.
        minutes, minutes_source, mg, grams_source: from the print file or the printer's panel.
    """

    spool_id: int | None = None
    second_spool_id: int | None = None
    nozzle_id: int | None = None
    minutes: float | None = None
    minutes_source: Source = Source.FILE
    mg: int | None = None
    grams_source: Source = Source.FILE
    print_file_sha: str = ""


AS_THE_BOOKS_SAY = Start()


def start_run(shop: Shop, press: Press, run_id: int, told: Start = AS_THE_BOOKS_SAY) -> Done[Run]:
    """A run of the plan is started.

    Raises:
        ShopError: the printer is busy, the nozzle or material is the wrong one, there are too few grams
            on the spool and no second one is named, or a request on it is held. It says what would do.
    """
    with shop.write(press, "start run") as uow:
        run = _start(uow, uow.runs.get(run_id), told)
        uow.commit()
        done = Done(run, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def start_next(shop: Shop, press: Press, printer_id: int, told: Start = AS_THE_BOOKS_SAY) -> Done[Run]:
    """The next run of a printer in one press: its nozzle fitted, its spool loaded, the run started."""
    with shop.write(press, "start next run") as uow:
        printer = uow.printers.get(printer_id)
        refuse_busy(uow, printer)
        run = next_run_on(uow, printer)
        run = _start(uow, run, _as_planned(uow, printer, run, told))
        uow.commit()
        done = Done(run, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def next_run_on(uow: UnitOfWork, printer: Printer) -> Run:
    """The first kept run on a printer's list."""
    plan = live_plan(uow)
    for lane in plan.lanes if plan else ():
        for slot in lane.slots if lane.printer_id == printer.id else ():
            run = uow.runs.get(slot.run_id) if slot.run_id else None
            if run is not None and run.state is RunState.KEPT:
                return run
    raise ShopError(f"Nothing is planned on {printer.name}", "Plan again, or accept a request.")


def _as_planned(uow: UnitOfWork, printer: Printer, run: Run, told: Start) -> Start:
    """Nozzle and spool of the plan where the person named none."""
    nozzle_id, spool_id = told.nozzle_id, told.spool_id
    if nozzle_id is None:
        nozzle_id = nozzle_for(uow, printer, run.bore_um, _is_abrasive(uow, run)).id
    if spool_id is None and run.spool_ids:
        spool_id = run.spool_ids[0]
    return replace(told, nozzle_id=nozzle_id, spool_id=spool_id)


def _start(uow: UnitOfWork, run: Run, told: Start) -> Run:
    if run.state is not RunState.KEPT:
        raise ShopError(f"Run {run.number} is {run.state}", "Look at the run sheet for the next one.")
    printer = uow.printers.get(run.printer_id)
    refuse_busy(uow, printer)
    printer, run = _set_up(uow, printer, run, told)
    copies = copies_on(uow, run.id, CopyState.ON_RUN)
    _refuse_held(uow, run, copies)
    run = _estimated_again(uow, run, copies, told)
    run = _with_spools(uow, printer, run, told)
    for copy in copies:
        uow.copies.save(replace(stepped(copy, CopyState.PRINTING), model_id=model_of(uow, copy)))
    if printer.needs_clearing:
        uow.printers.save(replace(printer, needs_clearing=False))
    starts = uow.happened_at
    return uow.runs.save(
        replace(
            run,
            state=RunState.STARTED,
            nozzle_id=printer.fitted_nozzle_id,
            started_at=starts,
            started_by_id=uow.press.who_id,
            planned_start=starts,
            planned_end=starts + timedelta(minutes=expected_minutes(run)),
        )
    )


def _set_up(uow: UnitOfWork, printer: Printer, run: Run, told: Start) -> tuple[Printer, Run]:
    """Nozzle and spool as they really are; a swap or another spool since the last run is kept on the run."""
    had = _left_by_last_run(uow, printer)
    if told.nozzle_id is not None:
        printer = fit(uow, printer, uow.nozzles.get(told.nozzle_id))
    if told.spool_id is not None:
        printer = load(uow, printer, uow.spools.get(told.spool_id))
    nozzle = None if printer.fitted_nozzle_id is None else uow.nozzles.get(printer.fitted_nozzle_id)
    if nozzle is None or nozzle.bore_um != run.bore_um:
        fitted = f"has {bore_text(nozzle.bore_um)} fitted" if nozzle else "has no nozzle fitted"
        raise ShopError(
            f"{printer.name} {fitted}, run {run.number} needs {bore_text(run.bore_um)}",
            "Fit that nozzle first.",
        )
    may_stand_on(nozzle.bore_um, nozzle.hardened, _is_abrasive(uow, run))
    has = (printer.fitted_nozzle_id, printer.mounted_spool_id)
    return printer, replace(run, swapped_nozzle=had[0] != has[0], changed_material=had[1] != has[1])


def _left_by_last_run(uow: UnitOfWork, printer: Printer) -> tuple[int | None, int | None]:
    """Nozzle and spool the last run on a printer used; what is on it now where that is not known."""
    last = uow.runs.find(
        is_("printer_id", printer.id),
        is_("state", RunState.TAKEN_OFF),
        order_by="taken_off_at",
        newest_first=True,
        limit=1,
    )
    nozzle_id = last[0].nozzle_id if last else None
    spool_id = last[0].spool_ids[-1] if last and last[0].spool_ids else None
    return nozzle_id or printer.fitted_nozzle_id, spool_id or printer.mounted_spool_id


def _is_abrasive(uow: UnitOfWork, run: Run) -> bool:
    return run.material_id is not None and uow.materials.get(run.material_id).abrasive


def _refuse_held(uow: UnitOfWork, run: Run, copies: Iterable[Copy]) -> None:
    """Refuse to print what a hold stops; an empty run is refused too."""
    listed = tuple(copies)
    if not listed:
        raise ShopError(f"Nothing is on run {run.number} any more", "Plan again.")
    for request_id in dict.fromkeys(copy.request_id for copy in listed):
        for hold in open_holds(uow, request_id):
            if hold.kind in STOPPING:
                tag = uow.requests.get(request_id).tag
                raise ShopError(f"{tag} on run {run.number} is held: {hold.kind}", "Plan again without it.")


def _estimated_again(uow: UnitOfWork, run: Run, copies: Iterable[Copy], told: Start) -> Run:
    """The whole run estimated once more, beside what the print file or the panel says."""
    whole = estimate_run(uow, run.printer_id, run.bore_um, run.material_id, copies)
    if whole.whole:
        run = replace(
            run,
            estimated_minutes=whole.minutes,
            at_most_minutes=whole.at_most_minutes,
            estimated_mg=whole.mg,
            computed_minutes=whole.computed_minutes,
            computed_start_minutes=whole.computed_start_minutes,
            computed_mg=whole.computed_mg,
        )
    if told.minutes is not None:
        run = replace(run, file_minutes=told.minutes, file_minutes_source=told.minutes_source)
    if told.mg is not None:
        run = replace(run, file_mg=told.mg, file_mg_source=told.grams_source)
    return replace(run, print_file_sha=told.print_file_sha)


def _with_spools(uow: UnitOfWork, printer: Printer, run: Run, told: Start) -> Run:
    """The spools the run really uses, enough of the right material."""
    wanted = kind_words(None if run.material_id is None else uow.materials.get(run.material_id), run.colour)
    if printer.mounted_spool_id is None:
        raise ShopError(f"{printer.name} has no spool on it", f"Load {wanted}, then start run {run.number}.")
    spools: list[Spool] = [uow.spools.get(printer.mounted_spool_id)]
    if told.second_spool_id is not None and told.second_spool_id != spools[0].id:
        spools.append(uow.spools.get(told.second_spool_id))
    for spool in spools:
        refuse_wrong_material(uow, run, spool)
    refuse_too_few(uow, run, spools, expected_mg(run))
    return replace(run, spool_ids=tuple(spool.id for spool in spools))
