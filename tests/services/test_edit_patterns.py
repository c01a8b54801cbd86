"""The pattern book: patterns, sizes, revisions."""

from dataclasses import replace

import pytest
from tests.services.own_shop import BOX, Own, own_shop

from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.patterns import Pattern, Size
from printcrib.core.requests import CopyState
from printcrib.services.accept_request import accept_request
from printcrib.services.edit_patterns import (
    add_pattern,
    add_revision,
    add_size,
    change_pattern,
    change_size,
    turn_size,
)
from printcrib.services.interfaces import Shop, is_
from printcrib.services.read_model import one_off

TALLER = replace(BOX, content=b"box 40 30 35", name="taller.stl")


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def test_a_pattern_gets_the_next_number_and_clean_words(own: Own) -> None:
    new = Pattern(
        number=0, name=" caliper rest ", use_unit=" ", finishing_steps=("deburr ", ""), listed=False
    )
    made = add_pattern(own.shop, own.press(), new).value
    assert (made.tag, made.name, made.use_unit, made.listed) == ("P-2", "caliper rest", "uses", True)
    assert made.finishing_steps == ("deburr",)
    with pytest.raises(ShopError, match="Only the desk may edit the pattern book"):
        add_pattern(own.shop, own.press("Max"), new)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"name": ""}, "The pattern has no name"),
        ({"uses_a_part": 0}, "Less than one use a part"),
        ({"expected_life": 0}, "A life below 1"),
        ({"days_in_service": -4}, "A life below 1"),
        ({"safety_answers": (0,)}, "no safety question 0"),
    ],
)
def test_a_pattern_makes_sense(own: Own, fields: dict[str, object], words: str) -> None:
    new: Pattern = replace(Pattern(number=0, name="x"), **fields)  # type: ignore[arg-type]
    with pytest.raises(ShopError, match=words):
        add_pattern(own.shop, own.press(), new)


def test_a_pattern_is_edited_and_a_stale_edit_keeps_what_was_typed(own: Own) -> None:
    pattern = own.pattern()
    changed = change_pattern(own.shop, own.press(), replace(pattern, expected_life=3000, number=99)).value
    assert (changed.expected_life, changed.number) == (3000, pattern.number)
    with pytest.raises(StaleEdit) as caught:
        change_pattern(own.shop, own.press(), replace(pattern, notes="mine"))
    assert isinstance(caught.value.typed, Pattern)
    assert caught.value.typed.notes == "mine"
    with own.shop.read() as uow:
        single = one_off(uow)
    with pytest.raises(ShopError, match="carries single requests"):
        change_pattern(own.shop, own.press(), replace(single, listed=True))


def test_a_size_is_added_with_or_without_a_model(own: Own) -> None:
    pattern = own.pattern()
    size = add_size(
        own.shop, own.press(), Size(pattern_id=pattern.id, name=" 32 x 60 ", model_id=77), BOX
    ).value
    assert (size.name, size.model_id) == ("32 x 60", 1)
    bare = add_size(own.shop, own.press(), Size(pattern_id=pattern.id, name="40 x 60", model_id=77)).value
    assert bare.model_id is None
    changed = change_size(own.shop, own.press(), replace(size, minimum_spares=2, model_id=None)).value
    assert (changed.minimum_spares, changed.model_id) == (2, 1)
    with pytest.raises(StaleEdit) as caught:
        change_size(own.shop, own.press(), replace(size, shelf_place="drawer 4"))
    assert isinstance(caught.value.typed, Size)
    with pytest.raises(ShopError, match="Fewer than no spares"):
        change_size(own.shop, own.press(), replace(changed, minimum_spares=-1))
    with pytest.raises(ShopError, match="A limit below 1"):
        change_size(own.shop, own.press(), replace(changed, count_limit=0))


def test_a_single_request_moves_into_the_book(own: Own) -> None:
    pattern = own.pattern(safety_answers=(2,))
    request = own.ask(safety_answers=(), material_id=own.material())
    accept_request(own.shop, own.press(), request.id)
    with own.shop.read() as uow:
        size = uow.sizes.get(request.size_id or 0)
    moved = change_size(own.shop, own.press(), replace(size, pattern_id=pattern.id, name="32 x 60")).value
    assert moved.pattern_id == pattern.id
    assert own.hold_words(request.id) == ["review open"]  # the pattern holds the work


def test_a_new_revision_takes_over_what_is_not_printed(own: Own) -> None:
    size = own.size(own.pattern(material_id=own.material()))
    running = own.ask(file=None, size_id=size.id, safety_answers=())
    accept_request(own.shop, own.press(), running.id)
    done = add_revision(own.shop, own.press(), size.id, TALLER)
    assert (done.value.revision, done.value.file_name) == ("B", "taller.stl")
    with own.shop.read() as uow:
        assert uow.sizes.get(size.id).model_id == done.value.id
        assert uow.estimates.count(is_("model_id", done.value.id)) > 0
    assert [copy.state for copy in own.copies(running.id)] == [CopyState.ON_RUN]
    turned = turn_size(own.shop, own.press(), size.id, 8).value
    assert (turned.revision, turned.turn, turned.sha256) == ("C", 8, done.value.sha256)


def test_the_first_model_of_a_size_ends_the_wait_for_it(own: Own) -> None:
    bare = own.size(own.pattern(), file=None)
    waiting = own.ask(file=None, size_id=bare.id, safety_answers=())
    assert own.hold_words(waiting.id) == ["needs a model"]
    with pytest.raises(ShopError, match="has no model yet"):
        turn_size(own.shop, own.press(), bare.id, 8)
    add_revision(own.shop, own.press(), bare.id, BOX)
    assert own.hold_words(waiting.id) == []
