"""The handbook: a page a place, readable with the keyboard."""

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tests.screens.hands import key

from printcrib.app.resources import resource_folder
from printcrib.screens.handbook.screen import HandbookPanel
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.shell.theme import Theme

PAGES = sorted(path.stem for path in (resource_folder() / "handbook").glob("*.md"))


@pytest.mark.parametrize("name", PAGES)
def test_every_page_opens_with_its_title_and_closes_with_escape(
    qtbot: QtBot, theme: Theme, name: str
) -> None:
    text = (resource_folder() / "handbook" / f"{name}.md").read_text("utf-8")
    page = PageFrame("Some place")
    qtbot.addWidget(page)
    page.resize(1108, 652)
    page.show()
    panel = HandbookPanel(text)
    panel.open_over(page)
    assert panel.title.text() == text.splitlines()[0].removeprefix("# ")
    assert len(panel.text.toPlainText()) > 300
    key(panel, Qt.Key.Key_Escape)
    assert page.standing_over is None
