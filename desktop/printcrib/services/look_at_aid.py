"""The page of one aid: its big count, its life, its next one, its history."""

import re
from dataclasses import dataclass

from printcrib.core.aids import Aid, UseEntry, UseKind
from printcrib.core.calendar import (
    moment_words,
)
from printcrib.core.errors import NotFound
from printcrib.core.patterns import CountedBy
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import Request
from printcrib.core.wear import NO_USAGE
from printcrib.services.due_reprints import OPEN_STATES, open_naming_none
from printcrib.services.forecast_aids import AidForecast, forecast_aids, read_books, two_figures
from printcrib.services.interfaces import Shop, UnitOfWork, among, is_
from printcrib.services.look_at_aids import AidRow, row_of

HISTORY = 40


@dataclass(frozen=True)
class HistoryLine:
    """One thing that happened to an aid."""

    when: str
    words: str
    who: str


@dataclass(frozen=True)
class AidPage:
    """Everything of one aid.

    Attributes:
        wears_words: "wears out at 470 to 790", "" while the shop has no guess.
        rate_words: "46 a working day"; spare_words: "1, shelf B2". likely_words: what the count is by
            now when nobody counted lately. reprint_tag: its open reprint ("R 214"), "" for none.
        can_count: the plus buttons make sense; why_not: else the sentence to show instead.
        maybe_id, maybe_tag: an open request for the same size and machine that names no aid, asked about
            while the aid has no reprint ("is it this one?"); None and "" for none.
    """

    aid: Aid
    row: AidRow
    limit: int | None
    wears_words: str
    rate_words: str
    likely_words: str
    spare_words: str
    reprint_id: int | None
    reprint_tag: str
    can_count: bool
    why_not: str
    history: tuple[HistoryLine, ...]
    maybe_id: int | None = None
    maybe_tag: str = ""


def look_at_aid(shop: Shop, aid_id: int) -> AidPage:
    """The page of one aid, with its history."""
    with shop.read() as uow:
        aid = uow.aids.get(aid_id)
        books = read_books(uow, aid.size_id)
        reprint = uow.requests.one(is_("replaces_aid_id", aid_id), among("state", OPEN_STATES))
        maybe = None if reprint else _maybe(uow, aid)
        history = _history(uow, aid, books.calendar.zone)
        shelf = uow.sizes.get(aid.size_id).shelf_place
    made = next((each for each in forecast_aids(books) if each.aid.id == aid_id), None)
    if made is None:
        raise NotFound(f"{aid.tag} is no longer in service ({aid.retired_reason})", "Check the tag.")
    why_not = _why_not_counted(made)
    return AidPage(
        aid=made.aid,
        row=row_of(made, books.now, books.calendar.zone),
        limit=made.limit,
        wears_words=_wears_words(made),
        rate_words=_rate_words(made),
        likely_words=_likely_words(made),
        spare_words=f"{made.spares}, {shelf}" if made.spares and shelf else str(made.spares),
        reprint_id=reprint.id if reprint else None,
        reprint_tag=reprint.tag if reprint else "",
        can_count=not why_not,
        why_not=why_not,
        history=history,
        maybe_id=maybe.id if maybe else None,
        maybe_tag=maybe.tag if maybe else "",
    )


def _maybe(uow: UnitOfWork, aid: Aid) -> Request | None:
    """An open request that may be meant as the next one of this aid; never the one it came from."""
    found = open_naming_none(uow).get((aid.size_id, aid.machine_id))
    return None if found is None or found.id == aid.request_id else found


def _wears_words(made: AidForecast) -> str:
    if made.life is None:
        return ""
    wears_from, wears_to = (two_figures(each) for each in made.life.wears_out)
    return f"wears out at {wears_from} to {wears_to}"


def _rate_words(made: AidForecast) -> str:
    if made.aid.counted_by is CountedBy.CALENDAR:
        return "by the calendar"
    if made.rate is None:
        return NO_USAGE
    per_day = made.rate.per_day
    words = f"{per_day:.0f} a working day" if per_day >= 9.5 else f"{per_day:.1f} a working day"
    return f"{words}, assumed" if made.rate.assumed else words


def _likely_words(made: AidForecast) -> str:
    if made.rate is None or not made.rate.assumed:
        return ""
    return f"about {made.band.likely:.0f} by now, nobody counted for {made.rate.unknown_days} working days"


def _why_not_counted(made: AidForecast) -> str:
    if made.aid.counted_by is CountedBy.CALENDAR:
        return "Counted by the calendar; there is nothing to enter."
    if made.aid.counted_by is CountedBy.READING:
        where = made.machine.name if made.machine else "its machine"
        return f"Counted by the part counter of {where}."
    return "" if made.aid.in_use_since else "Never handed out yet."


_SAID = {
    UseKind.READING: "by the part counter",
    UseKind.PARTS: "by parts made",
    UseKind.ADD: "counted",
    UseKind.CORRECTION: "corrected",
    UseKind.SAME_AS_USUAL: "same as usual, assumed",
    UseKind.OPPOSED: "undone",
}


def _history(uow: UnitOfWork, aid: Aid, zone: str) -> tuple[HistoryLine, ...]:
    """What happened to an aid, newest first: its counts and what was done with it."""
    people = {person.id: person.name for person in uow.people.find()} | {THE_TOOL: "the tool"}
    entries = uow.use_entries.find(is_("aid_id", aid.id), newest_first=True, limit=HISTORY)
    changes = uow.changes.of_thing("aids", aid.id, limit=HISTORY)
    lines = [(each.happened_at, each.who_id, _entry_words(each)) for each in entries]
    lines += [(each.happened_at, each.who_id, each.verb) for each in changes]
    lines.sort(key=lambda line: line[0], reverse=True)
    return tuple(
        HistoryLine(moment_words(uow.now, when, zone), words, people.get(who, ""))
        for when, who, words in lines[:HISTORY]
    )


def _entry_words(entry: UseEntry) -> str:
    return f"{entry.amount:+d} {_SAID[entry.kind]}"


def aid_by_tag(shop: Shop, scanned: str) -> int:
    """The key of the aid whose tag was scanned or typed: "T-0412", "t412", "412".

    A tag may also hold the address of its count page; then its last word is the tag.

    Raises:
        NotFound: no aid has that tag, or it is void.
    """
    match = re.fullmatch(r"\s*(?:\S*[/=])?(?:[tT]\s*-?\s*)?0*(\d{1,9})/?\s*", scanned)
    with shop.read() as uow:
        aid = uow.aids.one(is_("number", int(match.group(1)))) if match else None
    if aid is None:
        raise NotFound(f'No aid has the tag "{scanned.strip()}"', "Scan it again or type its number.")
    return aid.id
