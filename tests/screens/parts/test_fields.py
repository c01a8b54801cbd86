"""Fields, choices, ticks, numbers, questions and lists to pick from."""

from decimal import Decimal

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.hands import focused, key, press, typing

from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.ask import AskPanel, page_of
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Scroll
from printcrib.screens.parts.fields import ChoiceRow, Field, NotesField, TextField, TickList
from printcrib.screens.parts.numbers import Keypad, KeypadPanel, Stepper
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.pick import Pick, PickField, PickPanel
from printcrib.screens.shell.theme import Theme

FINE = (("fine", "Fine"), ("normal", "Normal"), ("rough", "Rough"))


def shown(qtbot: QtBot, *parts: QWidget) -> PageFrame:
    """A page with these parts on it, active."""
    page = PageFrame("A page", main=Action("go", "Go on", lambda: None))
    for part in parts:
        page.body.addWidget(part)
    page.body.addStretch(1)
    qtbot.addWidget(page)
    page.resize(1000, 640)
    with qtbot.waitActive(page):
        page.show()
    return page


class TestField:
    def test_error_stands_beside_and_the_text_stays(self, qtbot: QtBot, theme: Theme) -> None:
        field = Field("Machine", TextField("Lathe 22"), "as on its plate")
        shown(qtbot, field)
        field.set_error("There is no machine Lathe 22.")
        assert field.error == "There is no machine Lathe 22."
        assert isinstance(field.control, TextField)
        assert field.control.text() == "Lathe 22"
        field.set_error("")
        assert not field._error.isVisible()

    def test_the_label_names_the_control(self, qtbot: QtBot, theme: Theme) -> None:
        field = Field("Machine", TextField())
        qtbot.addWidget(field)
        assert field.control.accessibleName() == "Machine"

    def test_a_text_field_is_58_high_whatever_the_style_sheet_says(self, qtbot: QtBot, theme: Theme) -> None:
        field, notes = TextField(says="name"), NotesField(says="notes")
        shown(qtbot, field, notes)
        assert field.height() == 58
        notes.setFocus()
        key(notes, Qt.Key.Key_Tab)
        assert notes.text() == ""


class TestChoiceRow:
    def test_nothing_is_chosen_until_somebody_does(self, qtbot: QtBot, theme: Theme) -> None:
        row = ChoiceRow(FINE, says="how fine")
        shown(qtbot, row)
        assert row.chosen is None
        with qtbot.waitSignal(row.chosen_changed) as told:
            press(row.buttons["normal"])
        assert told.args == ["normal"]
        assert row.chosen == "normal"

    def test_pressing_the_chosen_one_keeps_it(self, qtbot: QtBot, theme: Theme) -> None:
        row = ChoiceRow(FINE, chosen="fine")
        shown(qtbot, row)
        press(row.buttons["fine"])
        assert row.chosen == "fine"

    def test_may_be_cleared_when_told_so(self, qtbot: QtBot, theme: Theme) -> None:
        row = ChoiceRow(FINE, chosen="fine", may_clear=True)
        shown(qtbot, row)
        with qtbot.waitSignal(row.chosen_changed) as told:
            press(row.buttons["fine"])
        assert told.args == [""]
        assert row.chosen is None

    def test_arrows_move_along_and_space_chooses(self, qtbot: QtBot, theme: Theme) -> None:
        row = ChoiceRow(FINE, columns=2)
        shown(qtbot, row)
        row.buttons["fine"].setFocus(Qt.FocusReason.TabFocusReason)
        key(None, Qt.Key.Key_Right)
        assert focused() is row.buttons["normal"]
        key(None, Qt.Key.Key_Left)
        key(None, Qt.Key.Key_Down)
        assert focused() is row.buttons["rough"]
        key(None, Qt.Key.Key_Down)
        key(None, Qt.Key.Key_Space)
        assert row.chosen == "rough"

    def test_set_chosen_tells_nobody(self, qtbot: QtBot, theme: Theme) -> None:
        row = ChoiceRow(FINE)
        qtbot.addWidget(row)
        with qtbot.assertNotEmitted(row.chosen_changed):
            row.set_chosen("rough")
            row.set_choices(FINE[:2], "fine")
        assert row.chosen == "fine"
        assert list(row.buttons) == ["fine", "normal"]


