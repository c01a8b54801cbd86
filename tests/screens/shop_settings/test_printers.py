"""Printers, print settings and nozzles, by keyboard alone and by mouse alone."""

from decimal import Decimal

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.fakes import FakeMessages
from tests.screens.hands import focused, key, press, typing
from tests.services.own_shop import Own

from printcrib.core.printers import PrintProfile
from printcrib.screens.parts.fields import ChoiceRow
from printcrib.screens.parts.figure_field import FigureField
from printcrib.screens.parts.numbers import KeypadPanel
from printcrib.screens.parts.pick import PickField, PickPanel
from printcrib.screens.shop_settings.nozzles import AddNozzlesPanel, NozzlePanel, NozzlesSection
from printcrib.screens.shop_settings.print_settings import SETTINGS, ProfilePanel, WhichPanel
from printcrib.screens.shop_settings.printers import PrinterPanel, PrintersSection
from printcrib.screens.shop_settings.record_panel import RecordPanel
from printcrib.screens.shop_settings.screen import ShopSettingsPage
from printcrib.services.edit_printers import NewNozzle, add_nozzles, set_profile
from printcrib.services.estimate_task import settings_for

CTRL = Qt.KeyboardModifier.ControlModifier


def figure(panel: RecordPanel, name: str) -> FigureField:
    control = panel.entries[name].field.control
    assert isinstance(control, FigureField)
    return control


def printers(page: ShopSettingsPage) -> PrintersSection:
    page.open_section("printers")
    section = page.section
    assert isinstance(section, PrintersSection)
    return section


def nozzles(page: ShopSettingsPage) -> NozzlesSection:
    page.open_section("nozzles")
    section = page.section
    assert isinstance(section, NozzlesSection)
    return section


def test_a_printer_is_added_by_keyboard_alone(page: ShopSettingsPage, own: Own, qtbot: QtBot) -> None:
    printers(page)
    key(page, Qt.Key.Key_N, CTRL)
    panel = page.standing_over
    assert isinstance(panel, PrinterPanel)
    qtbot.waitUntil(lambda: faults_of(panel) == [])
    typing(None, "Third")
    while focused() is not figure(panel, "width_mm").button:
        key(None, Qt.Key.Key_Tab)
    typing(None, "2")
    asked: object = page.standing_over
    assert isinstance(asked, KeypadPanel)
    typing(None, "50.5")
    key(None, Qt.Key.Key_Return)
    while focused() is not panel.confirm_button:
        key(None, Qt.Key.Key_Tab)
    key(None, Qt.Key.Key_Return)
    assert page.standing_over is None
    with own.shop.read() as uow:
        third = next(each for each in uow.printers.find() if each.name == "Third")
    assert (third.platform_mm, third.material_ids) == ((250.5, 220.0), ())


def test_limits_stand_beside_the_field_and_nothing_is_sent_beyond_them(
    page: ShopSettingsPage, messages: FakeMessages
) -> None:
    printers(page)
    key(page, Qt.Key.Key_N, CTRL)
    panel = page.standing_over
    assert isinstance(panel, PrinterPanel)
    assert panel.entries["height_mm"].field._hint.text() == "30 to 2000 mm"
    typing(None, "Third")
    figure(panel, "height_mm").button._person_set(Decimal(5000))
    assert panel.entries["height_mm"].field.error == "Give 30 to 2000 mm."
    press(panel.confirm_button)
    assert panel.isVisible()
    assert messages.said == []


def test_a_printer_is_changed_by_mouse_alone(page: ShopSettingsPage, own: Own) -> None:
    section = printers(page)
    row = section.table.model.row_of(own.printer("Left").id)
    assert row is not None
    view = section.table.view
    press(view.viewport(), view.visualRect(section.table.model.index(row, 0)).center())
    press(section.acts["change"])
    panel = page.standing_over
    assert isinstance(panel, PrinterPanel)
    assert panel.touched() == {}
    press(figure(panel, "rate_thousandths").clear_button)
    for name, choice in (("materials", str(own.material("PETG"))), ("state", "out")):
        press(panel.entries[name].field.control.buttons[choice])  # type: ignore[attr-defined]
    press(panel.confirm_button)
    left = own.printer("Left")
    assert (left.rate_thousandths, left.material_ids) == (None, (own.material("PETG"),))
    assert (left.out_of_service, left.active) == (True, True)
    assert section.summary() == "1 in use, 1 out of service"


def test_print_settings_stand_beside_typical_ones_and_estimates_follow(
    page: ShopSettingsPage, own: Own, qtbot: QtBot
) -> None:
    section = printers(page)
    section.table.choose(own.printer("Left").id)
    press(section.acts["profile"])
    which = page.standing_over
    assert isinstance(which, WhichPanel)
    assert list(which.bore.buttons) == ["400", "600", "800"]
    press(which.bore.buttons["600"])
    press(which.confirm_button)
    panel = page.standing_over
    assert isinstance(panel, ProfilePanel)
    qtbot.waitUntil(lambda: faults_of(panel) == [])
    assert list(panel.entries) == list(SETTINGS)
    assert panel.entries["fill"].field._hint.text() == "0 to 100 %. Typical 20 %"
    assert figure(panel, "fill").button.text() == "typical, 20 %"
    figure(panel, "fill").button._person_set(Decimal("35"))
    figure(panel, "walls").button._person_set(Decimal(4))
    press(figure(panel, "walls").clear_button)
    supports = panel.entries["supports"].field.control
    assert isinstance(supports, ChoiceRow)
    assert [button.text() for button in supports.buttons.values()] == ["Typical, no", "No", "Yes"]
    press(supports.buttons["1"])
    press(panel.confirm_button)
    with own.shop.read() as uow:
        (profile,) = uow.print_profiles.find()
        settings = settings_for(uow, own.printer("Left"), 600, own.made.materials["PLA"])
    assert profile.values == {"fill": 0.35, "supports": 1.0}
    assert (settings.fill, settings.supports) == (0.35, 1)
    facts = section.facts_of(section.table.model.rows[0])[1]
    assert ("0.6, every material", "Inside filled: 35 %, typical 20 %") in facts
    assert ("0.6, every material", "Supports under what hangs over: yes, typical no") in facts


