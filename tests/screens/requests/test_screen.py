"""The place Requests by hand: with the mouse alone, with the keyboard alone, and by eye."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.fakes import InlineWorker
from tests.screens.hands import focused, key, press, typing
from tests.screens.requests.shop import Stand
from tests.services.own_shop import BOX, TOMORROW

from printcrib.core.mending import Mend
from printcrib.core.requests import Purpose, RequestState
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.pick import PickPanel
from printcrib.screens.parts.words import Words
from printcrib.screens.requests import what_card
from printcrib.screens.requests.act_panels import ChangePanel, ReasonPanel, SafetyPanel
from printcrib.screens.requests.form import FILE, PATTERN, Form
from printcrib.screens.requests.form_groups import NO_WISH, THE_PATTERNS, MoreGroup
from printcrib.screens.requests.release_panel import ReleasePanel
from printcrib.screens.requests.screen import LIST, ONE, RAISE, RequestsPage
from printcrib.screens.shell.background import Background
from printcrib.screens.shell.theme import Theme
from printcrib.services.accept_request import accept_request
from printcrib.services.read_model import ModelFile

SIZES = [(1108, 652), (1664, 1012)]
"""What is left of 1280 x 720 and 1920 x 1080 beside the side list and above the strip."""


class Hands:
    """The page in a window, with ways to wait and to find."""

    def __init__(self, qtbot: QtBot, desk: Stand, name: str = "Dora", wide: bool = False) -> None:
        self.qtbot, self.desk = qtbot, desk
        worker = InlineWorker()
        self.background = Background(worker, worker, desk.messages)
        self.window = QWidget()
        self.page = RequestsPage(desk.standing(name, self.background))
        self.background.changed.connect(self.page.refresh)
        layout = QVBoxLayout(self.window)
        layout.setContentsMargins(256 if wide else 172, 0, 0, 68)
        layout.addWidget(self.page)
        qtbot.addWidget(self.window)
        self.window.resize(1920 if wide else 1280, 1080 if wide else 720)
        with qtbot.waitActive(self.window):
            self.window.show()
        self.page.arrived()
        self.settle()

    def settle(self) -> None:
        """Until nothing is under way any more."""
        self.qtbot.waitUntil(lambda: not self.background.busy)
        for _ in range(4):  # layouts ask one another again
            QApplication.sendPostedEvents()
            QApplication.processEvents()

    def press(self, widget: QWidget) -> None:
        """A press with the mouse, and what comes of it."""
        assert widget.isVisible()
        assert widget.isEnabled()
        press(widget)
        self.settle()

    def key(self, code: Qt.Key, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """A key on whatever has the focus, and what comes of it."""
        key(None, code, modifiers)
        self.settle()

    def tab_to(self, says: str) -> QWidget:
        """Tab until something with this name has the focus."""
        for _ in range(80):
            if says in focused().accessibleName():
                return focused()
            key(None, Qt.Key.Key_Tab)
        raise AssertionError(f"Tab never came to {says!r}")

    def over(self) -> AskPanel:
        """The question that stands over the page in front."""
        panel = self.page.stack.currentWidget().standing_over  # type: ignore[union-attr]
        assert isinstance(panel, AskPanel)
        return panel

    def button(self, words: str) -> Button:
        """The visible button with these words."""
        front = self.page.stack.currentWidget()
        assert front is not None
        return next(b for b in front.findChildren(Button) if b.text() == words and b.isVisible())


class TestMending:
    def test_one_press_scales_the_model_and_says_so(
        self, qtbot: QtBot, theme: Theme, desk: Stand, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        shop = desk.own.shop
        monkeypatch.setattr(shop.mesh_writer, "stl", lambda _mesh: b"box 152.4 101.6 25.4")
        request = desk.own.ask(file=ModelFile(content=b"box 6 4 1", name="bracket.stl"))
        hands = Hands(qtbot, desk)
        hands.page.go_to(request.id)
        hands.settle()
        hands.press(hands.button("Scale x 25.4"))
        assert desk.messages.said[-1].startswith("The model of R 1 is scaled x 25.4; the given file is kept.")
        assert "Revision B, bracket, scaled x 25.4.stl" in words_of(hands.page)
        assert "Scaled x 25.4 from revision A." in words_of(hands.page)
        with shop.read() as uow:
            assert shop.files.get(uow.models.find()[0].sha256) == b"box 6 4 1"

    def test_a_hollow_asks_nothing(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        request = desk.own.ask()
        with desk.own.shop.write(desk.own.press(), "read again") as uow:
            model = uow.models.find()[0]
            uow.models.save(replace(model, findings=(("hollow", "A closed hollow inside."),)))
            uow.commit()
        hands = Hands(qtbot, desk)
        hands.page.go_to(request.id)
        hands.settle()
        assert "A closed hollow inside." in words_of(hands.page)
        assert not [b for b in hands.page.findChildren(Button) if b.text() in set(Mend)]


def words_of(page: QWidget) -> list[str]:
    return [words.text() for words in page.findChildren(Words) if words.isVisible()]


class TestRaisingAndAccepting:
    def test_with_the_mouse_alone(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        size = desk.size()
        hands = Hands(qtbot, desk)
        page = hands.page
        hands.press(hands.button("Raise a request"))
        assert page.front == RAISE
        hands.press(page.form.what.kinds.buttons["pattern"])
        panel = hands.over()
        assert isinstance(panel, PickPanel)
        panel.table.view.selectRow(0)
        hands.press(panel.confirm_button)
        assert page.form.presenter.form.size_id == size.id
        hands.press(page.form.how.quantity.plus_button)
        hands.press(hands.button("Next: when and where"))
        hands.press(page.form.when.choices.buttons["tomorrow"])
        hands.press(hands.button("Next: what it will do"))
        hands.press(page.form.safety.ticks.buttons["2"])
        hands.press(hands.button("Raise request"))
        request = desk.own.request(1)
        assert (request.state, request.quantity, request.safety_answers) == (RequestState.RAISED, 2, (2,))
        assert page.front == ONE
        hands.press(hands.button("Accept"))
        assert desk.own.request(1).state is RequestState.ACCEPTED
        assert len(desk.own.copies(1)) == 2

    def test_with_the_keyboard_alone(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        desk.size()
        hands = Hands(qtbot, desk)
        page = hands.page
        page.list.table.view.setFocus(Qt.FocusReason.TabFocusReason)
        page.list.which.buttons["open"].setFocus(Qt.FocusReason.TabFocusReason)
        hands.key(Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
        assert page.front == RAISE
        hands.key(Qt.Key.Key_Space)  # Pattern: opens the list
        hands.key(Qt.Key.Key_Down)
        hands.key(Qt.Key.Key_Return)
        hands.tab_to("how many")
        hands.key(Qt.Key.Key_Up)
        hands.key(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        hands.tab_to("In 2 h")
        hands.key(Qt.Key.Key_Space)
        hands.key(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        hands.tab_to("None of these")
        hands.key(Qt.Key.Key_Space)
        hands.key(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        request = desk.own.request(1)
        assert (request.quantity, request.safety_answers) == (2, ())
        assert page.front == ONE
        hands.tab_to("Back")
        hands.key(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        assert desk.own.request(1).state is RequestState.ACCEPTED
        hands.key(Qt.Key.Key_Escape)
        assert page.front == LIST

    def test_all_at_once_on_a_wide_page(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        desk.size()
        hands = Hands(qtbot, desk, "Max", wide=True)
        form = hands.page.form
        hands.press(hands.button("Raise a request"))
        assert all(part.isVisible() for part in (form.what, form.how, form.when, form.more, form.safety))
        hands.press(hands.button("Raise request"))
        assert form.when.field.error == "Say by when it is needed."
        assert desk.own.shop.read().__enter__().requests.count() == 0

    def test_a_missing_answer_leads_to_its_step(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        hands = Hands(qtbot, desk)
        form = hands.page.form
        hands.press(hands.button("Raise a request"))
        hands.press(hands.button("Next: when and where"))
        hands.press(hands.button("Next: what it will do"))
        hands.press(hands.button("Raise request"))
        assert form.what.isVisible()
        assert not form.safety.isVisible()
        hands.press(hands.button("Back"))
        assert hands.page.front == LIST


class TestTheForm:
    def test_a_file_is_chosen_or_dropped(
        self, qtbot: QtBot, theme: Theme, desk: Stand, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        box, bad = tmp_path / "box.stl", tmp_path / "bad.stl"
        box.write_bytes(BOX.content)
        bad.write_bytes(b"?")
        hands = Hands(qtbot, desk)
        form = hands.page.form
        hands.press(hands.button("Raise a request"))
        monkeypatch.setattr(what_card, "ask_path", lambda *_args: str(box))
        hands.press(form.what.kinds.buttons["file"])
        assert form.what._facts.text() == "Sound, 40 x 30 x 20 mm"
        assert form.what._name.text() == "box.stl"
        mime = QMimeData()
        mime.setUrls([QUrl.fromLocalFile(str(bad))])
        dropped = QDropEvent(
            QPointF(9, 9),
            Qt.DropAction.CopyAction,
            mime,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )
        form.what.dropEvent(dropped)
        hands.settle()
        assert form.what._error.text() == "bad.stl cannot be read as a model. Export it again from the model."
        monkeypatch.setattr(what_card, "ask_path", lambda *_args: "")
        hands.press(form.what.kinds.buttons["file"])
        assert form.presenter.form.file_path == str(bad)

    def test_nothing_is_preselected_and_none_of_these_answers_all(
        self, qtbot: QtBot, theme: Theme, desk: Stand
    ) -> None:
        hands = Hands(qtbot, desk, wide=True)
        form = hands.page.form
        hands.press(hands.button("Raise a request"))
        assert not form.safety.ticks.answered
        assert len(form.safety.ticks.buttons) == 10
        hands.press(form.safety.ticks.buttons["4"])
        assert "Never handed out" in form.safety._words.text()
        hands.press(hands.button("None of these"))
        assert form.presenter.form.safety == ()

    def test_a_time_by_steppers(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        hands = Hands(qtbot, desk, wide=True)
        when = hands.page.form.when
        hands.press(hands.button("Raise a request"))
        hands.press(when.choices.buttons["set"])
        hands.press(when.day.plus_button)
        when.time.number_button.setFocus(Qt.FocusReason.TabFocusReason)
        key(when.time, Qt.Key.Key_1)
        typing(None, "430")
        hands.key(Qt.Key.Key_Return)
        needed = hands.page.form.presenter.form.needed_by(desk.clock.now())
        assert needed is not None
        assert needed.isoformat() == "2026-11-25T13:30:00+00:00"
        key(when.day, Qt.Key.Key_3)
        hands.key(Qt.Key.Key_Return)
        assert when.day.number_button.text() == "Thu 3 Dec"

    def test_when_the_program_is_ready(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        hands = Hands(qtbot, desk, wide=True)
        when = hands.page.form.when
        hands.press(hands.button("Raise a request"))
        hands.press(when.choices.buttons["program"])
        hands.press(when.hours.minus_button)
        assert when._at.text() == "at 11:00 today"

    def test_a_half_filled_form_is_kept_over_a_restart(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        hands = Hands(qtbot, desk)
        hands.press(hands.button("Raise a request"))
        with qtbot.waitSignal(hands.page.form.form_kept):
            hands.press(hands.page.form.how.purpose.buttons["private"])
        state = hands.page.kept_state()
        again = Hands(qtbot, desk)
        again.page.restore_state(state)
        again.page.arrived()
        again.settle()
        assert again.page.front == RAISE
        assert again.page.form.how.purpose.chosen == "private"

    def test_labels_and_the_rest(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        hands = Hands(qtbot, desk, wide=True)
        form = hands.page.form
        hands.press(hands.button("Raise a request"))
        hands.press(form.how.by_labels)
        typing(form.how.labels, "A1")
        form.more.texts["job"].setFocus()
        typing(form.more.texts["job"], "4711")
        filled = form.presenter.form
        assert (filled.label_list, filled.job) == (("A1",), "4711")


class TestTheList:
    def test_finds_filters_and_opens(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        first = desk.own.ask(needed_by=TOMORROW, job="4711", safety_answers=())
        desk.own.ask("Otto", needed_by=TOMORROW)
        hands = Hands(qtbot, desk)
        page = hands.page.list
        assert page.table.model.rowCount() == 2
        hands.press(page.which.buttons["held"])
        assert page.table.model.rowCount() == 1
        hands.press(page.which.buttons["all"])
        page.search.setText("4711")
        qtbot.waitUntil(lambda: page.table.model.rowCount() == 1)
        hands.press(hands.button("Open it"))
        assert hands.page.front == ONE
        assert hands.page.one.title.text() == f"R {first.number}  box"

    def test_choice_filter_and_search_are_kept(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        asked = desk.own.ask()
        desk.own.ask("Otto")
        hands = Hands(qtbot, desk)
        hands.page.list.table.choose(asked.id)
        state = hands.page.kept_state()
        again = Hands(qtbot, desk)
        again.page.restore_state({**state, "which": "all"})
        again.settle()
        chosen = again.page.list.table.chosen
        assert chosen is not None
        assert (chosen.id, again.page.list.which.chosen) == (asked.id, "all")

    def test_another_window_changed_something(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        hands = Hands(qtbot, desk)
        desk.own.ask()
        hands.page.refresh(frozenset({"requests"}))
        hands.settle()
        assert hands.page.list.table.model.rowCount() == 1

    def test_a_place_that_leads_here_opens_the_request(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        desk.own.ask()
        second = desk.own.ask(file=None, words="like the old one")
        hands = Hands(qtbot, desk)
        hands.page.go_to(second.id)
        hands.settle()
        assert hands.page.one.title.text() == "R 2  like the old one"
        restored = Hands(qtbot, desk)
        restored.page.restore_state(hands.page.kept_state())
        restored.settle()
        assert restored.page.front == ONE

    def test_a_gone_request_leads_back_to_the_list(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        hands = Hands(qtbot, desk)
        hands.page.go_to(99)
        hands.settle()
        assert hands.page.front == LIST
        assert "There is no request 99" in desk.messages.problems[0]


class TestOneRequest:
    def test_a_refusal_stays_on_the_panel_with_what_was_typed(
        self, qtbot: QtBot, theme: Theme, desk: Stand
    ) -> None:
        desk.own.ask(safety_answers=(), material_id=desk.own.material())
        hands = Hands(qtbot, desk)
        hands.page.go_to(1)
        hands.settle()
        hands.press(hands.page.one.acts.buttons["send back"])
        panel = hands.over()
        assert isinstance(panel, ReasonPanel)
        hands.press(panel.confirm_button)
        assert panel._error.text().startswith("Sending back needs a reason.")
        typing(panel.reason, "which bore?")
        hands.press(panel.confirm_button)
        assert desk.own.request(1).sent_back_reason == "which bore?"

    def test_safety_is_answered_over_the_page(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        desk.own.ask(material_id=desk.own.material())
        hands = Hands(qtbot, desk)
        hands.page.go_to(1)
        hands.settle()
        hands.press(hands.button("Answer safety"))
        panel = hands.over()
        assert isinstance(panel, SafetyPanel)
        hands.press(panel.questions.ticks.buttons["1"])
        hands.press(panel.confirm_button)
        assert desk.own.request(1).safety_answers == (1,)

    def test_a_reviewer_releases_with_the_top_speed_in_writing(
        self, qtbot: QtBot, theme: Theme, desk: Stand
    ) -> None:
        asked = desk.own.ask(safety_answers=(1,), material_id=desk.own.material())
        accept_request(desk.own.shop, desk.own.press(), asked.id)
        hands = Hands(qtbot, desk, "Rita")
        hands.page.go_to(asked.id)
        hands.settle()
        hands.press(hands.page.one.main_button)  # type: ignore[arg-type]
        panel = hands.over()
        assert isinstance(panel, ReleasePanel)
        hands.press(panel.confirm_button)
        assert panel._error.text() == "It may turn with a spindle. Write the top speed into the release."
        panel.speed.set_value(1200)
        hands.press(panel.confirm_button)
        assert desk.own.hold_words(asked.id) == []
        with desk.own.shop.read() as uow:
            (held,) = uow.releases.find()
        assert (held.top_speed_rpm, held.bores_um, held.until is not None) == (1200, (400, 600, 800), True)

    def test_the_lead_records_a_reviewer_from_outside(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        asked = desk.own.ask(safety_answers=(2,), material_id=desk.own.material())
        hands = Hands(qtbot, desk, "Lea")
        hands.page.go_to(asked.id)
        hands.settle()
        hands.page.one.do("release")
        hands.settle()
        panel = hands.over()
        assert isinstance(panel, ReleasePanel)
        panel.outside_name.setText("Ing. Haller")
        panel.outside_words.setPlainText("dry use, checked weekly")
        hands.press(panel.confirm_button)
        with desk.own.shop.read() as uow:
            (held,) = uow.releases.find()
        assert held.outside_reviewer == "Ing. Haller, 2026-11-24: dry use, checked weekly"

    def test_the_model_is_turned_by_a_press_under_the_answer(
        self, qtbot: QtBot, theme: Theme, desk: Stand
    ) -> None:
        desk.own.ask(safety_answers=(), material_id=desk.own.material())
        hands = Hands(qtbot, desk, wide=True)
        hands.page.go_to(1)
        hands.settle()
        hands.press(hands.page.one.answer.turn_button)
        panel = hands.over()
        assert isinstance(panel, PickPanel)
        assert faults_of(panel) == []
        hands.key(Qt.Key.Key_Down)
        hands.key(Qt.Key.Key_Return)
        page = hands.page.one.presenter.page
        assert page is not None
        assert page.model is not None
        assert (page.model.revision, page.model.model.turn == 0) == ("B", False)

    def test_a_nozzle_is_chosen_by_a_press_on_its_answer(
        self, qtbot: QtBot, theme: Theme, desk: Stand
    ) -> None:
        desk.own.ask(safety_answers=(), material_id=desk.own.material())
        hands = Hands(qtbot, desk, wide=True)
        hands.page.go_to(1)
        hands.settle()
        hands.press(hands.page.one.answer.views[0])
        assert desk.own.request(1).bore_um == 400
        assert hands.page.one.answer.views[0].accessibleName().endswith("chosen")

    @pytest.mark.parametrize("act", ["change", "quantity", "withdraw", "hold", "model"])
    def test_every_question_has_no_faults(self, qtbot: QtBot, theme: Theme, desk: Stand, act: str) -> None:
        desk.own.ask(safety_answers=(), material_id=desk.own.material())
        hands = Hands(qtbot, desk)
        hands.page.go_to(1)
        hands.settle()
        hands.page.one.do(act)
        hands.settle()
        assert faults_of(hands.over()) == []
        hands.key(Qt.Key.Key_Escape)
        assert hands.page.one.standing_over is None

    def test_what_waits_for_a_material_asks_for_it_first(
        self, qtbot: QtBot, theme: Theme, desk: Stand
    ) -> None:
        desk.own.ask(safety_answers=(), material_id=None)
        hands = Hands(qtbot, desk)
        hands.page.go_to(1)
        hands.settle()
        hands.page.one.do("change")
        hands.settle()
        asked = hands.over()
        assert isinstance(asked, ChangePanel)
        assert asked.more.material.button.hasFocus()
        assert asked.more.material.button.text() == NO_WISH  # a file brings no material of its own
        assert asked.more.geometry().top() < asked.how.geometry().top()

    def test_only_a_pattern_brings_a_material(self, theme: Theme, qtbot: QtBot) -> None:
        more = MoreGroup()
        qtbot.addWidget(more)
        more.show_form(Form(what=PATTERN))
        assert more.material.button.text() == THE_PATTERNS
        more.show_form(Form(what=FILE))
        assert more.material.button.text() == NO_WISH

    def test_the_next_one_is_raised_and_left_by_keys(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        desk.own.ask(safety_answers=(), material_id=desk.own.material())
        hands = Hands(qtbot, desk)
        hands.page.go_to(1)
        hands.settle()
        hands.key(Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
        assert hands.page.front == RAISE
        hands.key(Qt.Key.Key_Left, Qt.KeyboardModifier.AltModifier)
        assert hands.page.front == LIST

    def test_page_keys_scroll(self, qtbot: QtBot, theme: Theme, desk: Stand) -> None:
        desk.own.ask(safety_answers=(1, 2, 9), material_id=desk.own.material())
        hands = Hands(qtbot, desk)
        hands.page.go_to(1)
        hands.settle()
        bar = hands.page.one._middle.verticalScrollBar()
        qtbot.waitUntil(lambda: bar.maximum() > 0)
        key(hands.page.one, Qt.Key.Key_PageDown)
        assert bar.value() > 0
        key(hands.page.one, Qt.Key.Key_PageUp)
        assert bar.value() == 0


class TestByEye:
    @pytest.mark.parametrize("wide", [False, True])
    def test_the_three_pages_have_no_faults(
        self, qtbot: QtBot, each_theme: Theme, desk: Stand, wide: bool
    ) -> None:
        size = desk.size()
        desk.own.ask(file=None, size_id=size.id, safety_answers=(1, 2), quantity=3)
        desk.own.ask(file=None, words="like the old one " * 20)
        desk.own.ask(purpose=Purpose.TRY_FIT)
        hands = Hands(qtbot, desk, wide=wide)
        assert faults_of(hands.page) == []
        for request_id in (1, 2, 3):
            hands.page.go_to(request_id)
            hands.settle()
            assert faults_of(hands.page) == []
        hands.page.raise_request(size_id=size.id)
        hands.settle()
        for step in range(1 if wide else 3):
            if step:
                hands.press(hands.page.form.main_button)  # type: ignore[arg-type]
            assert faults_of(hands.page) == []

    def test_turning_wide_and_narrow_keeps_what_was_ticked(
        self, qtbot: QtBot, theme: Theme, desk: Stand
    ) -> None:
        hands = Hands(qtbot, desk, wide=True)
        hands.press(hands.button("Raise a request"))
        hands.press(hands.page.form.safety.ticks.buttons["9"])
        hands.window.resize(1280, 720)
        qtbot.waitUntil(lambda: not hands.page.form.wide)
        assert hands.page.form.safety.ticks.ticked == {"9"}