class TestTickList:
    def ticks(self, qtbot: QtBot) -> TickList:
        ticks = TickList(
            (("1", "turn with a spindle"), ("2", "hold or locate the work"), ("3", "replace a guard")),
            says="safety",
            none_words="None of these",
        )
        shown(qtbot, ticks)
        return ticks

    def test_nothing_is_answered_at_first(self, qtbot: QtBot, theme: Theme) -> None:
        ticks = self.ticks(qtbot)
        assert not ticks.answered
        assert ticks.ticked == frozenset()

    def test_a_tick_and_none_of_these_exclude_each_other(self, qtbot: QtBot, theme: Theme) -> None:
        ticks = self.ticks(qtbot)
        press(ticks.buttons["2"])
        assert ticks.ticked == {"2"}
        assert ticks._none is not None
        press(ticks._none)
        assert ticks.ticked == frozenset()
        assert ticks.answered
        press(ticks.buttons["1"])
        assert not ticks._none.isChecked()
        assert ticks.ticked == {"1"}

    def test_set_ticked_brings_an_answer_back(self, qtbot: QtBot, theme: Theme) -> None:
        ticks = self.ticks(qtbot)
        ticks.set_ticked(frozenset({"1", "3"}))
        assert ticks.ticked == {"1", "3"}
        ticks.set_ticked(frozenset(), none=True)
        assert ticks.answered
        assert not ticks.ticked


class TestStepper:
    def test_steps_within_its_limits(self, qtbot: QtBot, theme: Theme) -> None:
        stepper = Stepper(2, least=1, most=3, unit="copies", says="copies")
        shown(qtbot, stepper)
        told: list[int] = []
        stepper.value_changed.connect(lambda value: told.append(value))
        press(stepper.plus_button)
        assert not stepper.plus_button.isEnabled()
        for _ in range(2):
            press(stepper.minus_button)
        assert told == [3, 2, 1]
        assert stepper.number_button.text() == "1 copies"

    def test_keys_step_and_digits_open_the_keypad(self, qtbot: QtBot, theme: Theme) -> None:
        stepper = Stepper(2, says="copies wanted")
        page = shown(qtbot, stepper)
        stepper.number_button.setFocus()
        key(None, Qt.Key.Key_Up)
        assert stepper.value == 3
        key(None, Qt.Key.Key_Down)
        typing(None, "1")
        assert isinstance(page.standing_over, KeypadPanel)
        typing(None, "8")
        with qtbot.waitSignal(stepper.value_changed) as told:
            key(None, Qt.Key.Key_Return)
        assert told.args == [18]
        assert focused() is stepper.number_button

    def test_says_what_it_counts(self, qtbot: QtBot, theme: Theme) -> None:
        stepper = Stepper(5, says="hours until needed", shown=lambda n: f"in {n} h")
        qtbot.addWidget(stepper)
        assert stepper.number_button.accessibleName() == "hours until needed: in 5 h"


class TestKeypad:
    @pytest.mark.parametrize(
        ("keys", "decimals", "number"),
        [
            ("612", 0, Decimal(612)),
            ("6.5", 0, Decimal(65)),
            ("6.55", 1, Decimal("6.5")),
            ("6..5", 2, Decimal("6.5")),
            ("", 0, None),
            (".", 1, None),
        ],
    )
    def test_types_a_number(
        self, qtbot: QtBot, theme: Theme, keys: str, decimals: int, number: Decimal
    ) -> None:
        keypad = Keypad("g", decimals=decimals)
        qtbot.addWidget(keypad)
        typing(keypad, keys)
        assert keypad.number == number

    def test_erases_and_starts_from_a_number(self, qtbot: QtBot, theme: Theme) -> None:
        keypad = Keypad("g", decimals=1)
        qtbot.addWidget(keypad)
        keypad.set_number(48)
        key(keypad, Qt.Key.Key_Backspace)
        keypad.press("7")
        assert keypad.number == 47

    def test_starts_from_nothing(self, qtbot: QtBot, theme: Theme) -> None:
        keypad = Keypad("g")
        qtbot.addWidget(keypad)
        keypad.set_number(48)
        keypad.set_number(None)
        assert keypad.number is None

    def test_the_verb_waits_for_a_number(self, qtbot: QtBot, theme: Theme) -> None:
        page = shown(qtbot)
        panel = KeypadPanel("Weigh S-104", "g", confirm="Book it")
        panel.open_over(page)
        assert not panel.confirm_button.isEnabled()
        press(panel.keypad.findChildren(type(panel.confirm_button))[0])
        with qtbot.waitSignal(panel.entered) as told:
            press(panel.confirm_button)
        assert told.args == [Decimal(7)]
        assert faults_of(panel) == []


