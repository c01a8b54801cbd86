"""Withdraw a request: what is not printed is cancelled, what is printing finishes."""

from dataclasses import replace
from datetime import datetime

from printcrib.core.asking import NOT_PRINTED, PRINTED
from printcrib.core.errors import ShopError
from printcrib.core.requests import Copy, CopyState, Request, RequestState
from printcrib.services.accept_request import replan
from printcrib.services.check_role import require_asker_or_desk
from printcrib.services.decide_copies import cancel_in
from printcrib.services.hold_request import close_in
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.press import Press

_OVER = (RequestState.DONE, RequestState.WITHDRAWN)


def withdraw_request(
    shop: Shop, press: Press, request_id: int, why: str = "", not_before: datetime | None = None
) -> Done[Request]:
    """Withdraw a request; copies printed or printing are scrap or spares as the desk says.

    Args:
        not_before: a reprint of the same aid is not raised again before this, UTC.
    """
    with shop.write(press, "withdraw request") as uow:
        request = withdraw_in(uow, uow.requests.get(request_id), why, not_before)
        uow.commit()
        done = Done(request, uow.changed, uow.press_number)
    return done if request.accepted_at is None else replan(shop, press, done)[0]


def withdraw_in(
    uow: UnitOfWork, request: Request, why: str = "", not_before: datetime | None = None
) -> Request:
    """Withdraw a request within an open unit."""
    require_asker_or_desk(uow, request, "withdraw this request")
    if request.state in _OVER:
        raise ShopError(f"{request.tag} is {request.state.value}", "Nothing more to withdraw.")
    for copy in uow.copies.find(is_("request_id", request.id)):
        if copy.state in NOT_PRINTED:
            cancel_in(uow, copy)
    reason = why.strip() or "withdrawn"
    close_in(uow, request.id, reason)
    for promise in uow.promises.find(is_("request_id", request.id), is_("outcome", "")):
        uow.promises.save(replace(promise, outcome="void", why=reason))
    return uow.requests.save(replace(request, state=RequestState.WITHDRAWN, not_before=not_before))


def left_over(uow: UnitOfWork, request: Request) -> tuple[Copy, ...]:
    """Copies the desk still has to decide on: printed or printing ones of a withdrawn request."""
    undecided = PRINTED | {CopyState.PRINTING}
    copies = uow.copies.find(is_("request_id", request.id))
    done = (CopyState.HANDED_OUT, CopyState.SHELVED)
    return tuple(copy for copy in copies if copy.state in undecided and copy.state not in done)
