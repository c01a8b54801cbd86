"""Handing out: what the gate lets go, to which machine, in whose place."""

from datetime import timedelta

import pytest
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock

from printcrib.core.aids import AidState, RetireReason
from printcrib.core.errors import ShopError
from printcrib.core.patterns import CountedBy
from printcrib.core.requests import CopyState, Purpose, RequestState
from printcrib.core.safety import HOLD_IDS, NOT_FOR_USE
from printcrib.services.count_use import count_use, read_counter
from printcrib.services.hand_out_aid import To, hand_out, hand_out_aid
from printcrib.services.interfaces import Shop
from printcrib.services.release_use import Terms, release, take_back
from printcrib.services.retire_aid import retire
from printcrib.services.set_aside_aid import back_to_shelf, set_aside


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with a pattern."""
    return aid_shop(shop, clock)


def test_a_good_copy_goes_to_its_machine(desk: AidShop) -> None:
    (copy,) = desk.ready()
    to = To(machine_id=desk.machine().id, counted_by=CountedBy.PARTS, uses_a_part=3)
    done = hand_out(desk.shop, desk.own.press("Max"), copy.id, to)
    aid = done.value.aid
    assert aid is not None
    assert (aid.state, aid.machine_id, aid.in_use_since) == (
        AidState.IN_USE,
        desk.machine().id,
        desk.clock.now(),
    )
    assert (aid.counted_by, aid.uses_a_part) == (CountedBy.PARTS, 3)
    assert done.value.copy.state is CopyState.HANDED_OUT
    assert done.value.request.state is RequestState.DONE
    assert done.changed == {"copies", "aids", "requests"}


def test_the_machine_of_the_request_is_taken_when_nobody_says_another(desk: AidShop) -> None:
    (copy,) = desk.ready(machine_id=desk.machine("Mill 2").id)
    aid = hand_out(desk.shop, desk.own.press(), copy.id).value.aid
    assert aid is not None
    assert aid.machine_id == desk.machine("Mill 2").id


def test_an_aid_needs_a_machine(desk: AidShop) -> None:
    (copy,) = desk.ready()
    with pytest.raises(ShopError, match="Nobody said which machine T-0001 goes to"):
        hand_out(desk.shop, desk.own.press(), copy.id)


def test_a_copy_that_is_not_ready_stays(desk: AidShop) -> None:
    (copy,) = desk.printed()
    with pytest.raises(ShopError, match="R 1/1 is finishing, it cannot become handed out"):
        hand_out(desk.shop, desk.own.press(), copy.id, To(machine_id=desk.machine().id))


@pytest.mark.parametrize("purpose", [Purpose.TRY_FIT, Purpose.LOOK_AT])
def test_copies_to_try_or_look_at_go_out_marked(desk: AidShop, purpose: Purpose) -> None:
    (copy,) = desk.ready(purpose=purpose, safety_answers=(3, 4))
    handed = hand_out(desk.shop, desk.own.press("Max"), copy.id).value
    assert (handed.aid, handed.mark) == (None, NOT_FOR_USE)
    assert handed.request.state is desk.request_of(copy).state is RequestState.DONE


def test_a_private_copy_goes_out_without_a_mark(desk: AidShop) -> None:
    (copy,) = desk.ready(purpose=Purpose.PRIVATE)
    handed = hand_out(desk.shop, desk.own.press("Max"), copy.id).value
    assert (handed.aid, handed.mark) == (None, "")
    with pytest.raises(ShopError, match="is handed out, it cannot become handed out"):
        hand_out(desk.shop, desk.own.press("Max"), copy.id)


def held(desk: AidShop) -> tuple[int, int]:
    """A ready copy that holds work, and its request."""
    (copy,) = desk.ready(safety_answers=(2,), machine_id=desk.machine().id)
    return copy.id, copy.request_id


def test_a_held_copy_waits_for_its_release(desk: AidShop) -> None:
    copy_id, request_id = held(desk)
    with pytest.raises(ShopError, match="not handed out: no reviewer has released it") as refused:
        hand_out(desk.shop, desk.own.press(), copy_id)
    assert refused.value.do.endswith("Local codes and licensed practice come first.")
    release(desk.shop, desk.own.press("Rita"), request_id, Terms())
    assert hand_out(desk.shop, desk.own.press(), copy_id).value.aid is not None


@pytest.mark.parametrize(
    ("bores", "words"),
    [((800,), "does not name this nozzle"), ((400,), "")],
)
def test_the_release_must_cover_how_it_was_printed(desk: AidShop, bores: tuple[int, ...], words: str) -> None:
    copy_id, request_id = held(desk)
    release(desk.shop, desk.own.press("Rita"), request_id, Terms(bores_um=bores))
    if words:
        with pytest.raises(ShopError, match=words):
            hand_out(desk.shop, desk.own.press(), copy_id)
    else:
        assert hand_out(desk.shop, desk.own.press(), copy_id).value.copy.state is CopyState.HANDED_OUT


def test_the_release_must_cover_the_machine(desk: AidShop) -> None:
    copy_id, request_id = held(desk)
    release(desk.shop, desk.own.press("Rita"), request_id, Terms(machine_ids=(desk.machine().id,)))
    with pytest.raises(ShopError, match="the release is for another machine"):
        hand_out(desk.shop, desk.own.press(), copy_id, To(machine_id=desk.machine("Mill 2").id))
    aid = hand_out(desk.shop, desk.own.press(), copy_id).value.aid
    assert aid is not None
    with pytest.raises(ShopError, match="the release is for another machine"):
        hand_out_aid(desk.shop, desk.own.press(), aid.id, To(machine_id=desk.machine("Mill 2").id))


def test_a_release_that_lapsed_or_ran_out_covers_nothing(desk: AidShop) -> None:
    copy_id, request_id = held(desk)
    until = desk.clock.now() + timedelta(days=1)
    made = release(desk.shop, desk.own.press("Rita"), request_id, Terms(until=until)).value
    desk.clock.move(days=1)
    with pytest.raises(ShopError, match="the release has run out"):
        hand_out(desk.shop, desk.own.press(), copy_id)
    take_back(desk.shop, desk.own.press("Rita"), made.id, "cracked in the test")
    with pytest.raises(ShopError, match="no longer holds"):
        hand_out(desk.shop, desk.own.press(), copy_id)


@pytest.mark.parametrize("answer", sorted(HOLD_IDS))
def test_each_question_that_holds_stops_handing_out(desk: AidShop, answer: int) -> None:
    (copy,) = desk.ready(safety_answers=(answer,), machine_id=desk.machine().id)
    with pytest.raises(ShopError, match="no reviewer has released it"):
        hand_out(desk.shop, desk.own.press(), copy.id)


def test_an_aid_moves_from_one_machine_to_another(desk: AidShop) -> None:
    aid = desk.in_use()
    desk.clock.move(days=3)
    moved = hand_out_aid(desk.shop, desk.own.press(), aid.id, To(machine_id=desk.machine("Mill 2").id)).value
    assert moved.aid is not None
    assert (moved.aid.machine_id, moved.aid.since) == (desk.machine("Mill 2").id, desk.clock.now())
    assert moved.aid.in_use_since == aid.in_use_since


def test_the_old_one_is_retired_or_goes_back_to_the_shelf(desk: AidShop) -> None:
    first, second, third = desk.in_use(), desk.ready()[0], desk.ready()[0]
    machine = desk.machine().id
    to = To(machine_id=machine, swap_aid_id=first.id, old_reason=RetireReason.WORN_OUT)
    handed = hand_out(desk.shop, desk.own.press(), second.id, to).value
    assert handed.old is not None
    assert (handed.old.state, handed.old.retired_reason) == (AidState.RETIRED, RetireReason.WORN_OUT)
    to = To(machine_id=machine, swap_aid_id=second.aid_id)
    handed = hand_out(desk.shop, desk.own.press(), third.id, to).value
    assert handed.old is not None
    assert (handed.old.state, handed.old.machine_id) == (AidState.SHELF, None)
    assert desk.copy(second.id).state is CopyState.SHELVED


def test_only_what_is_in_use_is_swapped(desk: AidShop) -> None:
    (first,), (second,) = desk.ready(), desk.ready()
    machine = desk.machine().id
    for old, words in ((first, "T-0001 is not in use"), (second, "T-0002 cannot take its own place")):
        with pytest.raises(ShopError, match=words):
            hand_out(desk.shop, desk.own.press(), second.id, To(machine_id=machine, swap_aid_id=old.aid_id))


def test_a_reading_at_hand_out_starts_the_count(desk: AidShop) -> None:
    to = To(machine_id=desk.machine().id, counted_by=CountedBy.READING, counter=1000, uses_a_part=2)
    aid = desk.in_use(to=to)
    desk.clock.move(days=1)
    read_counter(desk.shop, desk.own.press(), desk.machine().id, 1040)
    assert desk.count(aid.id) == 80


def test_uses_a_part_is_at_least_one(desk: AidShop) -> None:
    (copy,) = desk.ready()
    with pytest.raises(ShopError, match="used at least once a part"):
        hand_out(desk.shop, desk.own.press(), copy.id, To(machine_id=desk.machine().id, uses_a_part=0))


def test_what_is_set_aside_or_retired_is_not_handed_out(desk: AidShop) -> None:
    aid = desk.in_use()
    set_aside(desk.shop, desk.own.press("Max"), aid.id, "cracked")
    with pytest.raises(ShopError, match="T-0001 is set aside: cracked"):
        hand_out_aid(desk.shop, desk.own.press(), aid.id, To(machine_id=desk.machine().id))
    retire(desk.shop, desk.own.press(), aid.id, RetireReason.BROKEN)
    with pytest.raises(ShopError, match="T-0001 is no longer in service"):
        hand_out_aid(desk.shop, desk.own.press(), aid.id, To(machine_id=desk.machine().id))


def test_one_past_its_limit_that_locates_is_checked_first(desk: AidShop) -> None:
    desk.edit_pattern(reliability="locating", expected_life=50)
    aid = desk.in_use()
    back_to_shelf(desk.shop, desk.own.press(), aid.id)
    count_use(desk.shop, desk.own.press(), aid.id, 51)
    with pytest.raises(ShopError, match="T-0001 is past its limit of 50"):
        hand_out_aid(desk.shop, desk.own.press(), aid.id, To(machine_id=desk.machine().id))
