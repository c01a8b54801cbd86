"""From good off the printer to ready: finishing steps, the aid with its tag, and the request's end."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from printcrib.core.aids import Aid, AidState
from printcrib.core.asking import all_done, ready_at
from printcrib.core.errors import ShopError
from printcrib.core.materials import InsertEntry
from printcrib.core.patterns import Pattern
from printcrib.core.requests import COPY_STEPS, Copy, CopyState, Purpose, Request, RequestState
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.press import Press

USED_IN_A_COPY = "used in a copy"


def make_ready(uow: UnitOfWork, copy: Copy) -> Copy:
    """A sound copy is finished: it is ready now, and a copy for use becomes an aid with a tag.

    Copies to try the fit, to look at or private never become aids. Books the pattern's inserts,
    and judges the promises of the request once its last wanted copy is ready.

    Raises:
        ShopError: the copy is not off the printer, or what is kept has no safety answers yet.
    """
    request = uow.requests.get(copy.request_id)
    step(copy, CopyState.READY, request)
    if request.purpose in (Purpose.FOR_USE, Purpose.PRIVATE):
        _refuse_unanswered(request)
    pattern = pattern_of(uow, request)
    ready = replace(copy, state=CopyState.READY, ready_at=uow.happened_at)
    if pattern is not None:
        ready = replace(ready, steps_done=len(pattern.finishing_steps))
        _book_inserts(uow, pattern, ready)
        if request.purpose is Purpose.FOR_USE:
            ready = replace(ready, aid_id=_new_aid(uow, request, ready, pattern).id)
    ready = uow.copies.save(ready)
    judge_promises(uow, request)
    return ready


def finish_step(shop: Shop, press: Press, copy_id: int) -> Done[Copy]:
    """One finishing step of a copy is done; after the last one the copy is ready."""
    with shop.write(press, "finish a step") as uow:
        copy = uow.copies.get(copy_id)
        request = uow.requests.get(copy.request_id)
        if copy.state is not CopyState.FINISHING:
            raise _cannot(copy, request, "is not in finishing")
        pattern = pattern_of(uow, request)
        steps = len(pattern.finishing_steps) if pattern else 0
        if copy.steps_done + 1 >= steps:
            copy = make_ready(uow, copy)
        else:
            copy = uow.copies.save(replace(copy, steps_done=copy.steps_done + 1))
        uow.commit()
        return Done(copy, uow.changed, uow.press_number)


def finish_copies(shop: Shop, press: Press, copy_ids: Iterable[int]) -> Done[tuple[Copy, ...]]:
    """All finishing steps of these copies are done; all of them are ready in one press."""
    with shop.write(press, "finish copies") as uow:
        ready = tuple(make_ready(uow, uow.copies.get(key)) for key in copy_ids)
        uow.commit()
        return Done(ready, uow.changed, uow.press_number)


def shelve(shop: Shop, press: Press, copy_id: int, place: str = "") -> Done[Copy]:
    """Put a ready copy on the shelf; an aid lies there as a spare, at its size's place unless told."""
    with shop.write(press, "shelve copy") as uow:
        copy = uow.copies.get(copy_id)
        request = uow.requests.get(copy.request_id)
        step(copy, CopyState.SHELVED, request)
        copy = uow.copies.save(replace(copy, state=CopyState.SHELVED))
        if copy.aid_id is not None:
            aid = uow.aids.get(copy.aid_id)
            where = place or aid.place or uow.sizes.get(aid.size_id).shelf_place
            uow.aids.save(
                replace(aid, state=AidState.SHELF, machine_id=None, place=where, since=uow.happened_at)
            )
        close_if_done(uow, request.id)
        uow.commit()
        return Done(copy, uow.changed, uow.press_number)


