"""What the Desk says: the step card, the side lists, moments for "free again at about"."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from printcrib.core.calendar import moment_words
from printcrib.core.running import Lost
from printcrib.core.units import duration_words, grams_words
from printcrib.services.find_next_steps import NextSteps, StepKind
from printcrib.services.look_at_copies import CopiesAtDesk
from printcrib.services.look_at_desk import DeskPrinter, DeskView

PressKind = Literal["take off", "start", "raise", "requests", "shop_settings"]
SideTone = Literal["second", "signal"]

FIRST_STEPS = (
    ("Raise a request", "who, what, by when"),
    ("Accept it", "it gets its place on the run sheet"),
    ("Start its run", "here, in one press"),
)
"""How work gets to the Desk, for a shop in which nothing is planned."""


@dataclass(frozen=True, kw_only=True)
class CardStep:
    """One operation on the card."""

    number: str
    words: str
    detail: str


@dataclass(frozen=True, kw_only=True)
class Card:
    """The step card as it reads.

    Attributes:
        press: what the large button does; press_words: what it says.
        other_words: the button for when it is not so simple ("Not all good"); "" for none.
        tells_time: whether "really at" belongs here.
    """

    title: str
    words: str
    steps: tuple[CardStep, ...]
    press: PressKind
    press_words: str
    other_words: str = ""
    tells_time: bool = False
    steps_at: NextSteps | None = None


@dataclass(frozen=True, kw_only=True)
class SideItem:
    """One line of the side column that leads somewhere.

    Attributes:
        place: id of the place, "" for what the Desk does itself. key: the record there.
    """

    icon: str
    name: str
    words: str
    tone: SideTone
    place: str
    key: int | None = None


@dataclass(frozen=True, kw_only=True)
class SideList:
    """One short list of the side column. nothing: what stands there when it is empty."""

    title: str
    items: tuple[SideItem, ...]
    nothing: str


def card_of(view: DeskView, serving: int | None) -> Card:
    """The card for the printer somebody chose to serve, else for the one that is due first."""
    chosen = next((p.steps for p in view.printers if p.printer.id == serving), None)
    steps = chosen or view.next
    if steps is not None:
        return _steps_card(view, steps)
    if not view.printers:
        return Card(
            title="Begin with a printer",
            words="Enter your printers with their nozzles, then your spools. Each gets its row here.",
            steps=_first("Enter printers", "with their nozzles", "Enter spools", "with grams left"),
            press="shop_settings",
            press_words="Set up\nthe shop",
        )
    return _idle_card(view)


def _first(*words: str) -> tuple[CardStep, ...]:
    pairs = zip(words[::2], words[1::2], strict=True)
    return tuple(
        CardStep(number=str(10 * place), words=said, detail=detail)
        for place, (said, detail) in enumerate(pairs, start=1)
    )


def _idle_card(view: DeskView) -> Card:
    steps = _first(*(words for pair in FIRST_STEPS for words in pair))
    if view.to_accept:
        one = view.to_accept == 1
        waiting = "1 request waits" if one else f"{view.to_accept} requests wait"
        return Card(
            title="Nothing to do at the printers",
            words=f"{waiting} to be accepted; then {'it gets its' if one else 'they get their'} place.",
            steps=steps,
            press="requests",
            press_words="See the\nrequests",
        )
    return Card(
        title="Nothing to do at the printers",
        words="No run is planned. This is how one gets here:",
        steps=steps,
        press="raise",
        press_words="Raise a\nrequest",
    )


def _steps_card(view: DeskView, steps: NextSteps) -> Card:
    due = steps.from_when <= view.now
    when = moment_words(view.now, steps.from_when, view.zone)
    words = steps.words if due else steps.words.replace("Start at once, for", "Late for")
    said = [words] if words else []
    if view.next is not None and view.next.printer_id != steps.printer_id:
        said.append(f"{view.next.printer_name} is due first")
    elif not said and not due:
        said.append("Nothing to do before that")
    take_off = steps.press is StepKind.TAKE_OFF
    return Card(
        title=f"Do next on {steps.printer_name}" if due else f"Next on {steps.printer_name} at {when}",
        words=" · ".join(said),
        steps=tuple(
            CardStep(number=str(step.number), words=step.words, detail=step.detail) for step in steps.steps
        ),
        press="take off" if take_off else "start",
        press_words=steps.press_words.replace(" run ", "\nrun ", 1),
        other_words="Not all good" if take_off else "Not as planned",
        tells_time=True,
        steps_at=steps,
    )


def side_lists(view: DeskView, copies: CopiesAtDesk) -> tuple[SideList, ...]:
    """Late or at risk, aids due, spools that will not last; before them what lies off the printers."""
    lists = [
        SideList(
            title="Late or at risk",
            nothing="Nothing",
            items=tuple(
                SideItem(
                    icon="problem" if each.is_late else "clock",
                    name=f"{each.tag} {each.name}".strip(),
                    words=each.words,
                    tone="signal" if each.is_late else "second",
                    place="requests",
                    key=each.request_id,
                )
                for each in view.at_risk
            ),
        ),
        SideList(
            title="Aids due",
            nothing="None this week",
            items=tuple(
                SideItem(
                    icon="aids",
                    name=each.name,
                    words=each.words,
                    tone="second",
                    place="aids",
                    key=each.aid_id,
                )
                for each in view.aids_due
            ),
        ),
        SideList(
            title="Spools that will not last",
            nothing="All will last",
            items=tuple(
                SideItem(
                    icon="spool_rack",
                    name=each.name,
                    words=each.words,
                    tone="signal",
                    place="spool_rack",
                    key=each.spool_id,
                )
                for each in view.not_lasting
            ),
        ),
    ]
    bench = _bench(copies)
    return tuple([bench, *lists] if bench is not None else lists)


def _bench(copies: CopiesAtDesk) -> SideList | None:
    if not copies.count:
        return None
    counts = (
        (len(copies.to_check), "to check"),
        (len(copies.to_finish), "to finish"),
        (len(copies.ready), "ready"),
    )
    said = [f"{count} {words}" for count, words in counts if count]
    item = SideItem(
        icon="run_sheet", name=said[0], words=", ".join(said[1:]) or "see to them", tone="second", place=""
    )
    return SideList(title="Off the printers", nothing="", items=(item,))


def fitting(lengths: Sequence[int], rows: int) -> tuple[int, ...]:
    """How many items of each list are shown in so many rows: one each first, then in turn."""
    shown = [min(1, length) for length in lengths]
    while sum(shown) < rows:
        short = [i for i, length in enumerate(lengths) if shown[i] < length]
        if not short:
            break
        at = min(short, key=lambda i: (shown[i], i))
        shown[at] += 1
    return tuple(shown)


def row_words(printer: DeskPrinter) -> str:
    """A printer's row in words, for a screen reader."""
    parts = [printer.printer.name, f"nozzle {printer.nozzle}" if printer.nozzle else "no nozzle"]
    spool = printer.spool
    if spool is None:
        parts.append("no spool")
    else:
        parts.append(f"{spool.words} {grams_left_words(printer, wide=True)}")
    run = printer.run
    if run is None:
        parts.append("free")
    else:
        parts += [f"run {run.number}", *(words for words in (run.name, run.side, run.below) if words)]
    parts += [f"next run {each.number} at {each.words}" for each in printer.next_runs if each.number]
    return ", ".join(parts)


