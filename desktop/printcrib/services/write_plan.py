"""Between the planner's order of tasks and the books: plan records, run rows, copies on runs."""

from dataclasses import replace

from printcrib.core.planning.decoder import decode
from printcrib.core.planning.rules import saving
from printcrib.core.planning.timeline import Plan as Order
from printcrib.core.planning.timeline import PlannedRun, Slot, Timeline
from printcrib.core.requests import Copy, CopyState
from printcrib.core.runs import Plan, PlanLane, PlanSlot, PlanState, Run, RunState
from printcrib.services.build_floor import not_usable_words
from printcrib.services.build_problem import Basis
from printcrib.services.estimate_run import RunEstimate, together
from printcrib.services.interfaces import UnitOfWork, among, is_


def order_of(basis: Basis, plan: Plan) -> Order:
    """A stored plan as the planner's order of the tasks there are now."""
    task_of = {copy.id: key for key, made in basis.tasks.items() for copy in made.copies}
    lanes: dict[str, tuple[Slot, ...]] = {}
    seen: set[str] = set()
    for lane in plan.lanes:
        slots: list[Slot] = []
        for slot in lane.slots:
            keys = [task_of[key] for key in slot.copy_ids if key in task_of]
            fresh = [key for key in dict.fromkeys(keys) if key not in seen]
            seen.update(fresh)
            slots += [Slot(key, slot.bore_um, slot.joins and at == 0) for at, key in enumerate(fresh)]
        lanes[str(lane.printer_id)] = tuple(slots)
    return Order(lanes)


def plan_record(basis: Basis, order: Order, method: str) -> Plan:
    """A planner's order as the record to store, with what it saves against first come, first served."""
    saved = saving(basis.problem, order)
    return replace(
        mended_record(basis, order, method, None),
        swaps_saved=saved.nozzle_swaps,
        setup_minutes_saved=saved.setup_minutes,
        late_minutes_saved=saved.late_minutes,
    )


def mended_record(basis: Basis, order: Order, method: str, mended: Plan | None) -> Plan:
    """A mended order as the record to store; what it saves is still that of the plan it mends."""
    timeline = decode(basis.problem, order)
    return Plan(
        starts_at=basis.clock.starts_at,
        method=method,
        lanes=lanes_of(basis, timeline),
        unplanned=unplanned_of(basis, timeline),
        nozzle_swaps=timeline.nozzle_swaps,
        swaps_saved=mended.swaps_saved if mended else 0,
        setup_minutes_saved=mended.setup_minutes_saved if mended else 0,
        late_minutes_saved=mended.late_minutes_saved if mended else 0,
    )


def lanes_of(basis: Basis, timeline: Timeline, run_ids: dict[str, int] | None = None) -> tuple[PlanLane, ...]:
    """Every printer's list as it will be stored; tasks the desk told to wait stand at the end of one."""
    known = run_ids or {}
    lanes = []
    for number, printer in enumerate(basis.problem.printers):
        slots = [
            _slot(basis, key, run.bore, joins=at > 0, run_id=known.get(key))
            for run in timeline.runs_on(printer.key)
            for at, key in enumerate(run.tasks)
        ]
        if number == 0:
            slots += [
                replace(_slot(basis, task.key, min(task.minutes)), waiting=True)
                for task in basis.problem.tasks
                if task.waits
            ]
        lanes.append(PlanLane(printer_id=int(printer.key), slots=tuple(slots)))
    return tuple(lanes)


def _slot(basis: Basis, key: str, bore: int, *, joins: bool = False, run_id: int | None = None) -> PlanSlot:
    made = basis.tasks[key]
    return PlanSlot(
        request_id=made.request.id,
        copy_ids=tuple(copy.id for copy in made.copies),
        bore_um=bore,
        joins=joins,
        run_id=run_id,
    )


def unplanned_of(basis: Basis, timeline: Timeline) -> tuple[tuple[int, str], ...]:
    """Why each request that is not (wholly) planned is not, each reason once."""
    said = list(basis.held)
    for missing in timeline.unplanned:
        made = basis.tasks[missing.task]
        words = missing.reason
        if words.startswith("no spool"):
            others = not_usable_words(basis.work, made.plan_task.material)
            words = f"{words} ({others})" if others else words
        said.append((made.request.id, words))
    return tuple(dict.fromkeys(said))


