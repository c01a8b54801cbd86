"""The Desk before the books are read: it says nothing it does not know."""

from datetime import UTC, datetime

from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from printcrib.screens.desk.printer_sheet import PrinterSheet
from printcrib.screens.desk.step_card import StepCard
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.parts.words import Words
from printcrib.screens.shell.theme import Theme


def words_on(widget: QWidget) -> list[str]:
    """Every word that is seen."""
    seen: list[Words | Button] = [*widget.findChildren(Words), *widget.findChildren(Button)]
    return [one.text() for one in seen if one.isVisible() and one.text()]


def test_no_printers_is_said_only_when_it_is_known(qtbot: QtBot, theme: Theme) -> None:
    sheet = PrinterSheet()
    qtbot.addWidget(sheet)
    sheet.show()
    assert words_on(sheet) == []
    sheet.set_printers(())
    assert words_on(sheet) == ["No printers yet. Enter them in Shop settings."]


def test_the_step_card_is_blank_until_the_next_step_is_known(qtbot: QtBot, theme: Theme) -> None:
    card = StepCard(ReallyAt(lambda: datetime(2026, 11, 25, 12, tzinfo=UTC)))
    qtbot.addWidget(card)
    card.show()
    assert words_on(card) == []
    assert not card.other_button.isVisible()
