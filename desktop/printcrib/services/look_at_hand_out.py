"""What can be chosen when an aid is handed out: the machine, how it is counted there, the old one."""

from dataclasses import dataclass

from printcrib.core.aids import Aid, AidState
from printcrib.core.patterns import CountedBy
from printcrib.services.forecast_aids import aid_name
from printcrib.services.interfaces import Shop, UnitOfWork, is_


@dataclass(frozen=True)
class OldAid:
    """An aid of the same size in use at a machine, which the new one may take the place of."""

    aid_id: int
    tag: str
    machine_id: int


@dataclass(frozen=True)
class HandOutChoices:
    """Everything to choose from.

    Attributes:
        machines: (key, name) of those in use, by name. machine_id: where it goes unless told, or is now;
            None when nobody said yet. moves: it is in use now, and moves or is counted another way.
        counted_by, uses_a_part: as it was counted, or as its pattern says. unit: what is counted.
        old: aids of its size in use, the one its request replaces first.
    """

    aid_id: int
    tag: str
    name: str
    machines: tuple[tuple[int, str], ...]
    machine_id: int | None
    moves: bool
    counted_by: CountedBy
    uses_a_part: int
    unit: str
    old: tuple[OldAid, ...]


def look_at_hand_out(shop: Shop, aid_id: int) -> HandOutChoices:
    """What to offer when this aid is handed out, or moved to another machine."""
    with shop.read() as uow:
        aid = uow.aids.get(aid_id)
        size = uow.sizes.get(aid.size_id)
        pattern = uow.patterns.get(size.pattern_id)
        request = uow.requests.get(aid.request_id)
        machines = uow.machines.find(is_("active", True), order_by="name")
        moves = aid.state is AidState.IN_USE
        return HandOutChoices(
            aid_id=aid.id,
            tag=aid.tag,
            name=aid_name(pattern, size, aid.label),
            machines=tuple((each.id, each.name) for each in machines),
            machine_id=aid.machine_id if moves else request.machine_id,
            moves=moves,
            counted_by=aid.counted_by,
            uses_a_part=aid.uses_a_part,
            unit=pattern.use_unit,
            old=_old(uow, aid, request.replaces_aid_id),
        )


def _old(uow: UnitOfWork, aid: Aid, replaces_id: int | None) -> tuple[OldAid, ...]:
    """Aids of this size in use: the one it was printed for first, then those longest in use."""
    found = [
        each
        for each in uow.aids.find(
            is_("size_id", aid.size_id), is_("state", AidState.IN_USE), order_by="number"
        )
        if each.id != aid.id
    ]
    found.sort(key=lambda each: each.id != replaces_id)
    return tuple(OldAid(each.id, each.tag, each.machine_id) for each in found if each.machine_id is not None)
