"""What the part counters of the machines showed last, and which aids are counted by them."""

from dataclasses import dataclass

from printcrib.core.aids import AidState
from printcrib.core.calendar import moment_words
from printcrib.core.patterns import CountedBy
from printcrib.services.interfaces import Shop, UnitOfWork, is_
from printcrib.services.read_calendar import zone_of


@dataclass(frozen=True)
class MachineCounter:
    """The part counter of one machine.

    Attributes:
        last: what it showed last, None while nobody read it; last_words: "12340, Tue 16:48", or that.
        tags: aids in use there that are counted by it.
    """

    machine_id: int
    name: str
    last: int | None
    last_words: str
    tags: tuple[str, ...]


def look_at_counters(shop: Shop) -> tuple[MachineCounter, ...]:
    """Every machine in use, those with aids counted by the part counter first, then by name."""
    with shop.read() as uow:
        zone = zone_of(uow)
        counters = [
            _counter(uow, machine.id, machine.name, zone)
            for machine in uow.machines.find(is_("active", True), order_by="name")
        ]
    counters.sort(key=lambda each: not each.tags)
    return tuple(counters)


def _counter(uow: UnitOfWork, machine_id: int, name: str, zone: str) -> MachineCounter:
    readings = uow.machine_readings.find(
        is_("machine_id", machine_id), order_by="happened_at", newest_first=True, limit=1
    )
    aids = uow.aids.find(
        is_("machine_id", machine_id),
        is_("state", AidState.IN_USE),
        is_("counted_by", CountedBy.READING),
        order_by="number",
    )
    last = readings[0] if readings else None
    words = f"{last.counter}, {moment_words(uow.now, last.happened_at, zone)}" if last else "never read yet"
    return MachineCounter(
        machine_id, name, last.counter if last else None, words, tuple(aid.tag for aid in aids)
    )
