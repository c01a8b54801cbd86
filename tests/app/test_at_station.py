"""Who stands at the station is remembered, shown and followed."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from tests.services.fake import TUESDAY_MORNING
from tests.services.own_shop import Own, own_shop

from printcrib.app.clock import SetClock
from printcrib.app.pictures import settle
from printcrib.app.resources import resource_folder
from printcrib.app.window import OpenWindow, open_window
from printcrib.app.wiring import Wired, open_shop
from printcrib.core.errors import ShopError
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.theme import Theme
from printcrib.services.edit_people import change_person
from printcrib.services.edit_shop import change_settings
from printcrib.storage.backup import faults_of_file


@pytest.fixture
def wired(tmp_path: Path) -> Iterator[Wired]:
    opened = open_shop(tmp_path / "shop", clock=SetClock(TUESDAY_MORNING), create=True)
    yield opened
    opened.close()


@pytest.fixture
def own(wired: Wired) -> Own:
    return own_shop(wired.shop)


@pytest.fixture
def memory(tmp_path: Path) -> Memory:
    return Memory(tmp_path / "window.ini")


@pytest.fixture
def theme(qapp: QApplication) -> Iterator[Theme]:
    made = Theme(qapp, resource_folder())
    yield made
    made.set_dark(False)
    made.deleteLater()


@pytest.fixture
def opened(wired: Wired, own: Own, theme: Theme, memory: Memory) -> Iterator[OpenWindow]:
    made = open_window(wired, theme, memory, station="test")
    made.window.open_first_place()
    yield made
    made.refresh.stop()
    made.writer.close(finish=True)
    made.window.deleteLater()


def test_who_stands_here_is_shown_and_remembered(
    opened: OpenWindow, own: Own, memory: Memory, wired: Wired, theme: Theme
) -> None:
    assert opened.window.side.person.accessibleName() == "who stands here: Dora"
    assert opened.window.side.clock.text() == "07:00", "the shop's time from the first second on"
    opened.standing.stand_here(own.made.people["Max"])
    assert opened.window.side.person.accessibleName() == "who stands here: Max"
    assert memory.shop_text("person") == str(own.who("Max"))
    again = open_window(wired, theme, memory, station="test")
    assert again.standing.person.name == "Max"
    again.writer.close(finish=True)
    again.window.deleteLater()


def test_the_window_follows_a_new_name_and_zone(opened: OpenWindow, own: Own) -> None:
    dora = replace(own.made.people["Dora"], name="Dora Berg")
    opened.background.change(change_person, own.shop, own.press("Lea"), dora)
    settle(opened)
    assert opened.window.side.person.accessibleName() == "who stands here: Dora Berg"
    moved = replace(own.made.settings, zone="America/New_York")
    opened.background.change(change_settings, own.shop, own.press("Lea"), moved)
    settle(opened)
    assert opened.standing.zone.key == "America/New_York"
    assert opened.window.side.clock.text() == "01:00"


def test_a_backup_is_made_whole_and_listed(opened: OpenWindow, tmp_path: Path) -> None:
    keepers = opened.standing.keepers
    assert keepers is not None
    assert keepers.look().backups == ()
    name = keepers.back_up()
    kept = keepers.look()
    assert (kept.place, kept.backups, kept.on_server) == (str(tmp_path / "shop"), (name,), False)
    assert faults_of_file(tmp_path / "shop" / "backups" / name) == ()


def test_the_look_is_changed_by_its_keeper(opened: OpenWindow, theme: Theme) -> None:
    keepers = opened.standing.keepers
    assert keepers is not None
    assert not keepers.dark
    keepers.set_dark(True)
    assert (keepers.dark, theme.dark) == (True, True)


def test_nobody_can_stand_in_a_shop_without_people(tmp_path: Path, memory: Memory, theme: Theme) -> None:
    empty = open_shop(tmp_path / "empty", create=True)
    try:
        with pytest.raises(ShopError):
            open_window(empty, theme, memory, station="test")
    finally:
        empty.close()
