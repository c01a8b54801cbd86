"""A small shop with aids in it, and somebody standing in it, for the tests of the place."""

from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from tests.screens.fakes import FakeMessages
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock, fake_shop

from printcrib.core.patterns import CountedBy
from printcrib.screens.shell.standing import BackgroundWork, Standing, StandingAlone
from printcrib.services.hand_out_aid import To

ZONE = ZoneInfo("Europe/Vienna")


@dataclass
class AtAids:
    """The shop, who stands there, what was said, and where the window was led."""

    desk: AidShop
    messages: FakeMessages = field(default_factory=FakeMessages)
    led: list[tuple[str, int | None]] = field(default_factory=list)
    standing: Standing = field(init=False)

    def __post_init__(self) -> None:
        self.stand(StandingAlone(self.messages))

    def stand(self, background: BackgroundWork, who: str = "Dora") -> Standing:
        """Somebody at the station, with this background; Dora works the desk."""
        with self.desk.shop.read() as uow:
            person = uow.people.get(self.desk.own.who(who))
        self.standing = Standing(
            self.desk.shop,
            background,
            self.messages,
            station="aids",
            person=person,
            zone=ZONE,
            open_place=lambda place, key: self.led.append((place, key)),
        )
        return self.standing

    def counted_by(self, how: CountedBy, machine: str = "Lathe 1", uses_a_part: int = 1) -> int:
        """An aid in use, counted one way."""
        to = To(machine_id=self.desk.machine(machine).id, counted_by=how, uses_a_part=uses_a_part)
        return self.desk.in_use(to=to).id

    def undo(self) -> None:
        """Press the button beside the last message."""
        answer = self.messages.answers[-1]
        assert answer is not None
        answer.call()


def at_aids() -> AtAids:
    """The shop before anything is printed."""
    clock = FakeClock()
    return AtAids(aid_shop(fake_shop(clock=clock), clock))