class TestAskPanel:
    def test_stands_over_the_page_and_goes_back(self, qtbot: QtBot, theme: Theme) -> None:
        page = shown(qtbot, TextField(says="name"))
        assert page.main_button is not None
        page.main_button.setFocus()
        panel = AskPanel("Stop run 32?", confirm="Stop it", sentence="31 g and 40 min are lost.")
        panel.body.addWidget(TextField("why", says="why"))
        panel.open_over(page)
        assert page.standing_over is panel
        assert panel.size() == page.size()
        with qtbot.waitSignal(panel.backed):
            key(None, Qt.Key.Key_Escape)
        assert panel.isHidden()
        assert QApplication.focusWidget() is page.main_button

    def test_what_is_asked_follows_the_title(self, qtbot: QtBot, theme: Theme) -> None:
        panel = AskPanel("Why did R 1/2 fail?", confirm="That is it")
        field = TextField("why", says="why")
        panel.body.addWidget(field)
        panel.open_over(shown(qtbot))
        below = field.mapTo(panel, field.rect().topLeft()).y() - panel.title.geometry().bottom()
        assert field.height() < 70
        assert below < 120

    def test_a_long_list_scrolls_by_itself(self, qtbot: QtBot, theme: Theme) -> None:
        panel = PickPanel("Time zone", [Pick(str(n), f"zone {n}") for n in range(40)])
        page = shown(qtbot)
        page.resize(1108, 628)
        panel.open_over(page)
        qtbot.waitExposed(panel)
        assert panel.findChildren(Scroll)[0].verticalScrollBar().maximum() == 0
        assert panel.table.view.verticalScrollBar().maximum() > 0

    def test_the_ring_is_back_where_the_keys_left_it(self, qtbot: QtBot, theme: Theme) -> None:
        page = shown(qtbot)
        button = page.main_button
        assert button is not None
        for reason in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.MouseFocusReason):
            by_keys = reason is Qt.FocusReason.TabFocusReason
            button.clearFocus()
            button.setFocus(reason)
            panel = AskPanel("Stop run 32?", confirm="Stop it")
            panel.open_over(page)
            assert panel.confirm_button.ring.shown is by_keys
            key(None, Qt.Key.Key_Escape)
            assert button.ring.shown is by_keys

    def test_tab_stays_on_the_sheet(self, qtbot: QtBot, theme: Theme) -> None:
        page = shown(qtbot, TextField(says="behind"))
        panel = AskPanel("Stop run 32?", confirm="Stop it")
        field = TextField("why", says="why")
        panel.body.addWidget(field)
        panel.open_over(page)
        seen = []
        for _ in range(4):
            seen.append(focused())
            key(None, Qt.Key.Key_Tab)
        assert seen[0] is field
        assert set(seen[:3]) == {field, panel.back_button, panel.confirm_button}
        assert seen[3] is field
        key(None, Qt.Key.Key_Backtab)
        assert focused() is not page

    def test_tab_brings_what_is_scrolled_away_into_view(self, qtbot: QtBot, theme: Theme) -> None:
        page = shown(qtbot)
        panel = AskPanel("A long question", confirm="Keep it")
        fields = [TextField(says=f"line {n}") for n in range(12)]
        for field in fields:
            panel.body.addWidget(field)
        panel.open_over(page)
        QApplication.processEvents()
        assert fields[-1].visibleRegion().isEmpty()
        for _ in fields[1:]:
            key(None, Qt.Key.Key_Tab)
        assert focused() is fields[-1]
        assert fields[-1].visibleRegion().boundingRect() == fields[-1].rect()

    def test_stays_when_the_answer_is_refused(self, qtbot: QtBot, theme: Theme) -> None:
        page = shown(qtbot)
        panel = AskPanel("Weigh", confirm="Book it", stays=True)
        panel.open_over(page)
        with qtbot.waitSignal(panel.confirmed):
            press(panel.confirm_button)
        panel.set_error("612 g is more than a full spool. Weigh again.")
        assert panel._error.isVisible()
        for _ in range(2):
            panel.lay_down()
            assert page.standing_over is None

    def test_two_sheets_stand_over_each_other(self, qtbot: QtBot, theme: Theme) -> None:
        page = shown(qtbot)
        first, second = AskPanel("First", confirm="Go"), AskPanel("Second", confirm="Go")
        first.open_over(page)
        second.open_over(first)
        assert page.standing_over is second
        page.resize(900, 620)
        assert first.size() == second.size() == page.size()
        second.lay_down()
        assert page.standing_over is first

    def test_gives_the_focus_to_the_page_when_what_led_to_it_is_gone(
        self, qtbot: QtBot, theme: Theme
    ) -> None:
        page = shown(qtbot)
        led, stays = Button("Led here"), Button("Stays")
        for button in (stays, led):
            page.body.addWidget(button)
        led.setFocus()
        panel = AskPanel("Sheet", confirm="Go")
        panel.open_over(page)
        led.deleteLater()
        QApplication.sendPostedEvents(led, QEvent.Type.DeferredDelete)
        press(panel.back_button)
        assert page.standing_over is None
        assert page.isAncestorOf(focused())
        assert focused().isVisible()

    def test_needs_a_page(self, qtbot: QtBot, theme: Theme) -> None:
        alone = QWidget()
        qtbot.addWidget(alone)
        with pytest.raises(LookupError):
            page_of(alone)