def grams_left_words(printer: DeskPrinter, *, wide: bool) -> str:
    """ "310 g ± 36, 96 promised", "148 g, 60 short"."""
    spool = printer.spool
    if spool is None:
        return ""
    left = f"{round(spool.left_mg / 1000)} g"
    doubt = round(spool.half_band_mg / 1000)
    with_doubt = f"{left} ± {doubt}" if doubt else left
    if spool.short_mg:
        short = f"{max(1, round(spool.short_mg / 1000))} short"
        return f"{with_doubt if wide else left}, {short}"
    if wide and spool.promised_mg:
        return f"{with_doubt}, {round(spool.promised_mg / 1000)} promised"
    return with_doubt


def short_moment(words: str) -> str:
    """A moment for a narrow block: "Thu" for "Thu 07:04"; "later" for "Mon 30 Nov", which is not next Monday.

    The run sheet says the rest.
    """
    parts = words.split(" ")
    return words if len(parts) == 1 else parts[0] if len(parts) == 2 else "later"


def loss_words(lost: Lost) -> str:
    """What stopping a run loses, before the press."""
    minutes = duration_words(round(lost.minutes))
    return f"Stopped at {lost.percent:.0f} %, {grams_words(lost.mg)} and {minutes} would be lost."


def free_again_choices(
    now: datetime, closes_at: datetime | None, opens_next: datetime | None
) -> tuple[datetime, ...]:
    """Moments to choose from for "free again at about": round ones, the shift's end, the next opening.

    Args:
        now: the shop's wall time. closes_at: None when nobody is in.
    """
    start = _next_quarter(now)
    edges = [edge for edge in (closes_at, opens_next) if edge is not None and edge - now > _LEAST]
    found = [start + timedelta(minutes=minutes) for minutes in (30, 60, 120, 240)]
    found = [moment for moment in found if all(abs(moment - edge) > _NEAR for edge in edges)]
    return tuple(sorted({*found, *edges}))


_LEAST, _NEAR = timedelta(minutes=10), timedelta(minutes=15)


def _next_quarter(now: datetime) -> datetime:
    whole = now.replace(second=0, microsecond=0)
    return whole + timedelta(minutes=-whole.minute % 15)
