"""The place in a window: count and hand out, by keyboard alone and by mouse alone, and its other sheets."""

from collections.abc import Iterator
from typing import TypeVar

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot
from tests.screens.aids.shop import AtAids, at_aids
from tests.screens.checks import faults_of
from tests.screens.fakes import InlineWorker
from tests.screens.hands import focused, key, press, typing

from printcrib.core.aids import AidState, RetireReason
from printcrib.core.patterns import CountedBy
from printcrib.core.requests import CopyState
from printcrib.screens.aids.act_panels import AsidePanel, HistoryPanel, MorePanel, ShelfPanel, ThisOnePanel
from printcrib.screens.aids.counter_panel import CounterPanel
from printcrib.screens.aids.hand_out_panel import HandOutPanel
from printcrib.screens.aids.number_panel import NumberPanel
from printcrib.screens.aids.questions_panel import QuestionsPanel
from printcrib.screens.aids.ready_card import ReadyPanel
from printcrib.screens.aids.scan_panel import ScanPanel
from printcrib.screens.aids.screen import AidsPage
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.numbers import KeypadPanel
from printcrib.screens.parts.pick import PickField
from printcrib.screens.parts.really_at import ReallyAtPanel
from printcrib.screens.shell.background import Background
from printcrib.screens.shell.theme import Theme
from printcrib.services.interfaces import is_

Tab, Enter, Space, Escape = Qt.Key.Key_Tab, Qt.Key.Key_Return, Qt.Key.Key_Space, Qt.Key.Key_Escape
P = TypeVar("P", bound=AskPanel)


@pytest.fixture
def at() -> AtAids:
    return at_aids()


@pytest.fixture
def page(qtbot: QtBot, theme: Theme, at: AtAids) -> Iterator[AidsPage]:
    worker = InlineWorker()
    background = Background(worker, worker, at.messages)
    made = AidsPage(at.stand(background))
    background.changed.connect(made.refresh)
    qtbot.addWidget(made)
    made.resize(1108, 652)
    with qtbot.waitActive(made):
        made.show()
    yield made
    qtbot.waitUntil(lambda: not background.busy)


def settle(page: AidsPage, qtbot: QtBot) -> None:
    """Let what was pressed come back and show."""
    background = page._here.background
    assert isinstance(background, Background)
    qtbot.waitUntil(lambda: not background.busy)


def arrive(page: AidsPage, qtbot: QtBot) -> None:
    """The place comes to the front and is read."""
    page.arrived()
    settle(page, qtbot)


def asking(page: AidsPage, kind: type[P]) -> P:
    """The sheet that asks, which must be of this kind."""
    panel = page.standing_over
    assert isinstance(panel, kind)
    return panel


def tab_to(accessible: str, most: int = 60) -> QWidget:
    """Press Tab until something with this name has the focus."""
    for _ in range(most):
        if focused().accessibleName().startswith(accessible):
            return focused()
        key(None, Tab)
    raise AssertionError(f"Tab never came to {accessible!r}")


def shown_tag(page: AidsPage) -> str:
    """The tag on the card."""
    return "" if page.shown is None else page.shown.row.tag


