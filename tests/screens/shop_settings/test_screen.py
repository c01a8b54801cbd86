"""Shop settings as a whole: sections, half-filled records, how it is kept over a restart."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.hands import focused, key, press

from printcrib.screens.shell.theme import Theme
from printcrib.screens.shop_settings.screen import SECTIONS, ShopSettingsPage


@pytest.mark.parametrize("section_id", [kind.id for kind in SECTIONS])
@pytest.mark.parametrize("size", [(1108, 652), (1664, 1012)])
def test_every_section_reads_well(
    page: ShopSettingsPage, qtbot: QtBot, theme: Theme, section_id: str, size: tuple[int, int]
) -> None:
    page.resize(*size)
    page.open_section(section_id)
    QApplication.sendPostedEvents()
    assert page.main_button is not None
    assert page.main_button.text() == page.sections[section_id].main_words
    assert page.subtitle.text()
    qtbot.waitUntil(lambda: faults_of(page) == [])


def test_sections_are_chosen_by_keyboard_and_by_mouse(page: ShopSettingsPage) -> None:
    page.list.view.setFocus(Qt.FocusReason.TabFocusReason)
    key(page.list.view, Qt.Key.Key_Down)
    assert page.section.id == "printers"
    assert page.stack.currentWidget() is page.section
    key(page.list.view, Qt.Key.Key_Tab)
    assert page.section.isAncestorOf(focused())
    row = page.list.model.row_of("machines")
    assert row is not None
    press(page.list.view.viewport(), page.list.view.visualRect(page.list.model.index(row, 0)).center())
    assert page.section.id == "machines"
