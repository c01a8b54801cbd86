"""A request summed up from its copies."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from printcrib.core.asking import (
    Lateness,
    Timing,
    all_done,
    all_ready,
    lateness,
    missing_to_accept,
    needed_of,
    new_copies,
    quantity_of,
    ready_at,
    replaced,
    revision_after,
    standing,
    state_words,
)
from printcrib.core.requests import Copy, CopyState, Request, RequestState

NOW = datetime(2026, 11, 24, 6, 0, tzinfo=UTC)
REQUEST = Request(
    id=1, number=214, asker_id=2, entered_by_id=2, quantity=4, state=RequestState.ACCEPTED, size_id=9
)


def copies(*states: CopyState) -> list[Copy]:
    return [Copy(id=i, request_id=1, ordinal=i, state=state) for i, state in enumerate(states, 1)]


READY, WANTED, FAILED = CopyState.READY, CopyState.WANTED, CopyState.FAILED
OUT, SHELVED, CANCELLED, SCRAP = (
    CopyState.HANDED_OUT,
    CopyState.SHELVED,
    CopyState.CANCELLED,
    CopyState.SCRAP,
)


def test_the_state_is_said_in_the_words_of_the_shop() -> None:
    for state in (RequestState.DRAFT, RequestState.RAISED, RequestState.SENT_BACK, RequestState.WITHDRAWN):
        assert state_words(replace(REQUEST, state=state), []) == state.value
    assert state_words(REQUEST, copies(WANTED, WANTED, WANTED, WANTED)) == "accepted"
    assert state_words(REQUEST, copies(READY, OUT, WANTED, CopyState.PRINTING)) == "2 of 4 ready"
    assert state_words(REQUEST, copies(READY, READY, OUT, SHELVED)) == "4 of 4 ready"
    assert state_words(REQUEST, copies(OUT, SHELVED, OUT, CANCELLED)) == "done"
    assert state_words(REQUEST, []) == "accepted"


def test_a_failed_or_scrap_copy_counts_through_its_replacement() -> None:
    four = copies(OUT, OUT, OUT, FAILED)
    assert not all_done(REQUEST, four)
    again = [*four, Copy(id=5, request_id=1, ordinal=5, state=WANTED, replaces_id=4)]
    assert not all_done(REQUEST, again)
    assert state_words(REQUEST, again) == "3 of 4 ready"
    assert [copy.id for copy in standing(again)] == [1, 2, 3, 5]
    handed = [*four, replace(again[4], state=OUT)]
    assert all_done(REQUEST, handed)
    assert all_ready(REQUEST, handed)


def test_a_cancelled_replacement_leaves_its_copy_missing() -> None:
    four = [
        *copies(OUT, OUT, OUT, FAILED),
        Copy(id=5, request_id=1, ordinal=5, state=CANCELLED, replaces_id=4),
    ]
    assert not all_done(REQUEST, four)
    assert not all_ready(REQUEST, four)


def test_an_undone_copy_does_not_count() -> None:
    four = copies(OUT, OUT, OUT, OUT)
    assert not all_done(REQUEST, [*four[:3], replace(four[3], void=True)])


def test_ready_when_its_last_wanted_copy_is_ready() -> None:
    early, late = NOW - timedelta(hours=2), NOW - timedelta(hours=1)
    one, two = copies(READY, OUT)
    pair = replace(REQUEST, quantity=2)
    assert ready_at(pair, [replace(one, ready_at=early), replace(two, ready_at=late)]) == late
    assert ready_at(pair, [replace(one, ready_at=early), replace(two, state=WANTED)]) is None
    assert ready_at(pair, []) is None


def test_late_is_judged_when_the_last_wanted_copy_is_ready() -> None:
    needed = NOW
    assert lateness(None, None, NOW) == Lateness()
    assert lateness(needed, NOW + timedelta(minutes=80), NOW + timedelta(days=3)).words == "late 1 h 20 min"
    assert lateness(needed, NOW, NOW + timedelta(days=3)) == Lateness()
    assert lateness(needed, None, NOW + timedelta(minutes=5)).words == "late 5 min"
    assert lateness(needed, None, NOW + timedelta(seconds=5)).minutes == 1
    assert lateness(needed, None, NOW + timedelta(days=3)).words == "late 3 days"


def test_the_kept_plan_makes_it_late_or_at_risk_before_its_time() -> None:
    needed = NOW + timedelta(hours=4)
    hour = timedelta(hours=1)
    assert lateness(needed, None, NOW, needed - hour, needed).timing is Timing.FINE
    at_risk = lateness(needed, None, NOW, needed - hour, needed + hour)
    assert (at_risk.timing, at_risk.words, at_risk.minutes) == (Timing.AT_RISK, "at risk", 0)
    assert lateness(needed, None, NOW, needed + hour, needed + hour).words == "late 1 h 0 min"
    assert lateness(needed, NOW, NOW, needed - hour, needed + hour).timing is Timing.FINE


def test_program_ready_stands_in_for_needed_by() -> None:
    ready = NOW + timedelta(hours=3)
    assert needed_of(replace(REQUEST, program_ready_at=ready)) == ready
    assert needed_of(replace(REQUEST, program_ready_at=ready, needed_by=NOW)) == NOW
    assert needed_of(REQUEST) is None


def test_what_the_desk_still_lacks_is_named() -> None:
    assert missing_to_accept(REQUEST, None) == ("a model", "a material", "the safety answers")
    assert missing_to_accept(replace(REQUEST, material_id=1, safety_answers=()), 5) == ()


def test_new_copies_bring_a_request_up_to_its_quantity() -> None:
    fresh = new_copies(REQUEST)
    assert [(copy.ordinal, copy.size_id, copy.label) for copy in fresh] == [(n, 9, "") for n in (1, 2, 3, 4)]
    assert new_copies(REQUEST, copies(OUT, WANTED, READY, WANTED)) == ()
    two_more = new_copies(REQUEST, copies(OUT, FAILED, CANCELLED, WANTED))
    assert [(copy.ordinal, copy.replaces_id) for copy in two_more] == [(5, 2), (6, None)]
    called_off = [*copies(FAILED), Copy(id=2, request_id=1, ordinal=2, state=CANCELLED, replaces_id=1)]
    assert [copy.replaces_id for copy in new_copies(replace(REQUEST, quantity=1), called_off)] == [2]


def test_labelled_copies_get_one_copy_a_label() -> None:
    labelled = replace(REQUEST, labels=("A", "B"), quantity=1)
    assert quantity_of(labelled) == 2
    assert [copy.label for copy in new_copies(labelled)] == ["A", "B"]
    have = [
        Copy(id=1, request_id=1, ordinal=1, label="A", state=OUT),
        Copy(id=2, request_id=1, ordinal=2, label="B", state=FAILED),
    ]
    (again,) = new_copies(labelled, have)
    assert (again.label, again.ordinal, again.replaces_id) == ("B", 3, 2)


def test_a_replacement_keeps_label_and_size() -> None:
    copy = Copy(id=7, request_id=1, size_id=9, ordinal=2, label="B", state=SCRAP)
    again = replaced(copy, 5)
    assert (again.label, again.size_id, again.ordinal, again.replaces_id, again.state) == (
        "B",
        9,
        5,
        7,
        WANTED,
    )


@pytest.mark.parametrize(
    ("revision", "after"), [("", "A"), ("A", "B"), ("Z", "AA"), ("AZ", "BA"), ("ZZ", "AAA")]
)
def test_revision_letters_go_on(revision: str, after: str) -> None:
    assert revision_after(revision) == after
