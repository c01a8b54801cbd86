"""A PIN on large keys: never shown, noughts count, asked again on the same sheet."""

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.hands import focused, key, press, typing

from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.pin_pad import MOST_DIGITS, PinPad, PinPanel
from printcrib.screens.shell.theme import Theme


@pytest.fixture
def page(qtbot: QtBot, theme: Theme) -> PageFrame:
    made = PageFrame("Desk")
    qtbot.addWidget(made)
    made.resize(1108, 652)
    with qtbot.waitActive(made):
        made.show()
    return made


def test_the_digits_are_kept_and_not_shown(qtbot: QtBot, theme: Theme) -> None:
    pad = PinPad()
    qtbot.addWidget(pad)
    for digit in "00.12":
        pad.press(digit)
    pad.press("erase")
    assert (pad.pin, pad._shown.text()) == ("001", "•••")
    for _ in range(MOST_DIGITS):
        pad.press("9")
    assert len(pad.pin) == MOST_DIGITS
    pad.clear()
    assert (pad.pin, pad._shown.text()) == ("", "–")


def test_a_pin_is_given_by_keyboard_and_asked_again(page: PageFrame) -> None:
    given: list[str] = []
    panel = PinPanel("The PIN of Lea", confirm="I stand here")
    panel.given.connect(given.append)
    panel.open_over(page)
    typing(focused(), "0042")
    key(focused(), Qt.Key.Key_Return)
    panel.ask_again("The same PIN again", "Set the PIN")
    assert (panel.title.text(), panel.confirm_button.text()) == ("The same PIN again", "Set the PIN")
    assert panel.pad.pin == ""
    assert focused() is panel.pad
    assert faults_of(panel) == []
    typing(focused(), "0043")
    press(panel.confirm_button)
    assert given == ["0042", "0043"]


def test_a_refused_pin_is_typed_anew(page: PageFrame) -> None:
    panel = PinPanel("The PIN of Lea", confirm="I stand here")
    panel.open_over(page)
    assert not panel.confirm_button.isEnabled()
    typing(focused(), "1111")
    panel.refuse("That is not the PIN.")
    assert (panel.pad.pin, panel.confirm_button.isEnabled()) == ("", False)
    assert faults_of(panel) == []
