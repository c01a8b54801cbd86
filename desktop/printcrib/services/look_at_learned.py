"""Look at what the shop has learned: estimate and actual by printer and nozzle, odd prints named."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from printcrib.core.calendar import day_words, shop_day
from printcrib.core.estimating.learning import Learned, LoggedPrint
from printcrib.core.printers import FreshStart, Nozzle, Printer
from printcrib.core.units import between_words, bore_text, duration_words
from printcrib.services.estimate_task import bores_of
from printcrib.services.interfaces import UnitOfWork, is_
from printcrib.services.learn_times import (
    Logged,
    Taught,
    fresh_starts,
    read_taught,
)
from printcrib.services.look_at_requests import by_key
from printcrib.services.read_calendar import settings_of

AN_HOUR = 60.0
USUAL_START = 4.0
"""Minutes of a run that are its start, where no print tells."""
STEPS = 24


@dataclass(frozen=True, kw_only=True)
class LearnedPrint:
    """One logged print, for a picture.

    Attributes:
        run: its number. computed, took: minutes, before what was learned and as measured.
        odd: far off what the others say. words: what it took and what was likely.
    """

    run: int
    computed: float
    took: float
    odd: bool
    words: str


@dataclass(frozen=True, kw_only=True)
class LearnedLine:
    """What was learned of one printer with one nozzle, ready to show.

    Attributes:
        count, grams_count: prints whose minutes and whose grams count.
        minutes, start, grams: what was learned, "" where nothing.
        hour: likely and at most of a run computed at one hour. basis: what it rests on.
        prints: newest first. line: computed, likely and at-most minutes from left to right.
        since: when it was made to forget, "" where never. forget: what forgetting would do, "" where
            there is nothing to forget.
    """

    printer_id: int
    bore_um: int
    printer: str
    nozzle: str
    count: int
    grams_count: int
    minutes: str
    start: str
    grams: str
    hour: str
    basis: str
    prints: tuple[LearnedPrint, ...]
    line: tuple[tuple[float, float, float], ...]
    since: str
    forget: str


def learned_lines(uow: UnitOfWork, now: datetime) -> tuple[LearnedLine, ...]:
    """A line for every active printer and every nozzle it can have, by printer and bore."""
    printers = uow.printers.find(is_("active", True), order_by="name")
    nozzles = uow.nozzles.find(is_("retired", False))
    reading = _Reading(uow, now, printers)
    return tuple(reading.line(printer, bore) for printer in printers for bore in _bores(nozzles, printer))


def _bores(nozzles: tuple[Nozzle, ...], printer: Printer) -> tuple[int, ...]:
    return bores_of(nozzles, printer.id)


class _Reading:
    """One look: the runs, the fresh starts and what they teach."""

    def __init__(self, uow: UnitOfWork, now: datetime, printers: tuple[Printer, ...]) -> None:
        self.zone = settings_of(uow).zone
        self.year = shop_day(now, self.zone).year
        self.taught = read_taught(uow, (printer.id for printer in printers))
        self.starts: Mapping[tuple[int, int], FreshStart] = fresh_starts(uow)
        self.people = by_key(uow.people.find())

    def line(self, printer: Printer, bore: int) -> LearnedLine:
        """What was learned of one printer and bore."""
        taught = self.taught.of(printer.id, bore)
        minutes, grams = taught.minutes, taught.grams
        logged = self.taught.logged.get((printer.id, bore), Logged())
        return LearnedLine(
            printer_id=printer.id,
            bore_um=bore,
            printer=printer.name,
            nozzle=bore_text(bore),
            count=minutes.count,
            grams_count=grams.count,
            minutes=_off_words(minutes, "longer", "shorter"),
            start=_start_words(minutes),
            grams=_off_words(grams, "more", "less"),
            hour=hour_words(minutes),
            basis=_basis_words(minutes),
            prints=tuple(_print(each, minutes) for each in logged.minutes),
            line=_line(minutes, logged.minutes),
            since=self._since_words(self.starts.get((printer.id, bore))),
            forget=_forget_words(taught),
        )

    def _day(self, moment: datetime) -> str:
        day: date = shop_day(moment, self.zone)
        return day_words(day, self.year)

    def _since_words(self, start: FreshStart | None) -> str:
        if start is None:
            return ""
        return f"Forgotten on {self._day(start.happened_at)} by {self.people[start.who_id].name}"


def _print(each: LoggedPrint, learned: Learned) -> LearnedPrint:
    took = duration_words(round(each.actual))
    likely = duration_words(round(learned.likely(each.estimate, each.once)))
    return LearnedPrint(
        run=each.key,
        computed=each.estimate,
        took=each.actual,
        odd=each.key in learned.odd,
        words=f"{took}, likely {likely}",
    )


def hour_words(learned: Learned) -> str:
    """How a run computed at one hour is said."""
    likely, at_most = learned.likely(AN_HOUR, USUAL_START), learned.at_most(AN_HOUR, USUAL_START)
    return between_words(likely, at_most)


def _off_words(learned: Learned, more: str, less: str) -> str:
    """How far the shop is off what is computed: "12 % longer", "as computed"."""
    percent = round(100 * (learned.factor - 1))
    if not learned.knows:
        return ""
    return f"{abs(percent)} % {more if percent > 0 else less}" if percent else "as computed"


def _start_words(learned: Learned) -> str:
    minutes = round(learned.start)
    if not learned.knows:
        return ""
    return f"{abs(minutes)} min {'longer' if minutes > 0 else 'shorter'}" if minutes else "as set"


def _basis_words(learned: Learned) -> str:
    if learned.count:
        return "from 1 print" if learned.count == 1 else f"from {learned.count} prints"
    return "by other nozzles" if learned.others else "nothing learned yet"


def _line(learned: Learned, prints: tuple[LoggedPrint, ...]) -> tuple[tuple[float, float, float], ...]:
    """Computed, likely and at-most minutes from short prints to the longest one, closer where short."""
    start = prints[0].once if prints else USUAL_START
    longest = max((each.estimate for each in prints), default=AN_HOUR) * 1.08
    shortest = max(min((each.estimate for each in prints), default=AN_HOUR) * 0.6, start + 1.0)
    steps = (shortest * (longest / shortest) ** (step / STEPS) for step in range(STEPS + 1))
    return tuple((at, learned.likely(at, start), learned.at_most(at, start)) for at in steps)


def _forget_words(taught: Taught) -> str:
    """What forgetting does, said before the press; "" where there is nothing to forget."""
    prints = max(taught.minutes.count, taught.grams.count)
    if not prints:
        return ""
    many = "1 print no longer counts" if prints == 1 else f"{prints} prints no longer count"
    return (
        f"{many}. An hour computed, now said as {hour_words(taught.minutes)}, is then said as the printer's"
        " other nozzles have it, or as computed. The plan is mended. Runs and grams booked stay as they are."
    )
