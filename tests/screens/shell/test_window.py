"""The window: places, keys, message strip, memory, theme."""

from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.hands import focused, key, press

from printcrib.core.errors import ShopError
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.tokens import DARK, LIGHT, current_tokens
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.messages import Answer, Messages
from printcrib.screens.shell.places import PLACE_WORDS, Place
from printcrib.screens.shell.strip import MessageStrip
from printcrib.screens.shell.theme import Theme
from printcrib.screens.shell.window import ShopWindow

NOW = datetime(2026, 11, 25, 9, 42, tzinfo=UTC)


class PlainPage(PageFrame):
    """A place that remembers what it was told."""

    def __init__(self, words: str) -> None:
        super().__init__(words, "One sentence.", main=Action("go", "Go on", lambda: None))
        self.arrivals = 0
        self.things: list[frozenset[str]] = []
        self.state: dict[str, str] = {}

    def arrived(self) -> None:
        self.arrivals += 1

    def refresh(self, things: frozenset[str]) -> None:
        self.things.append(things)

    def kept_state(self) -> Mapping[str, str]:
        return {"chosen": self.accessibleName()}

    def restore_state(self, state: Mapping[str, str]) -> None:
        self.state = dict(state)


def places() -> list[Place]:
    return [Place(one, words, lambda words=words: PlainPage(words)) for one, words in PLACE_WORDS]  # type: ignore[misc]


@pytest.fixture
def window(qtbot: QtBot, theme: Theme, memory: Memory) -> ShopWindow:
    made = ShopWindow(places(), theme, memory, lambda: NOW)
    qtbot.addWidget(made)
    made.open_first_place()
    with qtbot.waitActive(made):
        made.show()
    return made


def opened(window: ShopWindow) -> PlainPage:
    page = window.stack.currentWidget()
    assert isinstance(page, PlainPage)
    return page


class TestPlaces:
    def test_opens_the_desk_first_and_makes_no_other_page(self, window: ShopWindow) -> None:
        assert window.open_place_id == "desk"
        assert window.stack.count() == 1
        assert opened(window).arrivals == 1

    @pytest.mark.parametrize("index", range(9))
    def test_ctrl_digit_and_function_key_go_to_a_place(self, window: ShopWindow, index: int) -> None:
        place_id = PLACE_WORDS[index][0]
        key(window, Qt.Key(Qt.Key.Key_1 + index), Qt.KeyboardModifier.ControlModifier)
        assert window.open_place_id == place_id
        assert focused() is window.side.tabs[place_id]
        window.open_place("desk")
        key(window, Qt.Key(Qt.Key.Key_F2 + index))
        assert window.open_place_id == place_id

    def test_back_at_a_place_where_a_sheet_asks_the_keys_are_its_own(self, window: ShopWindow) -> None:
        window.open_place("requests")
        sheet = AskPanel("What became of it?", confirm="That is it")
        sheet.open_over(opened(window))
        for digit in (Qt.Key.Key_1, Qt.Key.Key_2):
            key(window, digit, Qt.KeyboardModifier.ControlModifier)
        assert window.open_place_id == "requests"
        assert sheet.isVisible()
        assert sheet.isAncestorOf(focused())

    def test_a_press_and_arrows_in_the_side_list(self, window: ShopWindow) -> None:
        press(window.side.tabs["aids"])
        assert window.open_place_id == "aids"
        assert window.side.tabs["aids"].isChecked()
        press(window.side.tabs["aids"])
        assert window.side.tabs["aids"].isChecked()
        window.side.tabs["aids"].setFocus()
        key(None, Qt.Key.Key_Down)
        key(None, Qt.Key.Key_Return)
        assert window.open_place_id == "trouble_log"
        assert not window.side.tabs["aids"].isChecked()

    def test_tab_goes_from_the_open_place_into_its_page(self, window: ShopWindow) -> None:
        key(window, Qt.Key.Key_3, Qt.KeyboardModifier.ControlModifier)
        assert focused() is window.side.tabs["run_sheet"]
        key(None, Qt.Key.Key_Tab)
        assert not window.side.isAncestorOf(focused())
        key(None, Qt.Key.Key_Backtab)
        assert focused() is window.side.tabs["run_sheet"]

    def test_tells_the_pages_that_were_made_what_changed(self, window: ShopWindow) -> None:
        window.open_place("aids")
        window.refresh(frozenset({"spools"}))
        assert opened(window).things == [frozenset({"spools"})]

    def test_side_list_is_172_narrow_and_256_wide(self, window: ShopWindow) -> None:
        window.resize(1280, 720)
        QApplication.sendPostedEvents()
        assert window.side.width() == 172
        assert not opened(window).wide
        window.resize(1920, 1080)
        QApplication.sendPostedEvents()
        assert window.side.width() == 256
        assert opened(window).wide

    @pytest.mark.parametrize("size", [(1280, 720), (1920, 1080)])
    def test_frame_has_no_faults(self, window: ShopWindow, each_theme: Theme, size: tuple[int, int]) -> None:
        window.resize(*size)
        window.strip.say("Counted 10.", Answer("Undo", lambda: None))
        QApplication.sendPostedEvents()
        assert faults_of(window) == []
        picture = window.grab().toImage()
        assert picture.pixelColor(4, 300) == current_tokens().side

    def test_clock_and_date(self, window: ShopWindow) -> None:
        assert window.side.clock.text() == "09:42"
        assert window.side.date.text() == "Wed 25 Nov"
        window.side.set_time(datetime(2026, 1, 1, 7, 5, tzinfo=UTC))
        assert (window.side.clock.text(), window.side.date.text()) == ("07:05", "Thu 1 Jan")

    def test_who_stands_here_is_shown_and_asked_from_every_place(self, window: ShopWindow) -> None:
        asked: list[str] = []
        window.side.person_pressed.connect(lambda: asked.append(window.open_place_id))
        window.side.set_person("Maximilian Featherstonehaugh-Cholmondeley")
        assert window.side.person.accessibleName().endswith("Featherstonehaugh-Cholmondeley")
        press(window.side.person)
        window.open_place("aids")
        key(window, Qt.Key.Key_F11)
        window.side.person.setFocus(Qt.FocusReason.TabFocusReason)
        key(None, Qt.Key.Key_Return)
        assert asked == ["desk", "aids", "aids"]
        assert faults_of(window.side) == []

    def test_handbook_opens_at_the_place(self, qtbot: QtBot, theme: Theme, memory: Memory) -> None:
        asked: list[str] = []
        window = ShopWindow(places(), theme, memory, lambda: NOW, open_handbook=asked.append)
        qtbot.addWidget(window)
        window.open_place("aids")
        with qtbot.waitActive(window):
            window.show()
        key(window, Qt.Key.Key_F1)
        assert asked == ["aids"]

    def test_set_up_stands_in_front_of_everything(self, window: ShopWindow) -> None:
        set_up = QWidget()
        window.put_in_front(set_up)
        asked: list[bool] = []
        window.side.person_pressed.connect(lambda: asked.append(True))
        key(window, Qt.Key.Key_3, Qt.KeyboardModifier.ControlModifier)
        key(window, Qt.Key.Key_F11)
        assert asked == []
        assert window.stack.currentWidget() is set_up
        assert not window.side.isEnabled()
        window.take_from_front()
        assert window.open_place_id == "desk"
        assert window.side.isEnabled()


