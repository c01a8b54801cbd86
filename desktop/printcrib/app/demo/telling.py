"""Who tells the demo's story: the shop's time, the people's presses, and the steps told so far."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from printcrib.app.demo.asking import Asking
from printcrib.app.demo.desk import Desk
from printcrib.core.calendar import WEEKDAYS, clock_words, moment_words, shop_day
from printcrib.core.requests import Copy, Request
from printcrib.services.interfaces import Done
from printcrib.services.press import Press

FIRST_DAY, SECOND_DAY = -2, -1
CAP_LIFE = 900
RAISED_BY = "Ilse"


@dataclass(frozen=True)
class Step:
    """One step of the story.

    Attributes:
        at: the shop's time in words. who: who pressed, "" for a look. press: number of the press in the
            change record, 0 for a look.
    """

    number: int
    at: str
    who: str
    words: tuple[str, ...]
    press: int = 0
    figures: Mapping[str, Any] = field(default_factory=dict)


@dataclass
class Told:
    """What the story left in the books, by their keys."""

    request: Request | None = None
    others: list[Request] = field(default_factory=list)
    plan_id: int = 0
    runs: list[int] = field(default_factory=list)
    failed: list[Copy] = field(default_factory=list)
    aids: list[int] = field(default_factory=list)
    size_id: int = 0
    reprints: tuple[Request, ...] = ()
    week: str = ""
    paper: bytes = b""
    steps: list[Step] = field(default_factory=list)


class Teller:
    """Tells the story in a demo shop.

    Args:
        tell: hears every step as it happens.
    """

    def __init__(self, desk: Desk, asking: Asking, tell: Callable[[Step], None]) -> None:
        self.desk, self.asking, self.demo, self.shop = desk, asking, desk.demo, desk.shop
        self._tell = tell
        self.told = Told()

    def go(self, day: int, wall: str) -> None:
        """Let the shop's time go by."""
        self.desk.until(self.desk.days.at(day, wall))

    def go_minutes(self, minutes: int) -> None:
        """Let some minutes go by."""
        self.desk.until(self.desk.clock.moment + timedelta(minutes=minutes))

    def step(self, who: str, *words: str, done: Done[Any] | None = None, **figures: Any) -> None:
        """Tell one step."""
        told = Step(
            number=len(self.told.steps) + 1,
            at=self._day_and_hour(),
            who=who,
            words=words,
            press=done.press_number if done else 0,
            figures=figures,
        )
        self.told.steps.append(told)
        self._tell(told)

    def _day_and_hour(self) -> str:
        moment, zone = self.desk.clock.moment, self.desk.days.zone
        return f"{WEEKDAYS[shop_day(moment, zone).weekday()]} {clock_words(moment, zone)}"

    def when(self, moment: datetime) -> str:
        """A moment in the shop's words; with its day unless it is today."""
        return moment_words(self.desk.clock.moment, moment, self.desk.days.zone)

    def press(self, who: str, station: str = "desk") -> Press:
        """A press by one of the people."""
        return self.demo.press(who, station=station)

    @property
    def request(self) -> Request:
        """The request the story is about."""
        assert self.told.request is not None
        return self.told.request


def copies_words(count: int) -> str:
    """So many copies in words."""
    return "1 copy" if count == 1 else f"{count} copies"
