"""The week's requests: in, done, on time, late, promises kept."""

from collections.abc import Iterable
from datetime import datetime

from printcrib.core.asking import needed_of, quantity_of, ready_at, state_words
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import Promise, Request, RequestState
from printcrib.core.week import RequestFigures, RequestRow
from printcrib.core.week_records import WeekRecords

WAITING = (RequestState.RAISED, RequestState.ACCEPTED)
ASKED = frozenset(RequestState) - {RequestState.DRAFT}


def request_figures(records: WeekRecords) -> RequestFigures:
    """Count the week's requests; late is judged when the last wanted copy is ready."""
    came = [request for request in records.requests if came_in(records, request)]
    ready = [request for request in records.requests if records.within(_ready(records, request))]
    timed = [request for request in ready if needed_of(request) is not None]
    late = sum(is_late(records, request) for request in timed)
    judged = [promise.outcome for promise in _judged(records, {request.id for request in ready})]
    return RequestFigures(
        came_in=len(came),
        by_the_tool=sum(request.asker_id == THE_TOOL for request in came),
        done=sum(records.within(request.done_at) for request in records.requests),
        on_time=len(timed) - late,
        late=late,
        still_open_late=sum(_open_late(records, request) for request in records.requests),
        promises_kept=judged.count("kept"),
        promises_judged=len(judged),
        reviews_open=records.reviews_open,
    )


def came_in(records: WeekRecords, request: Request) -> bool:
    """Whether a request was raised in the week; a draft was not."""
    return request.state in ASKED and records.within(request.happened_at)


def _ready(records: WeekRecords, request: Request) -> datetime | None:
    if request.state is RequestState.WITHDRAWN:
        return None
    return ready_at(request, records.copies.get(request.id, ()))


def is_late(records: WeekRecords, request: Request) -> bool:
    """Whether a request got ready late, or is open and late by now or the week's end."""
    needed, ready = needed_of(request), _ready(records, request)
    if needed is None:
        return False
    if ready is not None:
        return ready > needed
    return request.state in WAITING and needed < min(records.ends, records.now)


def _open_late(records: WeekRecords, request: Request) -> bool:
    return _ready(records, request) is None and is_late(records, request)


def _judged(records: WeekRecords, ready: set[int]) -> Iterable[Promise]:
    """The first promise to a person of each request that got ready in the week, once judged."""
    first: dict[int, Promise] = {}
    for promise in records.promises:
        if promise.to_person_id != THE_TOOL:
            first.setdefault(promise.request_id, promise)
    return (first[key] for key in sorted(ready & first.keys()) if first[key].outcome in ("kept", "not kept"))


def request_rows(records: WeekRecords) -> tuple[RequestRow, ...]:
    """The requests of the week by number, late open ones with them."""
    return tuple(
        RequestRow(
            tag=request.tag,
            what=records.names.get(request.id, ""),
            asker=records.people.get(request.asker_id, "the tool"),
            copies=quantity_of(request),
            needed_by=needed_of(request),
            ready_at=_ready(records, request),
            state=state_words(request, records.copies.get(request.id, ())),
            late=is_late(records, request),
        )
        for request in sorted(records.requests, key=lambda request: request.number)
        if request.state in ASKED
    )