class TestPicking:
    PICKS = tuple(Pick(f"m{n}", f"Lathe {n}", f"bay {n}") for n in range(1, 13))

    def test_typing_narrows_and_enter_picks(self, qtbot: QtBot, theme: Theme) -> None:
        page = shown(qtbot)
        panel = PickPanel("Machine", self.PICKS)
        panel.open_over(page)
        typing(None, "bay 11")
        with qtbot.waitSignal(panel.picked) as told:
            key(None, Qt.Key.Key_Return)
        assert told.args == ["m11"]

    def test_down_goes_into_the_list(self, qtbot: QtBot, theme: Theme) -> None:
        page = shown(qtbot)
        panel = PickPanel("Machine", self.PICKS)
        panel.open_over(page)
        key(None, Qt.Key.Key_Down)
        key(None, Qt.Key.Key_Down)
        with qtbot.waitSignal(panel.picked) as told:
            key(None, Qt.Key.Key_Return)
        assert told.args == ["m2"]
        assert page.standing_over is None

    def test_nothing_found_cannot_be_taken(self, qtbot: QtBot, theme: Theme) -> None:
        page = shown(qtbot)
        panel = PickPanel("Machine", self.PICKS)
        panel.open_over(page)
        typing(None, "grinder")
        assert not panel.confirm_button.isEnabled()

    def test_a_field_says_what_is_picked(self, qtbot: QtBot, theme: Theme) -> None:
        field = PickField(says="machine", picks=self.PICKS[:3], nothing="Choose a machine")
        page = shown(qtbot, field)
        assert field.button.text() == "Choose a machine"
        press(field.button)
        panel = page.standing_over
        assert isinstance(panel, PickPanel)
        assert not panel.search_field.isVisible()
        panel.table.choose("m3")
        with qtbot.waitSignal(field.picked_changed) as told:
            press(panel.confirm_button)
        assert told.args == ["m3"]
        assert field.chosen == "m3"
        assert field.button.accessibleName() == "machine: Lathe 3"
        field.set_picks(self.PICKS[:1])
        assert field.chosen == ""


def test_every_part_on_a_page_is_named_sized_and_whole(qtbot: QtBot, each_theme: Theme) -> None:
    page = shown(
        qtbot,
        Field("How fine", ChoiceRow(FINE)),
        TickList((("1", "turn with a spindle"), ("2", "hold or locate the work")), says="safety"),
        Stepper(2, says="copies"),
        Field("Machine", TextField("Lathe 2"), "as on its plate"),
        PickField(says="machine", picks=TestPicking.PICKS),
    )
    assert faults_of(page) == []


def test_the_checks_find_faults(qtbot: QtBot, theme: Theme) -> None:
    bad = QWidget()
    column = QVBoxLayout(bad)
    nameless = TextField()
    nameless.setFixedWidth(30)
    column.addWidget(nameless)
    qtbot.addWidget(bad)
    bad.show()
    faults = faults_of(bad)
    assert any(fault.startswith("no name") for fault in faults)
    assert any(fault.startswith("too small") for fault in faults)
