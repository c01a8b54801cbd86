"""Setting aside, checking, the shelf, and retiring."""

from collections.abc import Callable

import pytest
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock

from printcrib.core.aids import AidState, RetireReason
from printcrib.core.errors import ShopError
from printcrib.core.patterns import Reliability
from printcrib.core.requests import CopyState
from printcrib.services.count_use import count_use
from printcrib.services.hand_out_aid import hand_out
from printcrib.services.interfaces import Shop
from printcrib.services.release_use import Terms, release, take_back
from printcrib.services.retire_aid import retire
from printcrib.services.set_aside_aid import (
    aside_past_limit,
    back_to_shelf,
    check_aid,
    limits_of,
    set_aside,
)


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with a pattern."""
    return aid_shop(shop, clock)


def test_anyone_sets_an_aid_aside_with_a_reason(desk: AidShop) -> None:
    aid = desk.in_use()
    with pytest.raises(ShopError, match="needs a reason"):
        set_aside(desk.shop, desk.own.press("Max"), aid.id, " ")
    aside = set_aside(desk.shop, desk.own.press("Max"), aid.id, "cracked").value
    assert (aside.state, aside.aside_why, aside.machine_id) == (AidState.ASIDE, "cracked", aid.machine_id)
    assert set_aside(desk.shop, desk.own.press("Max"), aid.id, "again").value == aside


def test_a_check_gives_a_new_limit_and_brings_it_back_to_its_machine(desk: AidShop) -> None:
    aid = desk.in_use()
    count_use(desk.shop, desk.own.press(), aid.id, 620)
    set_aside(desk.shop, desk.own.press("Max"), aid.id, "looks worn")
    with pytest.raises(ShopError, match="Only the desk or a reviewer may check an aid"):
        check_aid(desk.shop, desk.own.press("Max"), aid.id, 700)
    with pytest.raises(ShopError, match="T-0001 has done 620 already"):
        check_aid(desk.shop, desk.own.press(), aid.id, 620)
    checked = check_aid(desk.shop, desk.own.press("Rita"), aid.id, 700, "no wear on the face").value
    assert (checked.state, checked.limit, checked.checked_at) == (AidState.IN_USE, 700, desk.clock.now())
    assert checked.aside_why == "no wear on the face"


def test_a_check_of_an_aid_in_use_only_sets_the_limit(desk: AidShop) -> None:
    aid = desk.in_use()
    checked = check_aid(desk.shop, desk.own.press(), aid.id, 900).value
    assert (checked.state, checked.since, checked.limit) == (AidState.IN_USE, aid.since, 900)


def test_a_spare_set_aside_goes_back_to_the_shelf(desk: AidShop) -> None:
    (copy,) = desk.ready()
    set_aside(desk.shop, desk.own.press("Max"), copy.aid_id or 0, "dropped")
    assert check_aid(desk.shop, desk.own.press(), copy.aid_id or 0, 600).value.state is AidState.SHELF


def test_one_whose_release_is_gone_does_not_go_back_into_use(desk: AidShop) -> None:
    (copy,) = desk.ready(safety_answers=(2,), machine_id=desk.machine().id)
    made = release(desk.shop, desk.own.press("Rita"), copy.request_id, Terms()).value
    aid = hand_out(desk.shop, desk.own.press(), copy.id).value.aid
    assert aid is not None
    set_aside(desk.shop, desk.own.press("Max"), aid.id, "loose")
    take_back(desk.shop, desk.own.press("Rita"), made.id, "slipped")
    with pytest.raises(ShopError, match="T-0001 does not go back into use: the release no longer holds"):
        check_aid(desk.shop, desk.own.press(), aid.id, 600)
    assert back_to_shelf(desk.shop, desk.own.press("Rita"), aid.id).value.state is AidState.SHELF


def test_back_to_the_shelf_at_its_place(desk: AidShop) -> None:
    aid = desk.in_use()
    shelved = back_to_shelf(desk.shop, desk.own.press("Max"), aid.id, " drawer 2 ").value
    assert (shelved.state, shelved.machine_id, shelved.place) == (AidState.SHELF, None, "drawer 2")
    assert desk.copy(aid.copy_id).state is CopyState.SHELVED


def test_only_desk_or_reviewer_bring_back_what_was_set_aside(desk: AidShop) -> None:
    aid = desk.in_use()
    set_aside(desk.shop, desk.own.press("Max"), aid.id, "cracked")
    with pytest.raises(ShopError, match="Only the desk or a reviewer may bring an aid back"):
        back_to_shelf(desk.shop, desk.own.press("Max"), aid.id)
    assert back_to_shelf(desk.shop, desk.own.press(), aid.id).value.aside_why == ""


@pytest.mark.parametrize("reason", list(RetireReason))
def test_a_retired_aid_is_out_of_service(desk: AidShop, reason: RetireReason) -> None:
    aid = desk.in_use()
    retired = retire(desk.shop, desk.own.press("Max"), aid.id, reason).value
    assert (retired.state, retired.retired_reason, retired.retired_at) == (
        AidState.RETIRED,
        reason,
        desk.clock.now(),
    )
    tries: tuple[Callable[[], object], ...] = (
        lambda: retire(desk.shop, desk.own.press(), aid.id, reason),
        lambda: set_aside(desk.shop, desk.own.press(), aid.id, "x"),
        lambda: back_to_shelf(desk.shop, desk.own.press(), aid.id),
        lambda: check_aid(desk.shop, desk.own.press(), aid.id, 900),
    )
    for again in tries:
        with pytest.raises(ShopError, match="T-0001 is no longer in service"):
            again()


@pytest.mark.parametrize(
    ("reliability", "answers", "aside"),
    [
        (Reliability.NORMAL, (), False),
        (Reliability.NORMAL, (6,), False),
        (Reliability.NORMAL, (1,), True),
        (Reliability.CONSUMABLE, (2,), True),
        (Reliability.LOCATING, (), True),
    ],
)
def test_past_its_limit_the_tool_sets_aside_what_holds_locates_or_turns(
    desk: AidShop, reliability: Reliability, answers: tuple[int, ...], aside: bool
) -> None:
    desk.edit_pattern(reliability=reliability, safety_answers=answers, expected_life=100)
    (copy,) = desk.ready(machine_id=desk.machine().id)
    if answers:
        speed = Terms(top_speed_rpm=500)
        release(desk.shop, desk.own.press("Rita"), copy.request_id, speed)
    aid = hand_out(desk.shop, desk.own.press(), copy.id).value.aid
    assert aid is not None
    assert not count_use(desk.shop, desk.own.press("Max"), aid.id, 100).value.set_aside
    counted = count_use(desk.shop, desk.own.press("Max"), aid.id, 1).value
    assert counted.set_aside is aside
    if aside:
        assert counted.aid.aside_why == "past its limit of 100 clamp cycles"
        assert check_aid(desk.shop, desk.own.press(), aid.id, 150).value.state is AidState.IN_USE
        assert not count_use(desk.shop, desk.own.press("Max"), aid.id, 49).value.set_aside


def test_those_past_their_limit_are_set_aside_together(desk: AidShop) -> None:
    desk.edit_pattern(reliability=Reliability.LOCATING, expected_life=10)
    first, second = desk.in_use(), desk.in_use()
    with desk.shop.write(desk.own.press("the tool"), "look") as uow:
        gone = aside_past_limit(uow, [(uow.aids.get(first.id), 11), (uow.aids.get(second.id), 10)])
        limits = limits_of(uow, first)
        uow.commit()
    assert [aid.tag for aid in gone] == ["T-0001"]
    assert (limits.past(10), limits.past(11)) == (False, True)