class TestMemory:
    def test_a_restart_comes_back_to_the_same_place(
        self, qtbot: QtBot, theme: Theme, tmp_path: Path, window: ShopWindow
    ) -> None:
        first = ShopWindow(places(), theme, Memory(tmp_path / "kept.ini"), lambda: NOW)
        qtbot.addWidget(first)
        first.open_place("spool_rack")
        first.resize(1400, 800)
        first.show()
        with qtbot.waitSignal(first.closing):
            first.close()
        second = ShopWindow(places(), theme, Memory(tmp_path / "kept.ini"), lambda: NOW)
        qtbot.addWidget(second)
        second.open_first_place()
        assert second.open_place_id == "spool_rack"
        assert opened(second).state == {"chosen": "Spool rack"}

    def test_a_place_that_is_no_more_falls_back_to_the_first(
        self, theme: Theme, memory: Memory, qtbot: QtBot
    ) -> None:
        memory.put_shop_text("place_open", "canteen")
        window = ShopWindow(places(), theme, memory, lambda: NOW)
        qtbot.addWidget(window)
        window.open_first_place()
        assert window.open_place_id == "desk"

    def test_what_points_at_records_is_kept_for_its_shop_alone(self, memory: Memory, tmp_path: Path) -> None:
        (tmp_path / "own").mkdir()
        memory.stand_at(str(tmp_path / "own"))
        memory.put_shop_text("person", "4")
        memory.put_page_state("aids", {"chosen": "T-0412"})
        memory.stand_at("another")
        assert memory.shop_text("person") == ""
        assert memory.page_state("aids") == {}
        memory.put_page_state("aids", {"chosen": "T-0007"})
        memory.stand_at(str(tmp_path / "." / "own"))
        assert memory.shop_text("person") == "4"
        assert memory.page_state("aids") == {"chosen": "T-0412"}

    def test_page_state_is_replaced_not_mixed(self, memory: Memory) -> None:
        memory.put_page_state("aids", {"chosen": "T-0412", "search": "stop"})
        memory.put_page_state("aids", {"chosen": "T-0388"})
        memory.write()
        assert memory.page_state("aids") == {"chosen": "T-0388"}
        assert memory.page_state("desk") == {}
        assert memory.text("nothing", "else") == "else"


