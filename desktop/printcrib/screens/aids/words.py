"""What the place says and offers, in plain words; no widgets."""

from dataclasses import dataclass

from printcrib.core.aids import Aid, AidState
from printcrib.core.patterns import CountedBy
from printcrib.services.ask_weekly import Question
from printcrib.services.count_use import Counted, ReadingTaken
from printcrib.services.hand_out_aid import HandedOut
from printcrib.services.look_at_aid import AidPage
from printcrib.services.look_at_copies import ReadyCopy

COUNTED_WORDS = {
    CountedBy.ADD: "+ buttons",
    CountedBy.PARTS: "Parts made",
    CountedBy.READING: "Part counter",
    CountedBy.CALENDAR: "Calendar",
}
"""How use can be counted, as it is offered when an aid is handed out."""

ASIDE_REASONS = ("Worn", "Cracked", "Does not fit", "Loose", "Wrong one")
"""Quick answers to what is wrong with an aid (common practice, no source)."""


@dataclass(frozen=True)
class Face:
    """What the chosen aid's card offers in its middle.

    Attributes:
        counts: the + buttons. words: else what to say there; bad: it is a warning.
        act, act_words: the one large button below the words, "" for none.
    """

    counts: bool
    words: str = ""
    bad: bool = False
    act: str = ""
    act_words: str = ""


def face_of(page: AidPage) -> Face:
    """The + buttons for what people count, else what to do instead."""
    aid = page.aid
    if aid.state is AidState.ASIDE:
        why = f": {aid.aside_why}" if aid.aside_why else ""
        return Face(False, f"Set aside{why}.", True, "check", "Check it")
    if aid.state is AidState.SHELF:
        used = "Off its machine" if aid.in_use_since else "Not used yet"
        where = "on the shelf" if page.row.where == "shelf" else f"at {page.row.where}"
        return Face(False, f"{used}, it lies {where}.", act="hand_out", act_words="Hand it out")
    if page.can_count:
        return Face(True)
    if aid.counted_by is CountedBy.READING:
        return Face(False, page.why_not, act="counter", act_words="Read the counter")
    return Face(False, page.why_not)


def unit_words(aid: Aid, unit: str) -> str:
    """The unit beside the count, and what +1 books where a part made counts more: "uses, +1 is 2"."""
    return f"{unit}, +1 is {aid.uses_a_part}" if _by_parts(aid) else unit


def _by_parts(aid: Aid) -> bool:
    return aid.counted_by is CountedBy.PARTS and aid.uses_a_part > 1


@dataclass(frozen=True)
class Offer:
    """One act of the panel "More": its id, words and icon."""

    act: str
    words: str
    icon: str = ""


def offers_of(page: AidPage) -> tuple[Offer, ...]:
    """What can be done with an aid besides counting, the ends last."""
    state, by = page.aid.state, page.aid.counted_by
    offers = []
    if page.maybe_tag:
        offers.append(Offer("this_one", f"Is {page.maybe_tag} the next one?", "handbook"))
    if state is not AidState.ASIDE:
        words = "Move, or count another way" if state is AidState.IN_USE else "Hand out to a machine"
        offers.append(Offer("hand_out", words, "forward"))
        offers.append(Offer("aside", "Set aside", "caution"))
    offers.append(Offer("check", "Checked, new limit", "done"))
    if state is not AidState.SHELF:
        offers.append(Offer("shelf", "Back to the shelf", "back"))
    if by is not CountedBy.CALENDAR:
        offers.append(Offer("correct", "Correct the count", "pencil"))
    offers.append(Offer("history", "History", "clock"))
    return tuple(offers)


ENDS = (
    Offer("lost", "Lost"),
    Offer("not needed", "Not needed"),
    Offer("replaced early", "Replaced early"),
)
"""Ways out of service besides worn out and broken, which stand on the card."""


