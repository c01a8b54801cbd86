"""Stop a run before its end, and say what that loses."""

from dataclasses import dataclass, replace

from printcrib.core.errors import ShopError
from printcrib.core.running import Lost, lost_when_stopped
from printcrib.core.runs import Run, RunState
from printcrib.core.units import duration_words, grams_words
from printcrib.services.interfaces import Done, Shop, UnitOfWork
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press


@dataclass(frozen=True)
class Stopped:
    """A stopped run and what is lost with it."""

    run: Run
    lost: Lost
    words: str


def what_stopping_loses(shop: Shop, run_id: int, percent: float | None = None) -> Stopped:
    """What stopping now would lose, to be shown before the press."""
    with shop.read() as uow:
        run = uow.runs.get(run_id)
    _refuse_not_started(run)
    lost = lost_when_stopped(run, shop.clock.now(), percent)
    return Stopped(run, lost, _words(run, lost))


def stop_run(shop: Shop, press: Press, run_id: int, percent: float | None = None) -> Done[Stopped]:
    """The run is stopped early or failed; nothing is booked until it is taken off.

    Args:
        percent: how far it got, None for what the clock says.
    """
    if percent is not None and not 0 <= percent <= 100:
        raise ShopError(f"{percent:g} % makes no sense", "Say how far it got, 0 to 100.")
    with shop.write(press, "stop run") as uow:
        run = uow.runs.get(run_id)
        _refuse_not_started(run)
        stopped = stop_in(uow, run, percent)
        uow.commit()
        done = Done(stopped, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def stop_in(uow: UnitOfWork, run: Run, percent: float | None) -> Stopped:
    """Stop a started run within an open unit."""
    at = uow.happened_at
    if run.started_at is not None and at < run.started_at:
        raise ShopError(f"Run {run.number} was started later than that", "Give a later time.")
    lost = lost_when_stopped(run, at, percent)
    run = uow.runs.save(
        replace(run, state=RunState.STOPPED, stopped_at=at, stopped_at_percent=round(lost.percent, 1))
    )
    return Stopped(run, lost, _words(run, lost))


def _refuse_not_started(run: Run) -> None:
    if run.state is not RunState.STARTED:
        raise ShopError(f"Run {run.number} is {run.state}", "Only a started run is stopped.")


def _words(run: Run, lost: Lost) -> str:
    minutes = duration_words(round(lost.minutes))
    return f"Run {run.number} stopped at {lost.percent:.0f} %: {grams_words(lost.mg)} and {minutes} are lost."
