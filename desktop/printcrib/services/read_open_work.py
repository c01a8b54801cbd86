"""Everything a plan is made from, read from the books in one go: only what is still open."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from printcrib.core.calendar import ShopCalendar
from printcrib.core.materials import Material, Spool, SpoolState
from printcrib.core.patterns import Estimate, Model, Pattern, Size
from printcrib.core.printers import Nozzle, Printer, Unattended
from printcrib.core.records import Record
from printcrib.core.releases import SizeRelease
from printcrib.core.requests import Copy, CopyState, Hold, Request, RequestState
from printcrib.core.runs import Plan, PlanState, Run, RunState
from printcrib.core.shop import ShopSettings
from printcrib.core.spool_ledger import Doubt
from printcrib.services.estimate_run import latest
from printcrib.services.interfaces import UnitOfWork, Where, among, is_
from printcrib.services.learn_times import ShopTaught, read_taught
from printcrib.services.read_calendar import calendar_of, settings_of
from printcrib.services.read_runs import OPEN_RUNS, doubts_of

R = TypeVar("R", bound=Record)

WAITING_COPIES = (CopyState.WANTED, CopyState.ON_RUN)
"""Copies that a plan may still move."""

KNOWN_SPOOLS = (SpoolState.SEALED, SpoolState.SHELF, SpoolState.DRYER, SpoolState.ON_PRINTER)


@dataclass(frozen=True, kw_only=True)
class OpenWork:
    """The shop as a plan finds it, copied out of the books.

    Attributes:
        now: the moment it was read. runs: started and stopped ones. kept_runs: on the kept plan.
        plan: the kept plan. requests: with copies that wait or lie on a printer.
        copies: wanted or on a kept run, of accepted requests, by request.
        on_printers: copies of started and stopped runs, by run.
        estimates: newest by model, printer, bore, material. left: grams left by spool.
        taught: what the printers' prints taught.
    """

    now: datetime
    settings: ShopSettings
    calendar: ShopCalendar
    printers: tuple[Printer, ...]
    nozzles: Mapping[int, Nozzle]
    materials: Mapping[int, Material]
    spools: tuple[Spool, ...]
    left: Mapping[int, Doubt]
    unattended: tuple[Unattended, ...]
    runs: tuple[Run, ...]
    kept_runs: Mapping[int, Run]
    plan: Plan | None
    requests: Mapping[int, Request]
    copies: Mapping[int, tuple[Copy, ...]]
    on_printers: Mapping[int, tuple[Copy, ...]]
    holds: Mapping[int, tuple[Hold, ...]]
    sizes: Mapping[int, Size]
    patterns: Mapping[int, Pattern]
    models: Mapping[int, Model]
    estimates: Mapping[tuple[int, int, int, int], Estimate]
    releases: Mapping[int, tuple[SizeRelease, ...]]
    taught: ShopTaught

    def model_of(self, request: Request) -> Model | None:
        """The revision a request's copies will be printed from."""
        size = self.sizes.get(request.size_id or 0)
        return None if size is None or size.model_id is None else self.models.get(size.model_id)

    def pattern_of(self, request: Request) -> Pattern | None:
        """The pattern of what is asked for; None while it is words only."""
        size = self.sizes.get(request.size_id or 0)
        return None if size is None else self.patterns.get(size.pattern_id)

    def finishing_minutes(self, request: Request) -> int:
        """By hand from take-off until the copies are ready."""
        pattern = self.pattern_of(request)
        return 0 if pattern is None else pattern.finishing_minutes

    def name_of(self, request: Request) -> str:
        """What it is, as people say it: pattern and size, else its words."""
        size, pattern = self.sizes.get(request.size_id or 0), self.pattern_of(request)
        if size is None or pattern is None:
            return request.words
        return f"{pattern.name} {size.name}".strip() if pattern.listed else (request.words or size.name)


def read_open_work(uow: UnitOfWork, now: datetime) -> OpenWork:
    """Copy out what is open; requests that are done or not accepted stay in the books."""
    spools = uow.spools.find(among("state", KNOWN_SPOOLS))
    waiting = uow.copies.find(among("state", WAITING_COPIES))
    runs = uow.runs.find(among("state", OPEN_RUNS))
    printing = uow.copies.find(
        among("run_id", _keys(run.id for run in runs)), is_("state", CopyState.PRINTING)
    )
    wanted_by = _keys(copy.request_id for copy in (*waiting, *printing))
    requests = _by_key(uow.requests.find(among("id", wanted_by)))
    accepted = {key for key, request in requests.items() if request.state is RequestState.ACCEPTED}
    sizes = _by_key(uow.sizes.find(among("id", _keys(r.size_id for r in requests.values()))))
    models = _by_key(uow.models.find(among("id", _keys(size.model_id for size in sizes.values()))))
    printers = uow.printers.find(is_("active", True))
    return OpenWork(
        now=now,
        settings=settings_of(uow),
        calendar=calendar_of(uow),
        printers=printers,
        nozzles=_by_key(uow.nozzles.find(is_("retired", False))),
        materials=_by_key(uow.materials.find()),
        spools=spools,
        left=doubts_of(uow, spools),
        unattended=uow.unattended.find(is_("allowed", True)),
        runs=runs,
        kept_runs=_by_key(uow.runs.find(is_("state", RunState.KEPT))),
        plan=uow.plans.one(is_("state", PlanState.KEPT)),
        requests=requests,
        copies=_grouped((copy for copy in waiting if copy.request_id in accepted), _request_key),
        on_printers=_grouped(printing, _run_key),
        holds=_grouped(
            uow.holds.find(among("request_id", tuple(requests)), Where("closed_at", "is none")), _request_key
        ),
        sizes=sizes,
        patterns=_by_key(uow.patterns.find(among("id", _keys(size.pattern_id for size in sizes.values())))),
        models=models,
        estimates=latest(uow.estimates.find(among("model_id", tuple(models)))),
        releases=_grouped(uow.releases.find(among("size_id", tuple(sizes))), _size_key),
        taught=read_taught(uow, (printer.id for printer in printers)),
    )


def _keys(keys: Iterable[int | None]) -> tuple[int, ...]:
    return tuple(sorted({key for key in keys if key is not None}))


def _by_key(records: Iterable[R]) -> dict[int, R]:
    return {record.id: record for record in records}


def _grouped(records: Iterable[R], key_of: Callable[[R], int]) -> dict[int, tuple[R, ...]]:
    groups: dict[int, list[R]] = defaultdict(list)
    for record in records:
        groups[key_of(record)].append(record)
    return {key: tuple(group) for key, group in groups.items()}


def _request_key(record: Copy | Hold) -> int:
    return record.request_id


def _run_key(copy: Copy) -> int:
    return copy.run_id or 0


def _size_key(release: SizeRelease) -> int:
    return release.size_id
