"""Accepting: copies are wanted, a review is opened where the gate holds, the plan is mended."""

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.services.fake import TUESDAY_MORNING
from tests.services.own_shop import Own, own_shop

from printcrib.core.errors import ShopError
from printcrib.core.patterns import Fineness
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import CopyState, Promise, Purpose, RequestState
from printcrib.services import accept_request as accepting
from printcrib.services.accept_request import (
    Choices,
    accept_in,
    accept_request,
    may_accept_alone,
    send_back,
)
from printcrib.services.edit_people import NewPerson, add_person
from printcrib.services.interfaces import Done, Shop, is_
from printcrib.services.press import Press
from printcrib.services.release_use import Terms, release


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def test_accepting_makes_the_copies_wanted_and_plans_them(own: Own) -> None:
    request = own.ask(quantity=2, safety_answers=())
    done = accept_request(
        own.shop, own.press(), request.id, Choices(material_id=own.material(), colour="grey")
    )
    accepted = done.value.request
    assert (accepted.state, accepted.accepted_by_id) == (RequestState.ACCEPTED, own.who("Dora"))
    assert (accepted.accepted_at, accepted.colour, done.value.trouble) == (TUESDAY_MORNING, "grey", "")
    assert [copy.state for copy in own.copies(request.id)] == [CopyState.ON_RUN, CopyState.ON_RUN]
    assert own.hold_words(request.id) == []
    assert done.changed >= {"requests", "copies", "estimates", "plans", "runs"}


def test_the_first_promise_is_stored_once(own: Own, monkeypatch: pytest.MonkeyPatch) -> None:
    import printcrib.services.say_when as saying

    def promised(shop: Shop, press: Press, request_id: int) -> Promise:
        return Promise(
            request_id=request_id,
            to_person_id=own.who("Max"),
            said_at=TUESDAY_MORNING,
            likely=TUESDAY_MORNING + timedelta(hours=2),
            at_most=TUESDAY_MORNING + timedelta(hours=3),
        )

    def none(shop: Shop, press: Press, request_id: int) -> None:
        return None

    def stored(shop: Shop, press: Press, request_id: int) -> Promise:
        return replace(promised(shop, press, request_id), id=77)

    promises = []
    for answer in (promised, none, stored):
        monkeypatch.setattr(saying, "promise_in_plan", answer)
        request = own.ask(safety_answers=(), material_id=own.material())
        promises.append(accept_request(own.shop, own.press(), request.id).value.promise)
    assert [promise.id if promise else None for promise in promises] == [1, None, 77]
    with own.shop.read() as uow:
        assert uow.promises.count() == 1


def test_what_is_missing_is_named(own: Own) -> None:
    request = own.ask(file=None, words="a stop")
    with pytest.raises(ShopError, match="R 1 still needs a model and a material and the safety answers"):
        accept_request(own.shop, own.press(), request.id)


def test_only_the_desk_or_the_lead_accepts(own: Own) -> None:
    request = own.ask(safety_answers=(), material_id=own.material())
    for name in ("Max", "Rita"):
        with pytest.raises(ShopError, match="Only the desk may accept a request"):
            accept_request(own.shop, own.press(name), request.id)
    assert accept_request(own.shop, own.press("Lea"), request.id).value.request.accepted_by_id == own.who(
        "Lea"
    )
    with pytest.raises(ShopError, match="R 1 is accepted"):
        accept_request(own.shop, own.press(), request.id)


def test_somebody_switched_off_presses_nothing(own: Own) -> None:
    from printcrib.services.edit_people import change_person

    request = own.ask()
    change_person(own.shop, own.press("Lea"), replace(own.made.people["Dora"], active=False))
    with pytest.raises(ShopError, match="Dora is switched off"):
        accept_request(own.shop, own.press("Dora"), request.id)


@pytest.mark.parametrize("purpose", [Purpose.FOR_USE, Purpose.PRIVATE])
def test_never_is_refused_for_use_and_private(own: Own, purpose: Purpose) -> None:
    request = own.ask(safety_answers=(3,), material_id=own.material(), purpose=purpose)
    with pytest.raises(ShopError, match="never used for this: replace a guard"):
        accept_request(own.shop, own.press(), request.id)


def test_never_is_printed_to_try_the_fit(own: Own) -> None:
    request = own.ask(safety_answers=(3,), material_id=own.material(), purpose=Purpose.TRY_FIT)
    accept_request(own.shop, own.press(), request.id)
    assert own.hold_words(request.id) == []


