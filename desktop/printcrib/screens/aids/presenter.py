"""What the place "Aids in service" does: show, choose by a tag, ask what a press needs to know."""

from dataclasses import dataclass
from typing import Protocol

from printcrib.core.aids import Aid
from printcrib.core.errors import NotFound, ShopError
from printcrib.screens.aids.acts import AidActs
from printcrib.screens.aids.words import retired_words
from printcrib.screens.shell.standing import Standing
from printcrib.services.ask_weekly import Question, weekly_questions
from printcrib.services.count_use import CounterLower
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_aid import AidPage, aid_by_tag, look_at_aid
from printcrib.services.look_at_aids import AidsPage, look_at_aids
from printcrib.services.look_at_copies import ReadyCopy, look_at_copies
from printcrib.services.look_at_counters import MachineCounter, look_at_counters
from printcrib.services.look_at_hand_out import HandOutChoices, look_at_hand_out

CONCERNS = frozenset(
    {"aids", "use_entries", "machines", "machine_readings", "copies", "requests", "patterns", "sizes"}
    | {"releases", "estimates", "runs", "shifts", "closed_days"}
)


@dataclass(frozen=True)
class Gone:
    """The aid chosen until a moment ago, now out of service."""

    aid_id: int
    words: str
    name: str


@dataclass(frozen=True)
class Seen:
    """The place as it is now: the list, the good copies that wait to become aids in use, the chosen aid."""

    page: AidsPage
    ready: tuple[ReadyCopy, ...]
    aid: AidPage | None


def see(shop: Shop, chosen: int | None) -> Seen:
    """Read the place with one aid in full; none when it is not in service."""
    page = look_at_aids(shop)
    ready = [copy for copy in look_at_copies(shop).ready if copy.aid_id is not None]
    ready.sort(key=lambda copy: bool(copy.why_not))  # those that may go first
    known = any(row.aid_id == chosen for row in page.rows)
    return Seen(page, tuple(ready), look_at_aid(shop, chosen) if known and chosen is not None else None)


