"""Look at the requests: rows ready to show, found and judged in a few readings of the books."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import TypeVar

from printcrib.core.asking import (
    Lateness,
    lateness,
    needed_of,
    quantity_of,
    ready_at,
    ready_count,
    standing,
    state_words,
)
from printcrib.core.calendar import ShopCalendar, after_open_minutes, moment_words, next_opening
from printcrib.core.patterns import Pattern, Size
from printcrib.core.records import THE_TOOL, Record
from printcrib.core.requests import Copy, CopyState, Hold, Request, RequestState
from printcrib.core.running import expected_end
from printcrib.core.runs import Run, RunState
from printcrib.services.interfaces import Shop, UnitOfWork, Where, among, is_
from printcrib.services.read_calendar import calendar_of

R = TypeVar("R", bound=Record)
OfRequest = TypeVar("OfRequest", Copy, Hold)
OPEN = (RequestState.DRAFT, RequestState.RAISED, RequestState.SENT_BACK, RequestState.ACCEPTED)
USUAL_ROWS = 200
_TO_PRINT = frozenset({CopyState.WANTED, CopyState.ON_RUN, CopyState.PRINTING})


class Which(StrEnum):
    """Which requests are shown."""

    OPEN = "open"
    HELD = "held"
    MINE = "mine"
    ALL = "all"


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What a person looks for.

    Attributes:
        text: in words, number, job, asker, pattern or size. who_id: whose requests "mine" are.
    """

    which: Which = Which.OPEN
    text: str = ""
    who_id: int = THE_TOOL
    limit: int = USUAL_ROWS
    offset: int = 0


@dataclass(frozen=True, kw_only=True)
class RequestRow:
    """One request as the list shows it.

    Attributes:
        state: "raised", "2 of 4 ready", "done". holds: what it waits for, "" for nothing.
        timing: late or at risk by the kept plan, in words; is_late, at_risk for the mark beside them.
        revision: of the model printed now. ready_words: likely ready by the kept plan.
    """

    request: Request
    tag: str
    what: str
    asker: str
    machine: str
    needed_words: str
    quantity: int
    ready: int
    state: str
    holds: str
    timing: str
    is_late: bool
    at_risk: bool
    material: str
    how_fine: str
    purpose: str
    job: str
    revision: str
    ready_words: str

    @property
    def id(self) -> int:
        """Key of the request."""
        return self.request.id


@dataclass(frozen=True)
class Found:
    """A page of the list and how many there are in all; at least so many where a text was looked for."""

    rows: tuple[RequestRow, ...]
    total: int


def look_at_requests(shop: Shop, asked: Asked | None = None) -> Found:
    """The requests a person looks for, newest first."""
    wanted = asked or Asked()
    with shop.read() as uow:
        requests, total = _found(uow, wanted)
        beside = _beside(uow, requests)
    return Found(tuple(_row(request, beside) for request in requests), total)


def _found(uow: UnitOfWork, asked: Asked) -> tuple[tuple[Request, ...], int]:
    where: list[Where] = []
    if asked.which is Which.OPEN:
        where.append(among("state", OPEN))
    if asked.which is Which.HELD:
        held = {hold.request_id for hold in uow.holds.find(Where("closed_at", "is none"))}
        where += [among("state", OPEN), among("id", held)]
    if asked.which is Which.MINE:
        where.append(is_("asker_id", asked.who_id))
    if not asked.text.strip():
        requests = uow.requests.find(
            *where, order_by="number", newest_first=True, limit=asked.limit, offset=asked.offset
        )
        return requests, uow.requests.count(*where)
    ways = [(*where, way) for way in _ways(uow, asked.text.strip())]
    most = asked.offset + asked.limit
    found: dict[int, Request] = {}
    total = 0
    for way in ways:
        hits = uow.requests.find(*way, order_by="number", newest_first=True, limit=most)
        found.update((request.id, request) for request in hits)
        if len(hits) == most:
            total = max(total, uow.requests.count(*way))
    every = sorted(found.values(), key=lambda request: -request.number)
    total = max(total, len(every))
    return tuple(every[asked.offset : most]), total


