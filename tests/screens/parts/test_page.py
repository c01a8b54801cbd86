"""The frame of a page: header, actions with shortcuts, widths, cards."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.hands import key, press

from printcrib.screens.parts.actions import MAIN_KEYS, Action
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, FactRow, Hairline, Scroll, emptied
from printcrib.screens.parts.page import PageFrame, column_of, row_of
from printcrib.screens.parts.tokens import current_tokens
from printcrib.screens.parts.words import Words
from printcrib.screens.shell.theme import Theme


class Weighing:
    """A place with one thing that can be done now and one that cannot."""

    def __init__(self, qtbot: QtBot) -> None:
        self.done: list[str] = []
        self.spool_chosen = False
        self.page = PageFrame(
            "Spool rack",
            "17 spools.",
            main=Action("weigh", "Weigh a spool", lambda: self.done.append("weigh"), "weigh", "Ctrl+W"),
            others=[
                Action(
                    "dry",
                    "Dry it",
                    lambda: self.done.append("dry"),
                    None,
                    "Ctrl+D",
                    lambda: self.spool_chosen,
                )
            ],
            unseen=[Action("find", "Find", lambda: self.done.append("find"), None, "Ctrl+F")],
        )
        qtbot.addWidget(self.page)
        self.page.resize(1108, 652)
        with qtbot.waitActive(self.page):
            self.page.show()


@pytest.fixture
def weighing(qtbot: QtBot, theme: Theme) -> Weighing:
    return Weighing(qtbot)


class TestActions:
    def test_the_main_button_is_top_right_and_76_high(self, weighing: Weighing) -> None:
        page = weighing.page
        assert page.main_button is not None
        assert page.main_button.height() == 76
        assert page.main_button.geometry().right() == page._header.width() - 1
        mains = [b for b in page.findChildren(Button) if b.kind == "main"]
        assert mains == [page.main_button]
        assert faults_of(page) == []

    def test_press_and_shortcut_do_the_same(self, weighing: Weighing) -> None:
        assert weighing.page.main_button is not None
        press(weighing.page.main_button)
        key(weighing.page, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
        key(weighing.page, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
        assert weighing.done == ["weigh", "weigh", "find"]

    def test_what_cannot_be_done_now_is_not_done(self, weighing: Weighing) -> None:
        page = weighing.page
        dry = next(b for b in page.findChildren(Button) if b.text() == "Dry it")
        page.refresh_actions()
        assert not dry.isEnabled()
        key(page, Qt.Key.Key_D, Qt.KeyboardModifier.ControlModifier)
        page.actions_table.do("dry")
        assert weighing.done == []
        weighing.spool_chosen = True
        page.refresh_actions()
        assert dry.isEnabled()
        key(page, Qt.Key.Key_D, Qt.KeyboardModifier.ControlModifier)
        assert weighing.done == ["dry"]

    def test_a_button_elsewhere_follows_the_same_action(self, weighing: Weighing) -> None:
        button = weighing.page.actions_table.button("dry", "bare")
        weighing.page.body.addWidget(button)
        assert not button.isEnabled()
        weighing.spool_chosen = True
        weighing.page.refresh_actions()
        assert button.isEnabled()
        assert button.accessibleDescription() == "Ctrl+D"
        assert [action.id for action in weighing.page.actions_table] == ["dry", "weigh", "find"]

    def test_a_shortcut_works_wherever_the_focus_is(
        self, qtbot: QtBot, theme: Theme, weighing: Weighing
    ) -> None:
        window, other = QWidget(), Button("Requests")
        qtbot.addWidget(window)
        column = QVBoxLayout(window)
        column.addWidget(other)
        column.addWidget(weighing.page)
        with qtbot.waitActive(window):
            window.show()
        other.setFocus()
        key(other, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
        weighing.page.hide()
        key(other, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
        weighing.page.setParent(None)
        assert weighing.done == ["weigh"]

    def test_a_shortcut_does_nothing_behind_a_sheet_that_asks(self, weighing: Weighing) -> None:
        panel = AskPanel("Which spool?")
        panel.open_over(weighing.page)
        key(panel, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
        assert weighing.done == []
        key(panel, Qt.Key.Key_Escape)
        key(weighing.page, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
        assert weighing.done == ["weigh"]

    def test_the_keys_of_the_main_button_press_the_verb_of_a_sheet(self, qtbot: QtBot, theme: Theme) -> None:
        done: list[str] = []
        page = PageFrame("Desk", main=Action("do", "Take off", lambda: done.append("desk"), None, MAIN_KEYS))
        qtbot.addWidget(page)
        with qtbot.waitActive(page):
            page.show()
        for panel in (AskPanel("Are they good?", confirm="Book it"), AskPanel("Only to read")):
            panel.confirmed.connect(lambda: done.append("sheet"))
            panel.open_over(page)
            key(panel, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        assert done == ["sheet"]


class TestFrame:
    def test_title_and_sentence_change(self, weighing: Weighing) -> None:
        weighing.page.set_title("Raise a request")
        weighing.page.set_subtitle("1 of 3: what")
        assert weighing.page.title.text() == weighing.page.accessibleName() == "Raise a request"
        assert weighing.page.subtitle.text() == "1 of 3: what"

    def test_tells_when_it_becomes_wide(self, qtbot: QtBot, weighing: Weighing) -> None:
        with qtbot.waitSignal(weighing.page.width_changed) as told:
            weighing.page.resize(1700, 900)
        assert told.args == [True]
        assert weighing.page.title.font().pointSizeF() == 28

    def test_a_place_need_not_remember_anything(self, weighing: Weighing) -> None:
        page = weighing.page
        page.arrived()
        page.refresh(frozenset({"spools"}))
        page.restore_state({})
        assert page.kept_state() == {}

    def test_the_desk_has_no_heading(self, qtbot: QtBot, theme: Theme) -> None:
        page = PageFrame("Desk", heading=False)
        qtbot.addWidget(page)
        page.show()
        assert not page.title.isVisible()
        assert page.main_button is None


class TestCards:
    @pytest.mark.parametrize(
        ("ground", "token"), [("sheet", "sheet"), ("tint", "tint"), ("signal", "signal_tint")]
    )
    def test_grounds(self, qtbot: QtBot, each_theme: Theme, ground: str, token: str) -> None:
        card = Card(ground=ground)
        qtbot.addWidget(card)
        card.resize(200, 100)
        assert card.grab().toImage().pixelColor(100, 50) == current_tokens().named()[token]

    def test_strong_has_an_accent_border(self, qtbot: QtBot, each_theme: Theme) -> None:
        card = Card()
        qtbot.addWidget(card)
        card.resize(200, 100)
        assert card.grab().toImage().pixelColor(100, 0) == current_tokens().line
        card.set_ground("sheet", strong=True)
        assert card.grab().toImage().pixelColor(100, 0) == current_tokens().accent

    def test_title_shows_only_when_there_is_one(self, qtbot: QtBot, theme: Theme) -> None:
        card = Card()
        qtbot.addWidget(card)
        card.show()
        assert not card.title.isVisible()
        card.set_title("PETG black")
        assert card.title.isVisible()

    def test_a_fact_changes(self, qtbot: QtBot, theme: Theme) -> None:
        row = FactRow("Reprint by", "Fri 27 Nov")
        qtbot.addWidget(row)
        row.set_value("today", "signal")
        assert (row.value.text(), row.value.tone) == ("today", "signal")

    def test_hairlines_are_one_pixel(self, qtbot: QtBot, each_theme: Theme) -> None:
        flat, upright = Hairline(), Hairline(upright=True)
        for line in (flat, upright):
            qtbot.addWidget(line)
        flat.resize(50, 1)
        assert (flat.height(), upright.width()) == (1, 1)
        assert flat.grab().toImage().pixelColor(10, 0) == current_tokens().line

    def test_a_layout_is_emptied_with_what_is_nested_in_it(self, qtbot: QtBot, theme: Theme) -> None:
        box = QWidget()
        qtbot.addWidget(box)
        column = QVBoxLayout(box)
        column.addWidget(Words("one"))
        column.addLayout(row_of(Words("two"), Words("three")))
        column.addLayout(column_of(Words("four")))
        column.addStretch(1)
        emptied(column)
        QApplication.sendPostedEvents(None, 52)  # QEvent::DeferredDelete
        assert column.count() == 0
        assert box.findChildren(Words) == []

    def test_a_scroll_shows_the_ground_behind_it(self, qtbot: QtBot, each_theme: Theme) -> None:
        card = Card(padding=0)
        scroll = Scroll()
        scroll.add(Words("one"), Words("two"))
        scroll.body.addStretch(1)
        card.add(scroll)
        qtbot.addWidget(card)
        card.resize(300, 200)
        card.show()
        assert card.grab().toImage().pixelColor(250, 150) == current_tokens().sheet


class TestWords:
    def test_elided_words_end_in_dots_and_ask_for_little_room(self, qtbot: QtBot, theme: Theme) -> None:
        words = Words("a sentence that is far too long for its place", elide=True)
        qtbot.addWidget(words)
        assert words.minimumSizeHint().width() == 40
        words.resize(120, 30)
        words.grab()

    def test_tone_and_size_change(self, qtbot: QtBot, each_theme: Theme) -> None:
        words = Words("10 late", tone="ink")
        qtbot.addWidget(words)
        words.set_tone("signal")
        words.set_type(40, "strong")
        words.resize(words.sizeHint())
        image = words.grab().toImage()
        signal = current_tokens().signal
        assert any(image.pixelColor(x, image.height() // 2) == signal for x in range(image.width()))
        assert words.font().family() == "Inter Display"
        words.setEnabled(False)
        words.grab()

    def test_wrapped_words_keep_their_lines_where_room_is_short(self, qtbot: QtBot, theme: Theme) -> None:
        box = QWidget()
        qtbot.addWidget(box)
        column = QVBoxLayout(box)
        long = Words("There is no machine Lathe 22. Pick one, or add it in Shop settings.", wrap=True)
        below = Button("Go on")
        column.addWidget(long)
        column.addWidget(below)
        box.resize(320, 60)
        box.show()
        QApplication.sendPostedEvents()
        assert long.height() >= long.heightForWidth(long.width())
        assert below.y() >= long.geometry().bottom()
        tall = long.height()
        box.resize(900, 200)
        QApplication.sendPostedEvents()
        assert long.minimumHeight() < tall
