"""Good copies become ready, aids and done requests."""

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock

from printcrib.core.aids import AidState
from printcrib.core.errors import ShopError
from printcrib.core.materials import Insert
from printcrib.core.patterns import CountedBy
from printcrib.core.requests import Copy, CopyState, Promise, Purpose, RequestState
from printcrib.services.finish_copy import (
    USED_IN_A_COPY,
    close_if_done,
    finish_copies,
    finish_step,
    pattern_of,
    say_fit,
    shelve,
)
from printcrib.services.interfaces import Shop, is_


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with a pattern."""
    return aid_shop(shop, clock)


def test_a_copy_for_use_becomes_an_aid_with_a_tag(desk: AidShop) -> None:
    desk.edit_pattern(counted_by=CountedBy.PARTS, uses_a_part=2)
    first, second = desk.ready(quantity=2)
    assert (first.state, first.ready_at) == (CopyState.READY, desk.clock.now())
    assert first.aid_id is not None
    aid = desk.aid(first.aid_id)
    assert (aid.tag, aid.state, aid.size_id) == ("T-0001", AidState.SHELF, desk.size.id)
    assert (aid.copy_id, aid.model_id, aid.counted_by, aid.uses_a_part) == (
        first.id,
        desk.size.model_id,
        CountedBy.PARTS,
        2,
    )
    assert desk.aid(second.aid_id or 0).tag == "T-0002"


@pytest.mark.parametrize("purpose", [Purpose.TRY_FIT, Purpose.LOOK_AT, Purpose.PRIVATE])
def test_other_copies_never_become_aids(desk: AidShop, purpose: Purpose) -> None:
    (copy,) = desk.ready(purpose=purpose)
    assert copy.state is CopyState.READY
    assert copy.aid_id is None


def test_labels_go_on_to_the_aid(desk: AidShop) -> None:
    copies = desk.ready(labels=("A", "B"))
    assert [desk.aid(copy.aid_id or 0).label for copy in copies] == ["A", "B"]


def test_steps_are_walked_one_by_one(desk: AidShop) -> None:
    desk.edit_pattern(finishing_steps=("ream to 8 H7", "deburr"))
    (copy,) = desk.printed()
    half = finish_step(desk.shop, desk.own.press("Max"), copy.id).value
    assert (half.state, half.steps_done) == (CopyState.FINISHING, 1)
    done = finish_step(desk.shop, desk.own.press("Max"), copy.id)
    assert (done.value.state, done.value.steps_done) == (CopyState.READY, 2)
    assert done.changed == {"copies", "aids"}
    with pytest.raises(ShopError, match="R 1/1 is not in finishing"):
        finish_step(desk.shop, desk.own.press("Max"), copy.id)


def test_a_copy_that_is_not_off_the_printer_is_not_finished(desk: AidShop) -> None:
    (copy,) = desk.ready()
    with pytest.raises(ShopError, match="R 1/1 is ready, it cannot become ready"):
        finish_copies(desk.shop, desk.own.press(), [copy.id])


def test_inserts_are_booked(desk: AidShop) -> None:
    with desk.shop.write(desk.own.press(), "inserts") as uow:
        insert = uow.inserts.add(Insert(name="magnet 6 x 3"))
        uow.commit()
    desk.edit_pattern(inserts=((insert.id, 4),))
    copies = desk.ready(quantity=2)
    with desk.shop.read() as uow:
        entries = uow.insert_entries.find(is_("insert_id", insert.id))
    assert [(entry.amount, entry.kind, entry.copy_id) for entry in entries] == [
        (-4, USED_IN_A_COPY, copies[0].id),
        (-4, USED_IN_A_COPY, copies[1].id),
    ]


@pytest.mark.parametrize(("late_minutes", "outcome", "why"), [(0, "kept", ""), (1, "not kept", "1 min late")])
def test_promises_are_judged_when_the_last_copy_is_ready(
    desk: AidShop, late_minutes: int, outcome: str, why: str
) -> None:
    copies = desk.printed(quantity=2)
    with desk.shop.write(desk.own.press(), "promise") as uow:
        at_most = uow.now + timedelta(hours=2)
        promise = uow.promises.add(
            Promise(
                request_id=copies[0].request_id,
                to_person_id=desk.own.who("Max"),
                said_at=uow.now,
                likely=uow.now,
                at_most=at_most,
            )
        )
        uow.commit()
    finish_copies(desk.shop, desk.own.press(), [copies[0].id])
    with desk.shop.read() as uow:
        assert uow.promises.get(promise.id).outcome == ""
    desk.clock.move(hours=2, minutes=late_minutes)
    finish_copies(desk.shop, desk.own.press(), [copies[1].id])
    with desk.shop.read() as uow:
        judged = uow.promises.get(promise.id)
    assert (judged.outcome, judged.why) == (outcome, why)


def test_hours_late_are_said(desk: AidShop) -> None:
    copies = desk.printed()
    with desk.shop.write(desk.own.press(), "promise") as uow:
        uow.promises.add(
            Promise(
                request_id=copies[0].request_id,
                to_person_id=desk.own.who("Max"),
                said_at=uow.now,
                likely=uow.now,
                at_most=uow.now - timedelta(hours=3, minutes=5),
            )
        )
        uow.commit()
    finish_copies(desk.shop, desk.own.press(), [copies[0].id])
    with desk.shop.read() as uow:
        assert [promise.why for promise in uow.promises.find()] == ["3 h 05 min late"]


def test_a_request_is_done_when_every_copy_is_settled(desk: AidShop) -> None:
    first, second = desk.ready(quantity=2)
    shelve(desk.shop, desk.own.press("Max"), first.id)
    assert desk.request_of(first).state is RequestState.ACCEPTED
    done = shelve(desk.shop, desk.own.press("Max"), second.id, "drawer 3")
    request = desk.request_of(first)
    assert (request.state, request.done_at) == (RequestState.DONE, desk.clock.now())
    assert done.value.state is CopyState.SHELVED
    aid = desk.aid(second.aid_id or 0)
    assert (aid.state, aid.place) == (AidState.SHELF, "drawer 3")


def test_a_failed_copy_counts_through_its_replacement(desk: AidShop) -> None:
    first, second = desk.ready(quantity=2)
    with desk.shop.write(desk.own.press(), "fail") as uow:
        uow.copies.save(replace(uow.copies.get(second.id), state=CopyState.FAILED))
        new = uow.copies.add(Copy(request_id=first.request_id, ordinal=3, replaces_id=second.id))
        uow.commit()
    shelve(desk.shop, desk.own.press(), first.id)
    assert desk.request_of(first).state is RequestState.ACCEPTED
    with desk.shop.write(desk.own.press(), "print") as uow:
        uow.copies.save(replace(new, state=CopyState.FINISHING, run_id=first.run_id, size_id=first.size_id))
        uow.commit()
    finish_copies(desk.shop, desk.own.press(), [new.id])
    shelve(desk.shop, desk.own.press(), new.id)
    assert desk.request_of(first).state is RequestState.DONE


def test_a_done_request_is_open_again_when_a_copy_is_wanted_again(desk: AidShop) -> None:
    (copy,) = desk.ready()
    shelve(desk.shop, desk.own.press(), copy.id)
    with desk.shop.write(desk.own.press(), "scrap") as uow:
        scrap = uow.copies.save(replace(uow.copies.get(copy.id), state=CopyState.SCRAP))
        uow.copies.add(Copy(request_id=copy.request_id, ordinal=2, replaces_id=scrap.id))
        request = close_if_done(uow, copy.request_id)
        assert (request.state, request.done_at) == (RequestState.ACCEPTED, None)
        assert close_if_done(uow, copy.request_id) == request
        uow.commit()


def test_a_withdrawn_request_stays_withdrawn(desk: AidShop) -> None:
    (copy,) = desk.ready()
    with desk.shop.write(desk.own.press(), "withdraw") as uow:
        request = uow.requests.get(copy.request_id)
        uow.requests.save(replace(request, state=RequestState.WITHDRAWN))
        uow.commit()
    shelve(desk.shop, desk.own.press(), copy.id)
    assert desk.request_of(copy).state is RequestState.WITHDRAWN


def test_a_copy_that_is_no_aid_is_shelved_too(desk: AidShop) -> None:
    (copy,) = desk.ready(purpose=Purpose.LOOK_AT)
    assert shelve(desk.shop, desk.own.press(), copy.id).value.state is CopyState.SHELVED


def test_the_fit_is_said_of_a_ready_copy(desk: AidShop) -> None:
    (copy,) = desk.printed(purpose=Purpose.TRY_FIT)
    with pytest.raises(ShopError, match="is not ready, so it cannot have been tried"):
        say_fit(desk.shop, desk.own.press(), copy.id, "0.2 tight")
    finish_copies(desk.shop, desk.own.press(), [copy.id])
    assert say_fit(desk.shop, desk.own.press("Max"), copy.id, " 0.2 tight ").value.fit_result == "0.2 tight"
    with pytest.raises(ShopError, match="No fit result was given"):
        say_fit(desk.shop, desk.own.press(), copy.id, "  ")


def test_nothing_kept_is_ready_without_its_safety_answers(desk: AidShop) -> None:
    (copy,) = desk.printed()
    with desk.shop.write(desk.own.press(), "forget") as uow:
        request = uow.requests.get(copy.request_id)
        uow.requests.save(replace(request, safety_answers=None))
        uow.commit()
    with pytest.raises(ShopError, match="The safety questions of R 1 are not answered"):
        finish_copies(desk.shop, desk.own.press(), [copy.id])


def test_a_copy_of_a_request_in_words_names_its_size_first(desk: AidShop) -> None:
    (copy,) = desk.printed()
    with desk.shop.write(desk.own.press(), "forget") as uow:
        request = uow.requests.save(replace(uow.requests.get(copy.request_id), size_id=None))
        assert pattern_of(uow, request) is None
        uow.commit()
    with pytest.raises(ShopError, match="R 1 names no size yet"):
        finish_step(desk.shop, desk.own.press(), copy.id)
    with desk.shop.write(desk.own.press(), "private") as uow:
        uow.requests.save(replace(uow.requests.get(copy.request_id), purpose=Purpose.PRIVATE))
        uow.commit()
    assert finish_step(desk.shop, desk.own.press(), copy.id).value.aid_id is None
