"""Before a start: what should be on the printer, what may be on it, and whether anybody is sure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from printcrib.core.calendar import open_spans
from printcrib.core.materials import Spool, SpoolState
from printcrib.core.printers import Nozzle, Printer
from printcrib.core.requests import CopyState
from printcrib.core.running import expected_mg, expected_minutes
from printcrib.core.runs import Run, RunOrigin, RunState
from printcrib.core.spool_ledger import Doubt, usable_mg
from printcrib.core.units import bore_text, grams_words
from printcrib.services.interfaces import Shop, UnitOfWork, Where, among, is_
from printcrib.services.look_at_run import RunCopy, run_copies
from printcrib.services.read_calendar import calendar_of, settings_of
from printcrib.services.read_runs import OPEN_RUNS, copies_on, doubts_of, kind_words
from printcrib.services.start_run import next_run_on

LOOK_AHEAD = timedelta(days=8)
ON_RACK = (SpoolState.SEALED, SpoolState.SHELF, SpoolState.DRYER, SpoolState.ON_PRINTER)


@dataclass(frozen=True, kw_only=True)
class NozzleChoice:
    """A nozzle that may be on the printer. will_do: the run can be printed with it."""

    nozzle_id: int
    words: str
    second: str
    will_do: bool


@dataclass(frozen=True, kw_only=True)
class SpoolChoice:
    """A spool that may be on the printer.

    Attributes:
        usable_mg: what it can give, its tail left out. will_do: right material and colour.
    """

    spool_id: int
    tag: str
    words: str
    colour: str
    second: str
    usable_mg: int
    will_do: bool


@dataclass(frozen=True, kw_only=True)
class OnPrinter:
    """What may be fitted to a printer and loaded on it, the present one first.

    Attributes:
        closes_at: when the shift ends that is on now, None when nobody is in. opens_next: the one after.
    """

    printer: Printer
    nozzles: tuple[NozzleChoice, ...]
    spools: tuple[SpoolChoice, ...]
    closes_at: datetime | None
    opens_next: datetime | None


@dataclass(frozen=True, kw_only=True)
class BeforeStart:
    """A start, asked: what the run needs and what the books say is there.

    Attributes:
        nozzle_id, spool_id: as planned; None for none known. need_mg: with the purge of a change.
        unsure: sentences on what somebody should look at; none when the books are trusted.
    """

    run: Run
    printer: Printer
    bore: str
    material: str
    copies: tuple[RunCopy, ...]
    minutes: float
    mg: int
    need_mg: int
    nozzle_id: int | None
    spool_id: int | None
    choices: OnPrinter
    unsure: tuple[str, ...]


def look_at_printer(shop: Shop, printer_id: int) -> OnPrinter:
    """Nozzles and spools that may be on a printer, for fitting and loading alone."""
    with shop.read() as uow:
        return _choices(uow, uow.printers.get(printer_id), None)


def look_at_start(shop: Shop, printer_id: int) -> BeforeStart:
    """The next run of a printer before its start.

    Raises:
        ShopError: nothing is planned there.
    """
    with shop.read() as uow:
        printer = uow.printers.get(printer_id)
        run = next_run_on(uow, printer)
        choices = _choices(uow, printer, run)
        nozzle_id, spool_id = _planned(printer, run, choices)
        mg = expected_mg(run)
        changes = spool_id != printer.mounted_spool_id
        need = mg + (settings_of(uow).purge_mg if changes else 0)
        return BeforeStart(
            run=run,
            printer=printer,
            bore=bore_text(run.bore_um),
            material=_material(uow, run),
            copies=run_copies(uow, copies_on(uow, run.id, CopyState.ON_RUN)),
            minutes=expected_minutes(run),
            mg=mg,
            need_mg=need,
            nozzle_id=nozzle_id,
            spool_id=spool_id,
            choices=choices,
            unsure=tuple(_unsure(uow, printer, nozzle_id, spool_id, need)),
        )


def _material(uow: UnitOfWork, run: Run) -> str:
    return kind_words(None if run.material_id is None else uow.materials.get(run.material_id), run.colour)


def _planned(printer: Printer, run: Run, choices: OnPrinter) -> tuple[int | None, int | None]:
    """The nozzle and the spool that will do: the one on the printer, the one planned, else the first."""
    nozzles = [choice.nozzle_id for choice in choices.nozzles if choice.will_do]
    nozzle = printer.fitted_nozzle_id
    if nozzle not in nozzles:
        nozzle = nozzles[0] if nozzles else None
    spools = [choice.spool_id for choice in choices.spools if choice.will_do]
    spool = run.spool_ids[0] if run.spool_ids else printer.mounted_spool_id
    if spool not in spools:
        spool = spools[0] if spools else None
    return nozzle, spool


def _choices(uow: UnitOfWork, printer: Printer, run: Run | None) -> OnPrinter:
    others = [other for other in uow.printers.find() if other.id != printer.id]
    fitted = {other.fitted_nozzle_id for other in others}
    nozzles = [
        nozzle
        for nozzle in uow.nozzles.find(is_("retired", False), order_by="bore_um")
        if nozzle.printer_id in (None, printer.id) and nozzle.id not in fitted
    ]
    nozzles.sort(key=lambda nozzle: (nozzle.id != printer.fitted_nozzle_id, nozzle.mg_used))
    abrasive = run is not None and run.material_id is not None and uow.materials.get(run.material_id).abrasive
    spans = open_spans(calendar_of(uow), uow.now, uow.now + LOOK_AHEAD)
    closes = next((end for start, end in spans if start <= uow.now), None)
    opens = next((start for start, _ in spans if start > uow.now), None)
    return OnPrinter(
        closes_at=closes,
        opens_next=opens,
        printer=printer,
        nozzles=tuple(_nozzle(nozzle, printer, run, abrasive=abrasive) for nozzle in nozzles),
        spools=_spools(uow, printer, run, {other.mounted_spool_id: other.name for other in others}),
    )


def _nozzle(nozzle: Nozzle, printer: Printer, run: Run | None, *, abrasive: bool) -> NozzleChoice:
    second = ["fitted now"] if nozzle.id == printer.fitted_nozzle_id else []
    second += ["hardened"] if nozzle.hardened else []
    return NozzleChoice(
        nozzle_id=nozzle.id,
        words=f"Nozzle {bore_text(nozzle.bore_um)}, {nozzle.tag}",
        second=", ".join(second),
        will_do=run is None or (nozzle.bore_um == run.bore_um and (nozzle.hardened or not abrasive)),
    )


def _spools(
    uow: UnitOfWork, printer: Printer, run: Run | None, elsewhere: Mapping[int | None, str]
) -> tuple[SpoolChoice, ...]:
    """Spools of the rack: the one on the printer, those that will do, then all others."""
    listed = uow.spools.find(among("state", ON_RACK))
    materials = {material.id: material for material in uow.materials.find()}
    left, tail = doubts_of(uow, listed), settings_of(uow).tail_mg
    feeding = {key for run_on in uow.runs.find(among("state", OPEN_RUNS)) for key in run_on.spool_ids}
    choices = []
    for spool in listed:
        kind = (spool.material_id, spool.colour)
        right = run is None or run.material_id is None or kind == (run.material_id, run.colour)
        choices.append(
            SpoolChoice(
                spool_id=spool.id,
                tag=spool.tag,
                words=f"{kind_words(materials[spool.material_id], spool.colour)}, {spool.tag}",
                colour=spool.colour,
                second=_where(spool, printer, elsewhere, left[spool.id]),
                usable_mg=usable_mg(left[spool.id].left_mg, tail),
                will_do=right and spool.id not in feeding,
            )
        )
    choices.sort(
        key=lambda one: (
            one.spool_id != printer.mounted_spool_id,
            not one.will_do,
            one.spool_id in elsewhere,
            -one.usable_mg,
        )
    )
    return tuple(choices)


def _where(spool: Spool, printer: Printer, elsewhere: Mapping[int | None, str], left: Doubt) -> str:
    place = spool.place or spool.state.value
    if spool.id == printer.mounted_spool_id:
        place = "on it now"
    elif spool.id in elsewhere:
        place = f"on {elsewhere[spool.id]}"
    return f"{grams_words(left.left_mg)}, {place}"


def _unsure(
    uow: UnitOfWork, printer: Printer, nozzle_id: int | None, spool_id: int | None, need_mg: int
) -> Iterable[str]:
    """What nobody can know from the books: after a run by hand, with a thin rest on the spool."""
    if nozzle_id is None:
        yield "No nozzle that will do is noted; say which one is fitted."
    if spool_id is None:
        yield "No spool that will do is noted; say which one is on it."
        return
    last = uow.runs.find(
        is_("printer_id", printer.id),
        is_("state", RunState.TAKEN_OFF),
        Where("taken_off_at", "not none"),
        order_by="taken_off_at",
        newest_first=True,
        limit=1,
    )
    by_hand = bool(last) and last[0].origin is RunOrigin.BY_HAND
    if by_hand and spool_id == printer.mounted_spool_id and spool_id not in last[0].spool_ids:
        yield f"Run {last[0].number} was by hand and nobody said which spool it used."
    spool = uow.spools.get(spool_id)
    doubt = doubts_of(uow, [spool])[spool_id]
    sure_mg = usable_mg(round(doubt.left_mg - doubt.half_band_mg), settings_of(uow).tail_mg)
    if sure_mg < need_mg:
        yield f"{spool.tag} may not be enough: the run takes {grams_words(need_mg)}, {_left(doubt)} are left."


def _left(doubt: Doubt) -> str:
    return f"{grams_words(doubt.left_mg)} ± {grams_words(round(doubt.half_band_mg))}"
