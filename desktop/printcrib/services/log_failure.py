"""Log what went wrong with a run, and name the cause once it is known."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from printcrib.core.causes import CauseGroup, group_of
from printcrib.core.errors import ShopError
from printcrib.core.requests import Copy, CopyState
from printcrib.core.runs import Failure, Run, RunState
from printcrib.services.interfaces import Done, Shop, UnitOfWork, among
from printcrib.services.judge_copies import Outcome, Verdict, follow_failure, judge_in
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press
from printcrib.services.read_runs import OPEN_RUNS
from printcrib.services.stop_run import stop_in

NOT_PRINTING = (CopyState.WANTED, CopyState.ON_RUN)


@dataclass(frozen=True, kw_only=True)
class Trouble:
    """What a person saw.

    Attributes:
        cause: in the words of `core.causes`, or the shop's own. percent: how far it got.
    """

    cause: str = CauseGroup.NOT_KNOWN.value
    percent: float | None = None
    photo_sha: str = ""
    done_about_it: str = ""


def log_failure(
    shop: Shop, press: Press, run_id: int, trouble: Trouble, copy_ids: Sequence[int] = ()
) -> Done[Failure]:
    """Log a failure of a run on its printer (it stops), or of copies of a run taken off before.

    Args:
        copy_ids: copies found bad after take-off; none for a run on its printer, whose copies are
            judged at take-off.
    """
    with shop.write(press, "log failure") as uow:
        run = uow.runs.get(run_id)
        if run.state in OPEN_RUNS:
            failure = _on_printer(uow, run, trouble)
        else:
            failure = _after_take_off(uow, run, trouble, copy_ids)
        uow.commit()
        done = Done(failure, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def _on_printer(uow: UnitOfWork, run: Run, trouble: Trouble) -> Failure:
    if run.state is RunState.STARTED:
        run = stop_in(uow, run, trouble.percent).run
    return uow.failures.add(_filled(uow, Failure(run_id=run.id, percent=run.stopped_at_percent), trouble))


def _after_take_off(uow: UnitOfWork, run: Run, trouble: Trouble, copy_ids: Sequence[int]) -> Failure:
    if not copy_ids:
        raise ShopError(f"Run {run.number} is {run.state}", "Name the copies that are bad.")
    for key in copy_ids:
        if uow.copies.get(key).run_id != run.id:
            raise ShopError(f"A copy named was not on run {run.number}", "Look at its copies again.")
    judged = judge_in(uow, dict.fromkeys(copy_ids, Verdict(Outcome.FAILED, trouble.cause)))
    return uow.failures.save(_filled(uow, judged.failures[0], trouble))


def _filled(uow: UnitOfWork, failure: Failure, trouble: Trouble) -> Failure:
    return replace(
        failure,
        cause=trouble.cause,
        cause_group=group_of(trouble.cause).value,
        percent=failure.percent if trouble.percent is None else trouble.percent,
        photo_sha=trouble.photo_sha,
        done_about_it=trouble.done_about_it,
        who_id=uow.press.who_id,
    )


@dataclass(frozen=True)
class Named:
    """A failure with its cause, the new copies it called off, and those it made."""

    failure: Failure
    called_off: tuple[Copy, ...] = ()
    new: tuple[Copy, ...] = ()


def name_cause(
    shop: Shop, press: Press, failure_id: int, cause: str, *, done_about_it: str | None = None
) -> Done[Named]:
    """Say what a failure came from, once it is known.

    A cause changed to design goes back to the asker and calls off the new copies that are not printing;
    one changed away from design makes them wanted again.
    """
    with shop.write(press, "name cause") as uow:
        failure = uow.failures.get(failure_id)
        was = group_of(failure.cause)
        done_words = failure.done_about_it if done_about_it is None else done_about_it
        failure = uow.failures.save(
            replace(failure, cause=cause, cause_group=group_of(cause).value, done_about_it=done_words)
        )
        copies = [uow.copies.save(replace(uow.copies.get(key), cause=cause)) for key in failure.copy_ids]
        named = Named(failure, *_follow_change(uow, failure, copies, was))
        uow.commit()
        done = Done(named, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def _follow_change(
    uow: UnitOfWork, failure: Failure, copies: Sequence[Copy], was: CauseGroup
) -> tuple[tuple[Copy, ...], tuple[Copy, ...]]:
    """Copies called off and copies made because the cause is another one."""
    design = group_of(failure.cause) is CauseGroup.DESIGN
    if design == (was is CauseGroup.DESIGN):
        return (), ()
    run = uow.runs.get(failure.run_id)
    replacements = uow.copies.find(among("replaces_id", tuple(copy.id for copy in copies)))
    called_off: list[Copy] = []
    if design:
        called_off = [
            uow.copies.save(replace(copy, state=CopyState.CANCELLED, run_id=None))
            for copy in replacements
            if copy.state in NOT_PRINTING
        ]
    standing = {copy.replaces_id for copy in replacements if copy.state is not CopyState.CANCELLED}
    new: list[Copy] = []
    for copy in copies:
        if design or copy.id not in standing:
            new += follow_failure(uow, run, copy, failure.cause)[0]
    return tuple(called_off), tuple(new)
