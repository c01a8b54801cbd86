"""Check the shop's books against themselves: what one record says must follow from the others."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator

from printcrib.core.aids import AidState
from printcrib.core.asking import all_done
from printcrib.core.materials import SpoolEntryKind
from printcrib.core.requests import COPY_ENDS, Copy, CopyState, Request, RequestState
from printcrib.core.runs import Run, RunState
from printcrib.core.spool_ledger import counted
from printcrib.services.interfaces import Shop, UnitOfWork, Where

RUN_OF_STATE: dict[CopyState, frozenset[RunState]] = {
    CopyState.ON_RUN: frozenset({RunState.KEPT}),
    CopyState.PRINTING: frozenset({RunState.STARTED, RunState.STOPPED}),
    CopyState.TO_CHECK: frozenset({RunState.TAKEN_OFF}),
    CopyState.FINISHING: frozenset({RunState.TAKEN_OFF}),
    CopyState.READY: frozenset({RunState.TAKEN_OFF}),
}
"""The states a copy's run may be in."""

NUMBERED = ("requests", "runs", "aids", "spools", "patterns", "nozzles")
LEDGERS = (("spool_entries", "mg", "spool_id"), ("use_entries", "amount", "aid_id"))


def check_books(shop: Shop) -> tuple[str, ...]:
    """Sentences on every fault across the ledgers, copies, runs, aids and numbers; empty when all is well."""
    with shop.read() as uow:
        runs = {run.id: run for run in uow.runs.find()}
        requests = {request.id: request for request in uow.requests.find()}
        copies = uow.copies.find()
        faults = [
            *_numbers(uow),
            *_opposing(uow),
            *_run_grams(uow, runs.values()),
            *_runs(runs.values(), copies),
            *_copies(copies, runs, requests),
            *_requests(requests.values(), copies),
            *_aids(uow, copies),
            *_readings(uow),
        ]
    return tuple(faults)


def _numbers(uow: UnitOfWork) -> Iterator[str]:
    """A number people see is given once, also to what was undone since."""
    for table in NUMBERED:
        numbers = Counter(record.number for record in getattr(uow, table).find(with_void=True))
        for number, times in sorted(numbers.items()):
            if times > 1:
                yield f"Number {number} of the {table} is given {times} times."


def _opposing(uow: UnitOfWork) -> Iterator[str]:
    """An opposing entry takes back exactly one entry of the same ledger, and all of it."""
    for table, amount, owner in LEDGERS:
        opposing = getattr(uow, table).find(Where("opposes_id", "not none"), with_void=True)
        times = Counter(entry.opposes_id for entry in opposing)
        for entry in opposing:
            other = getattr(uow, table).get(entry.opposes_id)
            whole = getattr(entry, amount) == -getattr(other, amount)
            if not whole or getattr(entry, owner) != getattr(other, owner) or times[entry.opposes_id] > 1:
                yield f"Entry {entry.id} of the {table} does not take back entry {other.id} as it was."


def _run_grams(uow: UnitOfWork, runs: Iterable[Run]) -> Iterator[str]:
    """What the spools gave for a run is what the run took."""
    booked: dict[int, int] = defaultdict(int)
    kinds = (SpoolEntryKind.PRINTED, SpoolEntryKind.SCRAP)
    for entry in counted(uow.spool_entries.find(Where("run_id", "not none"))):
        if entry.run_id is not None and entry.kind in kinds:
            booked[entry.run_id] -= entry.mg
    for run in runs:
        if run.state is RunState.TAKEN_OFF and run.spool_ids and booked[run.id] != (run.mg or 0):
            yield (
                f"Run {run.number} took {(run.mg or 0) / 1000:.1f} g, "
                f"its spools gave {booked[run.id] / 1000:.1f} g."
            )
        if run.state is not RunState.TAKEN_OFF and booked[run.id]:
            yield f"Run {run.number} is {run.state}, and {booked[run.id] / 1000:.1f} g are booked for it."


