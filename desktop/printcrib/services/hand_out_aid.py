"""Hand out a good copy: an aid goes to its machine, a copy to try or to look at to the person."""

from dataclasses import dataclass, replace

from printcrib.core.aids import Aid, AidState, RetireReason
from printcrib.core.errors import ShopError
from printcrib.core.patterns import CountedBy
from printcrib.core.requests import Copy, CopyState, Purpose, Request
from printcrib.core.safety import NOT_FOR_USE
from printcrib.services.check_role import presser
from printcrib.services.count_use import count_of, reading_in
from printcrib.services.finish_copy import close_if_done, copy_tag, step
from printcrib.services.interfaces import Done, Shop, UnitOfWork
from printcrib.services.press import Press
from printcrib.services.release_use import refusal_of
from printcrib.services.retire_aid import retire_in
from printcrib.services.set_aside_aid import limits_of, shelf_in


@dataclass(frozen=True, kw_only=True)
class To:
    """Where a copy goes and how its use is counted there.

    Attributes:
        machine_id: None for the machine of its request.
        counted_by, uses_a_part: None for those of the pattern (or as it was counted before).
        counter: what the machine's part counter shows now; the count begins there.
        swap_aid_id: the aid it takes the place of; it is retired for `old_reason`, or goes back to
            the shelf when that is None.
    """

    machine_id: int | None = None
    counted_by: CountedBy | None = None
    uses_a_part: int | None = None
    counter: int | None = None
    swap_aid_id: int | None = None
    old_reason: RetireReason | None = None


@dataclass(frozen=True)
class HandedOut:
    """What was handed out.

    Attributes:
        aid: in use now; None for a copy that never becomes an aid. old: the aid it replaced.
        mark: "not for use" for copies to try or to look at, else "".
    """

    copy: Copy
    request: Request
    aid: Aid | None = None
    old: Aid | None = None
    mark: str = ""


def hand_out(shop: Shop, press: Press, copy_id: int, to: To | None = None) -> Done[HandedOut]:
    """Hand out a copy; refused while the release its gate asks for is missing, lapsed or does not cover it.

    Raises:
        ShopError: it is not ready, not released for this, set aside, or nobody said which machine.
    """
    with shop.write(press, "hand out") as uow:
        presser(uow)
        handed = _hand_out_in(uow, uow.copies.get(copy_id), to or To())
        uow.commit()
        return Done(handed, uow.changed, uow.press_number)


def hand_out_aid(shop: Shop, press: Press, aid_id: int, to: To | None = None) -> Done[HandedOut]:
    """Hand out an aid by its tag: from the shelf, or from one machine to another."""
    with shop.write(press, "hand out") as uow:
        presser(uow)
        aid = uow.aids.get(aid_id)
        handed = _hand_out_in(uow, uow.copies.get(aid.copy_id), to or To())
        uow.commit()
        return Done(handed, uow.changed, uow.press_number)


def _hand_out_in(uow: UnitOfWork, copy: Copy, to: To) -> HandedOut:
    request = uow.requests.get(copy.request_id)
    aid = None if copy.aid_id is None else uow.aids.get(copy.aid_id)
    machine_id = to.machine_id if to.machine_id is not None else request.machine_id
    _refuse_state(copy, request, aid)
    if aid is not None and machine_id is None:
        raise ShopError(f"Nobody said which machine {aid.tag} goes to", "Choose the machine.")
    why_not = refusal_of(uow, copy, machine_id)
    if why_not is not None:
        raise ShopError(
            f"{copy_tag(copy, request)} is not handed out: {why_not}",
            "Ask a reviewer. Local codes and licensed practice come first.",
        )
    if copy.state is not CopyState.HANDED_OUT:
        copy = uow.copies.save(replace(copy, state=CopyState.HANDED_OUT))
    if aid is None:
        request = close_if_done(uow, request.id)
        mark = NOT_FOR_USE if request.purpose in (Purpose.TRY_FIT, Purpose.LOOK_AT) else ""
        return HandedOut(copy, request, mark=mark)
    assert machine_id is not None  # refused above
    if to.counter is not None:
        reading_in(uow, machine_id, to.counter)
    old = _swap_out(uow, aid, to)
    aid = _in_use(uow, aid, machine_id, to)
    return HandedOut(copy, close_if_done(uow, request.id), aid, old)


def _refuse_state(copy: Copy, request: Request, aid: Aid | None) -> None:
    if aid is None or copy.state is not CopyState.HANDED_OUT:
        step(copy, CopyState.HANDED_OUT, request)
    if aid is not None and aid.state is AidState.ASIDE:
        raise ShopError(f"{aid.tag} is set aside: {aid.aside_why}", "The desk or a reviewer checks it first.")
    if aid is not None and aid.state is AidState.RETIRED:
        raise ShopError(f"{aid.tag} is no longer in service", "Check the tag.")


def _in_use(uow: UnitOfWork, aid: Aid, machine_id: int, to: To) -> Aid:
    counted_by = to.counted_by if to.counted_by is not None else aid.counted_by
    uses_a_part = to.uses_a_part if to.uses_a_part is not None else aid.uses_a_part
    if uses_a_part < 1:
        raise ShopError("An aid is used at least once a part", "Give 1 or more uses a part.")
    _refuse_worn(uow, aid)
    return uow.aids.save(
        replace(
            aid,
            state=AidState.IN_USE,
            machine_id=machine_id,
            since=uow.happened_at,
            in_use_since=aid.in_use_since or uow.happened_at,
            counted_by=counted_by,
            uses_a_part=uses_a_part,
        )
    )


def _refuse_worn(uow: UnitOfWork, aid: Aid) -> None:
    """One past its limit that holds, locates or turns does not go out before somebody checked it."""
    count = count_of(uow, aid.id)
    limits = limits_of(uow, aid)
    if limits.must_aside(count):
        raise ShopError(
            f"{aid.tag} is past its limit of {limits.limit}", "The desk or a reviewer checks it first."
        )


def _swap_out(uow: UnitOfWork, new: Aid, to: To) -> Aid | None:
    if to.swap_aid_id is None:
        return None
    old = uow.aids.get(to.swap_aid_id)
    if old.id == new.id:
        raise ShopError(f"{new.tag} cannot take its own place", "Scan the tag of the old one.")
    if to.old_reason is not None:
        return retire_in(uow, old, to.old_reason)
    if old.state is not AidState.IN_USE:
        raise ShopError(f"{old.tag} is not in use", "Scan the tag of the one that comes off.")
    return shelf_in(uow, old)
