"""What the tool does by itself, in one window or server at a time: lapses, reprints, the plan."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any

from printcrib.core.aids import AidState
from printcrib.core.shop import Duty
from printcrib.services.due_reprints import due_of, raise_due_reprints
from printcrib.services.forecast_aids import forecast_aids, read_books
from printcrib.services.interfaces import Done, Shop, UnitOfWork, Where, is_
from printcrib.services.press import Press
from printcrib.services.read_open_work import read_open_work
from printcrib.services.release_use import lapse_run_out
from printcrib.services.roll_forward import has_moved, roll_forward

LEASE = timedelta(seconds=60)
KEEP_GOING = "keep going"


@dataclass(frozen=True)
class DutiesDone:
    """Which of the tool's duties had something to do."""

    done: tuple[str, ...] = ()


def do_duties(shop: Shop, press: Press) -> Done[DutiesDone]:
    """Do what is due now; nothing is written, not even the lease, while there is nothing to do.

    Called every minute by every window. The lease keeps two of them from doing it at the same time; each
    duty is also safe on its own, since a reprint is open once an aid and a plan is guarded by its version.
    """
    due = [name for name, is_due, _ in _DUTIES if _asked(shop, is_due)]
    if not due or not take_lease(shop, press, KEEP_GOING):
        return Done(DutiesDone())
    changed: frozenset[str] = frozenset()
    for name, _, work in _DUTIES:
        if name in due:
            changed |= work(shop, Press(who_id=press.who_id, station=press.station)).changed
    return Done(DutiesDone(tuple(due)), changed)


def take_lease(shop: Shop, press: Press, name: str) -> bool:
    """Take or renew a duty for this station; False while another station holds it."""
    with shop.write(press, "take duty") as uow:
        held = uow.duties.one(is_("name", name))
        if held is not None and held.holder != press.station and held.until > uow.now:
            return False
        until = uow.now + LEASE
        if held is None:
            uow.duties.add(Duty(name=name, holder=press.station, until=until))
        else:
            uow.duties.save(replace(held, holder=press.station, until=until))
        uow.commit()
    return True


def _asked(shop: Shop, is_due: Callable[[UnitOfWork], bool]) -> bool:
    with shop.read() as uow:
        return is_due(uow)


def _a_release_ran_out(uow: UnitOfWork) -> bool:
    held = uow.releases.find(Where("lapsed_at", "is none"))
    return any(each.until is not None and each.until <= uow.now for each in held)


def _a_reprint_is_due(uow: UnitOfWork) -> bool:
    forecasts = forecast_aids(read_books(uow))
    if any(each.past_limit and each.aid.state is AidState.IN_USE for each in forecasts):
        return True
    return any(
        each.is_due(uow.now)
        and each.open_request is None
        and each.maybe_request is None
        and (each.quiet_until is None or each.quiet_until <= uow.now)
        for each in due_of(uow, forecasts, uow.now)
    )


def _the_plan_moved(uow: UnitOfWork) -> bool:
    return has_moved(read_open_work(uow, uow.now))


_DUTIES: tuple[
    tuple[str, Callable[[UnitOfWork], bool], Callable[[Shop, Press], Done[Any]]],
    ...,
] = (
    ("releases run out", _a_release_ran_out, lapse_run_out),
    ("raise reprints", _a_reprint_is_due, raise_due_reprints),
    ("mend the plan", _the_plan_moved, roll_forward),
)