class TestStrip:
    def strip(self, qtbot: QtBot) -> MessageStrip:
        strip = MessageStrip()
        qtbot.addWidget(strip)
        strip.resize(1100, 68)
        strip.show()
        return strip

    def test_is_a_message_view(self, qtbot: QtBot, theme: Theme) -> None:
        view: Messages = self.strip(qtbot)
        view.say("Counted 10.")

    def test_the_answer_is_given_once(self, qtbot: QtBot, theme: Theme) -> None:
        strip = self.strip(qtbot)
        undone: list[int] = []
        strip.say("Counted 10 on T-0412, now 340.", Answer("Undo", lambda: undone.append(10), "undo"))
        press(strip.answer_button)
        assert undone == [10]
        assert strip.shown == ""
        assert not strip.answer_button.isVisible()

    def test_an_answer_may_say_something_new(self, qtbot: QtBot, theme: Theme) -> None:
        strip = self.strip(qtbot)
        strip.problem(
            ShopError("The scale does not answer"), Answer("Weigh by hand", lambda: strip.say("Weigh it."))
        )
        assert strip.shown == "The scale does not answer."
        assert strip.sentence.tone == "signal"
        press(strip.answer_button)
        assert strip.shown == "Weigh it."

    def test_a_problem_is_told_by_words_and_ground(self, qtbot: QtBot, each_theme: Theme) -> None:
        strip = self.strip(qtbot)
        strip.problem("S-121 runs out on run 34 at 12:50.")
        picture = strip.grab().toImage()
        assert picture.pixelColor(1000, 40) == current_tokens().signal_tint
        assert picture.pixelColor(500, 0) == current_tokens().signal

    def test_short_work_is_not_shown_and_long_work_is(self, qtbot: QtBot, theme: Theme) -> None:
        strip = self.strip(qtbot)
        strip.say("Before.")
        strip.busy("Planning")
        assert strip.shown == "Before."
        strip.idle()
        assert strip.shown == "Before."
        cancelled: list[bool] = []
        strip.busy("Planning", 40, "about 8 s left", lambda: cancelled.append(True))
        qtbot.waitUntil(lambda: strip.shown == "Planning, 40 %, about 8 s left")
        strip.busy("Planning", 50, "", lambda: cancelled.append(True))
        assert strip.shown == "Planning, 50 %"
        press(strip.answer_button)
        assert cancelled == [True]
        strip.idle()
        assert strip.shown == "Before."

    def test_a_long_sentence_takes_two_lines_and_is_cut_only_then(self, qtbot: QtBot, theme: Theme) -> None:
        strip = self.strip(qtbot)
        sentence = "Spool S-121 holds 148 g and run 34 needs 208 g; mount S-124 or name a second spool."
        strip.say(sentence, Answer("Change spool", lambda: None))
        strip.set_next("Next swap 10:02, North")
        QApplication.sendPostedEvents()
        assert strip.sentence.fitted(strip.sentence.width()) == sentence
        assert strip.sentence.fitted(200).endswith("…")
        assert strip.next_words.isVisible()

    def test_f12_goes_to_the_answer(self, qtbot: QtBot, window: ShopWindow) -> None:
        window.strip.say("Counted 10.", Answer("Undo", lambda: None))
        key(window, Qt.Key.Key_F12)
        assert focused() is window.strip.answer_button
        window.strip.say("Nothing to undo.")
        key(window, Qt.Key.Key_F12)


class TestTheme:
    def test_changes_palette_and_pictures_at_run_time(
        self, qtbot: QtBot, theme: Theme, window: ShopWindow
    ) -> None:
        assert current_tokens() is LIGHT
        light = window.grab().toImage()
        with qtbot.waitSignal(theme.changed) as told:
            key(window, Qt.Key.Key_T, Qt.KeyboardModifier.ControlModifier)
        assert told.args == [True]
        assert current_tokens() is DARK
        dark = window.grab().toImage()
        spots = [(4, 300), (600, 500), (600, window.height() - 5)]
        assert all(light.pixelColor(*spot) != dark.pixelColor(*spot) for spot in spots)
        theme.set_dark(True)

    def test_disabled_text_keeps_its_contrast(self, each_theme: Theme) -> None:
        palette = QApplication.palette()
        off = QPalette.ColorGroup.Disabled
        assert palette.color(off, QPalette.ColorRole.Text) == current_tokens().ink2
        assert palette.color(off, QPalette.ColorRole.Base) == current_tokens().well

    def test_the_shipped_letters_are_used(self, theme: Theme) -> None:
        assert QApplication.font().family() == "Inter"
        assert QApplication.font().pointSizeF() == 16
