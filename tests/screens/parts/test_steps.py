"""A form in steps."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.hands import key, press

from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.cards import Card
from printcrib.screens.parts.fields import Field, TextField
from printcrib.screens.parts.steps import Step, StepsFrame
from printcrib.screens.parts.words import Words
from printcrib.screens.shell.theme import Theme


class Raising:
    """A request in three steps; the second wants a machine."""

    def __init__(self, qtbot: QtBot, *, always_stepped: bool = False) -> None:
        self.raised = 0
        self.safe = False
        self.machine = Field("For", TextField())
        cards = [Card(title=title) for title in ("What", "When", "Safety")]
        cards[1].add(self.machine)
        for card in cards:
            card.body.addStretch(1)
        self.page = StepsFrame(
            "Raise a request",
            [
                Step("what", cards[0]),
                Step("when and where", cards[1], 2, self.has_machine),
                Step("safety", cards[2]),
            ],
            finish=Action("raise", "Raise request", self.raise_it, None, "Ctrl+Return", lambda: self.safe),
            subtitle="On 0.6 about 48 min.",
            others=[Action("draft", "Keep as draft", lambda: None)],
            foot=Words("The answer"),
            always_stepped=always_stepped,
        )
        self.cards = cards
        qtbot.addWidget(self.page)
        self.page.resize(1108, 652)
        with qtbot.waitActive(self.page):
            self.page.show()

    def raise_it(self) -> None:
        self.raised += 1

    def has_machine(self) -> bool:
        assert isinstance(self.machine.control, TextField)
        named = bool(self.machine.control.text())
        self.machine.set_error("" if named else "Name the machine.")
        return named


@pytest.fixture
def raising(qtbot: QtBot, theme: Theme) -> Raising:
    return Raising(qtbot)


def test_narrow_shows_one_step_after_the_other(qtbot: QtBot, raising: Raising) -> None:
    page = raising.page
    assert page.main_button is not None
    assert page.subtitle.text() == "1 of 3: what"
    assert page.main_button.text() == "Next: when and where"
    assert [card.isVisible() for card in raising.cards] == [True, False, False]
    assert faults_of(page) == []
    with qtbot.waitSignal(page.step_changed) as told:
        press(page.main_button)
    assert told.args == [1]
    assert [card.isVisible() for card in raising.cards] == [False, True, False]
    assert page.other_buttons["back"].isVisible()


def test_an_unanswered_step_stays_and_says_why(raising: Raising) -> None:
    raising.page.go_to(1)
    raising.page.go_on()
    assert raising.page.step == 1
    assert raising.machine.error == "Name the machine."


def test_the_last_step_finishes_and_back_keeps_what_was_typed(raising: Raising) -> None:
    page = raising.page
    assert page.main_button is not None
    assert isinstance(raising.machine.control, TextField)
    raising.machine.control.setText("Lathe 2")
    page.go_to(1)
    page.go_on()
    assert page.main_button.text() == "Raise request"
    assert not page.main_button.isEnabled()
    raising.safe = True
    page.refresh_actions()
    press(page.other_buttons["back"])
    assert raising.machine.control.text() == "Lathe 2"
    for _ in range(2):
        key(page, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert raising.raised == 1


def test_wide_shows_all_steps_and_finishes_at_once(raising: Raising) -> None:
    page = raising.page
    raising.safe = True
    page.resize(1700, 900)
    QApplication.sendPostedEvents()
    assert all(card.isVisible() for card in raising.cards)
    assert page.subtitle.text() == "On 0.6 about 48 min."
    page.set_sentence("On 0.8 about 34 min.")
    assert page.subtitle.text() == "On 0.8 about 34 min."
    page.go_on()
    assert raising.raised == 0
    assert raising.machine.error
    assert isinstance(raising.machine.control, TextField)
    raising.machine.control.setText("Lathe 2")
    page.go_on()
    assert raising.raised == 1


def test_a_set_up_goes_step_by_step_on_a_wide_page_too(qtbot: QtBot, theme: Theme) -> None:
    setting_up = Raising(qtbot, always_stepped=True)
    setting_up.page.resize(1700, 900)
    assert setting_up.page.stepped
    assert [card.isVisible() for card in setting_up.cards] == [True, False, False]
