"""The presenter of the place, with a page that only remembers; no application is needed."""

from dataclasses import dataclass, field

import pytest
from tests.screens.aids.shop import AtAids, at_aids

from printcrib.core.aids import AidState, RetireReason
from printcrib.core.errors import ShopError
from printcrib.core.patterns import CountedBy
from printcrib.core.requests import CopyState
from printcrib.screens.aids.presenter import AidsPresenter, Gone, Seen
from printcrib.services.ask_weekly import Question
from printcrib.services.count_use import CounterLower
from printcrib.services.hand_out_aid import To
from printcrib.services.look_at_aid import AidPage
from printcrib.services.look_at_copies import look_at_copies
from printcrib.services.look_at_counters import MachineCounter, look_at_counters
from printcrib.services.look_at_hand_out import HandOutChoices


@dataclass
class Page:
    """Remembers what it was told to show."""

    seen: list[Seen] = field(default_factory=list)
    chosen: int | None = None
    aid: AidPage | None = None
    gone: Gone | None = None
    found: list[int] = field(default_factory=list)
    scan_errors: list[str] = field(default_factory=list)
    choices: list[HandOutChoices] = field(default_factory=list)
    counters: list[tuple[tuple[MachineCounter, ...], int | None]] = field(default_factory=list)
    resets: list[CounterLower] = field(default_factory=list)
    questions: list[tuple[Question, ...]] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)
    closed: int = 0
    presses: int = 0

    @property
    def shown_id(self) -> int | None:
        """Key of the aid shown in full."""
        return None if self.aid is None else self.aid.aid.id

    def show_seen(self, seen: Seen, chosen: int | None) -> None:
        self.seen.append(seen)
        self.chosen = chosen

    def show_aid(self, page: AidPage | None, gone: Gone | None) -> None:
        self.aid, self.gone = page, gone

    def show_found(self, aid_id: int) -> None:
        self.found.append(aid_id)

    def scan_refused(self, error: ShopError) -> None:
        self.scan_errors.append(str(error))

    def ask_hand_out(self, choices: HandOutChoices) -> None:
        self.choices.append(choices)

    def ask_counter(self, counters: tuple[MachineCounter, ...], machine_id: int | None) -> None:
        self.counters.append((counters, machine_id))

    def ask_reset(self, error: CounterLower) -> None:
        self.resets.append(error)

    def ask_questions(self, questions: tuple[Question, ...]) -> None:
        self.questions.append(questions)

    def show_refusal(self, error: ShopError) -> None:
        self.refusals.append(str(error))

    def close_question(self) -> None:
        self.closed += 1

    def pressed(self) -> None:
        self.presses += 1


@pytest.fixture
def at() -> AtAids:
    return at_aids()


@pytest.fixture
def page() -> Page:
    return Page()


@pytest.fixture
def place(at: AtAids, page: Page) -> AidsPresenter:
    return AidsPresenter(at.standing, page)


class TestChoosing:
    def test_at_first_the_most_urgent_one_is_chosen(
        self, at: AtAids, page: Page, place: AidsPresenter
    ) -> None:
        place.load()
        assert (page.chosen, page.aid) == (None, None)
        one = at.counted_by(CountedBy.ADD)
        place.load()  # it was read before: nothing is chosen by itself any more
        assert (page.chosen, page.aid) == (None, None)
        again = AidsPresenter(at.standing, page)
        again.load()
        assert page.chosen == one
        assert page.shown_id == one

    def test_another_one_is_chosen_and_stays_over_a_refresh(
        self, at: AtAids, page: Page, place: AidsPresenter
    ) -> None:
        at.counted_by(CountedBy.ADD)
        two = at.counted_by(CountedBy.ADD, "Mill 2")
        place.load()
        place.choose(two)
        place.choose(two)
        assert page.shown_id == two
        place.load()
        assert page.chosen == two
        place.choose(None)
        assert page.shown_id is None

    def test_a_place_leads_here(self, at: AtAids, page: Page, place: AidsPresenter) -> None:
        at.counted_by(CountedBy.ADD)
        two = at.counted_by(CountedBy.ADD, "Mill 2")
        place.go_to(two)
        assert page.shown_id == two
        place.acts.retire(two, RetireReason.BROKEN)
        place.go_to(two)
        assert page.chosen is None
        assert "no longer in service (broken)" in at.messages.problems[-1]

    def test_one_that_left_meanwhile_is_said(self, at: AtAids, page: Page, place: AidsPresenter) -> None:
        one = at.counted_by(CountedBy.ADD)
        place.load()
        place.acts.retire(one, RetireReason.LOST)
        place.choose(one)
        assert "no longer in service (lost)" in at.messages.problems[-1]
        assert place.chosen is None

    def test_what_concerns_the_place(self, place: AidsPresenter) -> None:
        assert place.concerns(frozenset({"use_entries"}))
        assert not place.concerns(frozenset({"spools"}))


