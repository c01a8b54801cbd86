"""The whole demo in one call: set up, three weeks, the story, and the present."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from printcrib.app.demo.days import HISTORY_DAYS, present_of, real_now
from printcrib.app.demo.history import Life, begin_life, live
from printcrib.app.demo.present import Present
from printcrib.app.demo.shop import ZONE
from printcrib.app.demo.story import Story
from printcrib.app.demo.telling import Step, Told
from printcrib.core.runs import RunState
from printcrib.services.interfaces import is_


@dataclass(frozen=True)
class Whole:
    """The demo shop at its present.

    Attributes:
        before, after: how many of each kind of record there were before the story and are now.
    """

    life: Life
    told: Told
    before: dict[str, int]
    after: dict[str, int]


def make_whole_demo(
    home: Path,
    present: datetime | None = None,
    *,
    progress: Callable[[float], None] | None = None,
    begins: Callable[[dict[str, int]], None] | None = None,
    tell: Callable[[Step], None] | None = None,
) -> Whole:
    """Make the demo shop in a folder with everything in it; the caller closes `life.demo.wired`.

    Args:
        home: the shop's folder. present: the shop's now; None for the last weekday 09:42.
        progress: told the part done, 0 to 1. begins: told the counts when the story begins.
        tell: hears every step of the story.

    Raises:
        ShopError: there is a shop in the folder already, or it cannot be written.
    """
    life = begin_life(home, present or present_of(real_now(), ZONE))
    try:
        live(life, progress=lambda day: progress((day + HISTORY_DAYS) / HISTORY_DAYS) if progress else None)
        before = counts_of(life)
        if begins is not None:
            begins(before)
        to_come = Present(life)
        to_come.schedule()
        story = Story(life.desk, life.asking, tell or (lambda step: None))
        told = story.tell()
        story.print_week()
        to_come.arrive()
        if progress is not None:
            progress(1.0)
        return Whole(life, told, before, counts_of(life))
    except BaseException:
        life.demo.wired.close()
        raise


def counts_of(life: Life) -> dict[str, int]:
    """How many records there are of the kinds people ask about."""
    with life.demo.shop.read() as uow:
        return {
            "requests": uow.requests.count(),
            "open_requests": life.asking.open_count(),
            "runs": uow.runs.count(is_("state", RunState.TAKEN_OFF)),
            "failures": uow.failures.count(),
            "aids": uow.aids.count(),
            "use_entries": uow.use_entries.count(),
        }
