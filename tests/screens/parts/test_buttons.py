"""Buttons: sizes, keys, the focus ring, what a screen reader gets."""

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor, QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot
from tests.screens.hands import key, press

from printcrib.screens.parts.actions import Action, ActionTable
from printcrib.screens.parts.buttons import Button, Kind
from printcrib.screens.parts.tokens import current_tokens
from printcrib.screens.shell.theme import Theme

HEIGHTS: dict[Kind, int] = {"main": 76, "other": 58, "count": 88, "choice": 58, "hold": 58, "bare": 50}


@pytest.mark.parametrize("kind", list(HEIGHTS))
def test_is_as_high_as_gloves_need(qtbot: QtBot, theme: Theme, kind: Kind) -> None:
    button = Button("Start run 32", kind=kind)
    qtbot.addWidget(button)
    assert button.sizeHint().height() >= HEIGHTS[kind]
    assert button.minimumSizeHint().height() >= HEIGHTS[kind]
    assert button.minimumSizeHint().width() >= 50


def test_enter_and_space_press_it(qtbot: QtBot, theme: Theme) -> None:
    button = Button("Plan again")
    qtbot.addWidget(button)
    pressed: list[bool] = []
    button.clicked.connect(lambda down=False: pressed.append(down))
    for code in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
        key(button, code)
    assert len(pressed) == 3


def test_says_its_words_in_one_line(qtbot: QtBot, theme: Theme) -> None:
    button = Button("Take off\nrun 31", kind="main")
    qtbot.addWidget(button)
    assert button.accessibleName() == "Take off run 31"
    button.set_words("", "more")
    assert button.accessibleName() == "more"


def test_ring_shows_after_tab_and_not_after_a_press(qtbot: QtBot, theme: Theme) -> None:
    box = QWidget()
    qtbot.addWidget(box)
    column = QVBoxLayout(box)
    one, two = Button("One"), Button("Two")
    column.addWidget(one)
    column.addWidget(two)
    with qtbot.waitActive(box):
        box.show()
    press(one)
    assert one.hasFocus()
    plain = _pixel(one)
    key(one, Qt.Key.Key_Tab)
    assert two.hasFocus()
    assert _pixel(two) == current_tokens().ink
    assert plain == current_tokens().sheet


def _pixel(button: Button) -> QColor:
    """The colour where the ring would be."""
    return button.grab().toImage().pixelColor(button.width() // 2, 5)


def test_colours_follow_the_theme(qtbot: QtBot, theme: Theme) -> None:
    button = Button("Start run 32", kind="main")
    qtbot.addWidget(button)
    button.resize(300, 76)
    corner = (12, 38)
    light = button.grab().toImage().pixelColor(*corner)
    theme.set_dark(True)
    dark = button.grab().toImage().pixelColor(*corner)
    assert light.name().upper() == "#2B3C8A"
    assert dark.name().upper() == "#A9B5F3"


def test_a_hold_that_is_ticked_turns_signal_tint(qtbot: QtBot, theme: Theme) -> None:
    button = Button("lift a load\nor a person", kind="hold")
    qtbot.addWidget(button)
    button.resize(240, 58)
    button.click()
    assert button.isChecked()
    assert button.grab().toImage().pixelColor(232, 10).name().upper() == "#F6E3DB"


def test_disabled_is_not_pressed_and_looks_so(qtbot: QtBot, theme: Theme) -> None:
    button = Button("Start run 32", kind="main", icon="desk")
    qtbot.addWidget(button)
    button.resize(300, 76)
    button.setEnabled(False)
    assert button.grab().toImage().pixelColor(12, 38) == current_tokens().well


class TestPressedTooSoonOrTwice:
    """One press is one act, and it is the act whose words the person read."""

    @pytest.fixture
    def pressed(self) -> list[str]:
        return []

    @pytest.fixture
    def main(self, qtbot: QtBot, theme: Theme, pressed: list[str]) -> Button:
        button = Button("Take off run 31", kind="main")
        qtbot.addWidget(button)
        button.clicked.connect(lambda: pressed.append(button.text()))
        button.show()
        return button

    def test_words_that_just_changed_take_no_press(
        self, main: Button, pressed: list[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        press(main)
        monkeypatch.setattr(Button, "settle_ms", 60_000)
        main.set_words("Start run 32")
        press(main)
        for code in (Qt.Key.Key_Return, Qt.Key.Key_Space):
            key(main, code)
        assert pressed == ["Take off run 31"]
        monkeypatch.setattr(Button, "settle_ms", 0)
        press(main)
        assert pressed == ["Take off run 31", "Start run 32"]

    def test_one_that_just_appeared_takes_no_press(
        self, main: Button, pressed: list[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        main.hide()
        monkeypatch.setattr(Button, "settle_ms", 60_000)
        main.show()
        press(main)
        assert pressed == []

    def test_its_shortcut_waits_as_well(
        self, qtbot: QtBot, theme: Theme, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        box = QWidget()
        qtbot.addWidget(box)
        done: list[str] = []
        table = ActionTable(
            box,
            [
                Action("main", "Accept", lambda: done.append("accepted"), shortcut="Ctrl+Return"),
                Action("new", "Raise a request", lambda: done.append("raised"), shortcut="Ctrl+N"),
            ],
        )
        buttons = [table.button(action.id, "main") for action in table]
        with qtbot.waitActive(box):
            box.show()
        monkeypatch.setattr(Button, "settle_ms", 60_000)
        for button in buttons:
            button.set_words("Same again")
        key(box, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        assert done == []
        key(box, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
        monkeypatch.setattr(Button, "settle_ms", 0)
        key(box, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        assert done == ["raised", "accepted"]

    def test_a_double_press_is_one_and_a_count_is_two(
        self, main: Button, pressed: list[str], qtbot: QtBot
    ) -> None:
        press(main)
        QTest.mouseDClick(main, Qt.MouseButton.LeftButton)
        QTest.mouseRelease(main, Qt.MouseButton.LeftButton)
        assert pressed == ["Take off run 31"]
        count = Button("+1", kind="count")
        qtbot.addWidget(count)
        count.clicked.connect(lambda: pressed.append("+1"))
        count.show()
        press(count)
        QTest.mouseDClick(count, Qt.MouseButton.LeftButton)
        QTest.mouseRelease(count, Qt.MouseButton.LeftButton)
        assert pressed[1:] == ["+1", "+1"]

    def test_a_key_held_down_presses_once(self, main: Button, pressed: list[str]) -> None:
        for again in (False, True, True):
            event = QKeyEvent(
                QEvent.Type.KeyPress, Qt.Key.Key_Return, Qt.KeyboardModifier.NoModifier, "\r", again
            )
            QApplication.sendEvent(main, event)
        assert pressed == ["Take off run 31"]