class TestScanning:
    def test_a_tag_is_found(self, at: AtAids, page: Page, place: AidsPresenter) -> None:
        one = at.counted_by(CountedBy.ADD)
        place.scan("T-0001")
        place.take(one)
        assert page.found == [one, one]

    def test_words_choose_what_they_found_first(self, at: AtAids, page: Page, place: AidsPresenter) -> None:
        one = at.counted_by(CountedBy.ADD)
        place.scan("lathe", one)
        assert page.found == [one]
        place.scan("T-0099")
        assert page.scan_errors == ['No aid has the tag "T-0099". Scan it again or type its number.']


class TestCounting:
    def test_a_count_is_said_and_taken_back(self, at: AtAids, page: Page, place: AidsPresenter) -> None:
        one = at.counted_by(CountedBy.ADD)
        place.acts.count(one, 10)
        assert at.messages.said[-1] == "Counted 10 on T-0001, now 10."
        assert (page.presses, page.closed) == (1, 1)
        at.undo()
        assert at.desk.count(one) == 0
        place.acts.count(one, 0)
        assert page.refusals[-1].startswith("0 cannot be counted")

    def test_it_was_really_earlier(self, at: AtAids, place: AidsPresenter) -> None:
        one = at.counted_by(CountedBy.ADD)
        at.desk.clock.move(hours=3)
        earlier = at.standing.now().replace(minute=0)
        place.acts.count(one, 10, earlier)
        with at.desk.shop.read() as uow:
            assert uow.use_entries.find()[-1].happened_at == earlier

    def test_a_count_is_corrected(self, at: AtAids, place: AidsPresenter) -> None:
        one = at.counted_by(CountedBy.ADD)
        place.acts.correct(one, 300)
        assert (at.desk.count(one), at.messages.said[-1]) == (300, "T-0001 stands at 300.")

    def test_a_counter_is_read_and_a_lower_one_asks(
        self, at: AtAids, page: Page, place: AidsPresenter
    ) -> None:
        one = at.counted_by(CountedBy.READING)
        place.ask_counter(at.desk.machine().id)
        (counters, machine_id) = page.counters[-1]
        assert machine_id == counters[0].machine_id
        place.acts.read_counter(counters[0], 1000)
        at.desk.clock.move(hours=1)
        place.acts.read_counter(counters[0], 1200)
        assert (at.desk.count(one), page.closed) == (200, 2)
        at.desk.clock.move(hours=1)
        place.acts.read_counter(counters[0], 30)
        assert (page.resets[-1].before, page.resets[-1].now, at.desk.count(one)) == (1200, 30, 200)
        place.acts.read_counter(counters[0], 30, was_reset=True)
        assert at.desk.count(one) == 230
        place.acts.read_counter(counters[0], -1)
        assert page.refusals[-1].startswith("-1 cannot be counted")