def counted_words(counted: Counted) -> str:
    """ "Counted 10 on T-0412, now 340." """
    aid, amount = counted.aid, counted.entry.amount
    parts = amount // aid.uses_a_part
    made = f"{parts} part{'s' if parts != 1 else ''} made, " if _by_parts(aid) and amount else ""
    said = f"Counted {made}{amount} on {aid.tag}, now {counted.count}."
    return f"{said} {_aside_words(counted.aid)}" if counted.set_aside else said


def corrected_words(counted: Counted) -> str:
    """ "T-0412 stands at 340." """
    said = f"{counted.aid.tag} stands at {counted.count}."
    return f"{said} {_aside_words(counted.aid)}" if counted.set_aside else said


def _aside_words(aid: Aid) -> str:
    return f"{aid.tag} is set aside, {aid.aside_why}."


def reading_words(taken: ReadingTaken, machine: str) -> str:
    """What a reading of a part counter did."""
    if taken.parts is None:
        return f"The counter of {machine} stands at {taken.reading.counter}; counting goes on from there."
    parts = f"{taken.parts} {'part' if taken.parts == 1 else 'parts'} on {machine}"
    aids = len(taken.counted)
    on = f", counted on {aids} {'aid' if aids == 1 else 'aids'}" if aids else ""
    aside = [each.aid.tag for each in taken.counted if each.set_aside]
    more = f" Set aside, past their limit: {', '.join(aside)}." if aside else ""
    return f"{parts}{on}.{more}"


def handed_words(handed: HandedOut, machine: str) -> str:
    """Where an aid went and what became of the old one."""
    tag = handed.aid.tag if handed.aid else "It"
    said = f"{tag} is in use at {machine}."
    old = handed.old
    if old is None:
        return said
    return f"{said} {retired_words(old)}" if old.retired_reason else f"{said} {shelved_words(old)}"


def retired_words(aid: Aid) -> str:
    """ "T-0412 is out of service: worn out." """
    return f"{aid.tag} is out of service: {aid.retired_reason}."


def shelved_words(aid: Aid) -> str:
    """ "T-0412 is on the shelf, B2." """
    return f"{aid.tag} is on the shelf{f', {aid.place}' if aid.place else ''}."


def checked_words(aid: Aid) -> str:
    """ "T-0412 is checked: limit 700, on the shelf." """
    where = "in use" if aid.state is AidState.IN_USE else "on the shelf"
    return f"{aid.tag} is checked: limit {aid.limit}, {where}."


def usual_words(question: Question) -> str:
    """The button "same as usual" of a weekly question, "" where nobody ever counted."""
    return "" if question.usual is None else f"Same as usual: +{question.usual}"


def questions_words(count: int) -> str:
    """The button that opens the weekly questions."""
    return f"{count} to answer"


def ready_words(copy: ReadyCopy) -> tuple[str, str, bool]:
    """Two lines on a good copy that waits: what it is, where it goes; and whether it may not go."""
    if copy.why_not:
        return copy.name, f"{copy.aid_tag} stays here: {copy.why_not}", True
    if copy.needs_machine:
        return copy.name, f"{copy.aid_tag}, nobody said which machine", False
    return copy.name, f"{copy.aid_tag} for {copy.to}", False


def number_words(page: AidPage) -> tuple[str, str]:
    """Title and unit of the keypad that counts: parts made where parts are counted."""
    unit = "parts" if page.aid.counted_by is CountedBy.PARTS else page.row.unit
    return f"How many {unit} more on {page.row.tag}?", unit


def so_far(page: AidPage) -> tuple[tuple[str, str], ...]:
    """What a number is measured against: the aid, its count, its limit."""
    row = page.row
    facts = [(row.tag, row.name), ("Done so far", f"{row.count:,} {row.unit}")]
    if page.limit is not None:
        facts.append(("To be checked at", f"{page.limit:,} {row.unit}"))
    if page.wears_words:
        facts.append(("Wears out", page.wears_words.removeprefix("wears out ")))
    return tuple(facts)
