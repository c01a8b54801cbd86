"""Hold a request and let it go on again, with who and why."""

from dataclasses import replace

from printcrib.core.asking import new_copies
from printcrib.core.errors import ShopError
from printcrib.core.people import Role
from printcrib.core.requests import Hold, HoldKind, RequestState
from printcrib.services.check_role import require, require_asker_or_desk
from printcrib.services.interfaces import Done, Shop, UnitOfWork, Where, is_
from printcrib.services.press import Press

_CLOSED_BY_DOING = {
    HoldKind.REVIEW: "A reviewer releases it, or it is printed only to try the fit.",
    HoldKind.SAFETY: "Answer the safety questions.",
    HoldKind.NEEDS_MODEL: "Give it a model file or a pattern size.",
}
"""Holds that end when the thing itself is done, and what that is."""


def open_holds(uow: UnitOfWork, request_id: int) -> tuple[Hold, ...]:
    """What holds a request now, oldest first."""
    return uow.holds.find(is_("request_id", request_id), Where("closed_at", "is none"))


def open_in(uow: UnitOfWork, request_id: int, kind: HoldKind, words: str = "") -> Hold:
    """Hold a request; one already open of that kind is kept and told the further words."""
    for hold in open_holds(uow, request_id):
        if hold.kind is kind:
            if words in hold.words:
                return hold
            further = f"{hold.words}; {words}" if hold.words else words
            return uow.holds.save(replace(hold, words=further))
    return uow.holds.add(Hold(request_id=request_id, kind=kind, words=words, opened_by_id=uow.press.who_id))


def close_in(uow: UnitOfWork, request_id: int, why: str, *kinds: HoldKind) -> None:
    """Close the open holds of these kinds; all of them when no kind is named."""
    for hold in open_holds(uow, request_id):
        if not kinds or hold.kind in kinds:
            uow.holds.save(_closed(uow, hold, why))


def hold_request(shop: Shop, press: Press, request_id: int, kind: HoldKind, words: str) -> Done[Hold]:
    """The desk or a reviewer holds a request and says why."""
    if not words.strip():
        raise ShopError("A hold needs a reason", "Say in a few words why it waits.")
    with shop.write(press, "hold request") as uow:
        require(uow, "hold a request", Role.DESK, Role.REVIEWER)
        uow.requests.get(request_id)
        hold = open_in(uow, request_id, kind, words.strip())
        uow.commit()
        return Done(hold, uow.changed, uow.press_number)


def let_go_on(shop: Shop, press: Press, hold_id: int, why: str) -> Done[Hold]:
    """Close a hold with the reason; after a question the missing copies are wanted again.

    Raises:
        ShopError: the hold ends by doing what it asks for, or no reason was given.
    """
    if not why.strip():
        raise ShopError("Going on needs a reason", "Say in a few words what was decided.")
    with shop.write(press, "let request go on") as uow:
        hold = uow.holds.get(hold_id)
        request = uow.requests.get(hold.request_id)
        require_asker_or_desk(uow, request, "let this request go on")
        if hold.kind in _CLOSED_BY_DOING:
            raise ShopError(f"{request.tag} {hold.kind.value}", _CLOSED_BY_DOING[hold.kind])
        if hold.closed_at is None:
            hold = uow.holds.save(_closed(uow, hold, why.strip()))
            if hold.kind is HoldKind.QUESTION and request.state is RequestState.ACCEPTED:
                for copy in new_copies(request, uow.copies.find(is_("request_id", request.id))):
                    uow.copies.add(copy)
        uow.commit()
        return Done(hold, uow.changed, uow.press_number)


def _closed(uow: UnitOfWork, hold: Hold, why: str) -> Hold:
    return replace(hold, closed_at=uow.happened_at, closed_by_id=uow.press.who_id, why=why)
