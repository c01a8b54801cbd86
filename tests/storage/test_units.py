"""A unit of work: all or nothing, in order, once."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from tests.storage.conftest import Kept

from printcrib.core.errors import NotFound, StaleEdit
from printcrib.core.people import Person, Role
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import Request
from printcrib.core.shop import Duty, ShopSettings
from printcrib.services.interfaces import AlreadyBooked, is_
from printcrib.services.press import Press

ANN = Person(name="Ann", roles=(Role.MACHINIST, Role.DESK))


def test_leaving_without_commit_keeps_nothing(books: Kept) -> None:
    with books.write(Press(who_id=THE_TOOL), "hire") as unit:
        unit.people.add(ANN)
        number = unit.next_number("request")
    with books.read() as unit:
        assert unit.people.find() == ()
        assert unit.changes.last_number() == 0
    with books.write(Press(who_id=THE_TOOL), "hire") as unit:
        assert unit.next_number("request") == number == 1


def test_an_error_inside_keeps_nothing(books: Kept) -> None:
    def hire_and_fail() -> None:
        with books.write(Press(who_id=THE_TOOL), "hire") as unit:
            unit.people.add(ANN)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        hire_and_fail()
    with books.read() as unit:
        assert unit.people.count() == 0


def test_what_was_committed_is_read_back_the_same(books: Kept) -> None:
    with books.write(Press(who_id=THE_TOOL), "hire") as unit:
        added = unit.people.add(ANN)
        assert unit.people.get(added.id) == added
        unit.commit()
    assert (added.version, added.recorded_at, added.happened_at) == (1, books.clock.now(), books.clock.now())
    with books.read() as unit:
        assert unit.people.find() == (added,)


def test_nobody_sees_what_is_not_committed(books: Kept) -> None:
    with books.write(Press(who_id=THE_TOOL), "hire") as unit:
        unit.people.add(ANN)
        with books.read() as other:
            assert other.people.count() == 0
        unit.commit()


def test_a_committed_unit_still_says_what_it_did_but_does_no_more(books: Kept) -> None:
    with books.write(Press(who_id=THE_TOOL), "hire") as unit:
        unit.people.add(ANN)
        unit.machine_readings.count()
        unit.commit()
        assert unit.changed == {"people"}
        assert unit.press_number == 1
        with pytest.raises(RuntimeError):
            unit.people.add(ANN)
        with pytest.raises(RuntimeError):
            unit.commit()
    assert unit.changed == {"people"}


def test_a_reading_unit_does_not_write(books: Kept) -> None:
    with books.read() as unit:
        assert unit.press.who_id == THE_TOOL
        for write in (lambda: unit.people.add(ANN), unit.commit, lambda: unit.next_number("run")):
            with pytest.raises(RuntimeError):
                write()


def test_a_second_writing_unit_inside_the_first_is_refused_at_once(books: Kept) -> None:
    with books.write(Press(who_id=THE_TOOL), "one") as unit:
        with pytest.raises(RuntimeError), books.write(Press(who_id=THE_TOOL), "two"):
            pass
        unit.people.add(ANN)
        unit.commit()
    with books.read() as reader:
        assert reader.people.count() == 1


def test_numbers_that_people_see_go_up_one_by_one_each_kind_for_itself(books: Kept) -> None:
    with books.write(Press(who_id=THE_TOOL), "count") as unit:
        assert [unit.next_number("run") for _ in range(3)] == [1, 2, 3]
        assert unit.next_number("aid") == 1
        with pytest.raises(KeyError):
            unit.next_number("rum")
        unit.commit()
    with books.write(Press(who_id=THE_TOOL), "count") as unit:
        assert unit.next_number("run") == 4


def test_the_same_press_twice_is_booked_once(books: Kept) -> None:
    press = Press(who_id=THE_TOOL)
    books.add("people", ANN)
    for _ in range(2):
        with books.write(press, "look") as unit:
            pass  # nothing was written, so nothing is booked
    with books.write(press, "hire") as unit:
        unit.people.add(replace(ANN, name="Ben"))
        unit.people.add(replace(ANN, name="Cem"))
        unit.commit()
    with pytest.raises(AlreadyBooked) as refusal, books.write(press, "hire"):
        pytest.fail("the press was let through")
    assert refusal.value.press_number == 2
    with books.read() as unit:
        assert unit.people.count() == 3


def test_a_press_may_tell_when_it_really_happened(books: Kept) -> None:
    earlier = datetime(2026, 11, 24, 4, 40, 0, 123_999, tzinfo=UTC)
    with books.write(Press(who_id=THE_TOOL, happened_at=earlier), "hire") as unit:
        assert unit.happened_at == earlier.replace(microsecond=123_000)
        ann = unit.people.add(ANN)
        ben = unit.people.add(replace(ANN, name="Ben", happened_at=earlier - timedelta(days=1)))
        unit.commit()
    assert ann.happened_at == earlier.replace(microsecond=123_000)
    assert ann.recorded_at == books.clock.now()
    assert ben.happened_at == earlier.replace(microsecond=123_000) - timedelta(days=1)


def test_an_edit_goes_up_one_version_and_keeps_when_it_was_first_written(books: Kept) -> None:
    ann = books.add("people", ANN)
    books.clock.move(hours=1)
    edited = books.save("people", replace(ann, name="Anna", recorded_at=books.clock.now()))
    assert (edited.version, edited.recorded_at) == (2, ann.recorded_at)
    with books.read() as unit:
        assert unit.people.get(ann.id) == edited


def test_a_stale_edit_names_who_was_first_and_when_on_the_shops_clock(books: Kept) -> None:
    books.add("settings", ShopSettings(name="Shop", zone="Europe/Vienna"))
    ann = books.add("people", ANN)
    request = books.add("requests", Request(number=214, asker_id=ann.id, entered_by_id=ann.id))
    books.clock.move(minutes=5)
    books.save("requests", replace(request, words="two of them"), who_id=ann.id)
    with books.write(Press(who_id=THE_TOOL), "edit") as unit:
        with pytest.raises(StaleEdit, match=r"Ann changed request R 214 at 07:05 on 2026-11-24\."):
            unit.requests.save(replace(request, words="three of them"))
        assert unit.requests.get(request.id).words == "two of them"
    assert unit.changed == frozenset()


def test_a_stale_edit_of_what_the_tool_did_says_so(books: Kept) -> None:
    ann = books.add("people", ANN)
    books.save("people", replace(ann, name="Anna"))
    with (
        pytest.raises(StaleEdit, match="The tool changed person Anna at 06:00 on 2026-11-24"),
        books.write(Press(who_id=THE_TOOL), "edit") as unit,
    ):
        unit.people.save(ann)


def test_a_lease_leaves_no_line_in_the_trail(books: Kept) -> None:
    duty = Duty(name="reprints", holder="window 1", until=books.clock.now())
    with books.write(Press(who_id=THE_TOOL), "take duty") as unit:
        taken = unit.duties.add(duty)
        unit.duties.save(replace(taken, holder="window 2"))
        assert unit.changed == {"duties"}
        assert unit.press_number == 0
        unit.commit()
    with books.read() as unit:
        assert unit.changes.last_number() == 0
        assert unit.duties.get(taken.id).holder == "window 2"
    with (
        pytest.raises(StaleEdit, match="The tool changed duty reprints"),
        books.write(Press(who_id=THE_TOOL), "take duty") as unit,
    ):
        unit.duties.save(taken)


def test_what_is_not_there_is_said_in_shop_words(books: Kept) -> None:
    with books.read() as unit:
        with pytest.raises(NotFound, match=r"There is no request 99\. Check the number\."):
            unit.requests.get(99)
        assert unit.requests.one(is_("number", 99)) is None


def test_storing_a_stored_record_again_is_a_mistake_of_ours(books: Kept) -> None:
    ann = books.add("people", ANN)
    with (
        books.write(Press(who_id=THE_TOOL), "hire") as unit,
        pytest.raises(ValueError, match="save it instead"),
    ):
        unit.people.add(ann)


def test_the_tool_is_a_person_in_no_list(books: Kept) -> None:
    with books.read() as unit:
        assert unit.people.get(THE_TOOL).name == "The tool"
        assert unit.people.find() == ()
        assert unit.people.count() == 0
        assert [person.id for person in unit.people.find(with_void=True)] == [THE_TOOL]


def test_a_refused_write_leaves_the_rest_of_the_unit_as_it_was(books: Kept) -> None:
    with books.write(Press(who_id=THE_TOOL), "hire") as unit:
        ann = unit.people.add(ANN)
        with pytest.raises(NotFound, match="There is no machine 7"):
            unit.requests.add(Request(number=1, asker_id=ann.id, entered_by_id=0, machine_id=7))
        ben = unit.people.add(replace(ANN, name="Ben"))
        unit.commit()
    with books.read() as unit:
        assert unit.people.find() == (ann, ben)
        assert unit.requests.count() == 0
        assert unit.changes.faults() == ()
