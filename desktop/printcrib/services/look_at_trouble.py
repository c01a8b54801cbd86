"""The Trouble log: what failed and why, a Pareto by count, grams and hours, what changed on a printer."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from printcrib.core.calendar import moment_words
from printcrib.core.causes import CauseGroup
from printcrib.core.requests import Copy, Request
from printcrib.core.runs import Failure, Run, RunState
from printcrib.core.troubles import CauseSum, pareto, something_changed
from printcrib.core.units import bore_text
from printcrib.services.interfaces import Shop, UnitOfWork, Where, among, is_
from printcrib.services.read_calendar import zone_of
from printcrib.services.read_runs import kind_words

LOOK_BACK = timedelta(days=91)
"""The log counts so far back unless asked otherwise."""

NAME_WITHIN = timedelta(days=7)
"""So soon a cause that is not known yet should be named."""

LAST_RUNS = 200
"""So many runs of a printer are looked at for whether something changed."""


@dataclass(frozen=True, kw_only=True)
class TroubleRow:
    """One line of the log. overdue: its cause should have been named by now."""

    failure: Failure
    when: datetime
    when_words: str
    run_number: int
    printer: str
    bore: str
    material: str
    copies: tuple[str, ...]
    who: str
    overdue: bool


@dataclass(frozen=True, kw_only=True)
class PrinterRate:
    """How many of a printer's runs lost a copy ("3 of 41"), and whether that changed lately."""

    printer_id: int
    printer: str
    failed: int
    runs: int
    changed: bool


@dataclass(frozen=True, kw_only=True)
class TroubleLog:
    """All the log shows, newest first."""

    now: datetime
    zone: str
    words: str
    rows: tuple[TroubleRow, ...]
    pareto: tuple[CauseSum, ...]
    rates: tuple[PrinterRate, ...]
    mg_lost: int
    minutes_lost: float


def look_at_trouble(shop: Shop, since: datetime | None = None) -> TroubleLog:
    """What failed since a moment (91 days back unless told)."""
    now = shop.clock.now()
    start = now - LOOK_BACK if since is None else since
    with shop.read() as uow:
        failures = uow.failures.find(
            Where("happened_at", ">=", start), order_by="happened_at", newest_first=True
        )
        beside = _beside(uow, failures)
        rates = _rates(uow, start)
        zone = zone_of(uow)
    rows = tuple(_row(failure, beside, now, zone) for failure in failures)
    changed = [f"Something changed on {rate.printer}." for rate in rates if rate.changed]
    count = f"{len(rows)} failure{'' if len(rows) == 1 else 's'}."
    return TroubleLog(
        now=now,
        zone=zone,
        words=" ".join([count, *changed]),
        rows=rows,
        pareto=pareto(failures),
        rates=rates,
        mg_lost=sum(failure.mg_lost for failure in failures),
        minutes_lost=round(sum(failure.minutes_lost for failure in failures), 1),
    )


@dataclass(frozen=True, kw_only=True)
class _Beside:
    """What rows need beside the failures, by key."""

    runs: Mapping[int, Run]
    printers: Mapping[int, str]
    kinds: Mapping[int, str]
    copies: Mapping[int, Copy]
    requests: Mapping[int, Request]
    people: Mapping[int, str]


def _beside(uow: UnitOfWork, failures: Iterable[Failure]) -> _Beside:
    listed = tuple(failures)
    runs = {run.id: run for run in uow.runs.find(among("id", {each.run_id for each in listed}))}
    keys = {key for each in listed for key in each.copy_ids}
    copies = {copy.id: copy for copy in uow.copies.find(among("id", keys))}
    wanted = {copy.request_id for copy in copies.values()}
    materials = {material.id: material for material in uow.materials.find()}
    return _Beside(
        runs=runs,
        printers={printer.id: printer.name for printer in uow.printers.find()},
        kinds={
            run.id: "" if run.material_id is None else kind_words(materials[run.material_id], run.colour)
            for run in runs.values()
        },
        copies=copies,
        requests={request.id: request for request in uow.requests.find(among("id", wanted))},
        people={person.id: person.name for person in uow.people.find()},
    )


def _row(failure: Failure, beside: _Beside, now: datetime, zone: str) -> TroubleRow:
    run = beside.runs[failure.run_id]
    unknown = failure.cause_group == CauseGroup.NOT_KNOWN.value
    return TroubleRow(
        failure=failure,
        when=failure.happened_at,
        when_words=moment_words(now, failure.happened_at, zone),
        run_number=run.number,
        printer=beside.printers[run.printer_id],
        bore=bore_text(run.bore_um) if run.bore_um else "",
        material=beside.kinds[run.id],
        copies=tuple(
            f"{beside.requests[copy.request_id].tag}/{copy.ordinal}"
            for copy in (beside.copies[key] for key in failure.copy_ids)
        ),
        who=beside.people.get(failure.who_id, "the tool"),
        overdue=unknown and now - failure.happened_at > NAME_WITHIN,
    )


def _rates(uow: UnitOfWork, start: datetime) -> tuple[PrinterRate, ...]:
    rates = []
    for printer in uow.printers.find(is_("active", True)):
        runs = uow.runs.find(
            is_("printer_id", printer.id),
            is_("state", RunState.TAKEN_OFF),
            Where("taken_off_at", ">=", start),
            order_by="taken_off_at",
            newest_first=True,
            limit=LAST_RUNS,
        )
        failed = {each.run_id for each in uow.failures.find(among("run_id", {run.id for run in runs}))}
        rates.append(
            PrinterRate(
                printer_id=printer.id,
                printer=printer.name,
                failed=len(failed),
                runs=len(runs),
                changed=something_changed(run.id in failed for run in reversed(runs)),
            )
        )
    return tuple(rates)
