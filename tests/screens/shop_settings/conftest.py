"""Shop settings of a small shop, as Lea, who leads it, sees them."""

from collections.abc import Callable
from zoneinfo import ZoneInfo

import pytest
from pytestqt.qtbot import QtBot
from tests.screens.fakes import FakeMessages
from tests.services.fake import fake_shop
from tests.services.own_shop import Own, own_shop

from printcrib.screens.shell.keepers import Kept
from printcrib.screens.shell.standing import Standing, StandingAlone
from printcrib.screens.shell.theme import Theme
from printcrib.screens.shop_settings.screen import ShopSettingsPage


class FakeKeepers:
    """Keeps no books, and remembers the look."""

    def __init__(self) -> None:
        self.made: list[str] = []
        self.dark = False
        self.on_server = False

    def look(self) -> Kept:
        """Where the books are said to be."""
        return Kept("/shops/ours", on_server=self.on_server, backups=tuple(reversed(self.made)))

    def back_up(self) -> str:
        """Make one more copy."""
        self.made.append(f"shop-{len(self.made) + 1}.db")
        return self.made[-1]

    def set_dark(self, dark: bool) -> None:
        """Dark or light from now on."""
        self.dark = dark


@pytest.fixture
def own() -> Own:
    """Two printers, four nozzles, five people, three materials, two machines."""
    return own_shop(fake_shop())


@pytest.fixture
def keepers() -> FakeKeepers:
    return FakeKeepers()


@pytest.fixture
def stand(own: Own, messages: FakeMessages, keepers: FakeKeepers) -> Callable[[str], Standing]:
    """Somebody standing at the station."""

    def make(name: str = "Lea") -> Standing:
        return Standing(
            own.shop,
            StandingAlone(messages),
            messages,
            station="test",
            person=own.made.people[name],
            zone=ZoneInfo("Europe/Vienna"),
            open_place=lambda _place, _key: None,
            keepers=keepers,
        )

    return make


@pytest.fixture
def page(qtbot: QtBot, theme: Theme, stand: Callable[[str], Standing]) -> ShopSettingsPage:
    """The place, shown, for the lead."""
    made = ShopSettingsPage(stand("Lea"))
    qtbot.addWidget(made)
    made.resize(1108, 652)
    with qtbot.waitActive(made):
        made.show()
    made.arrived()
    return made
