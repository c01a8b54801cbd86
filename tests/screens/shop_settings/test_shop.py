"""Materials, machines, numbers of the shop and where the data is."""

from dataclasses import replace
from decimal import Decimal

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.fakes import FakeMessages
from tests.screens.hands import focused, key, press, typing
from tests.screens.shop_settings.conftest import FakeKeepers
from tests.services.own_shop import Own

from printcrib.screens.parts.pick import PickPanel
from printcrib.screens.shell.keepers import Kept
from printcrib.screens.shell.theme import Theme
from printcrib.screens.shop_settings.data import DataSection, kept_facts
from printcrib.screens.shop_settings.entries import FigureEntry
from printcrib.screens.shop_settings.materials import (
    MachinePanel,
    MachinesSection,
    MaterialPanel,
    MaterialsSection,
)
from printcrib.screens.shop_settings.numbers_of_shop import NumbersPanel
from printcrib.screens.shop_settings.screen import ShopSettingsPage
from printcrib.services.edit_shop import change_settings

CTRL = Qt.KeyboardModifier.ControlModifier


def materials(page: ShopSettingsPage) -> MaterialsSection:
    page.open_section("materials")
    section = page.section
    assert isinstance(section, MaterialsSection)
    return section


def data(page: ShopSettingsPage) -> DataSection:
    page.open_section("data")
    section = page.section
    assert isinstance(section, DataSection)
    return section


def test_a_material_shows_its_sources_and_keeps_a_new_one(
    page: ShopSettingsPage, own: Own, qtbot: QtBot
) -> None:
    section = materials(page)
    section.table.choose(own.material("PLA"))
    facts = dict(section.facts_of(section.table.model.rows[-1])[1])
    assert section.name.text() == "PLA"
    assert facts["Figures from"] == "typical, no source; see the spool maker's sheet"
    press(section.acts["change"])
    panel = page.standing_over
    assert isinstance(panel, MaterialPanel)
    assert panel.touched() == {}
    qtbot.waitUntil(lambda: faults_of(panel) == [])
    panel.entries["density"].set_value(1.25)
    panel.entries["source"].set_value("maker's sheet of 2025")
    panel.entries["abrasive"].set_value("yes")
    press(panel.confirm_button)
    with own.shop.read() as uow:
        pla = uow.materials.get(own.material("PLA"))
    assert (pla.density, pla.source, pla.abrasive) == (1.25, "maker's sheet of 2025", True)
    assert pla.price_per_kg_thousandths == 20_000


def test_a_material_is_added_by_keyboard_alone(page: ShopSettingsPage, own: Own) -> None:
    materials(page)
    key(page, Qt.Key.Key_N, CTRL)
    panel = page.standing_over
    assert isinstance(panel, MaterialPanel)
    typing(None, "PLA")
    key(None, Qt.Key.Key_Return)
    assert "There is a material PLA already" in panel._error.text()
    typing(None, " tough")
    key(None, Qt.Key.Key_Return)
    assert page.standing_over is None
    with own.shop.read() as uow:
        assert [each.name for each in uow.materials.find() if "tough" in each.name] == ["PLA tough"]


def test_a_machine_is_added_by_keyboard_and_switched_off_by_mouse(page: ShopSettingsPage, own: Own) -> None:
    page.open_section("machines")
    section = page.section
    assert isinstance(section, MachinesSection)
    key(page, Qt.Key.Key_N, CTRL)
    typing(None, "Saw")
    key(None, Qt.Key.Key_Return)
    assert [each.name for each in section.table.model.rows] == ["Lathe 1", "Mill 2", "Saw"]
    section.table.choose(section.table.model.rows[0].id)
    press(section.acts["change"])
    panel = page.standing_over
    assert isinstance(panel, MachinePanel)
    press(panel.entries["active"].field.control.buttons["no"])  # type: ignore[attr-defined]
    press(panel.confirm_button)
    assert [each.name for each in section.table.model.rows] == ["Mill 2", "Saw", "Lathe 1"]