def _ways(uow: UnitOfWork, text: str) -> list[Where]:
    """The ways to have a text: in a field of the request or in the name of what it points at."""
    has_name = Where("name", "contains", text)
    patterns = {pattern.id for pattern in uow.patterns.find(has_name) if pattern.listed}
    sizes = {size.id for size in uow.sizes.find(has_name)}
    sizes |= {size.id for size in uow.sizes.find(among("pattern_id", patterns))}
    ways = [
        Where("words", "contains", text),
        Where("job", "contains", text),
        among("size_id", sizes),
        among("asker_id", (person.id for person in uow.people.find(has_name))),
        among("machine_id", (machine.id for machine in uow.machines.find(has_name))),
    ]
    digits = text.upper().removeprefix("R").strip()
    if digits.isascii() and digits.isdigit() and len(digits) < 10:
        ways.append(is_("number", int(digits)))
    return ways


@dataclass(frozen=True, kw_only=True)
class _Beside:
    """What rows need beside the requests themselves, by key."""

    now: datetime
    calendar: ShopCalendar
    names: Mapping[int, tuple[str, str]]
    people: Mapping[int, str]
    machines: Mapping[int, str]
    materials: Mapping[int, str]
    revisions: Mapping[int, str]
    copies: Mapping[int, tuple[Copy, ...]]
    holds: Mapping[int, tuple[Hold, ...]]
    ready_by: Mapping[int, tuple[datetime, datetime]]


def rows_of(uow: UnitOfWork, requests: Iterable[Request]) -> tuple[RequestRow, ...]:
    """Rows of these requests, in their order; a fixed number of readings however many there are."""
    listed = tuple(requests)
    beside = _beside(uow, listed)
    return tuple(_row(request, beside) for request in listed)


def _names(pattern: Pattern, size: Size) -> tuple[str, str]:
    """Name in the book, name outside of it; one of them is empty."""
    return (f"{pattern.name} {size.name}".strip(), "") if pattern.listed else ("", size.name)


def _beside(uow: UnitOfWork, requests: tuple[Request, ...]) -> _Beside:
    keys = tuple(request.id for request in requests)
    sizes = by_key(uow.sizes.find(among("id", _keys(request.size_id for request in requests))))
    patterns = by_key(uow.patterns.find(among("id", _keys(size.pattern_id for size in sizes.values()))))
    models = by_key(uow.models.find(among("id", _keys(size.model_id for size in sizes.values()))))
    copies = by_request(uow.copies.find(among("request_id", keys)))
    calendar = calendar_of(uow)
    finishing = {
        request.id: patterns[sizes[request.size_id].pattern_id].finishing_minutes
        for request in requests
        if request.size_id is not None
    }
    return _Beside(
        now=uow.now,
        calendar=calendar,
        names={size.id: _names(patterns[size.pattern_id], size) for size in sizes.values()},
        people={person.id: person.name for person in uow.people.find()},
        machines={machine.id: machine.name for machine in uow.machines.find()},
        materials={material.id: material.name for material in uow.materials.find()},
        revisions={
            size.id: models[size.model_id].revision for size in sizes.values() if size.model_id in models
        },
        copies=copies,
        holds=by_request(uow.holds.find(among("request_id", keys), Where("closed_at", "is none"))),
        ready_by=planned_ready(uow, calendar, copies, finishing),
    )


def _what(request: Request, beside: _Beside) -> str:
    """What is asked, as people say it: pattern and size, else its own words, else the name of its file."""
    listed, own = beside.names.get(request.size_id or 0, ("", ""))
    return listed or request.words or own or ("a photo" if request.photo_sha else "nothing said yet")


def _row(request: Request, beside: _Beside) -> RequestRow:
    copies = beside.copies.get(request.id, ())
    ready_by = beside.ready_by.get(request.id)
    needed = needed_of(request)
    late = judged(request, copies, beside.now, ready_by)
    zone = beside.calendar.zone
    return RequestRow(
        request=request,
        tag=request.tag,
        what=_what(request, beside),
        asker=beside.people.get(request.asker_id, "the tool"),
        machine=beside.machines.get(request.machine_id or 0, ""),
        needed_words=moment_words(beside.now, needed, zone) if needed else "",
        quantity=quantity_of(request),
        ready=ready_count(copies),
        state=state_words(request, copies),
        holds=", ".join(hold.kind.value for hold in beside.holds.get(request.id, ())),
        timing=late.words,
        is_late=late.minutes > 0,
        at_risk=bool(late.timing) and late.minutes == 0,
        material=f"{beside.materials.get(request.material_id or 0, '')} {request.colour}".strip(),
        how_fine=request.how_fine.value,
        purpose=request.purpose.value,
        job=f"{request.job} {request.job_revision}".strip(),
        revision=beside.revisions.get(request.size_id or 0, ""),
        ready_words=moment_words(beside.now, ready_by[0], zone) if ready_by else "",
    )


