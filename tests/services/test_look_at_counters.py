"""What the part counters showed last."""

import pytest
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock

from printcrib.core.patterns import CountedBy
from printcrib.services.count_use import read_counter
from printcrib.services.hand_out_aid import To
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_counters import look_at_counters


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with two machines."""
    return aid_shop(shop, clock)


def test_a_counter_nobody_read(desk: AidShop) -> None:
    seen = [(each.name, each.last, each.last_words, each.tags) for each in look_at_counters(desk.shop)]
    assert seen == [("Lathe 1", None, "never read yet", ()), ("Mill 2", None, "never read yet", ())]


def test_machines_with_aids_on_the_counter_come_first(desk: AidShop) -> None:
    mill = desk.machine("Mill 2")
    desk.in_use()
    aid = desk.in_use(to=To(machine_id=mill.id, counted_by=CountedBy.READING))
    read_counter(desk.shop, desk.own.press("Max"), mill.id, 12_340)
    desk.clock.move(hours=24)
    first, second = look_at_counters(desk.shop)
    assert (first.machine_id, first.name, first.last, first.tags) == (mill.id, "Mill 2", 12_340, (aid.tag,))
    assert first.last_words.startswith("12340, Tue ")
    assert second.name == "Lathe 1"