def test_print_settings_of_one_material_and_somebody_who_was_first(page: ShopSettingsPage, own: Own) -> None:
    section = printers(page)
    left, pla = own.printer("Left").id, own.material()
    section.table.choose(left)
    press(section.acts["profile"])
    which = page.standing_over
    assert isinstance(which, WhichPanel)
    press(which.material.button)
    picks = page.standing_over
    assert isinstance(picks, PickPanel)
    picks.table.choose(str(pla))
    press(picks.confirm_button)
    press(which.confirm_button)
    panel = page.standing_over
    assert isinstance(panel, ProfilePanel)
    figure(panel, "walls").button._person_set(Decimal(4))
    set_profile(own.shop, own.press("Dora"), left, 400, {"walls": 5.0, "top_skins": 6.0}, pla)
    press(panel.confirm_button)
    assert panel.entries["walls"].field._hint.text() == "Dora made it 5."
    assert panel.entries["top_skins"].value() == 6
    press(panel.confirm_button)
    with own.shop.read() as uow:
        (profile,) = uow.print_profiles.find()
    assert (profile.material_id, profile.values) == (pla, {"walls": 4, "top_skins": 6})


def test_a_printer_without_a_nozzle_says_where_to_add_one(page: ShopSettingsPage) -> None:
    panel = WhichPanel("Left", [], {})
    told: list[PrintProfile] = []
    panel.told.connect(lambda *_: told.append(PrintProfile(printer_id=0, bore_um=0)))
    panel.open_over(page)
    assert panel.confirm_button.isHidden()
    panel.confirmed.emit()
    assert told == []
    assert faults_of(panel) == []


def test_nozzles_are_added_by_keyboard_alone(page: ShopSettingsPage, own: Own, qtbot: QtBot) -> None:
    nozzles(page)
    key(page, Qt.Key.Key_N, CTRL)
    panel = page.standing_over
    assert isinstance(panel, AddNozzlesPanel)
    qtbot.waitUntil(lambda: faults_of(panel) == [])
    typing(None, "0")
    typing(None, ".25")
    key(None, Qt.Key.Key_Return)
    assert panel.entries["bore_um"].value() == 250
    key(None, Qt.Key.Key_Tab)
    typing(None, "2")
    key(None, Qt.Key.Key_Return)
    key(None, Qt.Key.Key_Tab)
    key(None, Qt.Key.Key_Right)
    key(None, Qt.Key.Key_Space)
    while focused() is not panel.confirm_button:
        key(None, Qt.Key.Key_Tab)
    key(None, Qt.Key.Key_Return)
    with own.shop.read() as uow:
        new = [each for each in uow.nozzles.find() if each.bore_um == 250]
    assert [(each.hardened, each.printer_id) for each in new] == [(True, None), (True, None)]


def test_a_nozzle_is_kept_for_a_printer_by_mouse_alone(page: ShopSettingsPage, own: Own) -> None:
    section = nozzles(page)
    loose = section.table.model.rows[-1].nozzle
    section.table.choose(loose.id)
    press(section.acts["change"])
    panel = page.standing_over
    assert isinstance(panel, NozzlePanel)
    pick = panel.entries["printer"].field.control
    assert isinstance(pick, PickField)
    press(pick.button)
    picks = page.standing_over
    assert isinstance(picks, PickPanel)
    picks.table.choose(str(own.printer("Right").id))
    press(picks.confirm_button)
    press(panel.confirm_button)
    assert section.table.model.rows[-1].where == "for Right"


def test_a_fitted_nozzle_is_not_retired(page: ShopSettingsPage, own: Own) -> None:
    section = nozzles(page)
    fitted = next(each for each in section.table.model.rows if each.where == "on Left")
    section.table.choose(fitted.nozzle.id)
    press(section.acts["change"])
    panel = page.standing_over
    assert isinstance(panel, NozzlePanel)
    press(panel.entries["retired"].field.control.buttons["yes"])  # type: ignore[attr-defined]
    press(panel.confirm_button)
    assert "is fitted on Left. Take it off there first." in panel._error.text()


def test_lists_follow_what_other_windows_change(page: ShopSettingsPage, own: Own) -> None:
    section = nozzles(page)
    new = section.table.model.rows[-1].nozzle
    add_nozzles(own.shop, own.press("Dora"), NewNozzle(bore_um=1000))
    page.refresh(frozenset({"requests"}))
    assert section.table.model.rows[-1].nozzle == new
    page.refresh(frozenset({"nozzles"}))
    assert section.table.model.rows[-1].nozzle.bore_um == 1000
    assert section.sentence() == "5 nozzles: 0.4, 0.6, 0.8, 1.0."
