"""Inserts: added, received, counted, changed; odd ones refused."""

from dataclasses import replace

import pytest
from tests.services.own_shop import Own, own_shop

from printcrib.core.errors import ShopError
from printcrib.core.materials import Insert
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_spools import look_at_spools
from printcrib.services.stock_inserts import add_insert, change_insert, count_inserts, receive_inserts
from printcrib.services.undo_press import undo

MAGNET = Insert(name="magnet 6 x 3", minimum=20, maximum=100)


@pytest.fixture
def own(shop: Shop) -> Own:
    """A shop that keeps no insert yet."""
    return own_shop(shop)


def test_inserts_come_in_and_are_counted(own: Own) -> None:
    magnet = add_insert(own.shop, own.press("Dora"), replace(MAGNET, name=" magnet 6 x 3 ")).value
    assert magnet.name == "magnet 6 x 3"
    assert receive_inserts(own.shop, own.press("Dora"), magnet.id, 50).value == 50
    assert receive_inserts(own.shop, own.press("Max"), magnet.id, 10).value == 60
    counted = count_inserts(own.shop, own.press("Max"), magnet.id, 15)
    assert counted.value == 15
    (row,) = look_at_spools(own.shop).inserts
    assert (row.left, row.below_minimum) == (15, True)
    undo(own.shop, own.press("Dora"), counted.press_number)
    assert look_at_spools(own.shop).inserts[0].left == 60


def test_a_count_that_agrees_books_nothing(own: Own) -> None:
    magnet = add_insert(own.shop, own.press("Dora"), MAGNET).value
    assert count_inserts(own.shop, own.press("Dora"), magnet.id, 0).changed == frozenset()


def test_another_minimum_and_no_longer_kept(own: Own) -> None:
    magnet = add_insert(own.shop, own.press("Dora"), MAGNET).value
    magnet = change_insert(own.shop, own.press("Dora"), replace(magnet, minimum=5)).value
    assert magnet.minimum == 5
    change_insert(own.shop, own.press("Dora"), replace(magnet, active=False))
    assert look_at_spools(own.shop).inserts == ()
    add_insert(own.shop, own.press("Dora"), MAGNET)


@pytest.mark.parametrize(
    ("odd", "words"),
    [
        (replace(MAGNET, name="  "), "name"),
        (replace(MAGNET, minimum=-1), "maximum is below"),
        (replace(MAGNET, maximum=5), "maximum is below"),
        (replace(MAGNET, name="Screw M3"), "kept already"),
    ],
)
def test_odd_kinds_are_refused(own: Own, odd: Insert, words: str) -> None:
    add_insert(own.shop, own.press("Dora"), Insert(name="screw m3"))
    with pytest.raises(ShopError, match=words):
        add_insert(own.shop, own.press("Dora"), odd)


def test_odd_amounts_and_other_people_are_refused(own: Own) -> None:
    magnet = add_insert(own.shop, own.press("Dora"), MAGNET).value
    with pytest.raises(ShopError, match="not how many came in"):
        receive_inserts(own.shop, own.press("Dora"), magnet.id, 0)
    with pytest.raises(ShopError, match="not how many there are"):
        count_inserts(own.shop, own.press("Dora"), magnet.id, -1)
    with pytest.raises(ShopError):
        add_insert(own.shop, own.press("Max"), Insert(name="bushing"))
