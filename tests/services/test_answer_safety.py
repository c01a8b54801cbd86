"""Answering the ten questions, and what changed answers do to releases and holds."""

import pytest
from tests.services.own_shop import Own, own_shop

from printcrib.core.errors import ShopError
from printcrib.services.accept_request import accept_request
from printcrib.services.answer_safety import answer_safety, answer_same_use
from printcrib.services.interfaces import Shop, is_
from printcrib.services.release_use import Terms, release
from printcrib.services.take_request import NewRequest, keep_draft
from printcrib.services.withdraw_request import withdraw_request


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def lapsed_by(own: Own, size_id: int | None) -> list[str]:
    with own.shop.read() as uow:
        return [held.lapsed_by for held in uow.releases.find(is_("size_id", size_id))]


def test_none_of_these_answers_no_to_all_ten(own: Own) -> None:
    request = own.ask()
    answered = answer_safety(own.shop, own.press("Max"), request.id, []).value
    assert answered.safety_answers == ()
    assert own.hold_words(request.id) == []


def test_the_asker_or_the_desk_answers(own: Own) -> None:
    request = own.ask()
    with pytest.raises(ShopError, match="Only the asker or the desk"):
        answer_safety(own.shop, own.press("Otto"), request.id, [])
    assert answer_safety(own.shop, own.press("Dora"), request.id, [9, 2]).value.safety_answers == (2, 9)
    withdraw_request(own.shop, own.press("Max"), request.id)
    with pytest.raises(ShopError, match="R 1 is withdrawn"):
        answer_safety(own.shop, own.press("Max"), request.id, [])


def test_a_draft_is_answered_without_holds(own: Own) -> None:
    draft = keep_draft(own.shop, own.press("Max"), NewRequest(words="x")).value
    answer_safety(own.shop, own.press("Max"), draft.id, [1])
    assert own.hold_words(draft.id) == []


def test_changed_answers_open_and_close_the_review(own: Own) -> None:
    request = own.ask(safety_answers=(), material_id=own.material())
    accept_request(own.shop, own.press(), request.id)
    answer_safety(own.shop, own.press("Max"), request.id, [2])
    assert own.hold_words(request.id) == ["review open"]
    answer_safety(own.shop, own.press("Max"), request.id, [])
    assert own.hold_words(request.id) == []


def test_changed_answers_let_the_release_of_a_single_request_lapse(own: Own) -> None:
    request = own.ask(safety_answers=(2,), material_id=own.material())
    accept_request(own.shop, own.press(), request.id)
    release(own.shop, own.press("Rita"), request.id, Terms())
    answer_safety(own.shop, own.press("Max"), request.id, [2])
    assert lapsed_by(own, request.size_id) == [""]
    answer_safety(own.shop, own.press("Max"), request.id, [2, 6])
    assert lapsed_by(own, request.size_id) == ["the safety answers changed"]
    assert own.hold_words(request.id) == ["review open"]
    answer_safety(own.shop, own.press("Max"), request.id, [2])
    assert own.hold_words(request.id) == ["review open"]  # what lapsed does not come back by itself


def test_a_pattern_release_stays_for_the_others(own: Own) -> None:
    size = own.size(own.pattern(material_id=own.material()))
    request = own.ask(file=None, size_id=size.id, safety_answers=(2,))
    accept_request(own.shop, own.press(), request.id)
    release(own.shop, own.press("Rita"), request.id, Terms())
    answer_safety(own.shop, own.press("Max"), request.id, [9])
    assert lapsed_by(own, size.id) == [""]
    assert own.hold_words(request.id) == ["review open"]


def test_an_accepted_request_that_turns_out_never_stops_with_a_question(own: Own) -> None:
    request = own.ask(safety_answers=(), material_id=own.material())
    accept_request(own.shop, own.press(), request.id)
    answer_safety(own.shop, own.press("Max"), request.id, [4])
    (hold,) = own.holds(request.id)
    assert (hold.kind.value, hold.words) == (
        "question open",
        "never used for this, only to try the fit: lift a load or a person",
    )


def test_same_use_as_released_answers_once(own: Own) -> None:
    size = own.size(own.pattern(material_id=own.material()))
    first = own.ask(file=None, size_id=size.id, safety_answers=(2, 9))
    release(own.shop, own.press("Rita"), first.id, Terms())
    second = own.ask("Otto", file=None, size_id=size.id)
    yes = answer_same_use(own.shop, own.press("Otto"), second.id, True).value
    assert (yes.safety_answers, yes.same_use) == ((2, 9), True)
    no = answer_same_use(own.shop, own.press("Otto"), second.id, False).value
    assert (no.safety_answers, no.same_use) == (None, False)
    assert own.hold_words(second.id) == ["needs the safety answers"]


def test_same_use_of_an_unreleased_size_is_refused(own: Own) -> None:
    request = own.ask()
    with pytest.raises(ShopError, match="This size is not released"):
        answer_same_use(own.shop, own.press("Max"), request.id, True)
