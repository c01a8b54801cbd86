"""Who stands at the station: picked from a list, with a PIN where there is one."""

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.fakes import FakeMessages
from tests.screens.hands import focused, key, press, typing
from tests.services.fake import fake_shop
from tests.services.own_shop import Own, own_shop

from printcrib.core.people import Person
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.pick import PickPanel
from printcrib.screens.parts.pin_pad import PinPanel
from printcrib.screens.shell.standing import Standing, StandingAlone
from printcrib.screens.shell.theme import Theme
from printcrib.screens.shell.who_here import WhoHere
from printcrib.services.edit_people import change_person, set_pin


@pytest.fixture
def own() -> Own:
    """Lea leads; only she has a PIN, 2468, hashed as it really is."""
    made = own_shop(fake_shop())
    set_pin(made.shop, made.press("Lea"), made.who("Lea"), "0468")
    return made


@pytest.fixture
def page(qtbot: QtBot, theme: Theme) -> PageFrame:
    made = PageFrame("Desk")
    qtbot.addWidget(made)
    made.resize(1108, 652)
    with qtbot.waitActive(made):
        made.show()
    return made


@pytest.fixture
def stood() -> list[Person]:
    return []


@pytest.fixture
def standing(own: Own, messages: FakeMessages, stood: list[Person]) -> Standing:
    return Standing(
        own.shop,
        StandingAlone(messages),
        messages,
        station="test",
        person=own.made.people["Dora"],
        zone=ZoneInfo("Europe/Vienna"),
        open_place=lambda _place, _key: None,
        person_stood=stood.append,
    )


@pytest.fixture
def who(standing: Standing, page: PageFrame) -> WhoHere:
    return WhoHere(standing, lambda: page)


def pick(who: WhoHere, name: str) -> None:
    """Pick somebody from the list with the mouse."""
    who.ask()
    panel = who.panel
    assert isinstance(panel, PickPanel)
    assert faults_of(panel) == []
    row = next(row for row, each in enumerate(panel.table.model.rows) if each.words == name)
    view = panel.table.view
    press(view.viewport(), view.visualRect(panel.table.model.index(row, 0)).center())
    press(panel.confirm_button)


def test_somebody_without_a_pin_stands_here_at_once(
    who: WhoHere, standing: Standing, stood: list[Person], messages: FakeMessages, page: PageFrame
) -> None:
    pick(who, "Max")
    assert standing.person.name == "Max"
    assert [person.name for person in stood] == ["Max"]
    assert messages.said == ["Max stands here now."]
    assert page.standing_over is None


def test_a_wrong_pin_is_refused_and_asked_again(who: WhoHere, standing: Standing, page: PageFrame) -> None:
    pick(who, "Lea")
    panel = who.panel
    assert isinstance(panel, PinPanel)
    assert not panel.confirm_button.isEnabled()
    typing(None, "1111")
    assert faults_of(panel) == []
    press(panel.confirm_button)
    assert standing.person.name == "Dora"
    assert "That is not the PIN" in panel._error.text()
    assert panel.pad.pin == ""
    for digit in "04689":
        panel.pad.press(digit)
    panel.pad.press("erase")
    assert panel.pad._shown.text() == "••••"
    press(panel.confirm_button)
    assert standing.person.name == "Lea"
    assert page.standing_over is None


def test_by_keyboard_alone(who: WhoHere, standing: Standing) -> None:
    who.ask()
    assert isinstance(who.panel, PickPanel)
    while who.panel.table.chosen is None or who.panel.table.chosen.words != "Lea":
        key(who.panel.table.view, Qt.Key.Key_Down)
    key(who.panel.table.view, Qt.Key.Key_Return)
    typing(focused(), "0468")
    key(focused(), Qt.Key.Key_Return)
    assert standing.person.name == "Lea"


def test_the_same_person_and_back_change_nothing(
    who: WhoHere, standing: Standing, stood: list[Person]
) -> None:
    pick(who, "Dora")
    who.ask()
    key(who.panel, Qt.Key.Key_Escape)
    pick(who, "Lea")
    key(who.panel, Qt.Key.Key_Escape)
    assert (standing.person.name, stood) == ("Dora", [])


def test_somebody_switched_off_meanwhile_cannot_stand_here(
    who: WhoHere, standing: Standing, own: Own, messages: FakeMessages
) -> None:
    who.ask()
    panel = who.panel
    assert isinstance(panel, PickPanel)
    change_person(own.shop, own.press("Lea"), replace(own.made.people["Max"], active=False))
    panel.picked.emit(str(own.who("Max")))
    assert standing.person.name == "Dora"
    assert messages.problems == ["Max is switched off. Choose another name."]


def test_whoever_stands_here_is_followed(
    who: WhoHere, standing: Standing, own: Own, messages: FakeMessages, stood: list[Person]
) -> None:
    who.refresh(frozenset({"people", "spools"}))
    who.refresh(frozenset({"spools"}))
    assert stood == []
    lea = own.press("Lea")
    renamed = change_person(own.shop, lea, replace(own.made.people["Dora"], name="Dora Berg")).value
    who.refresh(frozenset({"people"}))
    assert standing.person.name == "Dora Berg"
    change_person(own.shop, own.press("Lea"), replace(renamed, active=False))
    who.refresh(frozenset({"people"}))
    assert messages.problems == ["Dora Berg is switched off. Choose who stands here."]
    answer = messages.answers[-1]
    assert answer is not None
    answer.call()
    assert isinstance(who.panel, PickPanel)
