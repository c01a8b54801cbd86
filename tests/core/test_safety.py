"""The gate, releases and hand-out, over every one of the 2^10 answer sets."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import combinations, product

import pytest

from printcrib.core.cautions import CAUTIONS, LAST_WORD, cautions_for
from printcrib.core.errors import ShopError
from printcrib.core.materials import Material
from printcrib.core.people import Person, Role
from printcrib.core.releases import SizeRelease
from printcrib.core.requests import Purpose
from printcrib.core.safety import (
    ASKED_AS,
    QUESTIONS,
    accept_refusal,
    checked_answers,
    gate,
    hand_out_refusal,
    is_live,
    may_release,
    question_words,
    release_gap,
    united,
    unwritten,
)

NOW = datetime(2026, 11, 24, 6, 0, tzinfo=UTC)
EVERY_SET = tuple(ticked for count in range(11) for ticked in combinations(range(1, 11), count))

# The rule written down a second time, as the shop's own rule book has it: what a tick on each question
# does ("never" is not releasable, "hold" waits for a reviewer), and which copies it concerns.
NOT_RELEASABLE = {3, 4, 7}
WAIT_FOR_REVIEWER = {1, 2, 5, 6, 8, 9, 10}
CONCERNED = {"for use", "private"}

RELEASE = SizeRelease(
    id=1,
    size_id=1,
    model_id=11,
    answers=(),
    material_ids=(21, 22),
    bores_um=(400, 600),
    turn=4,
    machine_ids=(31,),
    reviewer_id=5,
    asker_id=6,
    valid_from=NOW - timedelta(days=1),
    until=NOW + timedelta(days=30),
)
PRINTED = {"model_id": 11, "material_id": 21, "bore_um": 600, "turn": 4, "machine_id": 31}
ANNA = Person(id=5, name="Anna", roles=(Role.REVIEWER,))
BERT = Person(id=6, name="Bert", roles=(Role.MACHINIST,))
LEA = Person(id=7, name="Lea", roles=(Role.LEAD,))


def may_be_handed_out(purpose: str, ticked: set[int], answered: bool, released: bool) -> bool:
    """The rule restated: try-fit and look-at copies always go out (marked); others only when the
    questions are answered, nothing ticked is never, and a release covers whatever waits for one."""
    if purpose not in CONCERNED:
        return True
    if not answered or ticked & NOT_RELEASABLE:
        return False
    return released if ticked & WAIT_FOR_REVIEWER else True


def test_the_ten_questions_are_asked_in_their_one_wording() -> None:
    assert ASKED_AS == "Will it do any of these, or might it?"
    assert [(question.id, question.words, question.class_.value) for question in QUESTIONS] == [
        (1, "turn with a spindle or chuck (or sit in one)", "hold"),
        (2, "hold or locate the work", "hold"),
        (3, "replace a guard or an interlock (or a cover against moving parts)", "never"),
        (4, "lift a load or a person", "never"),
        (5, "see pressure or vacuum", "hold"),
        (6, "get warmer than 45 C", "hold"),
        (7, "touch live parts, a safety circuit", "never"),
        (8, "leave the shop or be sold", "hold"),
        (9, "sit in coolant or oil under load", "hold"),
        (10, "accept or reject work", "hold"),
    ]


@pytest.mark.parametrize("purpose", list(Purpose))
def test_every_answer_set_is_handed_out_exactly_by_the_rule(purpose: Purpose) -> None:
    assert len(EVERY_SET) == 1024
    for ticked in EVERY_SET:
        due = gate(purpose, ticked, None)
        covering = replace(RELEASE, answers=ticked)
        for releases, released in (((), False), ((covering,), True)):
            refusal = hand_out_refusal(due, releases, **PRINTED, now=NOW)
            allowed = may_be_handed_out(purpose.value, set(ticked), True, released)
            assert (refusal is None) is allowed, (purpose, ticked, released, refusal)


@pytest.mark.parametrize("purpose", list(Purpose))
def test_unanswered_is_handed_out_only_to_try_or_look_at(purpose: Purpose) -> None:
    for ticked in EVERY_SET:
        due = gate(purpose, None, ticked)
        release = (replace(RELEASE, answers=ticked),)
        refusal = hand_out_refusal(due, release, **PRINTED, now=NOW)
        assert (refusal is None) is may_be_handed_out(purpose.value, set(ticked), False, True)


def test_the_gate_takes_the_union_of_request_and_pattern() -> None:
    for ticked in EVERY_SET:
        for pattern in ((), (2,), (3, 9), tuple(range(1, 11))):
            both = set(ticked) | set(pattern)
            due = gate(Purpose.PRIVATE, ticked, pattern)
            assert set(due.holds) == both & WAIT_FOR_REVIEWER
            assert set(due.never) == both & NOT_RELEASABLE
            assert due.answers == united(ticked, pattern) == tuple(sorted(both))


def test_who_may_release_is_exactly_the_rule_for_every_answer_set() -> None:
    """A named reviewer who is not the asker; the lead records somebody from outside; never is never."""
    outside_words = "Dr Ott, 2026-11-20: fine up to 2 bar"
    for ticked, answered in product(EVERY_SET, (True, False)):
        due = gate(Purpose.FOR_USE, ticked if answered else None, ticked)
        for person, asker_id, outside in product((ANNA, BERT, LEA), (5, 6, 7), ("", outside_words)):
            reviewer = person is ANNA and not outside
            lead_records = person is LEA and bool(outside)
            expected = (
                answered
                and not set(ticked) & NOT_RELEASABLE
                and person.id != asker_id
                and (reviewer or lead_records)
            )
            assert (may_release(person, asker_id, due, outside) is None) is expected


def test_a_reviewer_who_was_switched_off_releases_nothing() -> None:
    due = gate(Purpose.FOR_USE, (2,), None)
    assert isinstance(may_release(replace(ANNA, active=False), 6, due), ShopError)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"model_id": 12}, "the release is for another revision"),
        ({"material_id": 23}, "the release does not name this material"),
        ({"material_id": None}, "the release does not name this material"),
        ({"bore_um": 800}, "the release does not name this nozzle"),
        ({"turn": 0}, "it was released in another orientation"),
        ({"machine_id": 32}, "the release is for another machine"),
        ({"machine_id": None}, "the release is for another machine"),
        ({"answers": (2,)}, "the safety answers are not those released"),
        ({"answers": (2, 6, 9)}, "the safety answers are not those released"),
        ({"now": NOW + timedelta(days=30)}, "the release has run out"),
        ({"now": NOW - timedelta(days=2)}, "the release has not begun"),
        ({}, None),
    ],
)
def test_a_release_covers_only_what_it_names(changed: dict[str, object], words: str | None) -> None:
    release = replace(RELEASE, answers=(2, 6))
    asked = {**PRINTED, "answers": (2, 6), "now": NOW, **changed}
    assert release_gap(release, **asked) == words  # type: ignore[arg-type]


def test_a_release_without_machines_or_date_covers_any() -> None:
    release = replace(RELEASE, answers=(2,), machine_ids=(), until=None)
    asked = {**PRINTED, "machine_id": None, "answers": (2,), "now": NOW + timedelta(days=9999)}
    assert release_gap(release, **asked) is None  # type: ignore[arg-type]


def test_a_lapsed_or_undone_release_says_why_it_no_longer_holds() -> None:
    lapsed = replace(RELEASE, answers=(2,), lapsed_at=NOW, lapsed_by="taken back: too hot")
    asked = {**PRINTED, "answers": (2,), "now": NOW}
    assert release_gap(lapsed, **asked) == "the release no longer holds (taken back: too hot)"  # type: ignore[arg-type]
    assert release_gap(replace(RELEASE, void=True), **asked) == "the release no longer holds (undone)"  # type: ignore[arg-type]
    assert not is_live(lapsed, NOW)
    assert is_live(RELEASE, NOW)


def test_the_newest_gap_is_said_when_no_release_covers() -> None:
    due = gate(Purpose.FOR_USE, (2,), None)
    newest, older = replace(RELEASE, answers=(2,), model_id=12), replace(RELEASE, answers=(9,))
    refusal = hand_out_refusal(due, (newest, older), **PRINTED, now=NOW)
    assert refusal == "the release is for another revision"
    assert hand_out_refusal(due, (), **PRINTED, now=NOW) == "no reviewer has released it"


@pytest.mark.parametrize("purpose", list(Purpose))
def test_never_is_refused_at_accept_for_use_and_private_only(purpose: Purpose) -> None:
    for ticked in EVERY_SET:
        refused = accept_refusal(gate(purpose, ticked, None)) is not None
        assert refused is (purpose.value in CONCERNED and bool(set(ticked) & NOT_RELEASABLE))
    assert accept_refusal(gate(purpose, None, None)) is not None


def test_marks_on_traveller_and_tag() -> None:
    assert gate(Purpose.TRY_FIT, (3,), None).mark == "not for use"
    assert gate(Purpose.FOR_USE, (2,), None).mark == "not released"
    assert gate(Purpose.FOR_USE, None, None).mark == "not released"
    assert gate(Purpose.FOR_USE, (), None).mark == ""
    assert not gate(Purpose.LOOK_AT, (1, 2, 3), (4,)).needs_release


def test_limits_have_to_be_in_writing() -> None:
    turning, pressed = gate(Purpose.FOR_USE, (1,), None), gate(Purpose.FOR_USE, (5,), None)
    assert "top speed" in str(unwritten(turning, top_speed_rpm=None, pressure_limit=""))
    assert unwritten(turning, top_speed_rpm=3000, pressure_limit="") is None
    assert "limit" in str(unwritten(pressed, top_speed_rpm=None, pressure_limit=" "))
    assert unwritten(pressed, top_speed_rpm=None, pressure_limit="2 bar") is None


def test_answers_are_kept_in_order_and_checked() -> None:
    assert checked_answers([9, 2, 2]) == (2, 9)
    assert question_words((2, 4)) == "hold or locate the work; lift a load or a person"
    with pytest.raises(ShopError, match="no safety question 11"):
        checked_answers([11])


def test_cautions_follow_the_answers_the_material_and_the_topics() -> None:
    pla = Material(id=1, name="PLA", density=1.24, keep_below_c=45)
    petg = Material(id=2, name="PETG", density=1.27)
    words = [caution.words for caution in cautions_for((6,), pla, ("take out",))]
    assert "Keep PLA below 45 C; it softens near 55-60 C." in words
    assert "Keep PLA below 45 C." in words
    assert "Take covers, plugs and stops out before spindle or axis moves." in words
    assert cautions_for((), petg) == ()
    assert cautions_for((6,), petg) == cautions_for((6,))
    assert all(caution.in_full.endswith(f" {LAST_WORD}") for caution in CAUTIONS)
    assert all(caution.source for caution in CAUTIONS)
    asked = {answer for caution in CAUTIONS for answer in caution.questions}
    assert asked == set(range(1, 11)) - {8, 10}