class TestMoving:
    def test_a_good_copy_becomes_an_aid_in_use(self, at: AtAids, page: Page, place: AidsPresenter) -> None:
        (copy,) = at.desk.ready(machine_id=at.desk.machine("Mill 2").id)
        place.load()
        (ready,) = page.seen[-1].ready
        assert ready.aid_id == copy.aid_id
        place.ask_hand_out(ready.aid_id or 0)
        assert page.choices[-1].machine_id == at.desk.machine("Mill 2").id
        place.acts.hand_out(ready.aid_id or 0, To(machine_id=page.choices[-1].machine_id), "Mill 2")
        assert at.desk.aid(ready.aid_id or 0).state is AidState.IN_USE
        assert at.messages.said[-1] == "T-0001 is in use at Mill 2."
        place.load()
        assert page.seen[-1].ready == ()

    def test_a_good_copy_is_shelved(self, at: AtAids, place: AidsPresenter) -> None:
        (copy,) = at.desk.ready()
        place.acts.shelve_copy(look_at_copies(at.desk.shop).ready[0])
        assert at.desk.copy(copy.id).state is CopyState.SHELVED
        assert at.messages.said[-1].endswith("is on the shelf, a spare.")

    def test_aside_checked_shelved(self, at: AtAids, page: Page, place: AidsPresenter) -> None:
        one = at.counted_by(CountedBy.ADD)
        place.acts.set_aside(one, " ")
        assert page.refusals[-1].startswith("Setting aside needs a reason")
        place.acts.set_aside(one, "cracked")
        place.acts.check(one, 700)
        assert (at.desk.aid(one).limit, at.desk.aid(one).state) == (700, AidState.IN_USE)
        place.acts.to_shelf(one, "B2")
        assert at.messages.said[-1] == "T-0001 is on the shelf, B2."

    def test_worn_out_and_printed_again(self, at: AtAids, page: Page, place: AidsPresenter) -> None:
        one = at.counted_by(CountedBy.ADD)
        other = at.counted_by(CountedBy.ADD, "Mill 2")
        place.choose(one)
        place.acts.retire(one, RetireReason.WORN_OUT)
        assert page.gone == Gone(one, "T-0001 is out of service: worn out.", "spindle stop 32 x 60")
        place.load()
        assert (page.chosen, page.aid) == (None, None)
        place.acts.print_another(one, page.gone.name)
        assert at.messages.said[-1] == "R 3 asks for another spindle stop 32 x 60."
        place.choose(other)
        assert page.gone is None

    def test_taken_back_it_is_chosen_again(self, at: AtAids, page: Page, place: AidsPresenter) -> None:
        one = at.counted_by(CountedBy.ADD)
        place.choose(one)
        place.acts.retire(one, RetireReason.WORN_OUT)
        at.undo()
        place.load()
        assert (page.chosen, page.gone) == (one, None)

    @pytest.mark.parametrize("yes", [True, False])
    def test_is_it_this_one(self, at: AtAids, place: AidsPresenter, yes: bool) -> None:
        one = at.counted_by(CountedBy.ADD)
        lathe = at.desk.machine().id
        own = at.desk.own.ask(file=None, size_id=at.desk.size.id, machine_id=lathe, safety_answers=())
        place.acts.this_one(one, "T-0001", own.id, own.tag, yes)
        assert (at.desk.own.request(own.id).replaces_aid_id == one) is yes
        first = own.tag if yes else "R 3"
        assert at.messages.said[-1].startswith(first)


class TestWeekly:
    def test_the_questions_are_answered_one_by_one(
        self, at: AtAids, page: Page, place: AidsPresenter
    ) -> None:
        aids = [at.counted_by(CountedBy.ADD) for _ in range(3)]
        place.acts.count(aids[0], 20)
        at.desk.clock.move(days=10)
        place.load()
        assert page.seen[-1].page.questions == 3
        place.ask_questions()
        first, second, third = page.questions[-1]
        place.acts.same_as_usual(first)
        place.acts.not_used(second)
        assert at.messages.said[-1] == "T-0002 was not used; the books know it now."
        assert [each.aid_id for each in page.questions[-1]] == [third.aid_id]
        place.acts.so_many(third, 35)
        assert len(page.questions[-1]) == 0
        assert at.desk.count(aids[2]) == 35

    def test_put_away_they_do_not_come_back_by_themselves(
        self, at: AtAids, page: Page, place: AidsPresenter
    ) -> None:
        at.counted_by(CountedBy.READING)
        at.desk.clock.move(days=10)
        place.ask_questions()
        place.questions_left()
        asked = len(page.questions)
        place.acts.read_counter(look_at_counters(at.desk.shop)[0], 10)
        assert (len(page.questions), page.closed) == (asked, 1)
