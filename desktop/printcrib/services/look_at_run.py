"""One run in full: its copies, what it takes and from where that is known."""

from dataclasses import dataclass

from printcrib.core.materials import Source
from printcrib.core.printers import Printer
from printcrib.core.requests import Copy, CopyState, Request
from printcrib.core.running import expected_mg, expected_minutes
from printcrib.core.runs import Run, RunState
from printcrib.core.units import between_words, bore_text, duration_words, grams_words
from printcrib.services.finish_copy import copy_tag
from printcrib.services.interfaces import Shop, UnitOfWork, among, is_
from printcrib.services.read_calendar import settings_of
from printcrib.services.read_runs import kind_words


@dataclass(frozen=True, kw_only=True)
class RunCopy:
    """One copy on a run.

    Attributes:
        tag: "R 214/2". name: what it is. asker: who asked. words: how far it is, with the cause if failed.
    """

    copy_id: int
    request_id: int
    tag: str
    name: str
    label: str
    asker: str
    state: CopyState
    words: str


@dataclass(frozen=True, kw_only=True)
class RunPage:
    """All of one run.

    Attributes:
        spools: tags in order of use. took: what it takes or took, in words, each with its source.
        layout: how its copies stand on the platform, as the tool places and saves them; "" once it has
            begun, for then only those who see it know.
        on_printer: it was started and not taken off. is_planned: it stands on the kept plan.
        minutes, mg: as expected, or as booked once taken off.
    """

    run: Run
    title: str
    printer: str
    bore: str
    material: str
    spools: tuple[str, ...]
    copies: tuple[RunCopy, ...]
    minutes: float
    mg: int
    took: tuple[tuple[str, str], ...]
    layout: str
    on_printer: bool
    is_planned: bool


def look_at_run(shop: Shop, run_id: int) -> RunPage:
    """One run as the books have it.

    Raises:
        NotFound: there is no such run.
    """
    with shop.read() as uow:
        run = uow.runs.get(run_id)
        material = None if run.material_id is None else uow.materials.get(run.material_id)
        copies = uow.copies.find(is_("run_id", run.id))
        minutes = expected_minutes(run) if run.minutes is None else run.minutes
        mg = expected_mg(run) if run.mg is None else run.mg
        printer = uow.printers.get(run.printer_id)
        return RunPage(
            run=run,
            title=f"Run {run.number}" + (f", {run.name}" if run.name else ""),
            printer=printer.name,
            bore=bore_text(run.bore_um) if run.bore_um else "",
            material=kind_words(material, run.colour) if material else "",
            spools=tuple(uow.spools.get(key).tag for key in run.spool_ids),
            copies=run_copies(uow, copies),
            minutes=minutes,
            mg=mg,
            took=_took(run, minutes, mg),
            layout=_layout(run, len(copies), printer, settings_of(uow).gap_mm),
            on_printer=run.state in (RunState.STARTED, RunState.STOPPED),
            is_planned=run.state is RunState.KEPT,
        )


def run_copies(uow: UnitOfWork, copies: tuple[Copy, ...]) -> tuple[RunCopy, ...]:
    """Copies as people name them, in the order of their requests."""
    requests = {r.id: r for r in uow.requests.find(among("id", {copy.request_id for copy in copies}))}
    people = {p.id: p.name for p in uow.people.find(among("id", {r.asker_id for r in requests.values()}))}
    names = {key: name_of(uow, request) for key, request in requests.items()}
    ordered = sorted(copies, key=lambda copy: (copy.request_id, copy.ordinal))
    return tuple(_copy(copy, requests[copy.request_id], names, people) for copy in ordered)


def name_of(uow: UnitOfWork, request: Request) -> str:
    """What is asked, as people say it: pattern and size, else the words of the request."""
    if request.size_id is None:
        return request.words
    size = uow.sizes.get(request.size_id)
    pattern = uow.patterns.get(size.pattern_id)
    return f"{pattern.name} {size.name}".strip() if pattern.listed else request.words or size.name


def _copy(copy: Copy, request: Request, names: dict[int, str], people: dict[int, str]) -> RunCopy:
    return RunCopy(
        copy_id=copy.id,
        request_id=request.id,
        tag=copy_tag(copy, request),
        name=names[request.id],
        label=copy.label,
        asker=people.get(request.asker_id, "the tool"),
        state=copy.state,
        words=f"{copy.state}: {copy.cause}" if copy.cause else copy.state.value,
    )


def _layout(run: Run, count: int, printer: Printer, gap_mm: float) -> str:
    """How the copies of a run to come stand: plain rows with the shop's gap."""
    if run.state is not RunState.KEPT or not count:
        return ""
    width_mm, depth_mm = printer.platform_mm
    platform = f"{width_mm:g} x {depth_mm:g} mm"
    return f"alone on {platform}" if count == 1 else f"rows, {gap_mm:g} mm apart, on {platform}"


def _took(run: Run, minutes: float, mg: int) -> tuple[tuple[str, str], ...]:
    """Minutes and grams with their sources; an estimate says so."""
    time = duration_words(round(minutes))
    if run.minutes is None and run.file_minutes is None:
        time = between_words(minutes, max(run.at_most_minutes, minutes))
    said = [("Minutes", _with_source(time, _minutes_source(run)))]
    said.append(("Grams", _with_source(grams_words(mg), _grams_source(run))))
    if run.stopped_at_percent is not None:
        said.append(("Stopped at", f"{run.stopped_at_percent:.0f} %"))
    return tuple(said)


def _with_source(words: str, source: Source | None) -> str:
    said = {None: "estimated", Source.FILE: "by the print file", Source.PANEL: "by the panel"}
    return f"{words}, {said.get(source, source)}"


def _minutes_source(run: Run) -> Source | None:
    return run.file_minutes_source if run.minutes is None else run.minutes_source


def _grams_source(run: Run) -> Source | None:
    return run.file_mg_source if run.mg is None else run.grams_source
