"""What can be chosen when an aid is handed out."""

import pytest
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock

from printcrib.core.patterns import CountedBy
from printcrib.services.hand_out_aid import To
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_hand_out import OldAid, look_at_hand_out


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with two machines."""
    return aid_shop(shop, clock)


def test_a_new_aid_goes_where_its_request_says(desk: AidShop) -> None:
    lathe, mill = desk.machine(), desk.machine("Mill 2")
    (copy,) = desk.ready(machine_id=mill.id)
    seen = look_at_hand_out(desk.shop, copy.aid_id or 0)
    assert (seen.tag, seen.name, seen.unit) == ("T-0001", "spindle stop 32 x 60", "clamp cycles")
    assert seen.machines == ((lathe.id, "Lathe 1"), (mill.id, "Mill 2"))
    assert (seen.machine_id, seen.moves, seen.old) == (mill.id, False, ())
    assert (seen.counted_by, seen.uses_a_part) == (CountedBy.ADD, 1)


def test_one_in_use_moves_and_keeps_how_it_is_counted(desk: AidShop) -> None:
    to = To(machine_id=desk.machine().id, counted_by=CountedBy.PARTS, uses_a_part=3)
    seen = look_at_hand_out(desk.shop, desk.in_use(to=to).id)
    assert (seen.moves, seen.machine_id) == (True, to.machine_id)
    assert (seen.counted_by, seen.uses_a_part) == (CountedBy.PARTS, 3)


def test_the_one_it_was_printed_for_is_offered_first(desk: AidShop) -> None:
    first = desk.in_use()
    second = desk.in_use(to=To(machine_id=desk.machine("Mill 2").id))
    (copy,) = desk.ready(replaces_aid_id=second.id)
    seen = look_at_hand_out(desk.shop, copy.aid_id or 0)
    assert seen.old == (
        OldAid(second.id, second.tag, desk.machine("Mill 2").id),
        OldAid(first.id, first.tag, desk.machine().id),
    )
