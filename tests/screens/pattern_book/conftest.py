"""A shop with one pattern of one size, and the place over it."""

from zoneinfo import ZoneInfo

import pytest
from pytestqt.qtbot import QtBot
from tests.screens.fakes import FakeMessages
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock, fake_shop

from printcrib.screens.pattern_book.screen import PatternBookPage
from printcrib.screens.shell.standing import Standing, StandingAlone
from printcrib.screens.shell.theme import Theme


@pytest.fixture
def desk() -> AidShop:
    """A shop with one pattern of one size."""
    clock = FakeClock()
    return aid_shop(fake_shop(clock=clock), clock)


@pytest.fixture
def asked() -> list[int | None]:
    """Sizes a request was begun for."""
    return []


@pytest.fixture
def here(desk: AidShop, messages: FakeMessages, asked: list[int | None]) -> Standing:
    """Dora of the desk, at the station."""
    with desk.shop.read() as uow:
        person = next(each for each in uow.people.find() if each.name == "Dora")
    return Standing(
        desk.shop,
        StandingAlone(messages),
        messages,
        station="test",
        person=person,
        zone=ZoneInfo("Europe/Vienna"),
        open_place=lambda _place, _key: None,
        raise_request=asked.append,
    )


@pytest.fixture
def page(qtbot: QtBot, theme: Theme, here: Standing) -> PatternBookPage:
    """The place, shown, for the desk."""
    made = PatternBookPage(here)
    qtbot.addWidget(made)
    made.resize(1108, 652)
    with qtbot.waitActive(made):
        made.show()
    made.arrived()
    return made
