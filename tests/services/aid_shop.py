"""A small shop with aids in it: short ways from a request to an aid in use."""

from dataclasses import dataclass, replace

from tests.services.fake import FakeClock
from tests.services.own_shop import Own, own_shop

from printcrib.core.aids import Aid, Machine
from printcrib.core.patterns import Pattern, Size
from printcrib.core.requests import Copy, CopyState, Request
from printcrib.core.runs import Run, RunState
from printcrib.services.accept_request import accept_in
from printcrib.services.count_use import count_of
from printcrib.services.finish_copy import finish_copies
from printcrib.services.hand_out_aid import To, hand_out
from printcrib.services.interfaces import Shop, is_


@dataclass
class AidShop:
    """The shop, its clock, and the pattern and size most tests ask for."""

    own: Own
    clock: FakeClock
    pattern: Pattern
    size: Size

    @property
    def shop(self) -> Shop:
        """The shop."""
        return self.own.shop

    def machine(self, name: str = "Lathe 1") -> Machine:
        """A machine by name."""
        with self.shop.read() as uow:
            found = uow.machines.one(is_("name", name))
            assert found is not None
            return found

    def printed(self, size: Size | None = None, **asked: object) -> tuple[Copy, ...]:
        """Copies of an accepted request, off the printer and in finishing."""
        told: dict[str, object] = {"file": None, "size_id": (size or self.size).id, "safety_answers": ()}
        request = self.own.ask("Max", **{**told, **asked})
        with self.shop.write(self.own.press(), "print for a test") as uow:
            request = accept_in(uow, uow.requests.get(request.id))
            run = uow.runs.add(
                Run(
                    number=uow.next_number("run"),
                    printer_id=self.own.printer().id,
                    bore_um=400,
                    material_id=request.material_id or self.own.material(),
                    state=RunState.TAKEN_OFF,
                    minutes=60.0,
                    started_at=uow.now,
                    taken_off_at=uow.now,
                )
            )
            copies = []
            for copy in uow.copies.find(is_("request_id", request.id)):
                model_id = uow.sizes.get(copy.size_id or (size or self.size).id).model_id
                off = replace(copy, state=CopyState.FINISHING, run_id=run.id, model_id=model_id)
                copies.append(uow.copies.save(off))
            uow.commit()
        return tuple(copies)

    def ready(self, size: Size | None = None, **asked: object) -> tuple[Copy, ...]:
        """Ready copies of a new request."""
        copies = self.printed(size, **asked)
        return finish_copies(self.shop, self.own.press(), [copy.id for copy in copies]).value

    def in_use(self, size: Size | None = None, to: To | None = None, **asked: object) -> Aid:
        """One aid in use at Lathe 1."""
        (copy,) = self.ready(size, **asked)
        told = to or To(machine_id=self.machine().id)
        handed = hand_out(self.shop, self.own.press(), copy.id, told).value
        assert handed.aid is not None
        return handed.aid

    def aid(self, aid_id: int) -> Aid:
        """An aid as it is now."""
        with self.shop.read() as uow:
            return uow.aids.get(aid_id)

    def copy(self, copy_id: int) -> Copy:
        """A copy as it is now."""
        with self.shop.read() as uow:
            return uow.copies.get(copy_id)

    def request_of(self, copy: Copy) -> Request:
        """The request of a copy as it is now."""
        return self.own.request(copy.request_id)

    def count(self, aid_id: int) -> int:
        """The count of an aid as told."""
        with self.shop.read() as uow:
            return count_of(uow, aid_id)

    def edit_pattern(self, **fields: object) -> Pattern:
        """Change the pattern."""
        with self.shop.write(self.own.press(), "edit for a test") as uow:
            self.pattern = uow.patterns.save(replace(uow.patterns.get(self.pattern.id), **fields))  # type: ignore[arg-type]
            uow.commit()
        return self.pattern


def aid_shop(shop: Shop, clock: FakeClock) -> AidShop:
    """A pattern counted by hand in clamp cycles, expected to last 600, and one size of it."""
    own = own_shop(shop)
    pattern = own.pattern(use_unit="clamp cycles", expected_life=600, material_id=own.material())
    return AidShop(own, clock, pattern, own.size(pattern))
