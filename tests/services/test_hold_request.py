"""Holding a request and letting it go on."""

from dataclasses import replace

import pytest
from tests.services.own_shop import Own, own_shop

from printcrib.core.errors import ShopError
from printcrib.core.requests import CopyState, HoldKind
from printcrib.services.accept_request import accept_request
from printcrib.services.hold_request import close_in, hold_request, let_go_on, open_in
from printcrib.services.interfaces import Shop


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def test_a_hold_says_who_and_why_and_so_does_its_end(own: Own) -> None:
    request = own.ask(safety_answers=())
    hold = hold_request(own.shop, own.press("Dora"), request.id, HoldKind.QUESTION, "which bore?").value
    assert (hold.opened_by_id, hold.words) == (own.who("Dora"), "which bore?")
    gone = let_go_on(own.shop, own.press("Max"), hold.id, "the 12 one").value
    assert (gone.closed_by_id, gone.why) == (own.who("Max"), "the 12 one")
    assert let_go_on(own.shop, own.press("Max"), hold.id, "again").value.why == "the 12 one"
    assert own.hold_words(request.id) == []


def test_holding_and_going_on_need_a_reason_and_a_role(own: Own) -> None:
    request = own.ask()
    with pytest.raises(ShopError, match="A hold needs a reason"):
        hold_request(own.shop, own.press(), request.id, HoldKind.NO_SPOOL, " ")
    with pytest.raises(ShopError, match="Only the desk or a reviewer may hold"):
        hold_request(own.shop, own.press("Max"), request.id, HoldKind.NO_SPOOL, "x")
    hold = hold_request(own.shop, own.press("Rita"), request.id, HoldKind.NO_SPOOL, "no PETG").value
    with pytest.raises(ShopError, match="Going on needs a reason"):
        let_go_on(own.shop, own.press(), hold.id, "")
    with pytest.raises(ShopError, match="Only the asker or the desk"):
        let_go_on(own.shop, own.press("Otto"), hold.id, "it came")
    let_go_on(own.shop, own.press("Dora"), hold.id, "it came")


def test_some_holds_end_only_by_doing_what_they_ask(own: Own) -> None:
    request = own.ask(file=None, words="x")
    for hold in own.holds(request.id):
        with pytest.raises(ShopError, match="R 1 needs"):
            let_go_on(own.shop, own.press(), hold.id, "never mind")


def test_a_second_hold_of_a_kind_adds_its_words(own: Own) -> None:
    request = own.ask(safety_answers=())
    with own.shop.write(own.press(), "hold") as uow:
        open_in(uow, request.id, HoldKind.QUESTION)
        open_in(uow, request.id, HoldKind.QUESTION, "too thin")
        open_in(uow, request.id, HoldKind.QUESTION, "wrong size")
        same = open_in(uow, request.id, HoldKind.QUESTION, "too thin")
        assert same.words == "too thin; wrong size"
        open_in(uow, request.id, HoldKind.NO_SPOOL, "no PLA")
        close_in(uow, request.id, "came", HoldKind.NO_SPOOL)
        uow.commit()
    assert own.hold_words(request.id) == ["question open"]


def test_going_on_after_a_question_makes_only_the_missing_copies(own: Own) -> None:
    request = own.ask(safety_answers=(), quantity=2, material_id=own.material())
    accept_request(own.shop, own.press(), request.id)
    first, _ = own.copies(request.id)
    with own.shop.write(own.press(), "fail") as uow:
        uow.copies.save(replace(uow.copies.get(first.id), state=CopyState.FAILED, cause="too thin"))
        hold = open_in(uow, request.id, HoldKind.QUESTION, "too thin")
        uow.commit()
    let_go_on(own.shop, own.press("Max"), hold.id, "print it thicker")
    copies = own.copies(request.id)
    assert [(copy.ordinal, copy.replaces_id) for copy in copies] == [(1, None), (2, None), (3, first.id)]
    spool = hold_request(own.shop, own.press(), request.id, HoldKind.NO_SPOOL, "no PLA").value
    let_go_on(own.shop, own.press(), spool.id, "it came")
    assert len(own.copies(request.id)) == 3
