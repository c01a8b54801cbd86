"""Take a run off its printer: every copy judged, grams, hours and aids booked in one transaction."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from printcrib.core.errors import ShopError
from printcrib.core.materials import Source
from printcrib.core.requests import Copy, CopyState
from printcrib.core.running import grams_taken, minutes_taken
from printcrib.core.runs import Run, RunOrigin, RunState
from printcrib.services.book_grams import book_grams, settle_spools
from printcrib.services.finish_copy import copy_tag
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.judge_copies import (
    GOOD,
    Judged,
    Loss,
    Outcome,
    Verdict,
    apply_verdicts,
    shares_of,
)
from printcrib.services.keep_by_hand import KeptByHand, keep_by_hand
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press
from printcrib.services.read_runs import OPEN_RUNS, copies_on


@dataclass(frozen=True, kw_only=True)
class TakeOff:
    """What a person says when taking a run off; everything but the press itself may be left out.

    Attributes:
        verdicts: by copy key; None for all good.
        minutes, minutes_source: printer time told now, with where it was read.
        mg, grams_source: filament told now.
        percent: how far the run got, where it failed before its end.
        spool_id: what it was printed from, for a run by hand.
        kept: what a run by hand was, when anything of it is kept; None for nothing to keep.
    """

    verdicts: Mapping[int, Verdict] | None = None
    minutes: float | None = None
    minutes_source: Source = Source.PANEL
    mg: int | None = None
    grams_source: Source = Source.WEIGHED
    percent: float | None = None
    spool_id: int | None = None
    kept: KeptByHand | None = None
    photo_sha: str = ""
    done_about_it: str = ""


ALL_GOOD = TakeOff()


@dataclass(frozen=True)
class TakenOff:
    """What came of taking a run off."""

    run: Run
    judged: Judged
    words: str
    kept_request_id: int | None = None


def take_off_run(shop: Shop, press: Press, run_id: int, told: TakeOff = ALL_GOOD) -> Done[TakenOff]:
    """The run is off its printer: copies, spool, nozzle, hours and aids in one transaction.

    Raises:
        ShopError: the run is not on a printer, a copy was not judged, or one named is not on it.
    """
    with shop.write(press, "take off run") as uow:
        taken = take_off_in(uow, uow.runs.get(run_id), told)
        uow.commit()
        done = Done(taken, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def take_off_in(uow: UnitOfWork, run: Run, told: TakeOff) -> TakenOff:
    """Take a run off within an open unit."""
    if run.state not in OPEN_RUNS:
        raise ShopError(f"Run {run.number} is {run.state}", "Only a run on a printer is taken off.")
    copies = copies_on(uow, run.id, CopyState.PRINTING)
    verdicts = _verdicts(uow, run, copies, told)
    run = _with_what_it_took(uow, run, told, verdicts)
    shares = shares_of(uow, run, copies)
    lost = sum(share for key, share in shares.items() if _is_lost(verdicts[key]))
    if run.origin is RunOrigin.BY_HAND and told.kept is None:
        lost = 0.0
    book_grams(uow, run, lost)
    _book_on_nozzle(uow, run)
    settle_spools(uow, run)
    judged = apply_verdicts(uow, run, copies, verdicts, _loss(run, shares, told))
    kept = None if told.kept is None else keep_by_hand(uow, run, told.kept)
    printer = uow.printers.get(run.printer_id)
    came = judged.words if told.kept is None else f"{told.kept.quantity} to check"
    words = f"Run {run.number} taken off {printer.name}: {came}."
    return TakenOff(run, judged, words, kept)


def all_to_check(copies: Sequence[Copy]) -> TakeOff:
    """Nobody looked at the copies yet."""
    return TakeOff(verdicts={copy.id: Verdict(Outcome.TO_CHECK) for copy in copies})


def _is_lost(verdict: Verdict) -> bool:
    return verdict.outcome in (Outcome.FAILED, Outcome.SCRAP)


def _verdicts(uow: UnitOfWork, run: Run, copies: Sequence[Copy], told: TakeOff) -> dict[int, Verdict]:
    """A verdict for each copy; a cause told while the run was on its printer stands for "not known yet"."""
    if told.verdicts is None:
        return {copy.id: GOOD for copy in copies}
    on_it = {copy.id: copy for copy in copies}
    for key in told.verdicts:
        if key not in on_it:
            raise ShopError(f"A copy named is not on run {run.number}", "Look at its copies again.")
    missing = [copy for copy in copies if copy.id not in told.verdicts]
    if missing:
        tag = copy_tag(missing[0], uow.requests.get(missing[0].request_id))
        raise ShopError(f"Nothing was said of {tag}", "Say good, failed or to check for every copy.")
    earlier = uow.failures.find(is_("run_id", run.id), newest_first=True, limit=1)
    if not earlier:
        return dict(told.verdicts)
    unnamed = Verdict(Outcome.FAILED)
    cause = Verdict(Outcome.FAILED, earlier[0].cause)
    return {key: cause if verdict == unnamed else verdict for key, verdict in told.verdicts.items()}


def _with_what_it_took(uow: UnitOfWork, run: Run, told: TakeOff, verdicts: Mapping[int, Verdict]) -> Run:
    """The run with its minutes and grams, each with its source, and what it was printed from."""
    if told.spool_id is not None:
        spool = uow.spools.get(told.spool_id)
        run = replace(run, spool_ids=(spool.id,), material_id=spool.material_id, colour=spool.colour)
    if told.percent is not None and verdicts and all(_is_lost(verdict) for verdict in verdicts.values()):
        run = replace(run, stopped_at_percent=told.percent)
    minutes = minutes_taken(run, told.minutes, told.minutes_source)
    grams = grams_taken(run, told.mg, told.grams_source)
    return uow.runs.save(
        replace(
            run,
            state=RunState.TAKEN_OFF,
            minutes=minutes.value,
            minutes_source=minutes.source,
            mg=round(grams.value),
            grams_source=grams.source,
            taken_off_at=uow.happened_at,
            taken_off_by_id=uow.press.who_id,
        )
    )


def _book_on_nozzle(uow: UnitOfWork, run: Run) -> None:
    """What went through the nozzle wears it."""
    if run.nozzle_id is None:
        return
    nozzle = uow.nozzles.get(run.nozzle_id)
    uow.nozzles.save(
        replace(
            nozzle,
            minutes_used=nozzle.minutes_used + round(run.minutes or 0.0),
            mg_used=nozzle.mg_used + (run.mg or 0),
        )
    )


def _loss(run: Run, shares: Mapping[int, float], told: TakeOff) -> Loss:
    return Loss(
        mg={key: round((run.mg or 0) * share) for key, share in shares.items()},
        minutes={key: (run.minutes or 0.0) * share for key, share in shares.items()},
        percent=told.percent if told.percent is not None else run.stopped_at_percent,
        photo_sha=told.photo_sha,
        done_about_it=told.done_about_it,
    )
