"""The answer of each nozzle, side by side on one scale, as words and lengths. No Qt."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from printcrib.core.advice import Recommendation, loss_short, loss_words, recommend
from printcrib.core.calendar import moment_words
from printcrib.core.units import bore_text, duration_words, money_text
from printcrib.screens.requests.needed import needed_words
from printcrib.services.look_at_request import AdviceLine
from printcrib.services.say_when import NozzleAnswer

SUGGESTED, CHOSEN = "suggested", "chosen"


@dataclass(frozen=True, kw_only=True)
class NozzleColumn:
    """One nozzle's answer.

    Attributes:
        mark: SUGGESTED, CHOSEN or "". by: "13:40 today", "" when nobody knows; by_short: "13:40".
        where: the printer. cost: "1.95 EUR", "" without prices.
        late: "1 h late", "" in time. scale_to: minutes at the right end of every bar.
        allowed: whether it may be used. why_not: why it is not used or not planned, else "".
        lost: what it does to features, in few words; lost_words: in a whole sentence.
    """

    bore_um: int
    nozzle: str
    minutes: str
    grams: str
    likely: float
    at_most: float
    scale_to: float
    allowed: bool = True
    mark: str = ""
    by: str = ""
    by_short: str = ""
    where: str = ""
    cost: str = ""
    late: str = ""
    why_not: str = ""
    lost: str = ""
    lost_words: str = ""

    @property
    def words(self) -> str:
        """All of it for a screen reader, and for the line under the title."""
        cost = f", {self.cost}" if self.cost else ""
        said = f"on {self.nozzle} about {self.minutes}, {self.grams}{cost}"
        if self.lost_words:
            said += f", {self.lost_words}"
        if self.why_not:
            return f"{said}; {self.why_not}"
        if not self.by:
            return said
        late = f", {self.late}" if self.late else ""
        return f"{said}; can be ready by {self.by}{late}"


def columns_of(
    answers: Sequence[NozzleAnswer],
    *,
    now: datetime,
    zone: ZoneInfo,
    printers: Mapping[int, str],
    chosen_um: int | None = None,
    how_fine: str = "",
    currency: str = "",
    when: bool = True,
    advice: AdviceLine | None = None,
) -> tuple[NozzleColumn, ...]:
    """Columns to show, smallest nozzle first.

    Args:
        chosen_um: the desk's choice; None lets the tool suggest one.
        when: whether to say by when; a done request has no such time.
        advice: what each nozzle loses, once somebody looked.
    """
    told = recommended(answers, advice)
    best = told.bore_um if told else suggested_um(answers)
    fits = advice.fits if advice else {}
    threads = advice.threads if advice else ()
    scale_to = max((each.at_most_minutes for each in answers), default=0.0) * 1.04
    columns = []
    for each in answers:
        mark = CHOSEN if each.bore_um == chosen_um else ""
        if when and chosen_um is None and each.bore_um == best:
            mark = SUGGESTED
        fit = fits.get(each.bore_um)
        columns.append(
            NozzleColumn(
                bore_um=each.bore_um,
                nozzle=bore_text(each.bore_um),
                minutes=each.minutes_words,
                grams=each.grams_words,
                likely=each.least_minutes,
                at_most=each.at_most_minutes,
                scale_to=scale_to,
                allowed=each.allowed,
                mark=mark,
                by=needed_words(now, each.ready, zone) if when and each.ready else "",
                by_short=moment_words(now, each.ready, zone.key) if when and each.ready else "",
                where=f"on {printers[each.printer_id]}" if each.printer_id in printers else "",
                cost=_cost(each, currency),
                late=f"{duration_words(each.late_minutes)} late" if when and each.late_minutes else "",
                why_not=_why_not(each, how_fine, when),
                lost=loss_short(fit, threads) if fit else "",
                lost_words=loss_words(fit, threads) if fit else "",
            )
        )
    return tuple(columns)


def _cost(answer: NozzleAnswer, currency: str) -> str:
    if answer.cost_thousandths is None:
        return ""
    return f"{money_text(answer.cost_thousandths)} {currency}".strip()


def recommended(answers: Sequence[NozzleAnswer], advice: AdviceLine | None) -> Recommendation | None:
    """The nozzle that loses nothing and is done soonest of those that may be used, and why."""
    if advice is None:
        return None
    allowed = [each for each in answers if each.allowed]
    planned = [each for each in allowed if each.ready is not None] or allowed
    soonest = {
        each.bore_um: each.ready.timestamp() / 60 if each.ready else each.likely_minutes for each in planned
    }
    fits = [advice.fits[each.bore_um] for each in answers if each.bore_um in advice.fits]
    return recommend(fits, advice.threads, soonest, tuple(soonest))


def suggested_um(answers: Sequence[NozzleAnswer]) -> int | None:
    """The nozzle that is ready soonest of those that may be used, the quicker one of equals."""
    allowed = [each for each in answers if each.allowed]
    planned = [each for each in allowed if each.ready is not None] or allowed
    best = min(
        planned,
        key=lambda each: (each.ready.timestamp() if each.ready else 0.0, each.likely_minutes),
        default=None,
    )
    return best.bore_um if best else None


def marked(columns: Sequence[NozzleColumn]) -> NozzleColumn | None:
    """The column that stands for the answer: chosen, else suggested."""
    return next((column for column in columns if column.mark), None)


def _why_not(answer: NozzleAnswer, how_fine: str, when: bool) -> str:
    if not answer.allowed:
        return f"not for {how_fine}" if how_fine else "not allowed"
    return answer.why_not if when and answer.ready is None else ""
