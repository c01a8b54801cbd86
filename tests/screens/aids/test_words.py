"""What the place says and offers; no application is needed."""

from dataclasses import replace

import pytest
from tests.screens.aids.shop import AtAids, at_aids

from printcrib.core.aids import AidState, RetireReason
from printcrib.core.errors import ShopError
from printcrib.core.patterns import CountedBy
from printcrib.screens.aids import words
from printcrib.screens.aids.forms import HandOutForm, first_form, machine_name, needs_answer, old_at, to_of
from printcrib.services.ask_weekly import Question
from printcrib.services.count_use import count_use, read_counter
from printcrib.services.hand_out_aid import To, hand_out_aid
from printcrib.services.look_at_aid import AidPage, look_at_aid
from printcrib.services.look_at_copies import ReadyCopy
from printcrib.services.look_at_hand_out import HandOutChoices, OldAid
from printcrib.services.set_aside_aid import back_to_shelf, check_aid, set_aside


@pytest.fixture
def at() -> AtAids:
    return at_aids()


def page(at: AtAids, aid_id: int) -> AidPage:
    return look_at_aid(at.desk.shop, aid_id)


class TestFace:
    @pytest.mark.parametrize("how", [CountedBy.ADD, CountedBy.PARTS])
    def test_what_people_count_has_plus_buttons(self, at: AtAids, how: CountedBy) -> None:
        assert words.face_of(page(at, at.counted_by(how))) == words.Face(True)

    def test_a_part_that_counts_twice_says_so(self, at: AtAids) -> None:
        shown = page(at, at.counted_by(CountedBy.PARTS))
        twice = replace(shown, aid=replace(shown.aid, uses_a_part=2))
        assert words.unit_words(shown.aid, "uses") == "uses"
        assert words.unit_words(twice.aid, "uses") == "uses, +1 is 2"

    def test_a_counter_is_read(self, at: AtAids) -> None:
        face = words.face_of(page(at, at.counted_by(CountedBy.READING)))
        assert (face.counts, face.act, face.words) == (
            False,
            "counter",
            "Counted by the part counter of Lathe 1.",
        )

    def test_a_calendar_needs_nothing(self, at: AtAids) -> None:
        face = words.face_of(page(at, at.counted_by(CountedBy.CALENDAR)))
        assert (face.counts, face.act) == (False, "")

    def test_one_set_aside_is_checked(self, at: AtAids) -> None:
        aid_id = at.counted_by(CountedBy.ADD)
        set_aside(at.desk.shop, at.desk.own.press(), aid_id, "cracked")
        face = words.face_of(page(at, aid_id))
        assert (face.words, face.bad, face.act) == ("Set aside: cracked.", True, "check")

    def test_a_spare_is_handed_out(self, at: AtAids) -> None:
        (copy,) = at.desk.ready()
        face = words.face_of(page(at, copy.aid_id or 0))
        assert (face.words, face.act) == ("Not used yet, it lies on the shelf.", "hand_out")
        aid_id = at.counted_by(CountedBy.ADD)
        back_to_shelf(at.desk.shop, at.desk.own.press(), aid_id, "B2")
        assert words.face_of(page(at, aid_id)).words == "Off its machine, it lies at B2."


class TestOffers:
    def test_in_use(self, at: AtAids) -> None:
        offered = [each.act for each in words.offers_of(page(at, at.counted_by(CountedBy.ADD)))]
        assert offered == ["hand_out", "aside", "check", "shelf", "correct", "history"]

    def test_set_aside_by_the_calendar(self, at: AtAids) -> None:
        aid_id = at.counted_by(CountedBy.CALENDAR)
        set_aside(at.desk.shop, at.desk.own.press(), aid_id, "cracked")
        assert [each.act for each in words.offers_of(page(at, aid_id))] == ["check", "shelf", "history"]

    def test_on_the_shelf_with_an_open_request(self, at: AtAids) -> None:
        aid_id = at.counted_by(CountedBy.ADD)
        lathe = at.desk.machine().id
        own = at.desk.own.ask(file=None, size_id=at.desk.size.id, machine_id=lathe, safety_answers=())
        first = words.offers_of(page(at, aid_id))[0]
        assert (first.act, first.words) == ("this_one", f"Is {own.tag} the next one?")


