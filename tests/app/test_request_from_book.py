"""From the pattern book to the request form: the size chosen there is filled in here."""

from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from tests.screens.hands import press
from tests.services.fake import TUESDAY_MORNING
from tests.services.own_shop import own_shop

from printcrib.app.clock import SetClock
from printcrib.app.resources import resource_folder
from printcrib.app.window import open_window
from printcrib.app.wiring import open_shop
from printcrib.screens.pattern_book.screen import PatternBookPage
from printcrib.screens.requests.form import PATTERN
from printcrib.screens.requests.screen import RAISE, RequestsPage
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.theme import Theme


@pytest.mark.usefixtures("qapp")
def test_request_this_opens_the_form_with_the_size(tmp_path: Path, qapp: QApplication, qtbot: QtBot) -> None:
    wired = open_shop(tmp_path / "shop", clock=SetClock(TUESDAY_MORNING), create=True)
    try:
        own = own_shop(wired.shop)
        size = own.size(own.pattern(), file=None)
        opened = open_window(
            wired, Theme(qapp, resource_folder()), Memory(tmp_path / "window.ini"), station="test"
        )
        qtbot.addWidget(opened.window)
        opened.window.resize(1280, 720)
        opened.window.show()
        opened.window.open_place("pattern_book")
        book = opened.window.page("pattern_book")
        assert isinstance(book, PatternBookPage)
        qtbot.waitUntil(lambda: book.card.line is not None)
        assert book.main_button is not None
        press(book.main_button)
        requests = opened.window.page("requests")
        assert isinstance(requests, RequestsPage)
        assert (requests.front, requests.isVisible()) == (RAISE, True)
        form = requests.form.presenter.form
        assert (form.what, form.size_id) == (PATTERN, size.id)
    finally:
        wired.close()
