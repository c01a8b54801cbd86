"""Copies off the printers that hands still have to see to: judge, finish, hand out."""

from dataclasses import dataclass

from printcrib.core.requests import Copy, CopyState, Purpose, Request
from printcrib.services.finish_copy import copy_tag, pattern_of
from printcrib.services.interfaces import Shop, UnitOfWork, is_
from printcrib.services.look_at_run import RunCopy, name_of, run_copies
from printcrib.services.release_use import refusal_of

MOST = 60
"""So many copies of a kind are listed, the oldest first."""


@dataclass(frozen=True, kw_only=True)
class ToFinish:
    """A good copy with work left on it.

    Attributes:
        step: what to do next; "" when only the safety answers are missing. step_words: "1 of 3".
    """

    copy_id: int
    request_id: int
    tag: str
    name: str
    step: str
    step_words: str


@dataclass(frozen=True, kw_only=True)
class ReadyCopy:
    """A copy that can leave the desk.

    Attributes:
        aid_id, aid_tag: None and "" for a copy that never becomes an aid.
        to: machine, or the person who asked. needs_machine: nobody said yet where the aid goes.
        why_not: why it may not be handed out, "" when it may.
    """

    copy_id: int
    request_id: int
    tag: str
    name: str
    aid_id: int | None
    aid_tag: str
    to: str
    needs_machine: bool
    why_not: str


@dataclass(frozen=True, kw_only=True)
class CopiesAtDesk:
    """All that lies off the printers and is not where it belongs."""

    to_check: tuple[RunCopy, ...]
    to_finish: tuple[ToFinish, ...]
    ready: tuple[ReadyCopy, ...]

    @property
    def count(self) -> int:
        """How many copies that are."""
        return len(self.to_check) + len(self.to_finish) + len(self.ready)


def look_at_copies(shop: Shop) -> CopiesAtDesk:
    """Copies to check, in finishing and ready, the oldest first."""
    with shop.read() as uow:
        return CopiesAtDesk(
            to_check=run_copies(uow, uow.copies.find(is_("state", CopyState.TO_CHECK), limit=MOST)),
            to_finish=tuple(_to_finish(uow, copy) for copy in _in_state(uow, CopyState.FINISHING)),
            ready=tuple(_ready(uow, copy) for copy in _in_state(uow, CopyState.READY)),
        )


def _in_state(uow: UnitOfWork, state: CopyState) -> tuple[Copy, ...]:
    return uow.copies.find(is_("state", state), limit=MOST)


def _to_finish(uow: UnitOfWork, copy: Copy) -> ToFinish:
    request = uow.requests.get(copy.request_id)
    pattern = pattern_of(uow, request)
    steps = pattern.finishing_steps if pattern else ()
    left = steps[copy.steps_done :]
    return ToFinish(
        copy_id=copy.id,
        request_id=request.id,
        tag=copy_tag(copy, request),
        name=name_of(uow, request),
        step=left[0] if left else "",
        step_words=f"{copy.steps_done + 1} of {len(steps)}" if left else "",
    )


def _ready(uow: UnitOfWork, copy: Copy) -> ReadyCopy:
    request = uow.requests.get(copy.request_id)
    aid = None if copy.aid_id is None else uow.aids.get(copy.aid_id)
    return ReadyCopy(
        copy_id=copy.id,
        request_id=request.id,
        tag=copy_tag(copy, request),
        name=name_of(uow, request),
        aid_id=copy.aid_id,
        aid_tag=aid.tag if aid else "",
        to=_to(uow, request),
        needs_machine=aid is not None and request.machine_id is None,
        why_not=refusal_of(uow, copy, request.machine_id) or "",
    )


def _to(uow: UnitOfWork, request: Request) -> str:
    if request.machine_id is not None and request.purpose is Purpose.FOR_USE:
        return uow.machines.get(request.machine_id).name
    return uow.people.get(request.asker_id).name