def _runs(runs: Iterable[Run], copies: Iterable[Copy]) -> Iterator[str]:
    printing = Counter(copy.run_id for copy in copies if copy.state is CopyState.PRINTING)
    for run in runs:
        if run.state is RunState.TAKEN_OFF and (run.minutes is None or run.taken_off_at is None):
            yield f"Run {run.number} is taken off without its minutes or its time."
        if run.state in (RunState.TAKEN_OFF, RunState.CANCELLED) and printing[run.id]:
            yield f"Run {run.number} is {run.state}, and {printing[run.id]} of its copies are printing."


def _copies(copies: Iterable[Copy], runs: dict[int, Run], requests: dict[int, Request]) -> Iterator[str]:
    """A copy stands with a run in the state its own state asks for, and with a request that counts."""
    for copy in copies:
        request = requests.get(copy.request_id)
        if request is None:
            yield f"Copy {copy.id} belongs to a request that was undone."
            continue
        name = f"{request.tag}/{copy.ordinal}"
        run = runs.get(copy.run_id or 0)
        wanted = RUN_OF_STATE.get(copy.state)
        if copy.state is CopyState.WANTED and copy.run_id is not None:
            yield f"{name} is wanted, and stands on a run."
        elif wanted is not None and (run is None or run.state not in wanted):
            yield f"{name} is {copy.state}, and its run is {run.state if run else 'missing'}."
        if copy.state is CopyState.READY and copy.ready_at is None:
            yield f"{name} is ready without a time."


def _requests(requests: Iterable[Request], copies: Iterable[Copy]) -> Iterator[str]:
    by_request: dict[int, list[Copy]] = defaultdict(list)
    for copy in copies:
        by_request[copy.request_id].append(copy)
    for request in requests:
        mine = by_request[request.id]
        if request.state is RequestState.DONE and not all_done(request, mine):
            yield f"{request.tag} is done, and not all of its copies are."
        if request.state is RequestState.ACCEPTED and all_done(request, mine):
            yield f"{request.tag} is still open, and all of its copies are done."
        waiting = sum(copy.state in (CopyState.WANTED, CopyState.ON_RUN) for copy in mine)
        if request.state is RequestState.WITHDRAWN and waiting:
            yield f"{request.tag} is withdrawn, and {waiting} of its copies are still wanted."


def _aids(uow: UnitOfWork, copies: Iterable[Copy]) -> Iterator[str]:
    by_key = {copy.id: copy for copy in copies}
    counts = uow.use_entries.totals("amount", "aid_id")
    for aid in uow.aids.find():
        copy = by_key.get(aid.copy_id)
        if copy is None or copy.aid_id != aid.id:
            yield f"{aid.tag} and its copy do not name each other."
        elif aid.state is AidState.IN_USE and copy.state is not CopyState.HANDED_OUT:
            yield f"{aid.tag} is in use, and its copy is {copy.state}."
        elif aid.state is not AidState.RETIRED and copy.state in COPY_ENDS:
            yield f"{aid.tag} is {aid.state}, and its copy is {copy.state}."
        if counts.get(aid.id, 0) < 0:
            yield f"{aid.tag} has a count of {counts[aid.id]}."
        if aid.state is AidState.IN_USE and (aid.machine_id is None or aid.in_use_since is None):
            yield f"{aid.tag} is in use, and no machine or time is named."
        if (aid.state is AidState.RETIRED) != (aid.retired_at is not None):
            yield f"{aid.tag} is {aid.state}, and its retiring says otherwise."


def _readings(uow: UnitOfWork) -> Iterator[str]:
    """A machine's counter only grows, unless somebody said that it was reset."""
    last: dict[int, int] = {}
    for reading in uow.machine_readings.find(order_by="happened_at"):
        if reading.counter < last.get(reading.machine_id, 0) and not reading.counter_reset:
            name = uow.machines.get(reading.machine_id).name
            yield f"The counter of {name} went back to {reading.counter} without a reset."
        last[reading.machine_id] = reading.counter
