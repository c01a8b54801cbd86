"""The week of a print desk in figures: what was asked, printed, lost, and what is due next."""

from dataclasses import dataclass, field
from datetime import date, datetime

BY_HAND = "by hand"


@dataclass(frozen=True)
class RequestFigures:
    """What became of the requests.

    Attributes:
        came_in: raised in the week; by_the_tool: of these, reprints the tool raised.
        done: handed out, shelved or cancelled in the week.
        on_time, late: of those whose last copy got ready in the week and that had a needed-by.
        still_open_late: not ready, needed before the week's end.
        promises_kept, promises_judged: first promises to people, judged in the week.
    """

    came_in: int = 0
    by_the_tool: int = 0
    done: int = 0
    on_time: int = 0
    late: int = 0
    still_open_late: int = 0
    promises_kept: int = 0
    promises_judged: int = 0
    reviews_open: int = 0

    @property
    def ready(self) -> int:
        """Requests that got ready in the week and had a needed-by."""
        return self.on_time + self.late

    @property
    def on_time_percent(self) -> int | None:
        """Share ready on time, whole percent; None when there was none."""
        return round(100 * self.on_time / self.ready) if self.ready else None


@dataclass(frozen=True)
class NamedHours:
    """Printer hours of one printer or nozzle: together and by day, Monday first."""

    name: str
    hours: float
    by_day: tuple[float, ...]


@dataclass(frozen=True)
class HourFigures:
    """Printer hours that lie in the week, of runs taken off.

    Attributes:
        planned: the tool's estimate for the same stretch, runs by hand left out.
        by_hand: hours of runs by hand. by_printer: in order of the shop's printers.
        runs: taken off in the week. failed_runs: with a failure. not_taken_off: still on a printer.
    """

    printed: float = 0.0
    planned: float = 0.0
    by_hand: float = 0.0
    by_day: tuple[float, ...] = (0.0,) * 7
    by_printer: tuple[NamedHours, ...] = ()
    by_nozzle: tuple[NamedHours, ...] = ()
    runs: int = 0
    failed_runs: int = 0
    not_taken_off: int = 0

    @property
    def failed_percent(self) -> int | None:
        """Share of the runs with a failure, whole percent."""
        return round(100 * self.failed_runs / self.runs) if self.runs else None


@dataclass(frozen=True)
class GramsOf:
    """Filament of one spool or of one material, milligrams.

    Attributes:
        used: all that went through a nozzle, purge and scrap with it.
        purge: lost at changes. scrap: in copies that failed or nobody wanted. thrown_away: unused.
    """

    name: str
    used: int = 0
    purge: int = 0
    scrap: int = 0
    thrown_away: int = 0
    spools: tuple["GramsOf", ...] = ()


@dataclass(frozen=True)
class SwapFigures:
    """Nozzle swaps of the week.

    Attributes:
        made: really made. avoided: fewer than the same runs in the order they were asked for.
        minutes_avoided: by hand, at the shop's minutes a swap.
    """

    made: int = 0
    avoided: int = 0
    minutes_avoided: int = 0


@dataclass(frozen=True)
class CauseFigures:
    """What one cause cost: copies, filament (mg) and printer hours."""

    cause: str
    group: str
    copies: int
    runs: int
    mg: int
    hours: float


@dataclass(frozen=True)
class DueRow:
    """One aid whose next one is due: its name, where it is, its count and by when."""

    tag: str
    name: str
    where: str
    count: int
    expected: int | None
    unit: str
    needed_by: datetime | None
    words: str = ""


@dataclass(frozen=True)
class LowRow:
    """One material and colour below its minimum, milligrams.

    Attributes:
        tags: of its spools. doubt_mg: half the 90 % band. lasts_until: None when it is not used.
    """

    name: str
    tags: tuple[str, ...]
    left_mg: int
    doubt_mg: int
    minimum_mg: int
    lasts_until: date | None = None


@dataclass(frozen=True)
class RequestRow:
    """One request of the week for the list."""

    tag: str
    what: str
    asker: str
    copies: int
    needed_by: datetime | None
    ready_at: datetime | None
    state: str
    late: bool


@dataclass(frozen=True)
class RunRow:
    """One run taken off in the week for the list; minutes and milligrams."""

    number: int
    printer: str
    nozzle: str
    material: str
    what: str
    good: int
    failed: int
    planned_minutes: float | None
    minutes: float
    minutes_source: str
    mg: int
    grams_source: str


@dataclass(frozen=True)
class Remark:
    """Something in the week that is worth a look."""

    title: str
    words: str


@dataclass(frozen=True)
class Week:
    """One ISO week of the print desk, with the lists behind the figures.

    Attributes:
        week: "2026-W48". first, last: Monday and Sunday. made_at: when it was put together;
            aids due, spools low and reviews open are as of then.
        over: whether the week was over by then.
    """

    week: str
    first: date
    last: date
    made_at: datetime
    zone: str
    shop: str = ""
    over: bool = True
    requests: RequestFigures = RequestFigures()
    hours: HourFigures = HourFigures()
    grams: tuple[GramsOf, ...] = ()
    swaps: SwapFigures = SwapFigures()
    causes: tuple[CauseFigures, ...] = ()
    aids_due: tuple[DueRow, ...] = ()
    spools_low: tuple[LowRow, ...] = ()
    request_rows: tuple[RequestRow, ...] = ()
    run_rows: tuple[RunRow, ...] = ()
    remarks: tuple[Remark, ...] = field(default=())

    @property
    def used_mg(self) -> int:
        """All filament used in the week."""
        return sum(each.used for each in self.grams)

    @property
    def purge_mg(self) -> int:
        """Of it, lost at changes."""
        return sum(each.purge for each in self.grams)

    @property
    def scrap_mg(self) -> int:
        """Of it, in copies that failed."""
        return sum(each.scrap for each in self.grams)
