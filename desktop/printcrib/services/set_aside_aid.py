"""Set an aid aside, check it and bring it back, or put it on the shelf."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from printcrib.core.aids import Aid, AidState
from printcrib.core.errors import ShopError
from printcrib.core.patterns import Pattern
from printcrib.core.people import Role
from printcrib.core.requests import CopyState
from printcrib.core.safety import united
from printcrib.core.wear import limit_of, must_be_set_aside
from printcrib.services.check_role import presser, require
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.press import Press
from printcrib.services.release_use import refusal_of


@dataclass(frozen=True)
class Limits:
    """What decides whether an aid may stay in use.

    Attributes:
        limit: the count past which it is checked; None when the shop has not even a guess.
        answers: ticked safety questions of its request and its pattern together.
    """

    pattern: Pattern
    limit: int | None
    answers: tuple[int, ...]

    def past(self, count: float) -> bool:
        """Whether the count is past the limit."""
        return self.limit is not None and count > self.limit

    def must_aside(self, count: float) -> bool:
        """Whether the tool sets it aside at this count."""
        return must_be_set_aside(count, self.limit, self.answers, self.pattern.reliability)


def limits_of(uow: UnitOfWork, aid: Aid) -> Limits:
    """The limit of one aid and what it does at its machine."""
    size = uow.sizes.get(aid.size_id)
    pattern = uow.patterns.get(size.pattern_id)
    request = uow.requests.get(aid.request_id)
    limit = limit_of(aid.limit, size.count_limit, pattern.expected_life)
    return Limits(pattern, limit, united(request.safety_answers, pattern.safety_answers))


def set_aside(shop: Shop, press: Press, aid_id: int, why: str) -> Done[Aid]:
    """Anyone sets an aid aside with a reason; it is not used until the desk or a reviewer checked it."""
    if not why.strip():
        raise ShopError("Setting aside needs a reason", "Say in a few words what is wrong.")
    with shop.write(press, "set aid aside") as uow:
        presser(uow)
        aid = uow.aids.get(aid_id)
        _refuse_retired(aid)
        if aid.state is not AidState.ASIDE:
            aid = aside_in(uow, aid, why.strip())
        uow.commit()
        return Done(aid, uow.changed, uow.press_number)


def aside_in(uow: UnitOfWork, aid: Aid, why: str) -> Aid:
    """Set an aid aside; it keeps its machine, where it goes back to once checked."""
    return uow.aids.save(replace(aid, state=AidState.ASIDE, since=uow.happened_at, aside_why=why))


def aside_if_past(uow: UnitOfWork, aid: Aid, count: int) -> Aid:
    """Past its limit and holding, locating or turning: the tool sets it aside until checked."""
    if aid.state is not AidState.IN_USE:
        return aid
    limits = limits_of(uow, aid)
    if not limits.must_aside(count):
        return aid
    return aside_in(uow, aid, f"past its limit of {limits.limit} {limits.pattern.use_unit}".strip())


def check_aid(shop: Shop, press: Press, aid_id: int, new_limit: int, words: str = "") -> Done[Aid]:
    """The desk or a reviewer checked an aid: it gets a new limit and goes back to where it was.

    Raises:
        ShopError: the new limit is behind its count, or it may not be in use at its machine.
    """
    with shop.write(press, "check aid") as uow:
        require(uow, "check an aid", Role.DESK, Role.REVIEWER)
        aid = uow.aids.get(aid_id)
        _refuse_retired(aid)
        count = uow.use_entries.totals("amount", "aid_id", is_("aid_id", aid.id)).get(aid.id, 0)
        if new_limit <= count:
            raise ShopError(
                f"{aid.tag} has done {count} already", "Give a limit past its count, or retire it."
            )
        checked = replace(aid, limit=new_limit, checked_at=uow.happened_at, aside_why=words.strip())
        if aid.state is AidState.ASIDE:
            checked = _back(uow, checked)
        aid = uow.aids.save(checked)
        uow.commit()
        return Done(aid, uow.changed, uow.press_number)


def _back(uow: UnitOfWork, aid: Aid) -> Aid:
    if aid.machine_id is None:
        return replace(aid, state=AidState.SHELF, since=uow.happened_at)
    why_not = refusal_of(uow, uow.copies.get(aid.copy_id), aid.machine_id)
    if why_not is not None:
        raise ShopError(
            f"{aid.tag} does not go back into use: {why_not}", "Put it on the shelf or ask a reviewer."
        )
    return replace(aid, state=AidState.IN_USE, since=uow.happened_at)


def back_to_shelf(shop: Shop, press: Press, aid_id: int, place: str = "") -> Done[Aid]:
    """An aid comes off its machine and lies on the shelf; one set aside only by desk or reviewer."""
    with shop.write(press, "aid back to shelf") as uow:
        aid = uow.aids.get(aid_id)
        _refuse_retired(aid)
        if aid.state is AidState.ASIDE:
            require(uow, "bring an aid back that was set aside", Role.DESK, Role.REVIEWER)
        else:
            presser(uow)
        aid = shelf_in(uow, aid, place)
        uow.commit()
        return Done(aid, uow.changed, uow.press_number)


def shelf_in(uow: UnitOfWork, aid: Aid, place: str = "") -> Aid:
    """Put an aid on the shelf, at its size's place unless told."""
    where = place.strip() or aid.place or uow.sizes.get(aid.size_id).shelf_place
    copy = uow.copies.get(aid.copy_id)
    if copy.state is CopyState.HANDED_OUT:
        uow.copies.save(replace(copy, state=CopyState.SHELVED))
    return uow.aids.save(
        replace(aid, state=AidState.SHELF, machine_id=None, place=where, since=uow.happened_at, aside_why="")
    )


def aside_past_limit(uow: UnitOfWork, counts: Iterable[tuple[Aid, int]]) -> tuple[Aid, ...]:
    """Set aside those past their limit; for aids whose count grows by the calendar alone."""
    looked_at = [(aid, aside_if_past(uow, aid, count)) for aid, count in counts]
    return tuple(after for before, after in looked_at if after.state is not before.state)


def _refuse_retired(aid: Aid) -> None:
    if aid.state is AidState.RETIRED or aid.void:
        raise ShopError(f"{aid.tag} is no longer in service", "Check the tag.")
