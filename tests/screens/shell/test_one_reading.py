"""A place is read once at a time, and once more when something changed meanwhile."""

from printcrib.screens.shell.one_reading import OneReading


def begun(reading: OneReading, count: int) -> list[bool]:
    return [reading.begin() for _ in range(count)]


def test_it_is_not_begun_twice_and_done_once_more_afterwards() -> None:
    again: list[bool] = []
    reading = OneReading(lambda: again.append(reading.begin()))
    assert begun(reading, 3) == [True, False, False]
    assert reading.under_way
    reading.over()
    assert again == [True]
    assert reading.under_way
    reading.over()
    assert again == [True]
    assert not reading.under_way


def test_not_asked_for_meanwhile_it_rests() -> None:
    again: list[bool] = []
    reading = OneReading(lambda: again.append(True))
    assert reading.begin()
    reading.over()
    assert again == []
    assert not reading.under_way
    assert reading.begin()