def test_numbers_are_changed_by_keyboard_alone_within_their_limits(
    page: ShopSettingsPage, own: Own, qtbot: QtBot
) -> None:
    page.open_section("numbers")
    key(page, Qt.Key.Key_N, CTRL)
    panel = page.standing_over
    assert isinstance(panel, NumbersPanel)
    assert panel.touched() == {}
    qtbot.waitUntil(lambda: faults_of(panel) == [])
    fill = panel.entries["fill_limit"]
    assert isinstance(fill, FigureEntry)
    assert (fill.control.button.text(), fill.field._hint.text()) == ("75 %", "1 to 100 %")
    while focused() is not fill.control.button:
        key(None, Qt.Key.Key_Tab)
    typing(None, "0")
    key(None, Qt.Key.Key_Return)
    assert fill.field.error == "Give 1 to 100 %."
    typing(None, "8")
    typing(None, "0")
    key(None, Qt.Key.Key_Return)
    assert fill.field.error == ""
    purge = panel.entries["purge_mg"]
    assert isinstance(purge, FigureEntry)
    purge.control.button._person_set(Decimal("2.5"))
    while focused() is not panel.confirm_button:
        key(None, Qt.Key.Key_Tab)
    key(None, Qt.Key.Key_Return)
    with own.shop.read() as uow:
        settings = uow.settings.one()
    assert settings is not None
    assert (settings.fill_limit, settings.purge_mg) == (0.8, 2500)


def test_stale_numbers_say_both_values(page: ShopSettingsPage, own: Own) -> None:
    page.open_section("numbers")
    page._do_main()
    panel = page.standing_over
    assert isinstance(panel, NumbersPanel)
    panel.entries["purge_mg"].set_value(2500)
    change_settings(
        own.shop, own.press("Lea"), replace(own.made.settings, purge_mg=900, zone="Europe/Berlin")
    )
    press(panel.confirm_button)
    assert panel.entries["purge_mg"].field._hint.text() == "Lea made it 0.9 g."
    assert panel.entries["zone"].value() == "Europe/Berlin"
    press(panel.confirm_button)
    with own.shop.read() as uow:
        settings = uow.settings.one()
    assert settings is not None
    assert (settings.purge_mg, settings.zone) == (2500, "Europe/Berlin")


def test_a_backup_by_mouse_and_by_keyboard(
    page: ShopSettingsPage, keepers: FakeKeepers, messages: FakeMessages
) -> None:
    section = data(page)
    assert page.main_button is not None
    press(page.main_button)
    key(page, Qt.Key.Key_N, CTRL)
    assert keepers.made == ["shop-1.db", "shop-2.db"]
    assert messages.said[-1] == "Backup shop-2.db is made and checked."
    assert section.kept == Kept("/shops/ours", backups=("shop-2.db", "shop-1.db"))


def test_a_shop_on_a_server_is_backed_up_where_it_stands(
    page: ShopSettingsPage, keepers: FakeKeepers
) -> None:
    keepers.on_server = True
    section = data(page)
    page.arrived()
    assert page.main_button is not None
    assert not page.main_button.isEnabled()
    assert section.summary() == "on a server"
    assert ("Backups", "made where the server stands") in kept_facts(section.kept)


def test_only_the_newest_backups_are_listed() -> None:
    kept = Kept("/shops/ours", backups=tuple(f"shop-{day}.db" for day in range(9, 0, -1)))
    facts = kept_facts(kept)
    assert facts[1] == ("Newest backup", "shop-9.db")
    assert ("", "and 4 older ones") in facts
    assert kept_facts(None) == [("Where", "not known here")]
    assert kept_facts(Kept("/shops/ours"))[1] == ("Backups", "none yet")


def test_light_and_dark_by_mouse_and_following_ctrl_t(
    page: ShopSettingsPage, keepers: FakeKeepers, theme: Theme
) -> None:
    section = data(page)
    press(section.look.buttons["dark"])
    assert keepers.dark
    keepers.dark = False
    theme.set_dark(True)
    QApplication.sendPostedEvents()
    assert section.look.chosen == "light", "as the keeper of the look says"


def test_somebody_else_stands_here(page: ShopSettingsPage) -> None:
    section = data(page)
    assert section.who.text() == "Lea"
    press(section.who)
    panel = page.standing_over
    assert isinstance(panel, PickPanel)
    panel.table.choose(next(pick.id for pick in panel.table.model.rows if pick.words == "Max"))
    press(panel.confirm_button)
    page.refresh(frozenset({"people"}))
    assert section.presenter.standing.person.name == "Max"
    assert section.who.text() == "Max"
    assert page.standing_over is None
    assert faults_of(page) == []
