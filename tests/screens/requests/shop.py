"""A shop in memory with somebody standing at its station, for the place Requests."""

from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from tests.screens.fakes import FakeMessages
from tests.services.fake import FakeClock, fake_shop
from tests.services.own_shop import Own, own_shop

from printcrib.core.patterns import Size
from printcrib.screens.shell.standing import BackgroundWork, Standing, StandingAlone

ZONE = ZoneInfo("Europe/Vienna")


@dataclass
class Stand:
    """The shop, who stands there and what they were told."""

    own: Own
    clock: FakeClock
    messages: FakeMessages
    opened: list[tuple[str, int | None]] = field(default_factory=list)

    def standing(self, name: str = "Dora", background: BackgroundWork | None = None) -> Standing:
        """Somebody at the station; Dora is the desk."""
        return Standing(
            self.own.shop,
            background or StandingAlone(self.messages),
            self.messages,
            station="bench",
            person=self.own.made.people[name],
            zone=ZONE,
            open_place=lambda place, key: self.opened.append((place, key)),
        )

    def size(self, **pattern: object) -> Size:
        """A pattern size with its model; PLA unless told."""
        pattern.setdefault("material_id", self.own.material())
        return self.own.size(self.own.pattern(**pattern))  # type: ignore[arg-type]


def stand() -> Stand:
    """A fresh shop on a Tuesday morning."""
    clock = FakeClock()
    return Stand(own_shop(fake_shop(clock=clock)), clock, FakeMessages())