class TestSentences:
    def test_a_count(self, at: AtAids) -> None:
        counted = count_use(at.desk.shop, at.desk.own.press(), at.counted_by(CountedBy.ADD), 10).value
        assert words.counted_words(counted) == "Counted 10 on T-0001, now 10."
        assert words.corrected_words(counted) == "T-0001 stands at 10."
        by_parts = replace(counted, aid=replace(counted.aid, counted_by=CountedBy.PARTS, uses_a_part=2))
        assert words.counted_words(by_parts) == "Counted 5 parts made, 10 on T-0001, now 10."
        past = replace(counted, aid=replace(counted.aid, state=AidState.ASIDE, aside_why="past its limit"))
        assert words.counted_words(past).endswith("now 10. T-0001 is set aside, past its limit.")
        assert words.corrected_words(past).endswith("T-0001 is set aside, past its limit.")

    def test_a_reading(self, at: AtAids) -> None:
        at.counted_by(CountedBy.READING)
        shop, press, lathe = at.desk.shop, at.desk.own.press(), at.desk.machine().id
        first = read_counter(shop, press, lathe, 100).value
        assert words.reading_words(first, "Lathe 1").startswith("The counter of Lathe 1 stands at 100;")
        at.desk.clock.move(hours=1)
        taken = read_counter(shop, at.desk.own.press(), lathe, 101).value
        assert words.reading_words(taken, "Lathe 1") == "1 part on Lathe 1, counted on 1 aid."
        counted = taken.counted[0]
        aside = replace(counted, aid=replace(counted.aid, state=AidState.ASIDE))
        both = replace(taken, parts=40, counted=(counted, aside))
        assert words.reading_words(both, "Lathe 1") == (
            "40 parts on Lathe 1, counted on 2 aids. Set aside, past their limit: T-0001."
        )
        assert words.reading_words(replace(both, counted=()), "Lathe 1") == "40 parts on Lathe 1."

    def test_a_hand_out(self, at: AtAids) -> None:
        old = at.counted_by(CountedBy.ADD)
        (copy,) = at.desk.ready()
        lathe = at.desk.machine().id
        to = To(machine_id=lathe, swap_aid_id=old, old_reason=RetireReason.WORN_OUT)
        handed = hand_out_aid(at.desk.shop, at.desk.own.press(), copy.aid_id or 0, to).value
        said = words.handed_words(handed, "Lathe 1")
        assert said == "T-0002 is in use at Lathe 1. T-0001 is out of service: worn out."
        assert words.handed_words(replace(handed, old=None), "Lathe 1") == "T-0002 is in use at Lathe 1."
        assert handed.old is not None
        shelved = replace(handed, aid=None, old=replace(handed.old, retired_reason=None, place="B2"))
        assert (
            words.handed_words(shelved, "Lathe 1") == "It is in use at Lathe 1. T-0001 is on the shelf, B2."
        )

    def test_a_check(self, at: AtAids) -> None:
        aid_id = at.counted_by(CountedBy.ADD)
        aid = check_aid(at.desk.shop, at.desk.own.press(), aid_id, 700).value
        assert words.checked_words(aid) == "T-0001 is checked: limit 700, in use."
        shelved = replace(aid, state=AidState.SHELF)
        assert words.checked_words(shelved) == "T-0001 is checked: limit 700, on the shelf."
        assert words.shelved_words(shelved) == "T-0001 is on the shelf."

    def test_a_question(self) -> None:
        asked = Question(1, "T-0001", "stop", "parts since Tue?", 46)
        assert words.usual_words(asked) == "Same as usual: +46"
        assert words.usual_words(replace(asked, usual=None)) == ""
        assert words.questions_words(3) == "3 to answer"

    def test_numbers(self, at: AtAids) -> None:
        by_parts = page(at, at.counted_by(CountedBy.PARTS))
        assert words.number_words(by_parts) == ("How many parts more on T-0001?", "parts")
        added = page(at, at.counted_by(CountedBy.ADD))
        assert words.number_words(added)[1] == "clamp cycles"
        assert words.so_far(added)[1:3] == (
            ("Done so far", "0 clamp cycles"),
            ("To be checked at", "600 clamp cycles"),
        )
        at.desk.edit_pattern(expected_life=None)
        assert len(words.so_far(page(at, added.aid.id))) == 2


def ready(**told: object) -> ReadyCopy:
    base: dict[str, object] = {
        "copy_id": 1,
        "request_id": 2,
        "tag": "R 2/1",
        "name": "stop",
        "aid_id": 3,
        "aid_tag": "T-0003",
        "to": "Lathe 1",
        "needs_machine": False,
        "why_not": "",
    }
    return ReadyCopy(**{**base, **told})  # type: ignore[arg-type]


def test_a_ready_copy_says_where_it_goes() -> None:
    assert words.ready_words(ready()) == ("stop", "T-0003 for Lathe 1", False)
    assert words.ready_words(ready(needs_machine=True))[1] == "T-0003, nobody said which machine"
    assert words.ready_words(ready(why_not="no release")) == ("stop", "T-0003 stays here: no release", True)


CHOICES = HandOutChoices(
    aid_id=9,
    tag="T-0009",
    name="stop",
    machines=((1, "Lathe 1"), (2, "Mill 2")),
    machine_id=1,
    moves=False,
    counted_by=CountedBy.READING,
    uses_a_part=2,
    unit="clamp cycles",
    old=(OldAid(5, "T-0005", 1), OldAid(6, "T-0006", 2)),
)


class TestForms:
    def test_what_is_known_is_filled_in(self) -> None:
        form = first_form(CHOICES)
        assert (form.machine_id, form.swap_id, form.uses_a_part) == (1, 5, 2)
        assert (form.asks_uses, form.asks_counter, needs_answer(form)) == (True, True, True)
        assert first_form(replace(CHOICES, moves=True)).swap_id is None
        assert first_form(replace(CHOICES, machine_id=None)).swap_id is None
        assert old_at(CHOICES, 2) == (OldAid(6, "T-0006", 2),)

    def test_the_answers_become_one_press(self) -> None:
        form = replace(first_form(CHOICES), becomes="broken", counter=1200)
        assert not needs_answer(form)
        assert to_of(form, CHOICES) == To(
            machine_id=1,
            counted_by=CountedBy.READING,
            uses_a_part=2,
            counter=1200,
            swap_aid_id=5,
            old_reason=RetireReason.BROKEN,
        )
        assert to_of(replace(form, becomes="shelf"), CHOICES).old_reason is None
        added = replace(form, counted_by=CountedBy.ADD, swap_id=None)
        assert to_of(added, CHOICES) == To(machine_id=1, counted_by=CountedBy.ADD, uses_a_part=2)

    def test_what_is_missing_is_said(self) -> None:
        with pytest.raises(ShopError, match="which machine T-0009 goes to"):
            to_of(HandOutForm(), CHOICES)
        with pytest.raises(ShopError, match="what becomes of T-0005"):
            to_of(first_form(CHOICES), CHOICES)
        assert machine_name(CHOICES, 2) == "Mill 2"
        assert machine_name(CHOICES, None) == "its machine"
