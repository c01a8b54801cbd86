"""Copies off the printer are judged: good, failed with a cause, not wanted, or still to check."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from printcrib.core.aids import RetireReason
from printcrib.core.asking import replaced
from printcrib.core.causes import group_of
from printcrib.core.errors import ShopError
from printcrib.core.materials import Source, SpoolEntry, SpoolEntryKind
from printcrib.core.requests import Copy, CopyState, Hold, HoldKind, Purpose, Request, RequestState
from printcrib.core.running import AfterFailure, after_failure, stepped, tries_behind
from printcrib.core.runs import Failure, Run
from printcrib.services.estimate_run import estimate_run
from printcrib.services.finish_copy import close_if_done, copy_tag, make_ready, pattern_of
from printcrib.services.hold_request import open_in
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press
from printcrib.services.retire_aid import retire_aid_of

NOT_KNOWN = "not known yet"


class Outcome(StrEnum):
    """What a person says of one copy."""

    GOOD = "good"
    FAILED = "failed"
    TO_CHECK = "to check"
    SCRAP = "scrap"


@dataclass(frozen=True)
class Verdict:
    """One copy's outcome, and the cause where it failed; "not known yet" is allowed."""

    outcome: Outcome = Outcome.GOOD
    cause: str = NOT_KNOWN


GOOD = Verdict()


@dataclass(frozen=True, kw_only=True)
class Loss:
    """What each copy took of its run, so that failures know what they lost.

    Attributes:
        mg, minutes: by copy key. percent: how far the failed ones got.
    """

    mg: Mapping[int, int] = field(default_factory=dict)
    minutes: Mapping[int, float] = field(default_factory=dict)
    percent: float | None = None
    photo_sha: str = ""
    done_about_it: str = ""


@dataclass(frozen=True)
class Judged:
    """What came of judging copies.

    Attributes:
        good, failed, to_check, scrap: the copies as they are now. new: wanted in place of failed ones.
        held: holds opened because of it.
    """

    good: tuple[Copy, ...] = ()
    failed: tuple[Copy, ...] = ()
    to_check: tuple[Copy, ...] = ()
    scrap: tuple[Copy, ...] = ()
    new: tuple[Copy, ...] = ()
    held: tuple[Hold, ...] = ()
    failures: tuple[Failure, ...] = ()

    @property
    def words(self) -> str:
        """As the message strip says it: "4 good, 0 failed"."""
        said = [f"{len(self.good)} good", f"{len(self.failed)} failed"]
        if self.to_check:
            said.append(f"{len(self.to_check)} to check")
        if self.scrap:
            said.append(f"{len(self.scrap)} scrap")
        return ", ".join(said)


