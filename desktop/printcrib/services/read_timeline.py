"""The kept plan as times: it is decoded again at now, so it rolls forward by itself."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from printcrib.core.asking import needed_of
from printcrib.core.calendar import after_open_minutes, moment_words, next_opening
from printcrib.core.planning.decoder import decode
from printcrib.core.planning.timeline import Plan as Order
from printcrib.core.planning.timeline import PlannedRun, Timeline
from printcrib.core.planning.why import Names, why_late, why_runs
from printcrib.core.requests import Request
from printcrib.core.running import expected_end, is_expected_over
from printcrib.core.runs import Plan, Run
from printcrib.services.build_problem import Basis, basis_of
from printcrib.services.interfaces import UnitOfWork
from printcrib.services.read_open_work import OpenWork, read_open_work
from printcrib.services.write_plan import order_of, unplanned_of

Last = tuple[datetime, int | None]
"""When a request's last copy is ready, and on which run it is."""


@dataclass(frozen=True, kw_only=True)
class TimedRun:
    """A run of the kept plan with its times as things are now.

    Attributes:
        run_id, number: its row; None for a run the plan would make new.
        hands_on_from: set-up begins. starts: heat-up begins. ends: printing is over. ready: somebody is
            in to take it off.
        mg: drawn from the spool, start and purge included. minutes: from start to end.
    """

    run_id: int | None
    number: int | None
    printer_id: int
    bore_um: int
    material_id: int
    colour: str
    request_ids: tuple[int, ...]
    copy_ids: tuple[int, ...]
    tasks: tuple[str, ...]
    hands_on_from: datetime
    starts: datetime
    ends: datetime
    ready: datetime
    swaps_nozzle: bool
    loads_spool: bool
    spool_id: int | None
    mg: int

    @property
    def minutes(self) -> int:
        """Printing minutes with the start."""
        return int((self.ends - self.starts).total_seconds() // 60)

    @property
    def hands_on_minutes(self) -> int:
        """Minutes by hand before it."""
        return int((self.starts - self.hands_on_from).total_seconds() // 60)

    @property
    def called(self) -> str:
        """What people call it: "run 32"."""
        return "a new run" if self.number is None else f"run {self.number}"


@dataclass(frozen=True, kw_only=True)
class TimedRequest:
    """When a request's copies will all be ready.

    Attributes:
        ready: likely, finishing steps included; None while some copy is not planned.
        run_id: of the copy that is ready last.
        late_minutes: clock minutes from needed-by to ready, 0 in time.
        spare_minutes: minutes to spare; None without a needed-by or without a plan.
    """

    request: Request
    needed: datetime | None
    ready: datetime | None
    late_minutes: int = 0
    spare_minutes: int | None = None
    run_id: int | None = None
    unplanned: str = ""


@dataclass(frozen=True, kw_only=True)
class TimedPlan:
    """The run sheet at a moment.

    Attributes:
        runs: planned ones in the order somebody sets them up. requests: by key, with those on printers.
        unplanned: words by request key.
    """

    now: datetime
    plan: Plan | None
    work: OpenWork
    basis: Basis
    order: Order
    timeline: Timeline
    runs: tuple[TimedRun, ...]
    requests: Mapping[int, TimedRequest]
    unplanned: Mapping[int, str]

    def runs_on(self, printer_id: int) -> tuple[TimedRun, ...]:
        """The planned runs of one printer, in order."""
        return tuple(run for run in self.runs if run.printer_id == printer_id)


def timeline(uow: UnitOfWork, now: datetime) -> TimedPlan:
    """The kept plan with likely minutes, as things are now."""
    return timeline_of(read_open_work(uow, now))


def timeline_of(work: OpenWork, *, at_most: bool = False) -> TimedPlan:
    """The kept plan decoded at the moment the work was read; pure, no unit needed.

    Args:
        at_most: with at-most instead of likely minutes, for what a promise says at most.
    """
    basis = basis_of(work, keep=work.plan, at_most=at_most)
    order = Order() if work.plan is None else order_of(basis, work.plan)
    return timed(basis, order, at_most=at_most)


def timed(basis: Basis, order: Order, *, at_most: bool = False) -> TimedPlan:
    """An order of tasks as a run sheet."""
    work = basis.work
    decoded = decode(basis.problem, order)
    runs = _runs(basis, decoded)
    unplanned: dict[int, str] = {}
    for request_id, words in unplanned_of(basis, decoded):
        unplanned.setdefault(request_id, words)
    return TimedPlan(
        now=work.now,
        plan=work.plan,
        work=work,
        basis=basis,
        order=order,
        timeline=decoded,
        runs=runs,
        requests=_requests(work, runs, unplanned, at_most),
        unplanned=unplanned,
    )


def _runs(basis: Basis, decoded: Timeline) -> tuple[TimedRun, ...]:
    taken: set[int] = set()
    timed_runs = []
    for planned in decoded.runs:
        row = _row_of(basis, planned, taken)
        taken.update(() if row is None else (row.id,))
        timed_runs.append(_timed_run(basis, planned, row))
    return tuple(timed_runs)


def _row_of(basis: Basis, planned: PlannedRun, taken: set[int]) -> Run | None:
    """The row of a planned run: that of its first task, unless a run before it has it."""
    for copy in basis.tasks[planned.tasks[0]].copies:
        row = basis.work.kept_runs.get(copy.run_id or 0)
        if row is not None and row.id not in taken:
            return row
    return None


def _timed_run(basis: Basis, planned: PlannedRun, row: Run | None) -> TimedRun:
    material_id, colour = basis.kinds[planned.material]
    made = [basis.tasks[key] for key in planned.tasks]
    moment = basis.clock.moment
    return TimedRun(
        run_id=row.id if row else None,
        number=row.number if row else None,
        printer_id=int(planned.printer),
        bore_um=planned.bore,
        material_id=material_id,
        colour=colour,
        request_ids=tuple(dict.fromkeys(each.request.id for each in made)),
        copy_ids=tuple(copy.id for each in made for copy in each.copies),
        tasks=planned.tasks,
        hands_on_from=moment(planned.hands_on_from),
        starts=moment(planned.starts),
        ends=moment(planned.ends),
        ready=moment(planned.ready),
        swaps_nozzle=planned.swaps_nozzle,
        loads_spool=planned.loads_spool,
        spool_id=None if planned.spool is None else int(planned.spool),
        mg=planned.mg,
    )


def _requests(
    work: OpenWork, runs: Iterable[TimedRun], unplanned: Mapping[int, str], at_most: bool
) -> dict[int, TimedRequest]:
    """When each open request is ready: the last of its planned runs and of those on printers."""
    last: dict[int, Last] = {}
    pair: Last
    for run in runs:
        for request_id in run.request_ids:
            pair = (run.ready, run.run_id)
            last[request_id] = max(last.get(request_id, pair), pair, key=_when)
    for open_run in work.runs:
        ready = ready_of(work, open_run, at_most=at_most)
        for copy in work.on_printers.get(open_run.id, ()):
            pair = (ready, open_run.id)
            last[copy.request_id] = max(last.get(copy.request_id, pair), pair, key=_when)
    return {
        request.id: _timed_request(work, request, last.get(request.id), unplanned.get(request.id, ""))
        for request in work.requests.values()
    }


def _when(pair: Last) -> datetime:
    return pair[0]


def _timed_request(work: OpenWork, request: Request, last: Last | None, unplanned: str) -> TimedRequest:
    needed = needed_of(request)
    if last is None or unplanned:
        return TimedRequest(request=request, needed=needed, ready=None, unplanned=unplanned)
    off, run_id = last
    ready = after_open_minutes(work.calendar, off, work.finishing_minutes(request))
    spare = None if needed is None else int((needed - ready).total_seconds() // 60)
    return TimedRequest(
        request=request,
        needed=needed,
        ready=ready,
        late_minutes=0 if spare is None else max(-spare, 0),
        spare_minutes=None if spare is None else max(spare, 0),
        run_id=run_id,
    )


def ready_of(work: OpenWork, run: Run, *, at_most: bool = False) -> datetime:
    """When somebody can take a run off that is on its printer; not before now."""
    end = expected_end(run) or work.now
    if at_most and run.started_at is not None and run.at_most_minutes > run.estimated_minutes:
        end = max(end, run.started_at + timedelta(minutes=run.at_most_minutes))
    end = max(end, work.now)
    return next_opening(work.calendar, end) or end


def is_over(work: OpenWork, run: Run) -> bool:
    """Whether a run on its printer should be over by the clock, or was stopped."""
    return run.stopped_at is not None or is_expected_over(run, work.now)


def why_lines(sheet: TimedPlan) -> tuple[str, ...]:
    """Why each run of the sheet stands where it does, one line a run."""
    return tuple(why_runs(sheet.basis.problem, sheet.order, names_of(sheet)))


def late_lines(sheet: TimedPlan) -> dict[int, str]:
    """What makes each late request late, by its key."""
    lines = why_late(sheet.basis.problem, sheet.order, names_of(sheet))
    return {sheet.basis.tasks[key].request.id: words for key, words in lines.items()}


def names_of(sheet: TimedPlan) -> Names:
    """How lines speak of the runs and moments of this sheet."""
    zone = sheet.work.settings.zone
    return Names(
        {run.tasks[0]: run.called for run in sheet.runs},
        lambda minute: moment_words(sheet.now, sheet.basis.clock.moment(minute), zone),
    )
