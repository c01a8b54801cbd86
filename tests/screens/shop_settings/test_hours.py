"""Hours and closed days, unattended running, by keyboard alone and by mouse alone."""

from collections.abc import Callable
from datetime import date

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.fakes import FakeMessages
from tests.screens.hands import focused, key, press, typing
from tests.services.own_shop import Own

from printcrib.core.shop import Shift
from printcrib.screens.shell.standing import Standing
from printcrib.screens.shop_settings.hours import HoursSection
from printcrib.screens.shop_settings.hours_panels import CloseDaysPanel, DayPanel
from printcrib.screens.shop_settings.screen import ShopSettingsPage
from printcrib.screens.shop_settings.unattended import UnattendedPanel, UnattendedSection
from printcrib.services.edit_shop import set_shifts

CTRL = Qt.KeyboardModifier.ControlModifier


def hours(page: ShopSettingsPage) -> HoursSection:
    page.open_section("hours")
    section = page.section
    assert isinstance(section, HoursSection)
    return section


def unattended(page: ShopSettingsPage) -> UnattendedSection:
    page.open_section("unattended")
    section = page.section
    assert isinstance(section, UnattendedSection)
    return section


def week(own: Own) -> dict[int, list[tuple[str, str]]]:
    """Hours of each day that has some."""
    with own.shop.read() as uow:
        shifts = sorted(uow.shifts.find(), key=lambda shift: (shift.weekday, shift.opens))
    told: dict[int, list[tuple[str, str]]] = {}
    for shift in shifts:
        told.setdefault(shift.weekday, []).append((shift.opens, shift.closes))
    return told


def day_panel(page: ShopSettingsPage) -> DayPanel:
    panel = page.standing_over
    assert isinstance(panel, DayPanel)
    return panel


def test_a_day_gets_a_late_shift_by_mouse_alone(page: ShopSettingsPage, own: Own, qtbot: QtBot) -> None:
    section = hours(page)
    press(section.change_button)
    panel = day_panel(page)
    press(panel.add_button)
    assert [line.hours for line in panel.lines] == [("07:00", "16:00"), ("16:00", "00:30")]
    qtbot.waitUntil(lambda: faults_of(panel) == [])
    press(panel.lines[1].closes.minus_button)
    press(panel.same.buttons["4"])
    press(panel.confirm_button)
    assert page.standing_over is None
    assert week(own)[0] == week(own)[4] == [("07:00", "16:00"), ("16:00", "00:15")]
    assert week(own)[1] == [("07:00", "16:00")]


def test_saturday_is_opened_by_keyboard_alone(page: ShopSettingsPage, own: Own) -> None:
    section = hours(page)
    section.days.view.setFocus(Qt.FocusReason.TabFocusReason)
    for _ in range(5):
        key(section.days.view, Qt.Key.Key_Down)
    key(section.days.view, Qt.Key.Key_Return)
    panel = day_panel(page)
    assert panel.lines == []
    assert focused() is panel.add_button
    key(None, Qt.Key.Key_Return)
    key(None, Qt.Key.Key_Up)
    while focused() is not panel.confirm_button:
        key(None, Qt.Key.Key_Tab)
    key(None, Qt.Key.Key_Return)
    assert week(own)[5] == [("07:15", "15:30")]


def test_a_day_without_shifts_and_hours_that_are_none(page: ShopSettingsPage, own: Own) -> None:
    press(hours(page).change_button)
    panel = day_panel(page)
    panel.lines[0].closes.set_value(panel.lines[0].opens.value)
    press(panel.confirm_button)
    assert panel._error.text() == "It closes when it opens; give another time."
    press(panel.lines[0].remove_button)
    press(panel.same.buttons["0"])
    press(panel.confirm_button)
    assert panel._error.text() == "Tick at least one day."
    press(panel.same.buttons["0"])
    press(panel.confirm_button)
    assert 0 not in week(own)


def test_a_stale_week_keeps_what_was_typed(page: ShopSettingsPage, own: Own) -> None:
    press(hours(page).change_button)
    panel = day_panel(page)
    press(panel.lines[0].opens.minus_button)
    set_shifts(own.shop, own.press("Lea"), (Shift(weekday=0, opens="05:00", closes="13:00"),))
    press(panel.confirm_button)
    assert panel._error.text().endswith("Lea made Monday 05:00 to 13:00.")
    assert panel.lines[0].hours == ("06:45", "16:00")
    press(panel.confirm_button)
    assert week(own) == {0: [("06:45", "16:00")]}