def judged(
    request: Request, copies: tuple[Copy, ...], now: datetime, ready_by: tuple[datetime, datetime] | None
) -> Lateness:
    """Late or at risk; drafts and withdrawn requests are neither, a done one by its last ready copy."""
    ready = ready_at(request, copies)
    over = request.state is RequestState.DONE and ready is None
    if over or request.state in (RequestState.DRAFT, RequestState.WITHDRAWN):
        return Lateness()
    likely, at_most = ready_by or (None, None)
    return lateness(needed_of(request), ready, now, likely, at_most)


def planned_ready(
    uow: UnitOfWork,
    calendar: ShopCalendar,
    copies: Mapping[int, tuple[Copy, ...]],
    finishing: Mapping[int, int],
) -> dict[int, tuple[datetime, datetime]]:
    """When each request is likely, and at most, ready by the kept plan; none where a copy is not planned.

    Args:
        copies, finishing: by request; minutes by hand after the take-off, none where it is not named.

    A run that ends with nobody in is ready at the next opening. "At most" adds what every run before it
    on its printer may take longer; a promise decodes the whole plan again instead.
    """
    runs = uow.runs.find(among("state", (RunState.KEPT, RunState.STARTED, RunState.STOPPED)))
    ends = _ends(runs, calendar, uow.now)
    found = {}
    for request_id, mine in copies.items():
        left = [copy for copy in standing(mine) if copy.state in _TO_PRINT]
        times = [ends.get(copy.run_id or 0) for copy in left]
        known = [each for each in times if each is not None]
        if left and len(known) == len(left):
            by_hand = finishing.get(request_id, 0)
            likely, at_most = (max(each) for each in zip(*known, strict=True))
            found[request_id] = (
                after_open_minutes(calendar, likely, by_hand),
                after_open_minutes(calendar, at_most, by_hand),
            )
    return found


def _ends(
    runs: tuple[Run, ...], calendar: ShopCalendar, now: datetime
) -> dict[int, tuple[datetime, datetime]]:
    ends: dict[int, tuple[datetime, datetime]] = {}
    over: dict[int, float] = defaultdict(float)
    planned = [(end, run) for run in runs if (end := expected_end(run)) is not None]
    for end, run in sorted(planned, key=lambda each: (each[0], each[1].id)):
        over[run.printer_id] += max(0.0, run.at_most_minutes - run.estimated_minutes)
        likely = max(end, now)
        ends[run.id] = (
            _opened(calendar, likely),
            _opened(calendar, likely + timedelta(minutes=over[run.printer_id])),
        )
    return ends


def _opened(calendar: ShopCalendar, moment: datetime) -> datetime:
    return next_opening(calendar, moment) or moment


def by_key(records: Iterable[R]) -> dict[int, R]:
    """Records by their key."""
    return {record.id: record for record in records}


def by_request(records: Iterable[OfRequest]) -> dict[int, tuple[OfRequest, ...]]:
    """Copies or holds by their request."""
    groups: dict[int, list[OfRequest]] = defaultdict(list)
    for record in records:
        groups[record.request_id].append(record)
    return {key: tuple(group) for key, group in groups.items()}


def _keys(keys: Iterable[int | None]) -> tuple[int, ...]:
    return tuple(sorted({key for key in keys if key is not None}))


def late_requests(uow: UnitOfWork) -> tuple[RequestRow, ...]:
    """Accepted requests that are late or at risk, most urgent first; for the side of the Desk."""
    accepted = uow.requests.find(is_("state", RequestState.ACCEPTED))
    rows = [row for row in rows_of(uow, accepted) if row.is_late or row.at_risk]
    return tuple(sorted(rows, key=lambda row: (not row.is_late, needed_of(row.request) or uow.now)))
