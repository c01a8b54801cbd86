"""The least filament of a kind: set, changed, refused."""

import pytest
from tests.services.own_shop import own_shop

from printcrib.core.errors import ShopError
from printcrib.services.interfaces import Shop
from printcrib.services.set_minimum import set_minimum


def test_a_minimum_is_kept_once_a_kind(shop: Shop) -> None:
    own = own_shop(shop)
    first = set_minimum(shop, own.press("Dora"), own.material(), "grey", 200_000).value
    again = set_minimum(shop, own.press("Dora"), own.material(), "grey", 150_000).value
    same = set_minimum(shop, own.press("Dora"), own.material(), "grey", 150_000)
    assert (again.id, again.minimum_mg) == (first.id, 150_000)
    assert same.changed == frozenset()


def test_odd_minimums_and_other_people_are_refused(shop: Shop) -> None:
    own = own_shop(shop)
    with pytest.raises(ShopError, match="between 0 g and 100 kg"):
        set_minimum(shop, own.press("Dora"), own.material(), "grey", -1)
    with pytest.raises(ShopError):
        set_minimum(shop, own.press("Max"), own.material(), "grey", 100_000)
