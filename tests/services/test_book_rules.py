"""What the books point at, what they hold once, and how people call their lines."""

from datetime import UTC, datetime

import pytest

from printcrib.core.aids import Aid, AidState
from printcrib.core.people import Person
from printcrib.core.requests import Copy, CopyState, Hold, HoldKind, Request
from printcrib.core.runs import Run
from printcrib.core.shop import ClosedDay
from printcrib.services.book_rules import ONCE_ONLY, called, no_such, points_at, stale

RULES = {rule.name: rule for rule in ONCE_ONLY}


def test_what_a_key_points_at() -> None:
    assert points_at("requests", "asker_id") == "people"
    assert points_at("requests", "replaces_aid_id") == "aids"
    assert points_at("use_entries", "opposes_id") == "use_entries"
    assert points_at("requests", "words") is None


def _copy(state: CopyState, label: str = "7", size_id: int | None = 3, void: bool = False) -> Copy:
    return Copy(request_id=1, ordinal=1, size_id=size_id, label=label, state=state, void=void)


@pytest.mark.parametrize("state", CopyState)
def test_a_label_is_there_once_among_copies_under_way(state: CopyState) -> None:
    """Among copies that have not ended; a finished one carries it on its aid."""
    rule = RULES["uq_copies_label"]
    over = {"handed out", "shelved", "failed", "scrap", "cancelled"}
    assert rule.applies_to(_copy(state)) == (state.value not in over)
    assert not rule.applies_to(_copy(state, label=""))
    assert not rule.applies_to(_copy(state, size_id=None))
    assert not rule.applies_to(_copy(state, void=True))


def test_a_number_counts_even_when_undone() -> None:
    run = Run(number=32, printer_id=1, bore_um=400, void=True)
    assert RULES["uq_runs_number"].applies_to(run)
    assert not RULES["uq_runs_printer_busy"].applies_to(run)


def test_a_refusal_says_what_to_do() -> None:
    refusal = RULES["uq_printers_fitted_nozzle"].refusal()
    assert str(refusal) == "That nozzle is fitted on another printer. Take it off there first."


def test_a_retired_aid_gives_its_label_free() -> None:
    rule = RULES["uq_aids_label"]
    for state in AidState:
        aid = Aid(number=1, copy_id=1, request_id=1, size_id=1, label="7", state=state)
        assert rule.applies_to(aid) == (state is not AidState.RETIRED)


@pytest.mark.parametrize(
    ("table", "record", "words"),
    [
        ("requests", Request(number=214, asker_id=1, entered_by_id=1), "request R 214"),
        ("runs", Run(number=32, printer_id=1, bore_um=400, name=""), "run 32"),
        ("people", Person(name="Ann"), "person Ann"),
        ("copies", _copy(CopyState.WANTED), "copy 1"),
        ("closed_days", ClosedDay(day="2026-12-25"), "closed day 2026-12-25"),
        ("holds", Hold(request_id=1, kind=HoldKind.REVIEW), "this hold"),
    ],
)
def test_what_people_call_a_record(table: str, record: object, words: str) -> None:
    assert called(table, record) == words


def test_what_is_not_there_and_what_is_stale() -> None:
    assert str(no_such("spools", 9)) == "There is no spool 9. Check the number."
    error = stale(
        "people", Person(name="Ann"), "Ben", datetime(2026, 7, 1, 5, 40, tzinfo=UTC), "Europe/Vienna"
    )
    assert str(error) == (
        "Ben changed person Ann at 07:40 on 2026-07-01. Look at the new values, then press again."
    )
