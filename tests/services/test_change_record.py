"""Records as JSON and the chain of hashes."""

from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta, timezone
from hashlib import sha256
from typing import Any

import pytest

from printcrib.core.people import Person, Role
from printcrib.core.runs import Plan, PlanLane, PlanSlot
from printcrib.services.change_record import (
    FIRST_HASH,
    canonical,
    chain_faults,
    chain_hash,
    codec_of,
    from_json,
    hashed_fields,
    to_json,
    whole_milliseconds,
)
from printcrib.services.interfaces import Change

MOMENT = datetime(2026, 11, 24, 6, 0, 0, 123_456, tzinfo=UTC)
PLAN = Plan(
    starts_at=MOMENT,
    lanes=(
        PlanLane(printer_id=1, slots=(PlanSlot(request_id=3, copy_ids=(4, 5), bore_um=400, pinned=True),)),
    ),
    unplanned=((7, "needs 770 min with nobody in"),),
)


def test_a_plan_becomes_plain_json_and_comes_back() -> None:
    values = to_json(PLAN)
    assert values["lanes"][0]["slots"][0]["copy_ids"] == [4, 5]
    assert values["starts_at"] == "2026-11-24T06:00:00.123+00:00"
    assert values["kept_by_id"] is None
    assert values["unplanned"] == [[7, "needs 770 min with nobody in"]]
    assert from_json(Plan, values) == replace(PLAN, starts_at=MOMENT.replace(microsecond=123_000))


def test_a_record_of_another_version_of_the_program_is_read() -> None:
    person = Person(name="Ann", roles=(Role.DESK,))
    values = to_json(person)
    del values["badge"]
    assert from_json(Person, values | {"hair": "brown"}) == person


def test_words_become_kinds_and_other_words_are_refused() -> None:
    assert to_json(Person(name="Ann", roles=("desk",)))["roles"] == ["desk"]  # type: ignore[arg-type]
    assert from_json(Person, to_json(Person(name="Ann"))).roles == (Role.MACHINIST,)
    with pytest.raises(ValueError, match="barber"):
        to_json(Person(name="Ann", roles=("barber",)))  # type: ignore[arg-type]


def test_times_are_utc_and_whole_milliseconds() -> None:
    local = datetime(2026, 11, 24, 7, 0, 0, 999_999, tzinfo=timezone(timedelta(hours=1)))
    assert whole_milliseconds(local) == datetime(2026, 11, 24, 6, 0, 0, 999_000, tzinfo=UTC)
    with pytest.raises(ValueError, match="without its zone"):
        whole_milliseconds(local.replace(tzinfo=None))


def test_a_dict_and_a_pair_keep_their_kinds() -> None:
    codec = codec_of(dict[str, float])
    assert codec.from_json(codec.to_json({"speed": 50})) == {"speed": 50.0}
    pair = codec_of(tuple[int, float])
    assert pair.from_json(pair.to_json((1, 2))) == (1, 2.0)
    assert (codec.many, pair.many, codec_of(int | None).many) == (True, True, False)
    with pytest.raises(ValueError, match="zip"):
        pair.to_json((1, 2, 3))


@pytest.mark.parametrize("hint", [complex, list[int], set[int], object()])
def test_other_types_have_no_place_in_a_record(hint: object) -> None:
    with pytest.raises(TypeError, match="no place in a record"):
        codec_of(hint)


def test_a_number_that_is_none_has_no_place_in_the_books() -> None:
    with pytest.raises(ValueError, match="inf has no place"):
        codec_of(float).to_json(float("inf"))


def test_the_hash_is_sha_256_over_the_one_before_and_the_canonical_text() -> None:
    """Checked with the plain library call, so that another program can follow the chain."""
    text = '{"a":1,"ü":[true,null,0.5]}'
    assert canonical({"ü": [True, None, 0.5], "a": 1}) == text
    wanted = sha256((FIRST_HASH + "\n" + text).encode("utf-8")).hexdigest()
    assert chain_hash(FIRST_HASH, {"ü": [True, None, 0.5], "a": 1}) == wanted


def _change(number: int, previous_hash: str) -> Change:
    change = Change(
        number=number,
        recorded_at=MOMENT,
        happened_at=MOMENT,
        who_id=1,
        station="desk",
        verb="hire",
        thing="people",
        thing_id=number,
        thing_version=1,
        press_number=1,
        before=None,
        after={"name": "Ann"},
        once_key=None,
        previous_hash=previous_hash,
        hash="",
    )
    return replace(change, hash=chain_hash(previous_hash, hashed_fields(change)))


def _chain(length: int) -> list[Change]:
    changes: list[Change] = []
    for number in range(1, length + 1):
        changes.append(_change(number, changes[-1].hash if changes else FIRST_HASH))
    return changes


def test_a_whole_chain_has_no_faults() -> None:
    assert list(chain_faults(_chain(5))) == []


@pytest.mark.parametrize(
    "name", [field.name for field in fields(Change) if field.name not in ("number", "hash")]
)
def test_every_altered_field_shows(name: str) -> None:
    changes = _chain(3)
    other: dict[str, Any] = {"recorded_at": MOMENT + timedelta(1), "happened_at": MOMENT + timedelta(1)}
    other |= {key: {"name": "Ben"} for key in ("before", "after")}
    other |= dict.fromkeys(("who_id", "thing_id", "thing_version", "press_number"), 99)
    changes[1] = replace(changes[1], **{name: other.get(name, "other")})
    assert any("Change 2 was altered" in fault for fault in chain_faults(changes))


def test_a_line_taken_out_or_put_in_shows() -> None:
    changes = _chain(4)
    assert list(chain_faults([*changes[:1], *changes[2:]])) == [
        "Change 3 follows change 1; what was between them is gone.",
        "Change 3 does not follow on from the one before it.",
    ]
    again = _change(2, FIRST_HASH)
    assert list(chain_faults([changes[0], again])) == ["Change 2 does not follow on from the one before it."]
