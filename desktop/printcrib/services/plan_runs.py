"""The run sheet: propose a plan, keep it, mend it after every act at the desk.

Only the kept plan is live. Any planner that turns a problem into a plan fits behind `PLANNERS`.
"""

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TypeVar

from printcrib.core.errors import ShopError
from printcrib.core.planning.decoder import decode
from printcrib.core.planning.dispatch import best_dispatch
from printcrib.core.planning.insertion import repaired
from printcrib.core.planning.problem import Problem
from printcrib.core.planning.rules import Saving, due_date, first_come, saving
from printcrib.core.planning.timeline import Plan as Order
from printcrib.core.records import THE_TOOL
from printcrib.core.runs import Plan, PlanState
from printcrib.core.units import duration_words
from printcrib.services.build_problem import Basis, basis_of
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.press import Press
from printcrib.services.read_open_work import read_open_work
from printcrib.services.write_plan import keep_in, mended_record, order_of, plan_record

T = TypeVar("T")
Progress = Callable[[float], None]
Cancelled = Callable[[], bool]
Planner = Callable[[Problem, Progress | None, Cancelled | None], Order]

DISPATCH, FIRST_COME, DUE_DATE, REPAIR = "dispatch", "first come", "due date", "repair"

PLANNERS: Mapping[str, Planner] = MappingProxyType(
    {
        DISPATCH: best_dispatch,
        FIRST_COME: lambda problem, progress, cancelled: first_come(problem),
        DUE_DATE: lambda problem, progress, cancelled: due_date(problem),
    }
)
"""How a plan can be made from scratch, by name."""

REPAIR_VERB = "repair plan"
"""How a repair is called in the change record."""

