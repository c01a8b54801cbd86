"""What the run sheet's time line shows, as frozen records: no planning types, only times and words."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

RunState = Literal["printing", "planned", "over"]
Spare = Literal["spare", "tight", "late"]


@dataclass(frozen=True)
class RunBlock:
    """One run of a printer.

    Attributes:
        key: the run's key, as `run_chosen` tells it.
        label: its number as people say it ("32").
        start, end: aware times; a printing run's end is the expected one.
        state: printing; planned; over (its planned end has passed, or it waits to be taken off).
        words: all of it in words, for a screen reader ("run 32, 10:02 to 15:05, nozzle 0.6, ASA grey").
    """

    key: int
    label: str
    start: datetime
    end: datetime
    state: RunState = "planned"
    words: str = ""


@dataclass(frozen=True)
class SetUp:
    """Hands-on time before a run: a nozzle swap is a tall ink block, anything else a small one."""

    start: datetime
    end: datetime
    swap: bool = False


@dataclass(frozen=True)
class NeededBy:
    """By when a run's copies are needed: a line from the run's end to a triangle.

    Attributes:
        ready: when the copies are ready. by: when they are needed.
        label: "R 214", "R 205 tight", "R 198, 1 h 32 late".
        state: spare, tight or late; late goes backwards in signal colour.
    """

    ready: datetime
    by: datetime
    label: str
    state: Spare = "spare"


@dataclass(frozen=True)
class FittedNozzle:
    """From when to when a nozzle is fitted; end None means on and on."""

    bore: str
    start: datetime
    end: datetime | None = None


@dataclass(frozen=True)
class Closed:
    """Hours in which nobody is in."""

    start: datetime
    end: datetime
    words: str = ""


@dataclass(frozen=True)
class LaneData:
    """One printer's three lanes."""

    printer: str
    runs: tuple[RunBlock, ...] = ()
    set_ups: tuple[SetUp, ...] = ()
    needed: tuple[NeededBy, ...] = ()
    nozzles: tuple[FittedNozzle, ...] = ()


@dataclass(frozen=True)
class TimeLineData:
    """The whole time line.

    Attributes:
        now: aware, in the shop's zone; its zone is the one hours are written in.
        lanes: one a printer. closed: shared by all.
    """

    now: datetime
    lanes: tuple[LaneData, ...] = ()
    closed: tuple[Closed, ...] = ()


@dataclass(frozen=True)
class Span:
    """The stretch of time in view, and its place on the widget.

    Attributes:
        start: time at the left edge. hours: how much is in view. left, width: px.
    """

    start: datetime
    hours: float
    left: float
    width: float

    def x(self, moment: datetime) -> float:
        """Where a moment stands, px."""
        return self.left + (moment - self.start).total_seconds() / 3600 * self.width / self.hours

    def cut(self, start: datetime, end: datetime) -> tuple[float, float] | None:
        """Left and right of a stretch of time, cut to the view; None when out of view."""
        left, right = self.x(start), self.x(end)
        if right < self.left or left > self.left + self.width:
            return None
        return max(left, self.left - 8), min(right, self.left + self.width + 8)
