"""Three weeks lived in the demo shop, by presses on a set clock."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from printcrib.app.clock import SetClock
from printcrib.app.demo.asking import Asking
from printcrib.app.demo.counting import Counting
from printcrib.app.demo.days import HISTORY_DAYS, Days
from printcrib.app.demo.desk import Desk
from printcrib.app.demo.events import Events
from printcrib.app.demo.shop import ZONE, DemoShop, make_demo_shop

ASKED_AT = ("07:12", "08:05", "09:30", "11:05", "13:20", "14:45", "15:50")
ASKED_A_DAY = (4, 5, 4, 4, 3, 4, 4, 4, 3, 4, 3, 3, 1)
"""How many requests come in on each day of the history before the story."""

REVIEW_DAY = -6
"""The release of the large jaw pad holds until then."""


@dataclass
class Life:
    """The demo shop with the people who live in it."""

    demo: DemoShop
    days: Days
    desk: Desk
    asking: Asking
    counting: Counting
    events: Events


def begin_life(folder: Path, present: datetime, seed: int = 7) -> Life:
    """Set up the demo shop on the eve of its three weeks.

    Args:
        present: the moment the history will lead up to.

    Raises:
        ShopError: there is a shop already, or the folder cannot be written.
    """
    days = Days.before(present, ZONE)
    demo = make_demo_shop(folder, SetClock(days.at(-HISTORY_DAYS, "06:20")), days.closed)
    desk = Desk(demo, days, seed)
    asking = Asking(desk)
    return Life(demo, days, desk, asking, Counting(desk), Events(desk, asking))


def live(life: Life, progress: Callable[[int], None] | None = None) -> None:
    """Live the history up to the evening before the story.

    Args:
        progress: told the number of each day that is over.
    """
    life.events.schedule()
    life.desk.later(life.days.at(-14, "10:10"), lambda: _release_for_a_while(life))
    life.desk.later(life.days.at(-7, "17:05"), life.counting.forget_one)
    life.desk.later(life.days.at(-5, "07:45"), life.counting.answer_one_question)
    for day in range(-HISTORY_DAYS, 0):
        schedule_counting(life, day)
    for number, count in enumerate(ASKED_A_DAY):
        day = number - HISTORY_DAYS
        _ask(life, day, ASKED_AT[:count])
        life.desk.until(life.days.at(day, "17:20"))
        if progress is not None:
            progress(day)


def schedule_counting(life: Life, day: int) -> None:
    """The morning and the evening of a day."""
    life.desk.later(life.days.at(day, "07:08"), life.counting.morning)
    life.desk.later(life.days.at(day, "16:48"), lambda: life.counting.evening(day))


def _ask(life: Life, day: int, walls: tuple[str, ...]) -> None:
    for wall in walls:
        life.desk.later(life.days.at(day, wall), lambda: _ask_one(life))


def _ask_one(life: Life) -> None:
    life.asking.put_and_accept(life.asking.usual())


def _release_for_a_while(life: Life) -> None:
    """The large jaw pad is released until a date, so that its release lapses within the history."""
    ask = life.asking.ask("jaw pad 125 x 45", by="Tarek", quantity=2, machine="Mill 1", hours=28)
    request = life.asking.put(ask)
    life.asking.accept(request.id)
    life.asking.review(request.id, until=life.days.at(REVIEW_DAY, "12:00"))
