"""The change record: what it says, and that an edit of it shows."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from sqlalchemy import delete, insert, select, text, update
from tests.storage.conftest import Kept
from tests.storage.test_migrations import engine_of

from printcrib.core.people import Person
from printcrib.core.records import THE_TOOL
from printcrib.services.change_record import FIRST_HASH, from_json
from printcrib.services.press import Press
from printcrib.storage.tables import CHANGES

ANN = Person(name="Änn")


def _three_presses(books: Kept) -> Person:
    with books.write(Press(who_id=THE_TOOL, station="desk", once_key="a" * 32), "hire") as unit:
        ann = unit.people.add(ANN)
        unit.people.add(replace(ANN, name="Ben"))
        unit.commit()
    books.clock.move(minutes=1)
    really = datetime(2026, 11, 24, 5, 40, tzinfo=UTC)
    press = Press(who_id=ann.id, station="form", once_key="b" * 32, happened_at=really)
    with books.write(press, "rename") as unit:
        unit.people.save(replace(ann, name="Anna"))
        unit.commit()
    books.add("machines", _machine())
    return ann


def _machine() -> object:
    from printcrib.core.aids import Machine

    return Machine(name="VF-2")


def test_a_change_says_who_where_what_and_when(books: Kept) -> None:
    ann = _three_presses(books)
    with books.read() as unit:
        first, second, third, fourth = unit.changes.since(0)
        assert unit.changes.last_number() == 4
        assert unit.changes.faults() == ()
    assert [change.number for change in (first, second, third, fourth)] == [1, 2, 3, 4]
    assert [change.press_number for change in (first, second, third, fourth)] == [1, 1, 3, 4]
    assert [change.once_key for change in (first, second, third)] == ["a" * 32, None, "b" * 32]
    assert (first.who_id, first.station, first.verb, first.before) == (THE_TOOL, "desk", "hire", None)
    assert (third.who_id, third.station, third.verb) == (ann.id, "form", "rename")
    assert (third.thing, third.thing_id, third.thing_version) == ("people", ann.id, 2)
    assert (third.recorded_at, third.happened_at) == (
        datetime(2026, 11, 24, 6, 1, tzinfo=UTC),
        datetime(2026, 11, 24, 5, 40, tzinfo=UTC),
    )
    assert third.before is not None
    assert third.after is not None
    assert from_json(Person, third.before) == ann
    assert from_json(Person, third.after).name == "Anna"
    assert first.previous_hash == FIRST_HASH
    assert (second.previous_hash, third.previous_hash) == (first.hash, second.hash)


def test_changes_are_looked_up_by_press_by_thing_and_by_kind(books: Kept) -> None:
    ann = _three_presses(books)
    with books.read() as unit:
        changes = unit.changes
        assert [change.number for change in changes.since(2)] == [3, 4]
        assert [change.number for change in changes.since(0, limit=2)] == [1, 2]
        assert [change.number for change in changes.of_press(1)] == [1, 2]
        assert changes.of_press(2) == ()
        assert [change.number for change in changes.of_thing("people", ann.id)] == [3, 1]
        assert [change.number for change in changes.of_thing("people", ann.id, limit=1)] == [3]
        assert [change.number for change in changes.newest_of_each(("people",), limit=2)] == [3, 2]
        assert [change.number for change in changes.newest_of_each(("people", "machines"))] == [4, 3, 2, 1]
        assert changes.newest_of_each(()) == ()


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        (update(CHANGES).where(CHANGES.c.number == 2).values(who_id=1), {2: "altered"}),
        (update(CHANGES).where(CHANGES.c.number == 3).values(after="{}"), {3: "altered"}),
        (update(CHANGES).where(CHANGES.c.number == 4).values(hash="0" * 63 + "1"), {4: "altered"}),
        (delete(CHANGES).where(CHANGES.c.number == 2), {3: "what was between them is gone"}),
        (delete(CHANGES).where(CHANGES.c.number == 1), {2: "what was between them is gone"}),
    ],
)
def test_an_edit_of_the_trail_shows(database: Kept, statement: object, said: dict[int, str]) -> None:
    _three_presses(database)
    engine = engine_of(database)
    with engine.begin() as connection:
        connection.execute(statement)  # type: ignore[call-overload]
    engine.dispose()
    with database.read() as unit:
        faults = unit.changes.faults()
    for number, words in said.items():
        assert any(words in fault and f"Change {number} " in fault for fault in faults)


def test_two_changes_of_one_number_or_once_key_cannot_be(database: Kept) -> None:
    _three_presses(database)
    engine = engine_of(database)
    for column in ("number", "once_key", "hash"):
        with engine.connect() as connection, connection.begin() as transaction:
            row = dict(connection.execute(select(CHANGES).where(CHANGES.c.number == 1)).mappings().one())
            fresh = {"number": 99, "once_key": "c" * 32, "hash": "d" * 64}
            del fresh[column]
            with pytest.raises(Exception, match=r"(?i)unique"):
                connection.execute(insert(CHANGES), row | fresh)
            transaction.rollback()
    engine.dispose()


def test_refusing_a_float_that_is_no_number(books: Kept) -> None:
    from printcrib.core.materials import Material

    with books.write(Press(who_id=THE_TOOL), "test") as unit, pytest.raises(ValueError, match="no place"):
        unit.materials.add(Material(name="PLA", density=float("nan")))
    with books.read() as unit:
        assert unit.materials.count() == 0


def test_a_time_without_its_zone_is_refused(books: Kept) -> None:
    naive = datetime(2026, 11, 24, 6, 0)  # noqa: DTZ001 - on purpose
    with (
        books.write(Press(who_id=THE_TOOL), "test") as unit,
        pytest.raises(Exception, match="without its zone"),
    ):
        unit.people.add(replace(ANN, happened_at=naive))


def test_the_trail_is_read_without_the_program(database: Kept) -> None:
    """The stored text is plain JSON, so that another program can follow it."""
    _three_presses(database)
    engine = engine_of(database)
    with engine.connect() as connection:
        stored = connection.execute(text("SELECT after FROM changes WHERE number = 3")).scalar_one()
    engine.dispose()
    assert '"name":"Anna"' in stored
