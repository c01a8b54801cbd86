"""The Week summary: from week to week, from page to page, and the PDF."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.fakes import FakeMessages
from tests.screens.hands import key, press
from tests.services.fake import fake_shop
from tests.services.own_shop import own_shop

from printcrib.core.errors import ShopError
from printcrib.screens.shell.standing import Standing, StandingAlone
from printcrib.screens.shell.theme import Theme
from printcrib.screens.week_summary.presenter import write_pdf
from printcrib.screens.week_summary.screen import WeekSummaryPage


class ThreePages:
    """Reports of three tiny pages."""

    def week_pdf(self, data: Mapping[str, Any]) -> bytes:
        """The week's name as the paper."""
        return f"%PDF {data['week']}".encode()

    def week_pages(self, data: Mapping[str, Any], pixels_per_inch: float) -> tuple[bytes, ...]:
        """Three pages that are no pictures."""
        return (b"1", b"2", b"3")


@pytest.fixture
def page(qtbot: QtBot, theme: Theme, messages: FakeMessages) -> WeekSummaryPage:
    """The place, shown, in a shop set up on a Tuesday."""
    own = own_shop(replace(fake_shop(), reports=ThreePages()))
    with own.shop.read() as uow:
        person = next(each for each in uow.people.find() if each.name == "Dora")
    standing = Standing(
        own.shop,
        StandingAlone(messages),
        messages,
        station="test",
        person=person,
        zone=ZoneInfo("Europe/Vienna"),
        open_place=lambda _place, _key: None,
    )
    made = WeekSummaryPage(standing)
    qtbot.addWidget(made)
    made.resize(1108, 652)
    with qtbot.waitActive(made):
        made.show()
    made.arrived()
    return made


def test_it_opens_on_this_week_and_reads_well(page: WeekSummaryPage) -> None:
    assert "so far, as it prints" in page.subtitle.text()
    assert page.page_number.text() == "1 of 3"
    assert not page.later.isEnabled()
    assert faults_of(page) == []


def test_weeks_and_pages_turn_by_mouse_and_by_key(page: WeekSummaryPage) -> None:
    this = int(page.week_number.text())
    press(page.page_on)
    key(page, Qt.Key.Key_PageDown)
    assert page.page_number.text() == "3 of 3"
    assert not page.page_on.isEnabled()
    press(page.earlier)
    assert int(page.week_number.text()) == this - 1
    assert page.page_number.text() == "1 of 3", "another week begins at its first page"
    assert page.kept_state()["week"].endswith(f"W{this - 1:02}")
    key(page, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    assert int(page.week_number.text()) == this


def test_the_pdf_goes_where_the_person_says(
    page: WeekSummaryPage, messages: FakeMessages, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(page, "ask_where", lambda name: tmp_path / name)
    assert page.main_button is not None
    press(page.main_button)
    (saved,) = tmp_path.iterdir()
    assert saved.read_bytes().startswith(b"%PDF 20")
    assert saved.suffix == ".pdf"
    assert "Saved as" in messages.said[-1]


def test_thinking_better_of_it_writes_nothing(
    page: WeekSummaryPage, messages: FakeMessages, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(page, "ask_where", lambda _name: None)
    page.actions_table.do("save")
    assert messages.said == []


def test_a_place_that_cannot_be_written_says_so_and_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(ShopError, match="cannot be written"):
        write_pdf(tmp_path / "missing" / "week.pdf", b"x")
    assert list(tmp_path.iterdir()) == []
    assert write_pdf(tmp_path / "week", b"x").name == "week.pdf"
