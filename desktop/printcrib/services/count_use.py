"""Count the use of aids: plus buttons, parts made, the machine's part counter, the weekly question.

Entries are never changed. A stretch nobody told anything about is unknown, not zero.
"""

from dataclasses import dataclass
from datetime import datetime

from printcrib.core.aids import Aid, AidState, MachineReading, Sure, UseEntry, UseKind
from printcrib.core.errors import ShopError
from printcrib.core.patterns import CountedBy
from printcrib.services.check_role import presser
from printcrib.services.interfaces import Done, Shop, UnitOfWork, Where, is_
from printcrib.services.press import Press
from printcrib.services.read_calendar import calendar_of
from printcrib.services.read_use import rate_of, told_until
from printcrib.services.set_aside_aid import aside_if_past

LARGEST = 1_000_000
"""A single count beyond this is a slip of the finger."""


@dataclass(frozen=True)
class Counted:
    """What a count did.

    Attributes:
        aid: after it; may have been set aside by the tool.
        count: all use told so far. entry: what was booked.
    """

    aid: Aid
    count: int
    entry: UseEntry

    @property
    def set_aside(self) -> bool:
        """Whether the tool set the aid aside because it is past its limit."""
        return self.aid.state is AidState.ASIDE


@dataclass(frozen=True)
class ReadingTaken:
    """A reading of a machine's part counter and what it counted.

    Attributes:
        parts: parts made since the reading before; None for the first one.
    """

    reading: MachineReading
    parts: int | None
    counted: tuple[Counted, ...]


class CounterLower(ShopError):
    """The machine's counter shows less than before: only a person knows whether it was reset."""

    def __init__(self, machine: str, before: int, now: int) -> None:
        self.before, self.now = before, now
        super().__init__(
            f"The counter of {machine} showed {before} before and {now} now",
            "Say whether the counter was reset, or read it again.",
        )


def count_of(uow: UnitOfWork, aid_id: int) -> int:
    """All use told of an aid, in its pattern's unit (not for aids counted by the calendar)."""
    return uow.use_entries.totals("amount", "aid_id", is_("aid_id", aid_id)).get(aid_id, 0)


def count_use(shop: Shop, press: Press, aid_id: int, amount: int) -> Done[Counted]:
    """The plus buttons: so much more use; parts made where the aid is counted by parts."""
    with shop.write(press, "count use") as uow:
        presser(uow)
        aid = _countable(uow, aid_id)
        _refuse_amount(amount, least=1)
        if aid.counted_by is CountedBy.PARTS:
            entry = _entry(uow, aid, UseKind.PARTS, amount * aid.uses_a_part)
        else:
            entry = _entry(uow, aid, UseKind.ADD, amount)
        return _done(uow, aid, entry)


def parts_made(shop: Shop, press: Press, aid_id: int, parts: int) -> Done[Counted]:
    """So many parts were made with the aid since it was last counted; missed days heal."""
    with shop.write(press, "count parts made") as uow:
        presser(uow)
        aid = _countable(uow, aid_id)
        _refuse_amount(parts, least=0)
        amount = parts * aid.uses_a_part
        return _done(uow, aid, _entry(uow, aid, UseKind.PARTS, amount, since=_last_told(uow, aid)))


def correct_count(shop: Shop, press: Press, aid_id: int, count_now: int) -> Done[Counted]:
    """The count is really this; the difference is booked as a correction."""
    with shop.write(press, "correct count") as uow:
        presser(uow)
        aid = _in_service(uow, aid_id)
        _refuse_amount(count_now, least=0)
        if aid.counted_by is CountedBy.CALENDAR:
            raise ShopError(f"{aid.tag} is counted by the calendar", "Set a new limit for it instead.")
        difference = count_now - count_of(uow, aid.id)
        if not difference:
            raise ShopError(f"{aid.tag} stands at {count_now} already", "Nothing to correct.")
        return _done(uow, aid, _entry(uow, aid, UseKind.CORRECTION, difference))


def answer_same_as_usual(shop: Shop, press: Press, aid_id: int) -> Done[Counted]:
    """The weekly question answered "same as usual": the last rate for the days nobody counted, assumed."""
    with shop.write(press, "answer weekly question") as uow:
        presser(uow)
        aid = _countable(uow, aid_id)
        rate = rate_of(uow, aid, calendar_of(uow))
        if rate is None:
            raise ShopError(f"Nobody ever counted {aid.tag}", "Give a number this once.")
        amount = round(rate.per_day * rate.unknown_days)
        entry = _entry(uow, aid, UseKind.SAME_AS_USUAL, amount, since=_last_told(uow, aid), sure=Sure.ASSUMED)
        return _done(uow, aid, entry)


def answer_none(shop: Shop, press: Press, aid_id: int) -> Done[Counted]:
    """The weekly question answered "none": the aid was not used, and that is known now."""
    return parts_made(shop, press, aid_id, 0)


def answer_number(shop: Shop, press: Press, aid_id: int, number: int) -> Done[Counted]:
    """The weekly question answered with a number, for all the days since the aid was last counted.

    Args:
        number: parts made where the aid is counted by parts, else so much use.
    """
    with shop.write(press, "answer weekly question") as uow:
        presser(uow)
        aid = _countable(uow, aid_id)
        _refuse_amount(number, least=0)
        by_parts = aid.counted_by is CountedBy.PARTS
        kind, amount = (UseKind.PARTS, number * aid.uses_a_part) if by_parts else (UseKind.ADD, number)
        return _done(uow, aid, _entry(uow, aid, kind, amount, since=_last_told(uow, aid)))


