"""Say what becomes of printed copies nobody asked for as they are: keep, spare or scrap."""

from collections.abc import Mapping
from dataclasses import replace
from enum import StrEnum

from printcrib.core.aids import AidState, RetireReason
from printcrib.core.asking import NOT_PRINTED, quantity_of, replaced, standing
from printcrib.core.errors import ShopError
from printcrib.core.people import Role
from printcrib.core.requests import COPY_DONE, COPY_ENDS, Copy, CopyState, Request, RequestState
from printcrib.core.running import stepped
from printcrib.services.check_role import require
from printcrib.services.finish_copy import close_if_done
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press
from printcrib.services.retire_aid import retire_in


class Decision(StrEnum):
    """What the desk says of a printed copy."""

    KEEP = "keep"
    SPARE = "spare"
    SCRAP = "scrap"


def decide_copies(
    shop: Shop, press: Press, request_id: int, decisions: Mapping[int, Decision]
) -> Done[tuple[Copy, ...]]:
    """The desk says of printed copies whether they are kept, become spares or are scrap.

    Scrap makes a new wanted copy while the request still wants one; it goes on the kept plan at once.
    """
    with shop.write(press, "decide on copies") as uow:
        require(uow, "decide on printed copies", Role.DESK)
        request = uow.requests.get(request_id)
        decided = tuple(
            _decided(uow, request, uow.copies.get(copy_id), decision)
            for copy_id, decision in decisions.items()
        )
        close_if_done(uow, request.id)
        uow.commit()
        done = Done(decided, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def _decided(uow: UnitOfWork, request: Request, copy: Copy, decision: Decision) -> Copy:
    if copy.request_id != request.id:
        raise ShopError(f"That copy is not one of {request.tag}", "Choose among its own copies.")
    if decision is Decision.KEEP:
        return copy
    if decision is Decision.SPARE:
        return _spare(uow, copy)
    scrap = uow.copies.save(stepped(copy, CopyState.SCRAP))
    if scrap.aid_id is not None:
        aid = uow.aids.get(scrap.aid_id)
        if aid.state is not AidState.RETIRED:
            retire_in(uow, aid, RetireReason.NOT_NEEDED)
    copies = uow.copies.find(is_("request_id", request.id))
    live = sum(each.state not in COPY_ENDS for each in standing(copies))
    if request.state is RequestState.ACCEPTED and live < quantity_of(request):
        uow.copies.add(replaced(scrap, max(each.ordinal for each in copies) + 1))
    return scrap


def _spare(uow: UnitOfWork, copy: Copy) -> Copy:
    """To the shelf, at its size's place."""
    if copy.state in COPY_DONE:
        return copy
    spare = uow.copies.save(stepped(copy, CopyState.SHELVED))
    if spare.aid_id is not None:
        aid = uow.aids.get(spare.aid_id)
        place = aid.place or uow.sizes.get(aid.size_id).shelf_place
        uow.aids.save(replace(aid, state=AidState.SHELF, place=place, since=uow.happened_at))
    return spare


def cancel_in(uow: UnitOfWork, copy: Copy) -> Copy:
    """A copy not yet printing is no longer wanted; it leaves its run."""
    return uow.copies.save(replace(stepped(copy, CopyState.CANCELLED), run_id=None))


def not_printed(uow: UnitOfWork, request_id: int) -> tuple[Copy, ...]:
    """Copies of a request that may still change: wanted or on a run that has not begun."""
    return tuple(copy for copy in uow.copies.find(is_("request_id", request_id)) if copy.state in NOT_PRINTED)