def keep_in(uow: UnitOfWork, basis: Basis, plan: Plan, order: Order) -> Plan:
    """Make an order the live plan within an open unit.

    Runs get rows; a run of tasks that were on a kept run already keeps the number of its first task's
    run. Copies go on their runs or back to wanted; kept runs that nobody wants any more are cancelled.
    """
    timeline = decode(basis.problem, order)
    free = dict(basis.work.kept_runs)
    run_ids: dict[str, int] = {}
    on_run: dict[int, int] = {}
    for planned in timeline.runs:
        run = _row(uow, basis, planned, free)
        run_ids.update(dict.fromkeys(planned.tasks, run.id))
        on_run.update({copy.id: run.id for key in planned.tasks for copy in basis.tasks[key].copies})
    _move_copies(uow, on_run)
    for left_over in free.values():
        uow.runs.save(replace(left_over, state=RunState.CANCELLED))
    return _store(
        uow,
        replace(
            plan,
            state=PlanState.KEPT,
            starts_at=basis.clock.starts_at,
            lanes=lanes_of(basis, timeline, run_ids),
            unplanned=unplanned_of(basis, timeline),
            nozzle_swaps=timeline.nozzle_swaps,
        ),
    )


def _store(uow: UnitOfWork, plan: Plan) -> Plan:
    """Keep the plan; a repair that changed nothing leaves the kept one as it stands."""
    kept = uow.plans.one(is_("state", PlanState.KEPT))
    if kept is not None and kept.id != plan.id:
        if not plan.id and (kept.lanes, kept.unplanned) == (plan.lanes, plan.unplanned):
            return kept
        uow.plans.save(replace(kept, state=PlanState.OLD))
    return uow.plans.save(plan) if plan.id else uow.plans.add(plan)


def _row(uow: UnitOfWork, basis: Basis, planned: PlannedRun, free: dict[int, Run]) -> Run:
    """The row of a planned run: the one its first task was on, else a new one with the next number."""
    first = basis.tasks[planned.tasks[0]].copies
    known = next((copy.run_id for copy in first if copy.run_id in free), None)
    if known is None:
        return uow.runs.add(_filled(basis, planned, _new_run(uow, planned)))
    old = free.pop(known)
    run = _filled(basis, planned, old)
    return old if run == old else uow.runs.save(run)


def _new_run(uow: UnitOfWork, planned: PlannedRun) -> Run:
    return Run(number=uow.next_number("run"), printer_id=int(planned.printer), bore_um=planned.bore)


def _filled(basis: Basis, planned: PlannedRun, run: Run) -> Run:
    clock = basis.clock
    material_id, colour = basis.kinds[planned.material]
    whole = whole_run(basis, planned)
    return replace(
        run,
        printer_id=int(planned.printer),
        bore_um=planned.bore,
        material_id=material_id,
        colour=colour,
        spool_ids=(int(planned.spool),) if planned.spool is not None else (),
        estimated_minutes=float(planned.ends - planned.starts),
        at_most_minutes=whole.at_most_minutes,
        estimated_mg=whole.mg,
        computed_minutes=whole.computed_minutes,
        computed_start_minutes=whole.computed_start_minutes,
        computed_mg=whole.computed_mg,
        planned_hands_on=clock.moment(planned.hands_on_from),
        planned_start=clock.moment(planned.starts),
        planned_end=clock.moment(planned.ends),
        swapped_nozzle=planned.swaps_nozzle,
        changed_material=planned.loads_spool,
    )


def whole_run(basis: Basis, planned: PlannedRun) -> RunEstimate:
    """The whole run estimated from its copies."""
    parts, doubts = [], {}
    for made in (basis.tasks[key] for key in planned.tasks):
        model = basis.work.model_of(made.request)
        assert model is not None
        doubts[model.id] = model.doubt
        key = (model.id, int(planned.printer), planned.bore, made.material_id)
        parts += [basis.work.estimates[key]] * len(made.copies)
    return together(parts, basis.work.taught.of(int(planned.printer), planned.bore), doubts)


def _move_copies(uow: UnitOfWork, on_run: dict[int, int]) -> None:
    """Put copies on their runs; the others that were on one are wanted again."""
    moving: tuple[Copy, ...] = uow.copies.find(among("state", (CopyState.WANTED, CopyState.ON_RUN)))
    for copy in moving:
        run_id = on_run.get(copy.id)
        state = CopyState.WANTED if run_id is None else CopyState.ON_RUN
        if (copy.state, copy.run_id) != (state, run_id):
            uow.copies.save(replace(copy, state=state, run_id=run_id))