def say_fit(shop: Shop, press: Press, copy_id: int, fit_result: str) -> Done[Copy]:
    """What came of trying a copy, in the person's words ("0.2 tight", "fits")."""
    if not fit_result.strip():
        raise ShopError("No fit result was given", "Write how it fits, such as 0.2 tight.")
    with shop.write(press, "say how it fits") as uow:
        copy = uow.copies.get(copy_id)
        if copy.ready_at is None:
            raise _cannot(
                copy, uow.requests.get(copy.request_id), "is not ready, so it cannot have been tried"
            )
        copy = uow.copies.save(replace(copy, fit_result=fit_result.strip()))
        uow.commit()
        return Done(copy, uow.changed, uow.press_number)


def close_if_done(uow: UnitOfWork, request_id: int) -> Request:
    """The request is done when its quantity is handed out, shelved or cancelled.

    A failed or scrap copy counts through its replacement.
    A request whose copy came back into work is opened again.
    """
    request = uow.requests.get(request_id)
    if request.state not in (RequestState.ACCEPTED, RequestState.DONE):
        return request
    done = all_done(request, uow.copies.find(is_("request_id", request_id)))
    if done == (request.state is RequestState.DONE):
        return request
    if done:
        judge_promises(uow, request)
        return uow.requests.save(replace(request, state=RequestState.DONE, done_at=uow.happened_at))
    return uow.requests.save(replace(request, state=RequestState.ACCEPTED, done_at=None))


def judge_promises(uow: UnitOfWork, request: Request) -> None:
    """Say of each open promise whether it was kept, once the last wanted copy is ready."""
    when = ready_at(request, uow.copies.find(is_("request_id", request.id)))
    if when is None:
        return
    for promise in uow.promises.find(is_("request_id", request.id), is_("outcome", "")):
        kept = when <= promise.at_most
        why = "" if kept else _late_words(when, promise.at_most)
        uow.promises.save(replace(promise, outcome="kept" if kept else "not kept", why=why))


def pattern_of(uow: UnitOfWork, request: Request) -> Pattern | None:
    """The pattern a request's size belongs to; None while the request is words only."""
    if request.size_id is None:
        return None
    return uow.patterns.get(uow.sizes.get(request.size_id).pattern_id)


def step(copy: Copy, to: CopyState, request: Request) -> None:
    """Refuse a step that a copy in this state cannot take."""
    if to not in COPY_STEPS[copy.state]:
        raise _cannot(copy, request, f"is {copy.state}, it cannot become {to}")


def copy_tag(copy: Copy, request: Request) -> str:
    """How people name a copy: R 214/2."""
    return f"{request.tag}/{copy.ordinal}"


def _cannot(copy: Copy, request: Request, what: str) -> ShopError:
    return ShopError(f"{copy_tag(copy, request)} {what}", "Look at the request for how far it has come.")


def _refuse_unanswered(request: Request) -> None:
    if request.safety_answers is None and not request.same_use:
        raise ShopError(
            f"The safety questions of {request.tag} are not answered", "Answer them, then finish the copy."
        )
    if request.purpose is Purpose.FOR_USE and request.size_id is None:
        raise ShopError(f"{request.tag} names no size yet", "Choose a pattern size or give it a model.")


def _book_inserts(uow: UnitOfWork, pattern: Pattern, copy: Copy) -> None:
    for insert_id, amount in pattern.inserts:
        uow.insert_entries.add(
            InsertEntry(
                insert_id=insert_id,
                kind=USED_IN_A_COPY,
                amount=-amount,
                who_id=uow.press.who_id,
                copy_id=copy.id,
            )
        )


def _new_aid(uow: UnitOfWork, request: Request, copy: Copy, pattern: Pattern) -> Aid:
    assert request.size_id is not None  # a pattern was found through it
    return uow.aids.add(
        Aid(
            number=uow.next_number("aid"),
            copy_id=copy.id,
            request_id=request.id,
            size_id=request.size_id,
            model_id=copy.model_id,
            label=copy.label,
            since=uow.happened_at,
            counted_by=pattern.counted_by,
            uses_a_part=pattern.uses_a_part,
        )
    )


def _late_words(when: datetime, at_most: datetime) -> str:
    minutes = int((when - at_most).total_seconds() // 60)
    hours, rest = divmod(max(minutes, 1), 60)
    return f"{hours} h {rest:02d} min late" if hours else f"{rest} min late"