def read_counter(
    shop: Shop, press: Press, machine_id: int, counter: int, counter_reset: bool | None = None
) -> Done[ReadingTaken]:
    """The part counter of a machine shows this; counts every aid that is counted there.

    Args:
        counter: what the machine shows. counter_reset: the person's answer when it shows less than before.

    Raises:
        CounterLower: it shows less and nobody said that it was reset.
    """
    with shop.write(press, "read part counter") as uow:
        presser(uow)
        taken = reading_in(uow, machine_id, counter, counter_reset)
        uow.commit()
        return Done(taken, uow.changed, uow.press_number)


def reading_in(
    uow: UnitOfWork, machine_id: int, counter: int, counter_reset: bool | None = None
) -> ReadingTaken:
    """Book a reading within another press."""
    machine = uow.machines.get(machine_id)
    _refuse_amount(counter, least=0, largest=1_000_000_000)
    before = _reading_before(uow, machine_id)
    lower = before is not None and counter < before.counter
    if before is not None and lower and not counter_reset:
        raise CounterLower(machine.name, before.counter, counter)
    reading = uow.machine_readings.add(
        MachineReading(machine_id=machine_id, counter=counter, who_id=uow.press.who_id, counter_reset=lower)
    )
    if before is None or _told_later(uow, reading):
        return ReadingTaken(reading, None, ())
    parts = counter if lower else counter - before.counter
    counted = tuple(
        _count_by_reading(uow, aid, parts, before, lower)
        for aid in uow.aids.find(
            is_("machine_id", machine_id),
            is_("state", AidState.IN_USE),
            is_("counted_by", CountedBy.READING),
        )
        if aid.since is None or aid.since < uow.happened_at
    )
    return ReadingTaken(reading, parts, counted)


def _reading_before(uow: UnitOfWork, machine_id: int) -> MachineReading | None:
    found = uow.machine_readings.find(
        is_("machine_id", machine_id),
        Where("happened_at", "<=", uow.happened_at),
        order_by="happened_at",
        newest_first=True,
        limit=1,
    )
    return found[0] if found else None


def _told_later(uow: UnitOfWork, reading: MachineReading) -> bool:
    """A reading of a later moment is booked already, so its difference holds these parts."""
    return bool(
        uow.machine_readings.count(
            is_("machine_id", reading.machine_id), Where("happened_at", ">", reading.happened_at)
        )
    )


def _count_by_reading(uow: UnitOfWork, aid: Aid, parts: int, before: MachineReading, reset: bool) -> Counted:
    """The parts since the reading before, or the share of them by the clock when it came in between."""
    amount, since, sure = parts * aid.uses_a_part, before.happened_at, Sure.COUNTED
    if aid.since is not None and aid.since > before.happened_at:
        share = (uow.happened_at - aid.since) / (uow.happened_at - before.happened_at)
        amount, since, sure = -int(-amount * share // 1), aid.since, Sure.ASSUMED
    if reset:
        sure = Sure.ASSUMED  # what was made between the last reading and the reset is not known
    entry = _entry(uow, aid, UseKind.READING, amount, since=since, sure=sure)
    return _counted(uow, aid, entry)


def _in_service(uow: UnitOfWork, aid_id: int) -> Aid:
    aid = uow.aids.get(aid_id)
    if aid.state is AidState.RETIRED or aid.void:
        raise ShopError(f"{aid.tag} is no longer in service", "Check the tag.")
    return aid


def _countable(uow: UnitOfWork, aid_id: int) -> Aid:
    """An aid whose use people tell; one kind of counting an aid at a time."""
    aid = _in_service(uow, aid_id)
    if aid.in_use_since is None:
        raise ShopError(f"{aid.tag} was never handed out", "Hand it out to a machine first.")
    if aid.counted_by is CountedBy.CALENDAR:
        raise ShopError(f"{aid.tag} is counted by the calendar", "There is nothing to enter.")
    if aid.counted_by is CountedBy.READING:
        where = "its machine" if aid.machine_id is None else uow.machines.get(aid.machine_id).name
        raise ShopError(
            f"{aid.tag} is counted by the part counter of {where}", "Enter what the counter shows."
        )
    return aid


def _refuse_amount(amount: int, least: int, largest: int = LARGEST) -> None:
    if not least <= amount <= largest:
        raise ShopError(f"{amount} cannot be counted", f"Give a whole number from {least} to {largest}.")


def _last_told(uow: UnitOfWork, aid: Aid) -> datetime | None:
    """Until when the use of an aid is known."""
    until = told_until(uow, is_("aid_id", aid.id)).get(aid.id)
    moments = [each for each in (until, aid.in_use_since) if each is not None]
    return max(moments, default=None)


def _entry(
    uow: UnitOfWork,
    aid: Aid,
    kind: UseKind,
    amount: int,
    since: datetime | None = None,
    sure: Sure = Sure.COUNTED,
) -> UseEntry:
    until = None if kind is UseKind.CORRECTION else uow.happened_at
    return uow.use_entries.add(
        UseEntry(
            aid_id=aid.id,
            kind=kind,
            amount=amount,
            who_id=uow.press.who_id,
            counted_from=since,
            counted_to=until,
            sure=sure,
        )
    )


def _counted(uow: UnitOfWork, aid: Aid, entry: UseEntry) -> Counted:
    count = count_of(uow, aid.id)
    return Counted(aside_if_past(uow, aid, count), count, entry)


def _done(uow: UnitOfWork, aid: Aid, entry: UseEntry) -> Done[Counted]:
    counted = _counted(uow, aid, entry)
    uow.commit()
    return Done(counted, uow.changed, uow.press_number)