def judge_copies(shop: Shop, press: Press, verdicts: Mapping[int, Verdict]) -> Done[Judged]:
    """Judge copies that were taken off to check, or found bad before they were handed out.

    Raises:
        ShopError: a copy is not off its printer, or is handed out already.
    """
    with shop.write(press, "judge copies") as uow:
        judged = judge_in(uow, verdicts)
        uow.commit()
        done = Done(judged, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def judge_in(uow: UnitOfWork, verdicts: Mapping[int, Verdict]) -> Judged:
    """Judge copies by their runs within an open unit; grams of what failed are booked over to scrap."""
    by_run: dict[int, list[Copy]] = defaultdict(list)
    for key in verdicts:
        copy = uow.copies.get(key)
        if copy.run_id is None or copy.state in (CopyState.ON_RUN, CopyState.PRINTING):
            request = uow.requests.get(copy.request_id)
            raise ShopError(f"{copy_tag(copy, request)} is not off the printer", "Take its run off first.")
        by_run[copy.run_id].append(copy)
    parts = []
    for run_id, copies in by_run.items():
        run = uow.runs.get(run_id)
        loss = loss_of(uow, run)
        parts.append(apply_verdicts(uow, run, copies, verdicts, loss))
        _book_over_to_scrap(uow, run, parts[-1], loss)
    return _together(parts)


def apply_verdicts(
    uow: UnitOfWork, run: Run, copies: Iterable[Copy], verdicts: Mapping[int, Verdict], loss: Loss
) -> Judged:
    """Book every copy's outcome within an open unit: aids for the good, new copies for the failed."""
    listed = tuple(copies)
    outcome = {copy.id: verdicts[copy.id].outcome for copy in listed}
    good = [_good(uow, c) for c in listed if outcome[c.id] is Outcome.GOOD]
    to_check = [
        uow.copies.save(stepped(c, CopyState.TO_CHECK)) if c.state is not CopyState.TO_CHECK else c
        for c in listed
        if outcome[c.id] is Outcome.TO_CHECK
    ]
    scrap = [
        retire_aid_of(uow, uow.copies.save(stepped(c, CopyState.SCRAP)), RetireReason.NOT_NEEDED)
        for c in listed
        if outcome[c.id] is Outcome.SCRAP
    ]
    causes = {c: verdicts[c.id].cause for c in listed if outcome[c.id] is Outcome.FAILED}
    failed, new, held = fail_copies(uow, run, causes)
    failures = _book_failures(uow, run, failed, loss)
    for request_id in sorted({copy.request_id for copy in listed}):
        close_if_done(uow, request_id)
    return Judged(tuple(good), failed, tuple(to_check), tuple(scrap), new, held, failures)


def _good(uow: UnitOfWork, copy: Copy) -> Copy:
    """A good copy is ready when nothing is left to do on it, else it goes to finishing."""
    request = uow.requests.get(copy.request_id)
    pattern = pattern_of(uow, request)
    if (pattern is not None and pattern.finishing_steps) or not _may_be_ready(request):
        return uow.copies.save(stepped(copy, CopyState.FINISHING))
    return make_ready(uow, copy)


def _may_be_ready(request: Request) -> bool:
    """Whether the safety answers and the size a finished copy needs are there."""
    gated = request.purpose in (Purpose.FOR_USE, Purpose.PRIVATE)
    answered = request.safety_answers is not None or bool(request.same_use)
    return not gated or (answered and (request.size_id is not None or request.purpose is Purpose.PRIVATE))


def fail_copies(
    uow: UnitOfWork, run: Run, causes: Mapping[Copy, str]
) -> tuple[tuple[Copy, ...], tuple[Copy, ...], tuple[Hold, ...]]:
    """Book copies as failed and what follows: a new copy, or a hold. Gives failed, new, holds."""
    failed, new, held = [], [], {}
    for copy, cause in causes.items():
        copy = uow.copies.save(replace(stepped(copy, CopyState.FAILED), cause=cause))
        failed.append(retire_aid_of(uow, copy, RetireReason.BROKEN))
        made, hold = follow_failure(uow, run, copy, cause)
        new += made
        held.update({hold.id: hold} if hold else {})
    return tuple(failed), tuple(new), tuple(held.values())


def follow_failure(uow: UnitOfWork, run: Run, copy: Copy, cause: str) -> tuple[list[Copy], Hold | None]:
    """What a failed copy leads to: a new wanted copy, or a question to the asker or the desk."""
    request = uow.requests.get(copy.request_id)
    if request.state is not RequestState.ACCEPTED and request.state is not RequestState.DONE:
        return [], None
    copies = uow.copies.find(is_("request_id", request.id))
    step = after_failure(group_of(cause), tries_behind(copy, copies))
    if step is AfterFailure.NEW_COPY:
        ordinal = max(each.ordinal for each in copies) + 1
        return [uow.copies.add(replace(replaced(copy, ordinal), size_id=copy.size_id))], None
    tag = copy_tag(copy, request)
    if step is AfterFailure.ASK_ASKER:
        words = f"{tag} failed on run {run.number}: {cause}. Change the model, or say go on."
    else:
        words = f"{tag} failed again ({cause}) after 3 new copies. Say go on, or what else to do."
    return [], open_in(uow, request.id, HoldKind.QUESTION, words)


def _book_failures(uow: UnitOfWork, run: Run, failed: Iterable[Copy], loss: Loss) -> tuple[Failure, ...]:
    """One line in the trouble log for each cause; one logged on the printer already is filled in."""
    by_cause: dict[str, list[Copy]] = defaultdict(list)
    for copy in failed:
        by_cause[copy.cause].append(copy)
    logged = [each for each in uow.failures.find(is_("run_id", run.id)) if not each.copy_ids]
    booked = []
    for cause, copies in by_cause.items():
        known = logged.pop() if logged else Failure(run_id=run.id)
        line = _filled(known, cause, copies, loss, known.who_id or uow.press.who_id)
        booked.append(uow.failures.save(line) if line.id else uow.failures.add(line))
    return tuple(booked)


def _filled(line: Failure, cause: str, copies: Sequence[Copy], loss: Loss, who_id: int) -> Failure:
    return replace(
        line,
        copy_ids=tuple(copy.id for copy in copies),
        cause=cause,
        cause_group=group_of(cause).value,
        percent=line.percent if loss.percent is None else loss.percent,
        mg_lost=sum(loss.mg.get(copy.id, 0) for copy in copies),
        minutes_lost=round(sum(loss.minutes.get(copy.id, 0.0) for copy in copies), 1),
        photo_sha=loss.photo_sha or line.photo_sha,
        done_about_it=loss.done_about_it or line.done_about_it,
        who_id=who_id,
    )


def loss_of(uow: UnitOfWork, run: Run, percent: float | None = None) -> Loss:
    """What each copy took of a run that was taken off."""
    copies = uow.copies.find(is_("run_id", run.id))
    shares = shares_of(uow, run, copies)
    mg, minutes = run.mg or 0, run.minutes or 0.0
    return Loss(
        mg={key: round(mg * share) for key, share in shares.items()},
        minutes={key: minutes * share for key, share in shares.items()},
        percent=percent,
    )


def shares_of(uow: UnitOfWork, run: Run, copies: Iterable[Copy]) -> dict[int, float]:
    """Each copy's part of its run, by estimated grams; equal parts where a copy has no estimate."""
    listed = tuple(copies)
    if not listed:
        return {}
    weights = estimate_run(uow, run.printer_id, run.bore_um, run.material_id, listed).weights
    if len(weights) < len(listed) or not sum(weights.values()):
        return {copy.id: 1.0 / len(listed) for copy in listed}
    whole = sum(weights.values())
    return {copy.id: weights[copy.id] / whole for copy in listed}


def _book_over_to_scrap(uow: UnitOfWork, run: Run, judged: Judged, loss: Loss) -> None:
    """Grams booked as printed become scrap; the spool's sum stays."""
    lost = sum(loss.mg.get(copy.id, 0) for copy in (*judged.failed, *judged.scrap))
    if not lost or not run.spool_ids:
        return
    for kind, mg in ((SpoolEntryKind.PRINTED, lost), (SpoolEntryKind.SCRAP, -lost)):
        uow.spool_entries.add(
            SpoolEntry(
                spool_id=run.spool_ids[0],
                kind=kind,
                mg=mg,
                who_id=uow.press.who_id,
                source=run.grams_source or Source.ASSUMED,
                run_id=run.id,
                note="judged after take-off",
            )
        )


def _together(parts: Iterable[Judged]) -> Judged:
    listed = tuple(parts)
    return Judged(
        good=tuple(copy for part in listed for copy in part.good),
        failed=tuple(copy for part in listed for copy in part.failed),
        to_check=tuple(copy for part in listed for copy in part.to_check),
        scrap=tuple(copy for part in listed for copy in part.scrap),
        new=tuple(copy for part in listed for copy in part.new),
        held=tuple(hold for part in listed for hold in part.held),
        failures=tuple(failure for part in listed for failure in part.failures),
    )
