"""Buttons: sizes, keys, the focus ring, what a screen reader gets."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot
from tests.screens.hands import key, press

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
