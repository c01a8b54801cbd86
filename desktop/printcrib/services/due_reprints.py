"""See to it that the next aid is there in time: the reprint request is raised once, by itself."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from printcrib.core.aids import Aid, AidState
from printcrib.core.asking import needed_of
from printcrib.core.calendar import ShopCalendar, add_working_days, next_opening, shop_day, wall_time_utc
from printcrib.core.errors import ShopError
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import Purpose, Request, RequestState
from printcrib.core.runs import RunState
from printcrib.services.accept_request import accept_request, may_accept_alone
from printcrib.services.check_role import presser
from printcrib.services.forecast_aids import AidForecast, aid_name, forecast_aids, read_books
from printcrib.services.interfaces import Done, Shop, UnitOfWork, Where, among, is_
from printcrib.services.learn_times import read_taught, with_taught
from printcrib.services.press import Press
from printcrib.services.read_aids import read_in_steps
from printcrib.services.read_calendar import calendar_of
from printcrib.services.set_aside_aid import aside_past_limit
from printcrib.services.take_request import NewRequest, raise_in

OPEN_STATES = (RequestState.DRAFT, RequestState.RAISED, RequestState.SENT_BACK, RequestState.ACCEPTED)
RETRIES = 1.1
"""Printing takes so much longer on average because some copies fail (ours, no source)."""

SLACK_DAYS = 2
"""Working days kept for accepting, taking off and handing out (ours, no source)."""

USUAL_PRINT_MINUTES = 240.0
"""Printer time of a copy nobody estimated yet (ours, no source)."""

QUIET_DAYS = 14
"""A reprint withdrawn without a date is not raised again for so many days (ours, no source)."""


@dataclass(frozen=True)
class AidDue:
    """An aid whose next one is needed.

    Attributes:
        needed_by: UTC; raise_by: when it has to be asked for, so that queue, print and finishing fit.
        open_request: a reprint already asked for. maybe_request: an open request for the same size and
            machine that names no aid; the desk is asked "is it this one?".
        quiet_until: withdrawn, not raised again before this.
    """

    forecast: AidForecast
    needed_by: datetime
    raise_by: datetime
    open_request: Request | None = None
    maybe_request: Request | None = None
    quiet_until: datetime | None = None

    @property
    def aid(self) -> Aid:
        """The aid itself."""
        return self.forecast.aid

    def is_due(self, now: datetime) -> bool:
        """Whether its reprint has to be asked for by now."""
        return self.raise_by <= now


def aids_due(uow: UnitOfWork, now: datetime) -> tuple[AidDue, ...]:
    """Every aid in use or set aside whose next one has a date, soonest needed first."""
    return due_of(uow, forecast_aids(read_books(uow)), now)


def due_of(uow: UnitOfWork, forecasts: Iterable[AidForecast], now: datetime) -> tuple[AidDue, ...]:
    """The same from forecasts already made."""
    dated = [
        each for each in forecasts if each.needed_by is not None and each.aid.state is not AidState.SHELF
    ]
    reprints = _reprints(uow, [each.aid.id for each in dated])
    naming_none = open_naming_none(uow)
    lead = _Lead(uow, dated, now)
    due = []
    for each in dated:
        assert each.needed_by is not None  # chosen above
        mine = reprints.get(each.aid.id, [])
        due.append(
            AidDue(
                each,
                each.needed_by,
                lead.raise_by(each, each.needed_by),
                open_request=next((request for request in mine if request.state in OPEN_STATES), None),
                maybe_request=naming_none.get((each.size.id, each.aid.machine_id)),
                quiet_until=_quiet_until(mine),
            )
        )
    return tuple(sorted(due, key=lambda each: (each.needed_by, each.aid.number)))


def _reprints(uow: UnitOfWork, aid_ids: list[int]) -> dict[int, list[Request]]:
    """Reprint requests of these aids, newest first."""
    found: dict[int, list[Request]] = {}
    for request in uow.requests.find(Where("replaces_aid_id", "not none"), newest_first=True):
        found.setdefault(request.replaces_aid_id or 0, []).append(request)
    return {key: found[key] for key in aid_ids if key in found}


def open_naming_none(uow: UnitOfWork) -> dict[tuple[int | None, int | None], Request]:
    """Open requests of people for one more of a size at a machine, oldest first wins."""
    found: dict[tuple[int | None, int | None], Request] = {}
    for request in uow.requests.find(
        among("state", OPEN_STATES),
        is_("purpose", Purpose.FOR_USE),
        Where("replaces_aid_id", "is none"),
        Where("size_id", "not none"),
        Where("machine_id", "not none"),
    ):
        found.setdefault((request.size_id, request.machine_id), request)
    return found


def _quiet_until(reprints: list[Request]) -> datetime | None:
    """Until when a withdrawn reprint keeps the tool quiet; a later request ends that."""
    if not reprints or reprints[0].state is not RequestState.WITHDRAWN:
        return None
    return reprints[0].not_before or reprints[0].happened_at + timedelta(days=QUIET_DAYS)


class _Lead:
    """How long before it is needed a reprint has to be asked for."""

    def __init__(self, uow: UnitOfWork, forecasts: Iterable[AidForecast], now: datetime) -> None:
        listed = tuple(forecasts)
        self._calendar = calendar_of(uow)
        self._queue = _queue(uow, now)
        asked = uow.requests.find(among("id", {each.aid.request_id for each in listed}))
        self._material = {request.id: request.material_id for request in asked}
        models = {each.size.model_id for each in listed if each.size.model_id is not None}
        self._at_most: dict[tuple[int | None, int | None], float] = {}
        taught = read_taught(uow, (printer.id for printer in uow.printers.find()))
        doubts = {model.id: model.doubt for model in uow.models.find(among("id", models))}
        for kept in uow.estimates.find(among("model_id", models)):
            estimate = with_taught(kept, taught.of(kept.printer_id, kept.bore_um))
            key = (estimate.model_id, estimate.material_id)
            at_most = estimate.at_most_minutes * (1 + doubts[kept.model_id])
            self._at_most[key] = min(self._at_most.get(key, at_most), at_most)
        self._opens: dict[date, datetime] = {}

    def raise_by(self, made: AidForecast, needed_by: datetime) -> datetime:
        """Needed by, less finishing and slack in working days, less print with retries and the queue."""
        day = shop_day(needed_by, self._calendar.zone)
        day = _working_days_on(self._calendar, day, -SLACK_DAYS - bool(made.pattern.finishing_steps))
        if day not in self._opens:
            self._opens[day] = _opening(self._calendar, day)
        minutes = RETRIES * self._print_minutes(made)
        return min(self._opens[day], needed_by) - timedelta(minutes=minutes) - self._queue

    def _print_minutes(self, made: AidForecast) -> float:
        """At most, on the printer and nozzle that is quickest."""
        material_id = self._material.get(made.aid.request_id) or made.pattern.material_id
        return self._at_most.get((made.size.model_id, material_id), USUAL_PRINT_MINUTES)


def _queue(uow: UnitOfWork, now: datetime) -> timedelta:
    """How long until a printer is free by the kept plan."""
    ends: dict[int, datetime] = {printer.id: now for printer in uow.printers.find(is_("active", True))}
    for run in uow.runs.find(among("state", (RunState.KEPT, RunState.STARTED))):
        if run.planned_end is not None and run.printer_id in ends:
            ends[run.printer_id] = max(ends[run.printer_id], run.planned_end)
    return min(ends.values(), default=now) - now


def raise_due_reprints(shop: Shop, press: Press) -> Done[tuple[Request, ...]]:
    """Ask for every reprint that is due, once an aid; set aside what the calendar took past its limit.

    A reprint already open is used, its needed-by only moved to an earlier time. What the tool raised is
    accepted by itself where its gate is met. Gives the requests raised.
    """
    forecasts = forecast_aids(read_in_steps(shop))
    with shop.read() as uow:
        due = due_of(uow, forecasts, uow.now)
    raised, changed, number = _raise(shop, press, forecasts, due)
    accepted = _accept_own(shop)
    if accepted:
        changed |= {"requests", "copies"}
    with shop.read() as uow:
        return Done(tuple(uow.requests.get(key) for key in raised), changed, number)


def _raise(
    shop: Shop, press: Press, forecasts: tuple[AidForecast, ...], due: tuple[AidDue, ...]
) -> tuple[list[int], frozenset[str], int]:
    raised: list[int] = []
    with shop.write(press, "raise reprints") as uow:
        aside_past_limit(
            uow, ((uow.aids.get(each.aid.id), each.count) for each in forecasts if each.past_limit)
        )
        for each in due:
            if each.is_due(uow.now):
                request = _see_to(uow, each)
                if request is not None:
                    raised.append(request.id)
        uow.commit()
        return raised, uow.changed, uow.press_number


def _see_to(uow: UnitOfWork, due: AidDue) -> Request | None:
    """The request raised for an aid that is due; None where there is one, or the desk is asked first."""
    current = uow.requests.one(is_("replaces_aid_id", due.aid.id), among("state", OPEN_STATES))
    if current is not None:
        _move_forward(uow, current, due.needed_by)
        return None
    if due.maybe_request is not None or (due.quiet_until is not None and due.quiet_until > uow.now):
        return None
    return raise_in(uow, _asked(uow, due.aid, THE_TOOL, due.needed_by, _why(due.forecast)))


def _move_forward(uow: UnitOfWork, request: Request, needed_by: datetime) -> Request:
    have = needed_of(request)
    if have is not None and have <= needed_by:
        return request
    return uow.requests.save(replace(request, needed_by=needed_by))


def _asked(uow: UnitOfWork, aid: Aid, asker_id: int, needed_by: datetime, reason: str) -> NewRequest:
    """A reprint of an aid: its request's answers, machine and material, the size's current revision."""
    first = uow.requests.get(aid.request_id)
    return NewRequest(
        asker_id=asker_id,
        size_id=aid.size_id,
        needed_by=needed_by,
        material_id=first.material_id,
        colour=first.colour,
        how_fine=first.how_fine,
        machine_id=aid.machine_id if aid.machine_id is not None else first.machine_id,
        job=first.job,
        job_revision=first.job_revision,
        touches=first.touches,
        critical_sizes=first.critical_sizes,
        reason=reason,
        follows_id=first.id,
        replaces_aid_id=aid.id,
        safety_answers=first.safety_answers,
        bore_um=first.bore_um,
    )


def _why(made: AidForecast) -> str:
    name = f"{made.aid.tag} {made.name}"
    if made.limit is None:
        return f"Reprint of {name}"
    return f"Reprint of {name}: {made.count} of about {made.limit} {made.pattern.use_unit}"


def _accept_own(shop: Shop) -> tuple[int, ...]:
    """Accept the tool's own reprints whose gate is met; also those an earlier try left behind."""
    with shop.read() as uow:
        waiting = [
            request.id
            for request in uow.requests.find(
                is_("state", RequestState.RAISED),
                is_("asker_id", THE_TOOL),
                Where("replaces_aid_id", "not none"),
            )
            if may_accept_alone(uow, request)
        ]
    for key in waiting:
        accept_request(shop, Press(who_id=THE_TOOL, station="tool"), key)
    return tuple(waiting)


