"""What may be moved into the pattern book."""

from dataclasses import replace

import pytest
from tests.services.own_shop import Own, own_shop

from printcrib.services.edit_patterns import change_size
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_one_offs import look_at_outside
from printcrib.services.read_model import one_off_size


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def test_one_offs_and_sizes_taken_out_may_be_moved_into_a_pattern(own: Own) -> None:
    pattern = own.pattern()
    size, bare = own.size(pattern), own.size(pattern, name="40 x 60", file=None)
    other = own.size(own.pattern(name="funnel"))
    for each in (size, bare, other):
        change_size(own.shop, own.press(), replace(each, active=False))
    named = own.ask(words="bracket for the hose")
    unnamed = own.ask()
    own.ask(file=None, words="something, no model yet")
    with own.shop.write(own.press(), "keep for a test") as uow:
        one_off_size(uow, "kept by hand")
        uow.commit()
    seen = look_at_outside(own.shop, pattern.id)
    assert [(line.name, line.second, line.suggested) for line in seen] == [
        ("32 x 60", "taken out of P-2, revision A, 40 x 30 x 20 mm", "32 x 60"),
        ("40 x 60", "taken out of P-2, no model yet", "40 x 60"),
        ("kept by hand", "kept by hand, no model yet", "kept by hand"),
        ("box.stl", f"{unnamed.tag}, revision A, 40 x 30 x 20 mm", "box"),
        ("bracket for the hose", f"{named.tag}, revision A, 40 x 30 x 20 mm", "bracket for the hose"),
    ]
    assert seen[-1].size.id == named.size_id
    change_size(own.shop, own.press(), replace(seen[-1].size, pattern_id=pattern.id, name="bracket"))
    assert "bracket for the hose" not in [line.name for line in look_at_outside(own.shop, pattern.id)]
