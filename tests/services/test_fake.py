"""The double is as strict as the books: misspelt fields, closed units and clocks."""

from datetime import timedelta

import pytest
from tests.services.fake import TUESDAY_MORNING, FakeClock

from printcrib.core.errors import ShopError
from printcrib.core.people import Person
from printcrib.core.records import THE_TOOL
from printcrib.services.interfaces import Shop, is_
from printcrib.services.press import Press


def test_the_clock_stands_until_it_is_moved(shop: Shop, clock: FakeClock) -> None:
    assert shop.clock.now() == TUESDAY_MORNING
    clock.move(hours=2)
    with shop.read() as unit:
        assert unit.now == TUESDAY_MORNING + timedelta(hours=2)


def test_two_shops_share_nothing(shop: Shop) -> None:
    with shop.write(Press(who_id=THE_TOOL), "hire") as unit:
        unit.people.add(Person(name="Ann"))
    with shop.read() as unit:
        assert unit.people.find(is_("name", "Ann")) == ()


def test_a_box_is_read_and_anything_else_refused(shop: Shop) -> None:
    read = shop.meshes.read(b"box 40 30 20", "stop.stl")
    assert read.facts.volume_cm3 == pytest.approx(24.0)
    assert read.facts.trustworthy
    with pytest.raises(ShopError, match=r"words\.stl cannot be read"):
        shop.meshes.read(b"solid words", "words.stl")
