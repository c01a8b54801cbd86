"""Retire an aid with a reason; worn out and broken teach the shop how long its size lasts."""

from dataclasses import replace

from printcrib.core.aids import Aid, AidState, RetireReason
from printcrib.core.errors import ShopError
from printcrib.core.requests import Copy
from printcrib.services.check_role import presser
from printcrib.services.interfaces import Done, Shop, UnitOfWork
from printcrib.services.press import Press


def retire(shop: Shop, press: Press, aid_id: int, reason: RetireReason) -> Done[Aid]:
    """An aid leaves service: worn out, broken, lost, not needed or replaced early."""
    with shop.write(press, "retire aid") as uow:
        presser(uow)
        aid = retire_in(uow, uow.aids.get(aid_id), reason)
        uow.commit()
        return Done(aid, uow.changed, uow.press_number)


def retire_in(uow: UnitOfWork, aid: Aid, reason: RetireReason) -> Aid:
    """Retire an aid within another press; it keeps the machine it was last at."""
    if aid.state is AidState.RETIRED or aid.void:
        raise ShopError(f"{aid.tag} is no longer in service", "Check the tag.")
    return uow.aids.save(
        replace(
            aid,
            state=AidState.RETIRED,
            since=uow.happened_at,
            retired_reason=reason,
            retired_at=uow.happened_at,
        )
    )


def retire_aid_of(uow: UnitOfWork, copy: Copy, reason: RetireReason) -> Copy:
    """A copy that failed or is scrap takes its aid, if it has one, out of service with it."""
    if copy.aid_id is not None:
        aid = uow.aids.get(copy.aid_id)
        if aid.state is not AidState.RETIRED:
            retire_in(uow, aid, reason)
    return copy
