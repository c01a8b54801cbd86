"""Say when it can be ready: per nozzle for somebody who asks, and the promise the kept plan gives."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from printcrib.core.asking import quantity_of
from printcrib.core.calendar import moment_words
from printcrib.core.estimating.run import cost_of
from printcrib.core.patterns import Estimate
from printcrib.core.planning.insertion import repaired
from printcrib.core.requests import Copy, CopyState, Hold, HoldKind, Promise, Request, RequestState
from printcrib.core.runs import Plan
from printcrib.core.units import between_words, bore_text, duration_words, grams_between
from printcrib.services.build_problem import basis_of
from printcrib.services.build_tasks import TaskMaker
from printcrib.services.estimate_run import RunEstimate, latest, together
from printcrib.services.estimate_task import material_for
from printcrib.services.finish_copy import judge_promises as judge_request
from printcrib.services.interfaces import Shop, UnitOfWork, among, is_
from printcrib.services.press import Press
from printcrib.services.read_open_work import OpenWork, read_open_work
from printcrib.services.read_timeline import TimedPlan, TimedRequest, timed, timeline_of
from printcrib.services.write_plan import order_of

ASKED = -1
"""Stands for a request that is not stored yet."""


@dataclass(frozen=True, kw_only=True)
class NozzleAnswer:
    """What one nozzle comes to for a request.

    Attributes:
        allowed: whether how fine, the desk's choice and its releases allow it.
        likely_minutes, at_most_minutes, mg, cost_thousandths: all its copies as one run on the printer
            where it is quickest, start included; cost None without prices.
        ready, at_most_ready: by the kept plan with it put where it costs least; None where it cannot be.
        late_minutes: by the likely time.
        doubt: of the model (see ``ModelFacts``); above 0 minutes and grams are only a range.
    """

    bore_um: int
    printer_id: int
    allowed: bool
    likely_minutes: float
    at_most_minutes: float
    mg: int
    cost_thousandths: int | None
    ready: datetime | None = None
    at_most_ready: datetime | None = None
    late_minutes: int = 0
    words: str = ""
    why_not: str = ""
    doubt: float = 0.0

    @property
    def least_minutes(self) -> float:
        """What a time shown begins with: likely, or the low end of a range."""
        return self.likely_minutes / (1 + self.doubt)

    @property
    def minutes_words(self) -> str:
        """Likely and at most, or a range: "48 to 57 min"."""
        return between_words(self.least_minutes, self.at_most_minutes)

    @property
    def grams_words(self) -> str:
        """Material, as a range where the model is not to be trusted: "12 to 48 g"."""
        return grams_between(round(self.mg / (1 + self.doubt)), round(self.mg * (1 + self.doubt)))


def when_ready(shop: Shop, asked: int | Request) -> tuple[NozzleAnswer, ...]:
    """For each nozzle: how long, how much, and by when it can be ready; smallest bore first.

    Args:
        asked: key of a request, or a draft that was not stored (its size must have a model with
            estimates; see `estimate_task`).
    """
    with shop.read() as uow:
        now = shop.clock.now()
        work = read_open_work(uow, now)
        request = uow.requests.get(asked) if isinstance(asked, int) else asked
        work = _with_request(uow, work, request)
    return nozzle_answers(work, request.id or ASKED)


def nozzle_answers(work: OpenWork, key: int) -> tuple[NozzleAnswer, ...]:
    """For each nozzle with estimates: how long, how much, and by when, for one request of the open work."""
    request = work.requests[key]
    model = work.model_of(request)
    if model is None:
        return ()
    free = TaskMaker(work, request)
    count = len(work.copies.get(key, ())) or quantity_of(request)
    answers = []
    for bore in sorted({b for m, _, b, mat in work.estimates if (m, mat) == (model.id, request.material_id)}):
        options = {
            printer: work.estimates[model.id, printer, bore, request.material_id or 0]
            for printer in (printer.id for printer in work.printers)
            if (model.id, printer, bore, request.material_id or 0) in work.estimates
        }
        if options:
            answer = _answer(work, request, bore, options, count, allowed=bore in free.bores)
            at_most = answer.at_most_minutes * (1 + model.doubt)
            answer = replace(answer, doubt=model.doubt, at_most_minutes=at_most)
            answers.append(replace(answer, words=_words(work, answer)))
    return tuple(answers)


def _answer(
    work: OpenWork,
    request: Request,
    bore: int,
    options: Mapping[int, Estimate],
    count: int,
    *,
    allowed: bool,
) -> NozzleAnswer:
    wholes = {
        printer: together([estimate] * count, work.taught.of(printer, bore))
        for printer, estimate in options.items()
    }
    printer_id, whole = min(wholes.items(), key=lambda pair: (pair[1].minutes, pair[0]))
    answer = NozzleAnswer(
        bore_um=bore,
        printer_id=printer_id,
        allowed=allowed,
        likely_minutes=whole.minutes,
        at_most_minutes=whole.at_most_minutes,
        mg=whole.mg,
        cost_thousandths=_cost(work, request, printer_id, whole),
    )
    return _planned(work, request, answer) if allowed else answer


def _cost(work: OpenWork, request: Request, printer_id: int, whole: RunEstimate) -> int | None:
    material = work.materials.get(request.material_id or 0)
    printer = next(printer for printer in work.printers if printer.id == printer_id)
    price = material.price_per_kg_thousandths if material else None
    return cost_of(whole.mg / 1000, whole.minutes, price, printer.rate_thousandths)


def _planned(work: OpenWork, request: Request, answer: NozzleAnswer) -> NozzleAnswer:
    """The kept plan with this request on this nozzle, put where it costs least."""
    key = request.id or ASKED
    chosen = replace(work.requests[key], bore_um=answer.bore_um)
    trial = replace(work, requests={**work.requests, key: chosen})
    keep = None if work.plan is None else _without(work.plan, key)
    basis = basis_of(trial, keep=keep)
    order = repaired(basis.problem, order_of(basis, keep or Plan(starts_at=work.now)))
    likely = timed(basis, order).requests[key]
    if likely.ready is None:
        return replace(answer, why_not=likely.unplanned)
    at_most = timed(basis_of(trial, keep=keep, at_most=True), order, at_most=True).requests[key]
    return replace(
        answer,
        ready=likely.ready,
        at_most_ready=max(at_most.ready or likely.ready, likely.ready),
        late_minutes=likely.late_minutes,
    )


def _without(plan: Plan, request_id: int) -> Plan:
    """The plan without one request."""
    lanes = tuple(
        replace(lane, slots=tuple(slot for slot in lane.slots if slot.request_id != request_id))
        for lane in plan.lanes
    )
    return replace(plan, lanes=lanes)


def _words(work: OpenWork, answer: NozzleAnswer) -> str:
    """As the form says it: "on 0.6 about 48 to 57 min, 31 g; can be ready by 13:40, 1 h late"."""
    said = f"on {bore_text(answer.bore_um)} about {answer.minutes_words}, {answer.grams_words}"
    if not answer.allowed:
        return f"{said}; not for how fine it is asked"
    if answer.ready is None:
        return f"{said}; not planned: {answer.why_not}"
    by = moment_words(work.now, answer.ready, work.settings.zone)
    late = f", {duration_words(answer.late_minutes)} late" if answer.late_minutes else ""
    return f"{said}; can be ready by {by}{late}"


def _with_request(uow: UnitOfWork, work: OpenWork, request: Request) -> OpenWork:
    """The open work with a request that is not accepted yet, as if its copies were wanted."""
    if request.id in work.copies:
        return work
    key = request.id or ASKED
    request = replace(request, id=key, state=RequestState.ACCEPTED)
    wanted = tuple(
        Copy(id=-ordinal, request_id=key, ordinal=ordinal, state=CopyState.WANTED)
        for ordinal in range(1, quantity_of(request) + 1)
    )
    sizes = dict(work.sizes)
    if request.size_id is not None:
        sizes[request.size_id] = uow.sizes.get(request.size_id)
    size = sizes.get(request.size_id or 0)
    models, patterns = dict(work.models), dict(work.patterns)
    estimates, releases = dict(work.estimates), dict(work.releases)
    if size is not None:
        patterns[size.pattern_id] = uow.patterns.get(size.pattern_id)
        releases[size.id] = uow.releases.find(is_("size_id", size.id))
    if size is not None and size.model_id is not None:
        models[size.model_id] = uow.models.get(size.model_id)
        estimates.update(latest(uow.estimates.find(is_("model_id", size.model_id))))
        if request.material_id is None:
            request = replace(request, material_id=material_for(uow, request.size_id).id)
    return replace(
        work,
        requests={**work.requests, key: request},
        copies={**work.copies, key: wanted},
        holds={**work.holds, key: _stopping_only(work.holds.get(key, ()))},
        sizes=sizes,
        models=models,
        patterns=patterns,
        estimates=estimates,
        releases=releases,
    )


def _stopping_only(holds: tuple[Hold, ...]) -> tuple[Hold, ...]:
    """Holds that end with accepting do not count for somebody who asks when."""
    ending = (HoldKind.NEEDS_MODEL, HoldKind.SAFETY)
    return tuple(hold for hold in holds if hold.kind not in ending)


def promise_in_plan(shop: Shop, press: Press, request_id: int) -> Promise | None:
    """Store what the kept plan says of a request as a promise to its asker; None where it says nothing.

    "At most" is the same plan decoded with at-most minutes.
    """
    with shop.read() as uow:
        work = read_open_work(uow, shop.clock.now())
    likely, at_most = planned_times(work, request_id)
    if likely is None or likely.ready is None:
        return None
    with shop.write(press, "promise") as uow:
        promise = uow.promises.add(
            Promise(
                request_id=request_id,
                to_person_id=likely.request.asker_id,
                said_at=uow.happened_at,
                likely=likely.ready,
                at_most=likely.ready if at_most is None else at_most,
                plan_id=None if work.plan is None else work.plan.id,
            )
        )
        uow.commit()
        return promise


def planned_times(work: OpenWork, request_id: int) -> tuple[TimedRequest | None, datetime | None]:
    """A request on the kept plan: likely, and ready at most (never before likely)."""
    likely = timeline_of(work).requests.get(request_id)
    if likely is None or likely.ready is None:
        return likely, None
    at_most = timeline_of(work, at_most=True).requests[request_id].ready
    return likely, max(at_most or likely.ready, likely.ready)


def at_risk(likely: TimedPlan, at_most: TimedPlan) -> dict[int, int]:
    """Requests in time by likely but not by at-most minutes, with the minutes they would be late."""
    return {
        key: at_most.requests[key].late_minutes
        for key, request in likely.requests.items()
        if request.ready is not None
        and not request.late_minutes
        and at_most.requests[key].ready is not None
        and at_most.requests[key].late_minutes
    }


def judge_promises(uow: UnitOfWork) -> int:
    """Judge every open promise within an open unit: kept or not once all is ready, void when withdrawn.

    Returns:
        How many were judged.
    """
    open_promises = uow.promises.find(is_("outcome", ""))
    requests = uow.requests.find(among("id", tuple({each.request_id for each in open_promises})))
    for request in requests:
        if request.state is RequestState.WITHDRAWN:
            for promise in open_promises:
                if promise.request_id == request.id:
                    uow.promises.save(replace(promise, outcome="void", why="withdrawn"))
        else:
            judge_request(uow, request)
    return len(open_promises) - uow.promises.count(is_("outcome", ""))
