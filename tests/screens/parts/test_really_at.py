"""Saying when it was really done, and what colour a spool is."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.hands import key, press

from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.really_at import ReallyAt, ReallyAtPanel, clock_of
from printcrib.screens.parts.spool_colours import UNKNOWN, swatch_of
from printcrib.screens.shell.theme import Theme

NOW = datetime(2026, 11, 25, 9, 42, tzinfo=timezone(timedelta(hours=1)))


@pytest.fixture
def page(qtbot: QtBot, theme: Theme) -> PageFrame:
    made = PageFrame("Desk")
    made.resize(1108, 652)
    qtbot.addWidget(made)
    with qtbot.waitActive(made):
        made.show()
    return made


@pytest.fixture
def told(page: PageFrame) -> ReallyAt:
    made = ReallyAt(lambda: NOW)
    page.body.addWidget(made)
    return made


def panel_of(page: PageFrame) -> ReallyAtPanel:
    panel = page.standing_over
    assert isinstance(panel, ReallyAtPanel)
    return panel


def test_now_unless_somebody_says_otherwise(told: ReallyAt) -> None:
    assert told.moment is None
    assert told.button.text() == "Now"


def test_by_mouse(page: PageFrame, told: ReallyAt, qtbot: QtBot) -> None:
    press(told.button)
    panel = panel_of(page)
    assert faults_of(panel) == []
    for minutes in (-60, -60, -15, 5):
        press(panel.buttons[minutes])
    assert panel.confirm_button.text() == "Really at 07:32"
    with qtbot.waitSignal(told.changed):
        press(panel.confirm_button)
    assert told.moment == datetime(2026, 11, 25, 6, 32, tzinfo=UTC)
    assert told.button.text() == "Really at 07:32"
    told.clear()
    assert told.moment is None


def test_by_keyboard_and_never_beyond_now(page: PageFrame, told: ReallyAt) -> None:
    told.button.setFocus(Qt.FocusReason.TabFocusReason)
    key(told.button, Qt.Key.Key_Return)
    panel = panel_of(page)
    assert not panel.buttons[60].isEnabled()
    key(None, Qt.Key.Key_Return)
    assert panel.shown.text() == "08:42"
    panel.go(600)
    assert panel.moment is None
    panel.go(-24 * 60)
    assert panel.shown.text() == "Tue 09:42"
    press(panel.now_button)
    assert panel.moment is None


def test_back_keeps_what_was_told(page: PageFrame, told: ReallyAt) -> None:
    told.set_moment(NOW - timedelta(minutes=30))
    press(told.button)
    panel = panel_of(page)
    assert panel.shown.text() == "09:12"
    key(panel, Qt.Key.Key_Escape)
    assert told.button.text() == "Really at 09:12"


def test_days_are_said_when_they_are_needed(qapp: QWidget) -> None:
    assert clock_of(NOW, NOW) == "09:42"
    assert clock_of(NOW - timedelta(days=2), NOW) == "Mon 09:42"
    assert clock_of(NOW - timedelta(days=20), NOW) == "Thu 5 Nov 09:42"


def test_swatches() -> None:
    assert swatch_of("Dark grey") == swatch_of("grey")
    assert swatch_of("#8c8f94") == "#8c8f94"
    assert swatch_of("sunset") == UNKNOWN
    assert swatch_of("") == UNKNOWN
