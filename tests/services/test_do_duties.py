"""The tool's own duties: only what is due, by one station at a time."""

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock

from printcrib.core.aids import AidState
from printcrib.core.patterns import Reliability
from printcrib.core.records import THE_TOOL
from printcrib.services.count_use import count_use
from printcrib.services.do_duties import KEEP_GOING, do_duties, take_lease
from printcrib.services.interfaces import Shop, is_
from printcrib.services.press import Press
from printcrib.services.release_use import Terms, release


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with a pattern."""
    return aid_shop(shop, clock)


def tool(station: str = "desk") -> Press:
    """A press of the tool."""
    return Press(who_id=THE_TOOL, station=station)


def settled(desk: AidShop) -> None:
    """Let the first duties mend the plan that accepting left behind."""
    do_duties(desk.shop, tool())
    desk.clock.move(minutes=2)


def test_nothing_is_written_while_nothing_is_due(desk: AidShop) -> None:
    settled(desk)
    with desk.shop.read() as uow:
        before = uow.changes.last_number()
    done = do_duties(desk.shop, tool())
    with desk.shop.read() as uow:
        assert uow.changes.last_number() == before
    assert done.value.done == ()


def test_a_worn_aid_is_asked_for_once(desk: AidShop) -> None:
    aid = desk.in_use()
    settled(desk)
    for _ in range(3):
        desk.clock.move(days=1)
        count_use(desk.shop, desk.own.press(), aid.id, 190)
    assert "raise reprints" in do_duties(desk.shop, tool()).value.done
    do_duties(desk.shop, tool())
    with desk.shop.read() as uow:
        assert uow.requests.count(is_("replaces_aid_id", aid.id)) == 1


def test_a_locating_aid_past_its_days_is_set_aside(desk: AidShop) -> None:
    aid = desk.in_use()
    count_use(desk.shop, desk.own.press(), aid.id, 601)
    assert desk.aid(aid.id).state is AidState.IN_USE
    desk.edit_pattern(reliability=Reliability.LOCATING)
    do_duties(desk.shop, tool())
    assert desk.aid(aid.id).state is AidState.ASIDE


def test_a_release_lapses_at_its_date(desk: AidShop) -> None:
    (copy,) = desk.ready(safety_answers=(2,))
    until = desk.clock.now() + timedelta(days=1)
    release(desk.shop, desk.own.press("Rita"), copy.request_id, Terms(until=until))
    settled(desk)
    desk.clock.move(days=2)
    assert "releases run out" in do_duties(desk.shop, tool()).value.done


def test_another_station_waits_for_the_lease(desk: AidShop) -> None:
    assert take_lease(desk.shop, tool("north"), KEEP_GOING)
    assert not take_lease(desk.shop, tool("south"), KEEP_GOING)
    assert take_lease(desk.shop, tool("north"), KEEP_GOING)
    desk.clock.move(seconds=61)
    assert take_lease(desk.shop, tool("south"), KEEP_GOING)


def test_duties_wait_while_another_station_does_them(desk: AidShop) -> None:
    aid = desk.in_use()
    take_lease(desk.shop, tool("north"), KEEP_GOING)
    with desk.shop.write(desk.own.press(), "edit for a test") as uow:
        uow.aids.save(replace(uow.aids.get(aid.id), limit=1))
        uow.commit()
    count_use(desk.shop, desk.own.press(), aid.id, 5)
    assert do_duties(desk.shop, tool("south")).value.done == ()
