"""People and PINs, by keyboard alone and by mouse alone."""

import json
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.fakes import FakeMessages
from tests.screens.hands import focused, key, press, typing
from tests.services.own_shop import Own

from printcrib.core.people import Person, Role
from printcrib.screens.shop_settings.people import PeopleSection, PersonPanel
from printcrib.screens.shop_settings.pin_panel import NewPinPanel
from printcrib.screens.shop_settings.screen import ShopSettingsPage
from printcrib.services.edit_people import change_person, check_pin

CTRL = Qt.KeyboardModifier.ControlModifier


def people(own: Own) -> dict[str, Person]:
    with own.shop.read() as uow:
        return {each.name: each for each in uow.people.find()}


@pytest.fixture
def section(page: ShopSettingsPage) -> PeopleSection:
    made = page.section
    assert isinstance(made, PeopleSection)
    return made


def person_panel(page: ShopSettingsPage) -> PersonPanel:
    panel = page.standing_over
    assert isinstance(panel, PersonPanel)
    return panel


def pin_panel(page: ShopSettingsPage) -> NewPinPanel:
    panel = page.standing_over
    assert isinstance(panel, NewPinPanel)
    return panel


def choose(section: PeopleSection, name: str) -> None:
    """Choose somebody with the mouse."""
    row = next(row for row, each in enumerate(section.table.model.rows) if each.name == name)
    view = section.table.view
    press(view.viewport(), view.visualRect(section.table.model.index(row, 0)).center())


def test_a_person_is_added_by_keyboard_alone(page: ShopSettingsPage, own: Own, qtbot: QtBot) -> None:
    key(page, Qt.Key.Key_N, CTRL)
    panel = person_panel(page)
    qtbot.waitUntil(lambda: faults_of(panel) == [])
    key(None, Qt.Key.Key_Return)
    assert panel.entries["name"].field.error == "Type a name."
    typing(None, "Nora Hill")
    key(None, Qt.Key.Key_Tab)
    typing(None, "B9")
    key(None, Qt.Key.Key_Tab)
    assert focused().accessibleName() == "Machinist"
    key(None, Qt.Key.Key_Right)
    key(None, Qt.Key.Key_Return)
    while focused() is not panel.confirm_button:
        key(None, Qt.Key.Key_Tab)
    key(None, Qt.Key.Key_Return)
    assert page.standing_over is None
    nora = people(own)["Nora Hill"]
    assert (nora.badge, nora.roles) == ("B9", (Role.MACHINIST, Role.DESK))


def test_a_role_is_needed(page: ShopSettingsPage) -> None:
    key(page, Qt.Key.Key_N, CTRL)
    panel = person_panel(page)
    typing(None, "Nora")
    panel.entries["roles"].set_value(())
    key(None, Qt.Key.Key_Return)
    assert panel.entries["roles"].field.error == "Choose at least one role."


def test_somebody_leaves_by_mouse_alone(page: ShopSettingsPage, section: PeopleSection, own: Own) -> None:
    choose(section, "Otto")
    press(section.acts["change"])
    panel = person_panel(page)
    assert panel.touched() == {}
    control = panel.entries["active"].field.control
    press(control.buttons["no"])  # type: ignore[attr-defined]
    press(panel.confirm_button)
    assert not people(own)["Otto"].active
    assert section.table.model.rows[-1].name == "Otto", "who left stands last"


def test_the_only_lead_stays_and_what_was_chosen_too(page: ShopSettingsPage, section: PeopleSection) -> None:
    choose(section, "Lea")
    press(section.acts["change"])
    panel = person_panel(page)
    panel.entries["roles"].set_value(("desk",))
    press(panel.confirm_button)
    assert "Lea is the only lead" in panel._error.text()
    assert panel.entries["roles"].value() == ("desk",)


def test_a_pin_is_set_by_mouse_alone(page: ShopSettingsPage, section: PeopleSection, own: Own) -> None:
    choose(section, "Max")
    assert not section.acts["no_pin"].isEnabled()
    press(section.acts["pin"])
    panel = pin_panel(page)
    assert not panel.confirm_button.isEnabled()
    for _ in range(2):
        for digit in "2468":
            panel.pad.press(digit)
        press(panel.confirm_button)
    assert page.standing_over is None
    assert check_pin(own.shop, "Max", "2468").name == "Max"
    assert section.acts["no_pin"].isEnabled()
    press(section.acts["no_pin"])
    assert people(own)["Max"].pin_hash == ""


def test_a_pin_is_typed_twice_alike_by_keyboard_alone(
    page: ShopSettingsPage, section: PeopleSection, own: Own
) -> None:
    section.table.choose(own.who("Max"))
    section.acts["pin"].setFocus()
    key(None, Qt.Key.Key_Return)
    panel = pin_panel(page)
    typing(None, "24")
    key(None, Qt.Key.Key_Return)
    assert panel._error.text() == "Give 4 to 12 digits."
    for pin in ("2468", "2469"):
        typing(None, pin)
        key(None, Qt.Key.Key_Return)
    assert "not the same" in panel._error.text()
    for pin in ("0246", "0246"):
        typing(None, pin)
        key(None, Qt.Key.Key_Return)
    assert check_pin(own.shop, "Max", "0246").name == "Max"


def test_a_stale_edit_keeps_what_was_typed_and_takes_over_the_rest(
    page: ShopSettingsPage, section: PeopleSection, own: Own, messages: FakeMessages
) -> None:
    choose(section, "Max")
    press(section.acts["change"])
    panel = person_panel(page)
    panel.entries["name"].set_value("Maximilian")
    change_person(own.shop, own.press("Lea"), replace(people(own)["Max"], name="Maxi", badge="B3"))
    press(panel.confirm_button)
    assert panel.isVisible()
    assert "Lea changed person Maxi" in panel._error.text()
    assert panel.entries["name"].value() == "Maximilian"
    assert panel.entries["name"].field._hint.text() == 'Lea made it "Maxi".'
    assert panel.entries["badge"].value() == "B3", "nobody touched it here"
    press(panel.confirm_button)
    assert (people(own)["Maximilian"].badge, messages.problems) == ("B3", [])


def test_a_half_filled_sheet_is_there_again_after_back_and_after_a_restart(
    page: ShopSettingsPage, qtbot: QtBot, own: Own
) -> None:
    key(page, Qt.Key.Key_N, CTRL)
    typing(None, "Nora")
    key(None, Qt.Key.Key_Escape)
    assert page.standing_over is None
    key(page, Qt.Key.Key_N, CTRL)
    assert person_panel(page).entries["name"].value() == "Nora"
    state = page.kept_state()
    again = ShopSettingsPage(page._here)
    qtbot.addWidget(again)
    again.restore_state(state)
    again.arrived()
    with qtbot.waitActive(again):
        again.show()
    key(again, Qt.Key.Key_N, CTRL)
    assert person_panel(again).entries["name"].value() == "Nora"
    key(None, Qt.Key.Key_Return)
    assert "Nora" in people(own)
    assert json.loads(again.kept_state()["drafts"]) == {}
    again.restore_state({"drafts": "no json", "section": "hours"})
    assert again.section.id == "hours"