MOVED_TASK_COST = 2000
"""What moving a task of the kept plan costs when a new plan is weighed against it."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Compared:
    """A plan against first come, first served: what grouping saves."""

    saving: Saving
    words: str


def propose_plan(
    shop: Shop,
    press: Press,
    method: str = DISPATCH,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Done[Plan]:
    """Make a plan from scratch and store it as a proposal; the kept plan stays live.

    Args:
        method: one of `PLANNERS`. progress: told the part done, 0 to 1. cancelled: asked often.

    Raises:
        ShopError: no such method, or it was cancelled.
    """
    if method not in PLANNERS:
        raise ShopError(f'There is no way of planning called "{method}"', f"Choose {', '.join(PLANNERS)}.")
    basis = _basis(shop)
    order = PLANNERS[method](basis.problem, progress, cancelled)
    if cancelled is not None and cancelled():
        raise ShopError("Planning was cancelled", "The kept plan stays.")
    record = plan_record(basis, order, method)
    with shop.write(press, "propose plan") as uow:
        plan = uow.plans.add(record)
        uow.commit()
        return Done(plan, uow.changed, uow.press_number)


def keep_plan(shop: Shop, press: Press, plan_id: int) -> Done[Plan]:
    """Make a proposed plan the live one: its runs get rows and numbers, its copies are on a run.

    What changed since it was proposed is mended first: copies that are gone drop out, new ones go in.
    """
    with shop.write(press, "keep plan") as uow:
        plan = uow.plans.get(plan_id)
        if plan.state is PlanState.OLD:
            raise ShopError("That plan is an old one", "Plan again.")
        basis = basis_of(read_open_work(uow, uow.now), keep=plan)
        order = repaired(basis.problem, order_of(basis, plan))
        kept = keep_in(uow, basis, replace(plan, kept_by_id=press.who_id), order)
        uow.commit()
        return Done(kept, uow.changed, uow.press_number)


def repair_plan(shop: Shop, press: Press) -> Done[Plan]:
    """Mend the kept plan to what is so now and keep it at once, by the tool; it can be undone.

    What is on the plan keeps its order; new copies go where they cost least. A plan from scratch is
    taken only when something new came in and is cheaper even with 2000 for each task that moves.
    """
    seen, basis, order, method = _mended(shop)
    if method == REPAIR:
        record = mended_record(basis, order, method, basis.work.plan)
    else:
        record = plan_record(basis, order, method)
    with shop.write(_by_the_tool(press), REPAIR_VERB) as uow:
        now = basis
        if uow.changes.last_number() != seen:  # somebody booked something while it was worked out
            now = basis_of(read_open_work(uow, uow.now), keep=live_plan(uow))
            if now.tasks.keys() != basis.tasks.keys():
                order = repaired(now.problem, order)
        kept = keep_in(uow, now, replace(record, kept_by_id=THE_TOOL), order)
        uow.commit()
        return Done(kept, uow.changed, uow.press_number)


def repair_after(shop: Shop, press: Press, done: Done[T]) -> Done[T]:
    """Mend the plan after an act at the desk; the act stands whatever comes of that."""
    try:
        changed = repair_plan(shop, press).changed
    except Exception:
        _log.exception("the plan could not be mended")
        return done
    return replace(done, changed=done.changed | changed)


def compare_with_first_come(shop: Shop, plan_id: int | None = None) -> Compared:
    """What a plan (the kept one unless named) saves against first come, first served, as things are now."""
    with shop.read() as uow:
        plan = live_plan(uow) if plan_id is None else uow.plans.get(plan_id)
        work = read_open_work(uow, shop.clock.now())
    basis = basis_of(work, keep=plan)
    order = Order() if plan is None else order_of(basis, plan)
    saved = saving(basis.problem, order)
    return Compared(saved, saving_words(saved))


def _basis(shop: Shop) -> Basis:
    with shop.read() as uow:
        work = read_open_work(uow, shop.clock.now())
    return basis_of(work)


def _mended(shop: Shop) -> tuple[int, Basis, Order, str]:
    """The order to keep, worked out with no unit open, and the last change it knows of."""
    with shop.read() as uow:
        seen = uow.changes.last_number()
        work = read_open_work(uow, shop.clock.now())
    basis = basis_of(work, keep=work.plan)
    return seen, basis, *_mended_order(basis)


def _mended_order(basis: Basis) -> tuple[Order, str]:
    if basis.work.plan is None:
        return best_dispatch(basis.problem), DISPATCH
    kept = order_of(basis, basis.work.plan)
    order = repaired(basis.problem, kept)
    if not _is_worse_for_new(basis, kept, order):
        return order, REPAIR
    fresh = best_dispatch(basis.problem)
    moved = MOVED_TASK_COST * _moved(kept, fresh)
    if decode(basis.problem, fresh).cost + moved < decode(basis.problem, order).cost:
        return fresh, DISPATCH
    return order, REPAIR


def _is_worse_for_new(basis: Basis, kept: Order, order: Order) -> bool:
    """Whether something new came in that makes the mended plan later, or finds no place on it."""
    plan = basis.work.plan
    known = set(kept.tasks())
    left_out = {key for key, _ in plan.unplanned} if plan else set()
    new = {
        task.key
        for task in basis.problem.tasks
        if task.key not in known and basis.tasks[task.key].request.id not in left_out
    }
    if not new:
        return False
    before, after = decode(basis.problem, kept), decode(basis.problem, order)
    if any(missing.task in new for missing in after.unplanned):
        return True
    return after.late_weighted > before.late_weighted


def _moved(kept: Order, fresh: Order) -> int:
    """How many tasks of a plan stand on another printer or behind another task."""
    return len(_places(kept) - _places(fresh))


def _places(order: Order) -> set[tuple[str, str, str]]:
    places: set[tuple[str, str, str]] = set()
    for printer, slots in order.lanes.items():
        before = ""
        for slot in slots:
            places.add((printer, before, slot.task))
            before = slot.task
    return places


def _by_the_tool(press: Press) -> Press:
    return Press(who_id=THE_TOOL, station=press.station)


def saving_words(saved: Saving) -> str:
    """What grouping saves, as the run sheet says it."""
    if saved.nozzle_swaps <= 0 and saved.setup_minutes <= 0:
        return "As good as first come, first served."
    amounts = []
    if saved.nozzle_swaps > 0:
        amounts.append(f"{saved.nozzle_swaps} nozzle swap{'' if saved.nozzle_swaps == 1 else 's'}")
    if saved.setup_minutes > 0:
        amounts.append(f"{duration_words(saved.setup_minutes)} hands-on")
    return f"Grouping saves {' and '.join(amounts)} against first come, first served."


def live_plan(uow: UnitOfWork) -> Plan | None:
    """The kept plan."""
    return uow.plans.one(is_("state", PlanState.KEPT))