def test_a_gate_that_holds_opens_a_review_and_still_prints(own: Own) -> None:
    request = own.ask(safety_answers=(2,), material_id=own.material())
    accept_request(own.shop, own.press(), request.id)
    assert own.hold_words(request.id) == ["review open"]
    assert [copy.state for copy in own.copies(request.id)] == [CopyState.ON_RUN]


def test_the_desk_may_wait_for_the_release(own: Own) -> None:
    request = own.ask(safety_answers=(2,))
    choices = Choices(
        material_id=own.material(), how_fine=Fineness.ROUGH, bore_um=800, weight=5, wait_for_release=True
    )
    accepted = accept_request(own.shop, own.press(), request.id, choices).value.request
    assert (accepted.how_fine, accepted.bore_um, accepted.weight) == (Fineness.ROUGH, 800, 5)
    assert [copy.state for copy in own.copies(request.id)] == [CopyState.WANTED]


def test_the_pattern_holds_too_and_a_release_opens_the_gate(own: Own) -> None:
    size = own.size(own.pattern(safety_answers=(2,), material_id=own.material()))
    first = own.ask(file=None, size_id=size.id, safety_answers=())
    accept_request(own.shop, own.press(), first.id)
    assert own.hold_words(first.id) == ["review open"]
    release(own.shop, own.press("Rita"), first.id, Terms())
    assert own.hold_words(first.id) == []
    second = own.ask(file=None, size_id=size.id, safety_answers=())
    accept_request(own.shop, own.press(), second.id)
    assert own.hold_words(second.id) == []


def test_the_tool_accepts_alone_only_where_the_gate_is_met(own: Own) -> None:
    size = own.size(own.pattern(material_id=own.material()))
    free = own.ask(file=None, size_id=size.id, safety_answers=())
    held = own.ask(file=None, size_id=size.id, safety_answers=(2,))
    never = own.ask(file=None, size_id=size.id, safety_answers=(4,))
    words = own.ask(file=None, words="x")
    with own.shop.read() as uow:
        alone = [may_accept_alone(uow, request) for request in (free, held, never, words)]
    assert alone == [True, False, False, False]
    release(own.shop, own.press("Rita"), held.id, Terms())
    with own.shop.read() as uow:
        assert may_accept_alone(uow, held)
    with own.shop.write(Press(who_id=THE_TOOL), "accept request") as writing:
        accepted = accept_in(writing, free)
        writing.commit()
    assert accepted.accepted_by_id == THE_TOOL


def test_accepting_stands_where_no_estimate_can_be_made(own: Own, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> Done[tuple[()]]:
        raise ShopError("The file is gone", "Look for it.")

    monkeypatch.setattr(accepting, "estimate_request", broken)
    request = own.ask(safety_answers=(), material_id=own.material())
    done = accept_request(own.shop, own.press(), request.id)
    assert done.value.trouble == "The file is gone. Look for it."
    assert own.request(request.id).state is RequestState.ACCEPTED
    assert done.value.promise is None


def test_sending_back_needs_a_reason_and_a_raised_request(own: Own) -> None:
    request = own.ask()
    with pytest.raises(ShopError, match="needs a reason"):
        send_back(own.shop, own.press(), request.id, " ")
    with pytest.raises(ShopError, match="Only the desk may send a request back"):
        send_back(own.shop, own.press("Max"), request.id, "too vague")
    sent = send_back(own.shop, own.press(), request.id, "too vague").value
    assert (sent.state, sent.sent_back_reason) == (RequestState.SENT_BACK, "too vague")
    with pytest.raises(ShopError, match="R 1 is sent back"):
        send_back(own.shop, own.press(), request.id, "again")


def test_a_label_under_way_is_not_made_twice(own: Own) -> None:
    size = own.size(own.pattern(material_id=own.material()))
    first = own.ask(file=None, size_id=size.id, labels=("A", "B"), safety_answers=())
    second = own.ask(file=None, size_id=size.id, labels=("B", "C"), safety_answers=())
    accept_request(own.shop, own.press(), first.id)
    with pytest.raises(ShopError, match="label is already under way"):
        accept_request(own.shop, own.press(), second.id)
    assert own.request(second.id).state is RequestState.RAISED
    with own.shop.read() as uow:
        assert uow.copies.count(is_("request_id", second.id)) == 0


def test_a_new_lead_may_accept_too(own: Own) -> None:
    from printcrib.core.people import Role

    person = add_person(own.shop, own.press("Lea"), NewPerson(name="Nora", roles=(Role.LEAD,))).value
    request = own.ask(safety_answers=(), material_id=own.material())
    done = accept_request(own.shop, Press(who_id=person.id), request.id)
    assert done.value.request.accepted_by_id == person.id