class AidsView(Protocol):
    """What the page can show and ask."""

    def show_seen(self, seen: Seen, chosen: int | None) -> None:
        """The list and the copies that wait; `chosen` is to be chosen in it."""
        ...

    def show_aid(self, page: AidPage | None, gone: Gone | None) -> None:
        """One aid in full, or none: then perhaps the one that just left service."""
        ...

    def show_found(self, aid_id: int) -> None:
        """The scanned tag was found."""
        ...

    def scan_refused(self, error: ShopError) -> None:
        """No aid in service has this tag; what was typed stays."""
        ...

    def ask_hand_out(self, choices: HandOutChoices) -> None:
        """Where an aid goes and how it is counted there."""
        ...

    def ask_counter(self, counters: tuple[MachineCounter, ...], machine_id: int | None) -> None:
        """What a part counter shows."""
        ...

    def ask_reset(self, error: CounterLower) -> None:
        """The counter shows less than before; was it reset?"""
        ...

    def ask_questions(self, questions: tuple[Question, ...]) -> None:
        """The weekly questions, or those that are left; none closes them."""
        ...

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, beside the answer; what was typed stays."""
        ...

    def close_question(self) -> None:
        """The question is answered."""
        ...

    def pressed(self) -> None:
        """A press is booked; "really at" goes back to now."""
        ...


class AidsPresenter:
    """Stands between the place and the use cases.

    Attributes:
        chosen: key of the aid shown in full. acts: books the presses.
    """

    def __init__(self, standing: Standing, view: AidsView) -> None:
        self._standing, self._view = standing, view
        self.acts = AidActs(standing, self)
        self.chosen: int | None = None
        self._shown: AidPage | None = None
        self._gone: Gone | None = None
        self._read_before = False
        self._asking = False

    def load(self) -> None:
        """Read the place; at first the most urgent aid is chosen."""
        chosen = self.chosen
        self._standing.look(lambda shop: see(shop, chosen), self._on_seen)

    def concerns(self, things: frozenset[str]) -> bool:
        """Whether a change shows here."""
        return bool(things & CONCERNS)

    def choose(self, aid_id: int | None) -> None:
        """Show one aid in full."""
        if aid_id == self.chosen and (aid_id is None or self._shown is not None):
            return
        self.chosen, self._read_before = aid_id, True
        if aid_id is None:
            self._show(None)
            return
        self._gone = None
        self._standing.look(lambda shop: look_at_aid(shop, aid_id), self._on_aid, failed=self._no_aid)

    def go_to(self, aid_id: int) -> None:
        """Another place led here."""
        self.chosen, self._gone, self._read_before = aid_id, None, True
        self._standing.look(lambda shop: see(shop, aid_id), self._on_led)

    def scan(self, typed: str, first_found: int | None = None) -> None:
        """A tag was scanned or typed; words that are no tag choose what they found first."""

        def missing(error: ShopError) -> None:
            if isinstance(error, NotFound) and first_found is not None:
                self._view.show_found(first_found)
            else:
                self._view.scan_refused(error)

        self._standing.look(
            lambda shop: look_at_aid(shop, aid_by_tag(shop, typed)).aid.id,
            self._view.show_found,
            failed=missing,
        )

    def take(self, aid_id: int) -> None:
        """An aid was pressed in the list of those found."""
        self._view.show_found(aid_id)

    def ask_hand_out(self, aid_id: int) -> None:
        """Begin to hand out an aid."""
        self._standing.look(lambda shop: look_at_hand_out(shop, aid_id), self._view.ask_hand_out)

    def ask_counter(self, machine_id: int | None = None) -> None:
        """Begin to read a part counter."""
        self._standing.look(look_at_counters, lambda counters: self._view.ask_counter(counters, machine_id))

    def ask_questions(self) -> None:
        """Begin to answer the weekly questions."""
        self._asking = True
        self._standing.look(weekly_questions, self._view.ask_questions)

    def questions_left(self) -> None:
        """The questions were put away."""
        self._asking = False

    def booked(self, result: object) -> None:
        """It is in the books."""
        self._view.pressed()
        self._view.close_question()

    def answered(self, result: object) -> None:
        """A weekly question is answered; those left are asked on."""
        self._view.pressed()
        if self._asking:
            self._standing.look(weekly_questions, self._view.ask_questions)
        else:
            self._view.close_question()

    def retired(self, aid: Aid) -> None:
        """An aid left service: it is no longer chosen, and nothing else is by itself."""
        name = self._shown.row.name if self._shown is not None else ""
        self.chosen, self._gone = None, Gone(aid.id, retired_words(aid), name)
        self._view.pressed()
        self._view.close_question()
        self._show(None)

    def refused(self, error: ShopError) -> None:
        """It was refused."""
        self._view.show_refusal(error)

    def counter_lower(self, error: CounterLower) -> None:
        """The counter shows less than before."""
        self._view.ask_reset(error)

    def _on_seen(self, seen: Seen) -> None:
        keys = [row.aid_id for row in seen.page.rows]
        if self._gone is not None and self._gone.aid_id in keys:  # taken back
            self.chosen, self._gone = self._gone.aid_id, None
        if self.chosen not in keys:
            self.chosen = keys[0] if keys and not self._read_before else None
        self._read_before = True
        self._view.show_seen(seen, self.chosen)
        if seen.aid is not None and seen.aid.aid.id == self.chosen:
            self._show(seen.aid)
        elif self.chosen is None:
            self._show(None)
        else:
            self._read_chosen(self.chosen)

    def _on_led(self, seen: Seen) -> None:
        led_to = self.chosen
        self._on_seen(seen)
        if led_to is not None and self.chosen is None:
            self._standing.look(lambda shop: look_at_aid(shop, led_to), self._on_aid, failed=self._no_aid)

    def _read_chosen(self, aid_id: int) -> None:
        self._standing.look(lambda shop: look_at_aid(shop, aid_id), self._on_aid, failed=self._no_aid)

    def _on_aid(self, page: AidPage) -> None:
        if page.aid.id == self.chosen:
            self._show(page)

    def _no_aid(self, error: ShopError) -> None:
        self.chosen = None
        self._show(None)
        self._standing.messages.problem(error)

    def _show(self, page: AidPage | None) -> None:
        self._shown = page
        self._view.show_aid(page, self._gone if page is None else None)