def print_another(shop: Shop, press: Press, aid_id: int, needed_by: datetime | None = None) -> Done[Request]:
    """Ask for the next one of an aid at once; a reprint already open is given back, earlier if asked for.

    Args:
        needed_by: None for as soon as queue and print allow, two working days from now.
    """
    with shop.write(press, "print another") as uow:
        who = presser(uow)
        aid = uow.aids.get(aid_id)
        when = needed_by or _soon(uow)
        current = uow.requests.one(is_("replaces_aid_id", aid.id), among("state", OPEN_STATES))
        if current is not None:
            request = _move_forward(uow, current, when)
        else:
            size = uow.sizes.get(aid.size_id)
            name = aid_name(uow.patterns.get(size.pattern_id), size, aid.label)
            request = raise_in(uow, _asked(uow, aid, who.id, when, f"Print another {name} for {aid.tag}"))
        uow.commit()
        return Done(request, uow.changed, uow.press_number)


def _soon(uow: UnitOfWork) -> datetime:
    calendar = calendar_of(uow)
    return _opening(calendar, _working_days_on(calendar, shop_day(uow.now, calendar.zone), SLACK_DAYS))


def _working_days_on(calendar: ShopCalendar, day: date, count: int) -> date:
    try:
        return add_working_days(calendar, day, count)
    except ShopError:  # a shop that entered no shifts counts every day
        return day + timedelta(days=count)


def _opening(calendar: ShopCalendar, day: date) -> datetime:
    midnight = wall_time_utc(day, time(), calendar.zone)
    return next_opening(calendar, midnight) or midnight


def it_is_this_one(shop: Shop, press: Press, aid_id: int, request_id: int, yes: bool) -> Done[Request]:
    """The answer to "is it this one?": the open request becomes the reprint, or one is raised."""
    with shop.write(press, "answer is it this one") as uow:
        presser(uow)
        aid, request = uow.aids.get(aid_id), uow.requests.get(request_id)
        if yes:
            request = uow.requests.save(replace(request, replaces_aid_id=aid.id))
        else:
            when = needed_of(request) or _soon(uow)
            request = raise_in(uow, _asked(uow, aid, THE_TOOL, when, f"Reprint of {aid.tag}"))
        uow.commit()
    if not yes:
        _accept_own(shop)
    return Done(request, uow.changed | {"copies"}, uow.press_number)
