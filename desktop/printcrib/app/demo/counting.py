"""How the use of aids is counted in the demo shop: some evenings, some not, and one is forgotten."""

from printcrib.app.demo.days import COUNTERS
from printcrib.app.demo.desk import Desk
from printcrib.app.demo.shop import DESK, LEAD, MACHINISTS
from printcrib.core.aids import Aid, AidState, RetireReason
from printcrib.core.patterns import CountedBy
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import CopyState
from printcrib.services.ask_weekly import weekly_questions
from printcrib.services.count_use import answer_same_as_usual, count_of, count_use, parts_made, read_counter
from printcrib.services.do_duties import do_duties
from printcrib.services.hand_out_aid import To, hand_out_aid
from printcrib.services.interfaces import UnitOfWork, among, is_
from printcrib.services.press import Press
from printcrib.services.release_use import refusal_of
from printcrib.services.retire_aid import retire
from printcrib.services.set_aside_aid import check_aid, limits_of

WHO_AT = dict(zip(COUNTERS, ("Ilse", "Bruno", "Tarek", "Ilse"), strict=True))


class Counting:
    """Counts aids in the evening and sees to worn ones in the morning.

    Attributes:
        forgotten: aids nobody counts any more.
    """

    def __init__(self, desk: Desk) -> None:
        self.desk, self.demo, self.shop, self.days = desk, desk.demo, desk.shop, desk.days
        self.forgotten: set[int] = set()

    def morning(self) -> None:
        """What the tool does by itself at the start of a day, and the desk with what was set aside."""
        do_duties(self.shop, Press(who_id=THE_TOOL, station="tool"))
        for aid in self._aids(AidState.ASIDE):
            self._look_at_aside(aid)

    def _look_at_aside(self, aid: Aid) -> None:
        with self.shop.read() as uow:
            count = count_of(uow, aid.id)
            limit = limits_of(uow, aid).limit or count
            not_now = refusal_of(uow, uow.copies.get(aid.copy_id), aid.machine_id)
        if aid.checked_at is not None or count >= 1.4 * limit:
            self._replace_worn(aid)
        elif not_now is None:  # else it lies aside until a reviewer releases it again
            check_aid(self.shop, self.demo.press(DESK), aid.id, count + limit // 4, "no play, edges sharp")

    def _replace_worn(self, aid: Aid) -> None:
        """A spare of the same size takes the place of a worn one, where there is one."""
        with self.shop.read() as uow:
            spares = [
                spare
                for spare in uow.aids.find(is_("size_id", aid.size_id), is_("state", AidState.SHELF))
                if self._takes_its_place(uow, spare, aid.machine_id)
            ]
        who = self.demo.press(LEAD)
        if not spares or aid.machine_id is None:
            retire(self.shop, who, aid.id, RetireReason.WORN_OUT)
            return
        to = To(machine_id=aid.machine_id, swap_aid_id=aid.id, old_reason=RetireReason.WORN_OUT)
        hand_out_aid(self.shop, who, spares[0].id, to)

    def _takes_its_place(self, uow: UnitOfWork, spare: Aid, machine_id: int | None) -> bool:
        copy = uow.copies.get(spare.copy_id)
        return copy.state is CopyState.SHELVED and refusal_of(uow, copy, machine_id) is None

    def evening(self, day: int) -> None:
        """The counts of one day; Lathe 2 is read every other day, some parts are not told every day."""
        for machine in ("Lathe 1", "Lathe 2") if day % 2 else ("Lathe 1",):
            self._read(machine)
        for aid in self._aids(AidState.IN_USE):
            if aid.id in self.desk.left_alone | self.forgotten or self.desk.chance.random() < 0.25:
                continue
            if aid.counted_by is CountedBy.PARTS:
                parts_made(self.shop, self._at(aid), aid.id, self.desk.chance.randint(9, 26))
            elif aid.counted_by is CountedBy.ADD:
                self._add(aid)

    def _add(self, aid: Aid) -> None:
        amount = self.desk.chance.choice((1, 2, 3, 5, 10))
        counted = count_use(self.shop, self._at(aid), aid.id, amount).value
        with self.shop.read() as uow:
            past = limits_of(uow, counted.aid).past(counted.count)
        if past:
            self._replace_worn(counted.aid)

    def _read(self, machine: str) -> None:
        machine_id = self.demo.machines[machine]
        counter = self.days.counter(machine, self.desk.clock.moment)
        read_counter(self.shop, self.demo.press(WHO_AT[machine], station="machine"), machine_id, counter)

    def _at(self, aid: Aid) -> Press:
        with self.shop.read() as uow:
            machine = uow.machines.get(aid.machine_id or 0).name
        return self.demo.press(WHO_AT.get(machine, MACHINISTS[0]), station="machine")

    def _aids(self, state: AidState) -> tuple[Aid, ...]:
        with self.shop.read() as uow:
            return uow.aids.find(is_("state", state), order_by="number")

    def forget_one(self) -> None:
        """From now on nobody counts the aid with the lowest tag that is counted by parts."""
        counted = (CountedBy.PARTS, CountedBy.ADD)
        with self.shop.read() as uow:
            told = uow.use_entries.totals("amount", "aid_id")
            found = uow.aids.find(
                is_("state", AidState.IN_USE), among("counted_by", counted), order_by="number"
            )
        known = [aid.id for aid in found if aid.id in told]
        self.forgotten.update(known[:1])

    def answer_one_question(self) -> None:
        """The weekly question on one aid is answered "same as usual"."""
        for question in weekly_questions(self.shop):
            if question.usual and question.machine_id is None and question.aid_id not in self.forgotten:
                answer_same_as_usual(self.shop, self.demo.press(DESK), question.aid_id)
                return
