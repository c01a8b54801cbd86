"""A small shop at work, and somebody standing in it, for the tests of the Desk and the run sheet."""

from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

from tests.screens.fakes import FakeMessages
from tests.services.fake import FakeClock, fake_shop
from tests.services.print_desk import PrintDesk, furnish

from printcrib.screens.shell.standing import BackgroundWork, Standing, StandingAlone
from printcrib.services.plan_runs import repair_plan
from printcrib.services.start_run import start_next

ZONE = ZoneInfo("Europe/Vienna")


@dataclass
class AtWork:
    """The shop with its keys, who stands there, and where the window was led."""

    desk: PrintDesk
    messages: FakeMessages = field(default_factory=FakeMessages)
    led: list[tuple[str, int | None]] = field(default_factory=list)
    standing: Standing = field(init=False)

    def __post_init__(self) -> None:
        self.stand(StandingAlone(self.messages))

    def stand(self, background: BackgroundWork) -> Standing:
        """Ann at the station, with this background."""
        with self.desk.shop.read() as uow:
            ann = uow.people.get(self.desk.ann)
        self.standing = Standing(
            self.desk.shop,
            background,
            self.messages,
            station="desk",
            person=ann,
            zone=ZONE,
            open_place=lambda place, key: self.led.append((place, key)),
            raise_request=lambda size_id: self.led.append(("the form", size_id)),
        )
        return self.standing

    def plan(self) -> None:
        """Let the tool mend the plan."""
        repair_plan(self.desk.shop, self.desk.press())

    def ask(self, quantity: int = 1, **more: Any) -> None:
        """A request on North with nozzle 0.4, planned at once."""
        more.setdefault("printers", (self.desk.north,))
        more.setdefault("minutes", {400: 30.0})
        self.desk.ask(quantity, **more)
        self.plan()

    def printing(self, quantity: int = 3, **more: Any) -> None:
        """Run 1 on North has begun and should be over by the clock."""
        self.ask(quantity, **more)
        start_next(self.desk.shop, self.desk.press(), self.desk.north)
        self.desk.clock.move(minutes=31 * quantity + 10)

    def undo(self) -> None:
        """Press the button beside the last message."""
        answer = self.messages.answers[-1]
        assert answer is not None
        answer.call()


def at_work() -> AtWork:
    """The shop before anything is asked."""
    clock = FakeClock()
    return AtWork(furnish(fake_shop(clock=clock), clock))