def test_holidays_are_closed_by_mouse_alone_and_one_opened_again(
    page: ShopSettingsPage, own: Own, qtbot: QtBot
) -> None:
    section = hours(page)
    assert page.main_button is not None
    press(page.main_button)
    panel = page.standing_over
    assert isinstance(panel, CloseDaysPanel)
    assert not panel.confirm_button.isEnabled()
    assert not panel.month.buttons[date(2026, 11, 23)].isEnabled(), "yesterday"
    press(panel.month.forward_button)
    qtbot.waitUntil(lambda: faults_of(panel) == [])
    for day in (24, 25, 31):
        press(panel.month.buttons[date(2026, 12, day)])
    press(panel.month.buttons[date(2026, 12, 31)])
    assert panel.chosen.text() == "Thu 24 Dec, Fri 25 Dec"
    assert panel.confirm_button.text() == "Close on 2 days"
    press(panel.confirm_button)
    assert [each.day for each in section.closed.model.rows] == ["2026-12-24", "2026-12-25"]
    section.closed.choose(section.closed.model.rows[0].id)
    press(section.open_button)
    assert [each.day for each in section.closed.model.rows] == ["2026-12-25"]


def test_a_day_is_closed_by_keyboard_alone(page: ShopSettingsPage, own: Own) -> None:
    section = hours(page)
    key(page, Qt.Key.Key_N, CTRL)
    panel = page.standing_over
    assert isinstance(panel, CloseDaysPanel)
    assert focused() is panel.month.buttons[date(2026, 11, 24)]
    key(None, Qt.Key.Key_Left)
    assert focused() is panel.month.buttons[date(2026, 11, 24)], "yesterday is over"
    key(None, Qt.Key.Key_Down)
    key(None, Qt.Key.Key_Right)
    assert focused() is panel.month.buttons[date(2026, 12, 2)]
    key(None, Qt.Key.Key_Space)
    while focused() is not panel.why:
        key(None, Qt.Key.Key_Tab)
    typing(None, "stocktaking")
    key(None, Qt.Key.Key_Return)
    assert [(each.day, each.words) for each in section.closed.model.rows] == [("2026-12-02", "stocktaking")]


def test_the_question_is_asked_in_its_one_wording_and_answered_by_mouse_alone(
    page: ShopSettingsPage, qtbot: QtBot
) -> None:
    section = unattended(page)
    asked = "May prints run when nobody is in? Site fire rules decide."
    assert section.question.text() == asked
    line = next(each for each in section.table.model.rows if not each.who)
    section.table.choose((line.printer_id, line.material_id))
    assert page.main_button is not None
    press(page.main_button)
    panel = page.standing_over
    assert isinstance(panel, UnattendedPanel)
    assert panel.title.text() == asked
    assert panel.answer.chosen is None, "nothing is answered for the lead"
    qtbot.waitUntil(lambda: faults_of(panel) == [])
    press(panel.confirm_button)
    assert panel.field.error == "Answer no or yes; no is always allowed."
    press(panel.answer.buttons["yes"])
    press(panel.confirm_button)
    chosen = section.table.chosen
    assert chosen is not None
    assert (chosen.allowed, chosen.who) == (True, "Lea")


def test_the_question_is_answered_by_keyboard_alone(page: ShopSettingsPage) -> None:
    section = unattended(page)
    allowed = next(each for each in section.table.model.rows if each.allowed)
    section.table.choose((allowed.printer_id, allowed.material_id))
    section.table.view.setFocus(Qt.FocusReason.TabFocusReason)
    key(section.table.view, Qt.Key.Key_Return)
    panel = page.standing_over
    assert isinstance(panel, UnattendedPanel)
    key(None, Qt.Key.Key_Space)
    while focused() is not panel.confirm_button:
        key(None, Qt.Key.Key_Tab)
    key(None, Qt.Key.Key_Return)
    assert section.summary() == "off"


def test_only_the_lead_answers(
    page: ShopSettingsPage, stand: Callable[[str], Standing], qtbot: QtBot, messages: FakeMessages
) -> None:
    desk = ShopSettingsPage(stand("Dora"))
    qtbot.addWidget(desk)
    desk.show()
    desk.arrived()
    section = unattended(desk)
    section.do_main()
    panel = desk.standing_over
    assert isinstance(panel, UnattendedPanel)
    assert "Only the lead answers; Dora stands here." in panel.sentence.text()
    press(panel.answer.buttons["yes"])
    press(panel.confirm_button)
    assert "Only the lead may answer whether prints run when nobody is in" in panel._error.text()
    assert panel.answer.chosen == "yes"
    assert messages.said == []