class TestByKeyboard:
    def test_scan_a_tag_and_count(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        at.counted_by(CountedBy.ADD)
        two = at.counted_by(CountedBy.ADD, "Mill 2")
        arrive(page, qtbot)
        key(page, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
        typing(asking(page, ScanPanel).field, "T-0002")
        key(None, Enter)
        settle(page, qtbot)
        assert (page.standing_over, shown_tag(page)) == (None, "T-0002")
        assert focused() is page.card.plus[1]
        key(None, Space)
        settle(page, qtbot)
        tab_to("count 10")
        key(None, Enter)
        settle(page, qtbot)
        assert at.desk.count(two) == 11
        assert at.messages.said[-1] == "Counted 10 on T-0002, now 11."
        assert page.card.count.text() == "11"

    def test_a_scanner_types_without_being_asked(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        at.counted_by(CountedBy.ADD)
        at.counted_by(CountedBy.ADD, "Mill 2")
        arrive(page, qtbot)
        page.table.setFocus()
        key(None, Qt.Key.Key_T, Qt.KeyboardModifier.ShiftModifier)
        typing(None, "-0002")
        key(None, Enter)
        settle(page, qtbot)
        assert shown_tag(page) == "T-0002"

    def test_a_number_is_counted(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        one = at.counted_by(CountedBy.PARTS, uses_a_part=2)
        arrive(page, qtbot)
        key(page, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
        panel = asking(page, NumberPanel)
        typing(panel.keypad, "35")
        key(panel.keypad, Enter)
        settle(page, qtbot)
        assert (at.desk.count(one), page.standing_over) == (70, None)

    def test_a_good_copy_is_handed_out_in_two_presses(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        (copy,) = at.desk.ready(machine_id=at.desk.machine("Mill 2").id)
        arrive(page, qtbot)
        page.table.setFocus()
        tab_to("Hand out T-0001")
        key(None, Enter)
        settle(page, qtbot)
        assert asking(page, HandOutPanel).confirm_button.hasFocus()
        key(None, Enter)
        settle(page, qtbot)
        aid = at.desk.aid(copy.aid_id or 0)
        assert (aid.state, aid.machine_id) == (AidState.IN_USE, at.desk.machine("Mill 2").id)
        assert not page.ready.isVisible()

    def test_escape_leaves_and_the_half_filled_sheet_comes_back(
        self, page: AidsPage, at: AtAids, qtbot: QtBot
    ) -> None:
        at.counted_by(CountedBy.ADD)
        arrive(page, qtbot)
        page.card.asked.emit("aside")
        typing(asking(page, AsidePanel).why, "chipped")
        key(None, Escape)
        assert page.standing_over is None
        page.card.asked.emit("aside")
        assert asking(page, AsidePanel).why.text() == "chipped"


class TestByMouse:
    def test_choose_and_count(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        one = at.counted_by(CountedBy.ADD)
        two = at.counted_by(CountedBy.ADD, "Mill 2")
        arrive(page, qtbot)
        row = page.table.model.row_of(two)
        assert row is not None
        press(page.table.view.viewport(), page.table.view.visualRect(page.table.model.index(row, 0)).center())
        settle(page, qtbot)
        assert shown_tag(page) == "T-0002"
        press(page.card.plus[100])
        settle(page, qtbot)
        press(page.card.plus[1])
        settle(page, qtbot)
        assert (at.desk.count(two), at.desk.count(one)) == (101, 0)
        at.undo()
        settle(page, qtbot)
        assert page.card.count.text() == "100"
        assert faults_of(page) == []

    def test_scan_by_pressing_a_row(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        at.counted_by(CountedBy.ADD)
        two = at.counted_by(CountedBy.ADD, "Mill 2")
        arrive(page, qtbot)
        assert page.main_button is not None
        press(page.main_button)
        panel = asking(page, ScanPanel)
        assert faults_of(panel) == []
        row = panel.table.model.row_of(two)
        assert row is not None
        press(
            panel.table.view.viewport(), panel.table.view.visualRect(panel.table.model.index(row, 0)).center()
        )
        press(panel.confirm_button)
        settle(page, qtbot)
        assert shown_tag(page) == "T-0002"

    def test_a_new_one_takes_the_place_of_the_old(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        old = at.counted_by(CountedBy.ADD)
        (copy,) = at.desk.ready(machine_id=at.desk.machine().id)
        arrive(page, qtbot)
        assert faults_of(page) == []
        press(page.ready.rows.buttons[f"hand out {copy.id}"])
        settle(page, qtbot)
        panel = asking(page, HandOutPanel)
        assert panel.old.button.text() == "T-0001"
        press(panel.confirm_button)
        assert panel.becomes_field.error.startswith("Nobody said what becomes of T-0001")
        press(panel.becomes.buttons[RetireReason.WORN_OUT.value])
        assert faults_of(panel) == []
        press(panel.confirm_button)
        settle(page, qtbot)
        assert at.desk.aid(old).retired_reason is RetireReason.WORN_OUT
        assert at.desk.aid(copy.aid_id or 0).state is AidState.IN_USE
        assert page.standing_over is None

    def test_it_was_really_earlier(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        at.counted_by(CountedBy.ADD)
        at.desk.clock.move(hours=2)
        arrive(page, qtbot)
        press(page.card.really_at.button)
        when = asking(page, ReallyAtPanel)
        press(when.buttons[-60])
        press(when.confirm_button)
        moment = page.card.really_at.moment
        press(page.card.plus[10])
        settle(page, qtbot)
        with at.desk.shop.read() as uow:
            assert uow.use_entries.find()[-1].happened_at == moment
        assert page.card.really_at.moment is None

    def test_worn_out_then_print_another(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        one = at.counted_by(CountedBy.ADD)
        at.counted_by(CountedBy.ADD, "Mill 2")
        arrive(page, qtbot)
        page.go_to(one)
        settle(page, qtbot)
        press(page.card.worn_button)
        settle(page, qtbot)
        assert at.desk.aid(one).retired_reason is RetireReason.WORN_OUT
        assert (page.shown, page.card.said.text()) == (None, "T-0001 is out of service: worn out.")
        press(page.card.gone_button)
        settle(page, qtbot)
        with at.desk.shop.read() as uow:
            assert uow.requests.one(is_("replaces_aid_id", one)) is not None

    def test_print_another_then_see_the_reprint(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        at.counted_by(CountedBy.ADD)
        arrive(page, qtbot)
        press(page.card.another_button)
        settle(page, qtbot)
        assert page.card.another_button.text() == "Reprint R 2"
        press(page.card.another_button)
        assert at.led[-1][0] == "requests"


class TestRefusals:
    def test_the_gate_says_why_beside_the_answer(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        (copy,) = at.desk.ready(safety_answers=(2,), machine_id=at.desk.machine().id)
        arrive(page, qtbot)
        rows = page.ready.rows
        press(rows.buttons[f"see {copy.id}"])
        assert at.led[-1] == ("requests", copy.request_id)
        page.go_to(copy.aid_id or 0)
        settle(page, qtbot)
        press(page.card.act_button)
        settle(page, qtbot)
        panel = asking(page, HandOutPanel)
        press(panel.confirm_button)
        settle(page, qtbot)
        assert page.standing_over is panel
        assert "is not handed out" in panel._error.text()
        assert at.desk.aid(copy.aid_id or 0).state is AidState.SHELF

    def test_no_such_tag(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        arrive(page, qtbot)
        page.actions_table.do("scan")
        panel = asking(page, ScanPanel)
        typing(panel.field, "T-0099")
        key(panel.field, Enter)
        settle(page, qtbot)
        assert panel.labelled.error.startswith('No aid has the tag "T-0099"')
        assert (panel.field.text(), panel.field.selectedText()) == ("T-0099", "T-0099")

    def test_a_reason_is_needed(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        one = at.counted_by(CountedBy.ADD)
        arrive(page, qtbot)
        page.card.asked.emit("aside")
        panel = asking(page, AsidePanel)
        press(panel.confirm_button)
        settle(page, qtbot)
        assert panel.why_field.error.startswith("Setting aside needs a reason")
        press(panel.quick.buttons["Cracked"])
        press(panel.confirm_button)
        settle(page, qtbot)
        assert at.desk.aid(one).aside_why == "Cracked"
        assert (page.card.said.text(), page.card.said.tone) == ("Set aside: Cracked.", "signal")

    def test_without_a_sheet_it_is_said_in_the_strip(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        one = at.counted_by(CountedBy.ADD)
        arrive(page, qtbot)
        page.presenter.acts.count(one, 0)
        settle(page, qtbot)
        assert at.messages.problems[-1].startswith("0 cannot be counted")


class TestCounter:
    def test_a_reading_and_a_reset(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        one = at.counted_by(CountedBy.READING)
        arrive(page, qtbot)
        assert not page.card.plus_row.isVisible()
        for number in ("1000", "1040"):
            press(page.card.act_button)
            settle(page, qtbot)
            panel = asking(page, CounterPanel)
            assert faults_of(panel) == []
            for digit in number:
                panel.keypad.press(digit)
            press(panel.confirm_button)
            settle(page, qtbot)
            at.desk.clock.move(hours=1)
        assert (at.desk.count(one), page.standing_over) == (40, None)
        page.actions_table.do("counter")
        settle(page, qtbot)
        panel = asking(page, CounterPanel)
        typing(panel.keypad, "12")
        press(panel.confirm_button)
        settle(page, qtbot)
        assert panel.reset_button.isVisible()
        press(panel.reset_button)
        settle(page, qtbot)
        assert (at.desk.count(one), page.standing_over) == (52, None)

    def test_many_aids_are_named_in_short(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        for _ in range(7):
            at.counted_by(CountedBy.READING)
        page.presenter.ask_counter()
        settle(page, qtbot)
        panel = asking(page, CounterPanel)
        assert panel.counts.text().endswith("T-0006 and 1 more.")
        mill = at.desk.machine("Mill 2")
        panel.machine.set_chosen(str(mill.id))
        panel.machine.picked_changed.emit(str(mill.id))
        assert (panel.counts.text(), panel.last.value.text()) == (
            "No aid is counted by it.",
            "never read yet",
        )


class TestWeekly:
    def test_questions_open_from_the_header(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        first = at.counted_by(CountedBy.ADD)
        second = at.counted_by(CountedBy.PARTS, uses_a_part=2)
        third = at.counted_by(CountedBy.READING)
        arrive(page, qtbot)
        page.presenter.acts.count(first, 20)
        assert not page.other_buttons["questions"].isVisible()
        at.desk.clock.move(days=10)
        arrive(page, qtbot)
        button = page.other_buttons["questions"]
        assert (button.isVisible(), button.text()) == (True, "3 to answer")
        press(button)
        settle(page, qtbot)
        panel = asking(page, QuestionsPanel)
        assert faults_of(panel) == []
        press(panel.buttons[f"usual {first}"])
        settle(page, qtbot)
        press(panel.buttons[f"number {second}"])
        typing(asking(page, KeypadPanel).keypad, "30")
        key(asking(page, KeypadPanel).keypad, Enter)
        settle(page, qtbot)
        assert at.desk.count(second) == 60
        assert page.standing_over is panel
        press(panel.buttons[f"counter {third}"])
        settle(page, qtbot)
        counter = asking(page, CounterPanel)
        typing(counter.keypad, "500")
        press(counter.confirm_button)
        settle(page, qtbot)
        assert page.standing_over is panel  # the first reading only begins, so the aid is still asked about
        press(panel.back_button)
        assert page.standing_over is None

    def test_the_last_answer_closes_them(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        one = at.counted_by(CountedBy.ADD)
        at.desk.clock.move(days=10)
        arrive(page, qtbot)
        page.actions_table.do("questions")
        settle(page, qtbot)
        press(asking(page, QuestionsPanel).buttons[f"none {one}"])
        settle(page, qtbot)
        assert page.standing_over is None
        assert not page.other_buttons["questions"].isVisible()

    def test_very_many_are_asked_in_parts(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        for _ in range(22):
            at.counted_by(CountedBy.ADD)
        at.desk.clock.move(days=10)
        page.presenter.ask_questions()
        settle(page, qtbot)
        panel = asking(page, QuestionsPanel)
        assert len([one for one in panel.buttons if one.startswith("none")]) == 20


class TestMore:
    def more(self, page: AidsPage, act: str) -> None:
        """Press one act of the sheet "More"."""
        press(page.card.more_button)
        panel = asking(page, MorePanel)
        assert faults_of(panel) == []
        press(panel.buttons[act])

    def test_check_correct_and_shelf(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        one = at.counted_by(CountedBy.ADD)
        arrive(page, qtbot)
        for act, number in (("correct", "300"), ("check", "700")):
            self.more(page, act)
            panel = asking(page, NumberPanel)
            assert faults_of(panel) == []
            typing(panel.keypad, number)
            press(panel.confirm_button)
            settle(page, qtbot)
        assert (at.desk.count(one), at.desk.aid(one).limit) == (300, 700)
        self.more(page, "check")
        panel = asking(page, NumberPanel)
        typing(panel.keypad, "200")
        press(panel.confirm_button)
        settle(page, qtbot)
        assert (page.standing_over, panel._error.text()[:23]) == (panel, "T-0001 has done 300 alr")
        press(panel.back_button)
        self.more(page, "shelf")
        shelf = asking(page, ShelfPanel)
        shelf.place.setText("B2")
        press(shelf.confirm_button)
        settle(page, qtbot)
        assert (at.desk.aid(one).state, at.desk.aid(one).place) == (AidState.SHELF, "B2")

    def test_move_and_count_another_way(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        one = at.counted_by(CountedBy.ADD)
        arrive(page, qtbot)
        self.more(page, "hand_out")
        settle(page, qtbot)
        panel = asking(page, HandOutPanel)
        mill = at.desk.machine("Mill 2")
        assert not isinstance(panel.machine, PickField)
        press(panel.machine.buttons[str(mill.id)])
        press(panel.counted_by.buttons[CountedBy.READING.value])
        assert faults_of(panel) == []
        press(panel.uses.plus_button)
        press(panel.counter)
        keypad = asking(page, KeypadPanel)
        typing(keypad.keypad, "900")
        press(keypad.confirm_button)
        press(panel.confirm_button)
        settle(page, qtbot)
        aid = at.desk.aid(one)
        assert (aid.machine_id, aid.counted_by, aid.uses_a_part) == (mill.id, CountedBy.READING, 2)
        with at.desk.shop.read() as uow:
            assert [each.counter for each in uow.machine_readings.find()] == [900]

    @pytest.mark.parametrize("act", ["lost", "not needed", "replaced early"])
    def test_other_ends(self, page: AidsPage, at: AtAids, qtbot: QtBot, act: str) -> None:
        one = at.counted_by(CountedBy.ADD)
        arrive(page, qtbot)
        self.more(page, act)
        settle(page, qtbot)
        assert at.desk.aid(one).retired_reason == act

    def test_history(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        at.counted_by(CountedBy.ADD)
        arrive(page, qtbot)
        press(page.card.plus[10])
        settle(page, qtbot)
        self.more(page, "history")
        panel = asking(page, HistoryPanel)
        first = panel.table.model.record_at(0)
        assert first is not None
        assert (first.words, first.who) == ("+10 counted", "Dora")
        assert faults_of(panel) == []

    def test_is_it_this_one(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        one = at.counted_by(CountedBy.ADD)
        lathe = at.desk.machine().id
        own = at.desk.own.ask(file=None, size_id=at.desk.size.id, machine_id=lathe, safety_answers=())
        arrive(page, qtbot)
        self.more(page, "this_one")
        panel = asking(page, ThisOnePanel)
        press(panel.see_button)
        assert at.led[-1] == ("requests", own.id)
        press(panel.yes_button)
        settle(page, qtbot)
        assert at.desk.own.request(own.id).replaces_aid_id == one


class TestList:
    def test_an_empty_place_says_what_to_do(self, page: AidsPage, qtbot: QtBot) -> None:
        arrive(page, qtbot)
        assert page.subtitle.text() == "0 aids in use on 0 machines."
        assert page.card.said.text() == "Choose an aid, or scan its tag."
        assert faults_of(page) == []

    @pytest.mark.parametrize("how", list(CountedBy))
    @pytest.mark.parametrize("size", [(1108, 652), (1664, 1012)])
    def test_every_kind_of_counting_fits(
        self, page: AidsPage, at: AtAids, qtbot: QtBot, how: CountedBy, size: tuple[int, int]
    ) -> None:
        at.counted_by(how)
        at.desk.ready(quantity=3, safety_answers=(2,), machine_id=at.desk.machine().id)
        page.resize(*size)
        arrive(page, qtbot)
        assert faults_of(page) == []

    def test_all_copies_that_wait(self, page: AidsPage, at: AtAids, qtbot: QtBot) -> None:
        copies = at.desk.ready(quantity=4)
        arrive(page, qtbot)
        press(page.ready.rows.buttons["all"])
        panel = asking(page, ReadyPanel)
        assert faults_of(panel) == []
        press(panel.rows.buttons[f"shelve {copies[3].id}"])
        settle(page, qtbot)
        assert at.desk.copy(copies[3].id).state is CopyState.SHELVED
        assert page.standing_over is None

    def test_choice_and_filter_come_back_after_a_restart(
        self, page: AidsPage, at: AtAids, qtbot: QtBot
    ) -> None:
        at.counted_by(CountedBy.ADD)
        two = at.counted_by(CountedBy.ADD, "Mill 2")
        page.restore_state({"chosen": str(two), "find": "mill"})
        arrive(page, qtbot)
        assert (shown_tag(page), page.table.model.rowCount()) == ("T-0002", 1)
        assert page.find_field.isVisible()
        assert page.kept_state() == {"chosen": str(two), "find": "mill"}
        page.go_to(1)
        settle(page, qtbot)
        assert (shown_tag(page), page.table.model.rowCount()) == ("T-0001", 2)
