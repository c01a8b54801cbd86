"""A number with its unit, a month to choose days from, and a PIN in dots."""

from datetime import date
from decimal import Decimal

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.hands import focused, key, press, typing

from printcrib.screens.parts.figure_field import FigureField
from printcrib.screens.parts.month_pick import MonthPick
from printcrib.screens.parts.numbers import KeypadPanel
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.pin_pad import MOST_DIGITS, PinPad
from printcrib.screens.shell.theme import Theme


def shown(qtbot: QtBot, part: FigureField | MonthPick | PinPad) -> PageFrame:
    """A page with this part on it, active."""
    page = PageFrame("A page")
    page.body.addWidget(part)
    page.body.addStretch(1)
    qtbot.addWidget(page)
    page.resize(1000, 640)
    with qtbot.waitActive(page):
        page.show()
    return page


def test_a_figure_is_typed_and_taken_away_by_keyboard(qtbot: QtBot, theme: Theme) -> None:
    field = FigureField(says="price", unit="EUR", decimals=2, nothing="Not told")
    page = shown(qtbot, field)
    told: list[object] = []
    field.figure_changed.connect(told.append)
    assert (field.button.text(), field.clear_button.isVisible()) == ("Not told", False)
    field.button.setFocus()
    typing(None, "1")
    assert isinstance(page.standing_over, KeypadPanel)
    typing(None, "2.505")
    key(None, Qt.Key.Key_Return)
    assert (field.figure, field.button.text()) == (Decimal("12.50"), "12.50 EUR")
    assert faults_of(page) == []
    field.clear_button.setFocus()
    key(None, Qt.Key.Key_Return)
    assert (field.figure, told) == (None, [Decimal("12.50"), None])
    assert focused() is field.button, "the button that took it away is gone"


def test_a_figure_that_must_be_there_cannot_be_taken_away(qtbot: QtBot, theme: Theme) -> None:
    field = FigureField(says="gap", unit="mm")
    page = shown(qtbot, field)
    assert field.button.text() == "Type it"
    field.set_figure(Decimal("1E+1"))
    assert (field.button.text(), field.clear_button.isVisible()) == ("10 mm", False)
    press(field.button)
    key(None, Qt.Key.Key_Escape)
    key(field, Qt.Key.Key_X)
    assert page.standing_over is None


def test_a_month_is_turned_and_its_days_stay_chosen(qtbot: QtBot, theme: Theme) -> None:
    month = MonthPick(date(2026, 12, 30), [date(2027, 1, 1)])
    page = shown(qtbot, month)
    assert min(month.buttons) == date(2026, 12, 28), "weeks that are over are left out"
    assert not month.back_button.isEnabled()
    press(month.buttons[date(2026, 12, 31)])
    press(month.forward_button)
    assert not month.buttons[date(2027, 1, 1)].isEnabled(), "closed already"
    press(month.buttons[date(2027, 1, 4)])
    assert list(month.days) == [date(2026, 12, 31), date(2027, 1, 4)]
    press(month.back_button)
    assert month.buttons[date(2026, 12, 31)].isChecked()
    assert faults_of(page) == []
    month.focus_day()
    key(None, Qt.Key.Key_A)
    assert focused() is month.buttons[date(2026, 12, 30)]
    month.set_days([date(2026, 12, 1), date(2026, 12, 30)])
    assert list(month.days) == [date(2026, 12, 30)], "a day that is over cannot be chosen"


def test_a_month_that_is_over_leads_to_the_next(qtbot: QtBot, theme: Theme) -> None:
    month = MonthPick(date(2026, 12, 31), [date(2026, 12, 31)])
    shown(qtbot, month)
    month.focus_day()
    assert focused() is month.forward_button


def test_a_pin_is_dots_and_keeps_its_leading_nought(qtbot: QtBot, theme: Theme) -> None:
    pad = PinPad()
    shown(qtbot, pad)
    pad.setFocus()
    typing(None, "0.12")
    assert (pad.pin, pad._shown.text()) == ("012", "•••")
    key(None, Qt.Key.Key_Backspace)
    typing(None, "9" * 20)
    assert pad.pin == "01" + "9" * (MOST_DIGITS - 2)
