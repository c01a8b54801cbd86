"""The Desk in a window: start, fail one copy, take off; by keyboard alone and by mouse alone."""

from collections.abc import Iterator
from pathlib import Path
from typing import TypeVar

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot
from tests.core.estimating.print_files import tower
from tests.screens.checks import faults_of
from tests.screens.desk.shop import AtWork, at_work
from tests.screens.fakes import InlineWorker
from tests.screens.hands import focused, key, press, typing

from printcrib.core.materials import Source
from printcrib.core.printers import Printer
from printcrib.core.requests import CopyState
from printcrib.core.runs import RunState
from printcrib.screens.desk import start_panel
from printcrib.screens.desk.bench_panel import BenchPanel, JudgePanel
from printcrib.screens.desk.printer_panel import ByHandPanel, FitPanel, LoadPanel, PrinterPanel
from printcrib.screens.desk.screen import DeskPage
from printcrib.screens.desk.start_panel import StartPanel
from printcrib.screens.desk.stop_panel import StopPanel
from printcrib.screens.desk.take_off_panel import KEPT, TakeOffPanel
from printcrib.screens.desk.verdict_rows import CausePanel
from printcrib.screens.parts import pick_file
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.really_at import ReallyAtPanel
from printcrib.screens.shell.background import Background
from printcrib.screens.shell.theme import Theme
from printcrib.services.judge_copies import Outcome
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import Start, start_next
from printcrib.services.take_off_run import all_to_check, take_off_run

Tab, Enter, Space, Escape = Qt.Key.Key_Tab, Qt.Key.Key_Return, Qt.Key.Key_Space, Qt.Key.Key_Escape


@pytest.fixture
def work() -> AtWork:
    return at_work()


@pytest.fixture
def page(qtbot: QtBot, theme: Theme, work: AtWork) -> Iterator[DeskPage]:
    worker = InlineWorker()
    background = Background(worker, worker, work.messages)
    made = DeskPage(work.stand(background))
    background.changed.connect(made.refresh)
    qtbot.addWidget(made)
    made.resize(1108, 652)
    with qtbot.waitActive(made):
        made.show()
    yield made
    qtbot.waitUntil(lambda: not background.busy)


def arrive(page: DeskPage, qtbot: QtBot) -> None:
    """The place comes to the front and is read."""
    page.arrived()
    settle(page, qtbot)


def settle(page: DeskPage, qtbot: QtBot) -> None:
    background = page._at.background
    assert isinstance(background, Background)
    qtbot.waitUntil(lambda: not background.busy)


P = TypeVar("P", bound=AskPanel)


def asking(page: DeskPage, kind: type[P]) -> P:
    """The sheet that asks, which must be of this kind."""
    panel = page.panel
    assert isinstance(panel, kind)
    return panel


def tab_to(accessible: str, widget: QWidget, most: int = 60) -> QWidget:
    """Press Tab until something with this name has the focus."""
    for _ in range(most):
        if focused().accessibleName().startswith(accessible):
            return focused()
        key(None, Tab)
    raise AssertionError(f"Tab never came to {accessible!r}")


def drop(on: QWidget, file: Path) -> None:
    """Drop a file on a widget."""
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(file))])
    action, left, none = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    entered = QDragEnterEvent(QPoint(5, 5), action, mime, left, none)
    dropped = QDropEvent(QPointF(5, 5), action, mime, left, none)
    for event in (entered, dropped):
        QApplication.sendEvent(on, event)
        assert event.isAccepted()


class TestByMouse:
    def test_start_fail_one_copy_take_off(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        work.ask(3)
        arrive(page, qtbot)
        press(page.card.main_button)
        settle(page, qtbot)
        assert work.desk.run(1).state is RunState.STARTED
        work.desk.clock.move(hours=2)
        arrive(page, qtbot)
        press(page.card.other_button)
        settle(page, qtbot)
        panel = asking(page, TakeOffPanel)
        assert faults_of(panel) == []
        assert panel.rows is not None
        first = next(iter(panel.rows.rows.values()))
        press(first.choice.buttons[Outcome.FAILED.value])
        press(first.cause_button)
        cause = page.standing_over
        assert isinstance(cause, CausePanel)
        press(cause.pick.groups.buttons["machine"])
        press(next(b for one, b in _causes(cause).items() if one == "corner lifted"))
        press(cause.confirm_button)
        assert first.cause_button.text() == "Why: corner lifted"
        assert panel.confirm_button.text() == "Take off run 1: 2 good, 1 failed"
        press(panel.confirm_button)
        settle(page, qtbot)
        assert page.panel is None
        assert work.messages.said[-1] == "Run 1 taken off North: 2 good, 1 failed."
        assert work.desk.states(1)[:3] == [CopyState.FAILED, CopyState.READY, CopyState.READY]

    def test_a_double_press_takes_off_and_does_not_start_the_next_run(
        self, page: DeskPage, work: AtWork, qtbot: QtBot
    ) -> None:
        work.printing()
        work.ask()
        arrive(page, qtbot)
        button = page.card.main_button
        press(button)
        QTest.mouseDClick(button, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, QPoint(20, 20))
        settle(page, qtbot)
        assert [run.state for run in work.desk.runs()] == [RunState.TAKEN_OFF, RunState.KEPT]

    def test_a_run_by_hand_is_two_presses(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        arrive(page, qtbot)
        press(page.sheet.rows[1])
        settle(page, qtbot)
        panel = asking(page, PrinterPanel)
        assert faults_of(panel) == []
        press(next(iter(panel.times.values())))
        settle(page, qtbot)
        assert work.messages.said == ["Run 1 by hand on South, free again about 07:30."]
        assert page.panel is None

    def test_another_printer_is_served(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        work.printing()
        work.desk.ask(printers=(work.desk.south,), material="asa", colour="black", minutes={600: 50.0})
        work.plan()
        arrive(page, qtbot)
        press(page.sheet.rows[1])
        settle(page, qtbot)
        press(asking(page, PrinterPanel).buttons["serve"])
        assert page.card.main_button.text() == "Start\nrun 2"
        page.go_to(work.desk.north)
        assert page.card.main_button.text() == "Take off\nrun 1"

    def test_stop_early(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        work.printing()
        work.desk.clock.move(minutes=-60)
        arrive(page, qtbot)
        press(page.sheet.rows[0])
        settle(page, qtbot)
        press(asking(page, PrinterPanel).buttons["stop"])
        settle(page, qtbot)
        panel = asking(page, StopPanel)
        press(panel.percent.plus_button)
        settle(page, qtbot)
        assert panel.loss.text().startswith("Stopped at")
        press(panel.why.buttons["failed"])
        assert faults_of(panel) == []
        press(panel.confirm_button)
        settle(page, qtbot)
        assert work.messages.said == ["Stopped and logged: not known yet. Take it off next."]

    def test_fit_and_load_alone(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        arrive(page, qtbot)
        press(page.sheet.rows[0])
        settle(page, qtbot)
        press(asking(page, PrinterPanel).buttons["fit"])
        fit = asking(page, FitPanel)
        fit.table.choose(str(work.desk.nozzles["6n"]))
        press(fit.confirm_button)
        settle(page, qtbot)
        press(page.sheet.rows[0])
        settle(page, qtbot)
        press(asking(page, PrinterPanel).buttons["load"])
        load = asking(page, LoadPanel)
        assert faults_of(load) == []
        load.spool.set_chosen(str(work.desk.spools["grey2"]))
        load.spool.picked_changed.emit(load.spool.chosen)
        press(load.old.buttons["empty"])
        press(load.confirm_button)
        settle(page, qtbot)
        assert work.messages.said == ["Nozzle changed on North.", "Spool changed on North."]

    def test_what_lies_off_the_printers(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        work.printing(2, steps=("deburr",))
        take_off_run(work.desk.shop, work.desk.press(), 1, all_to_check(work.desk.copies(1)))
        arrive(page, qtbot)
        press(page.side.lines[0])
        bench = asking(page, BenchPanel)
        press(bench.buttons["judge"])
        judge = asking(page, JudgePanel)
        assert faults_of(judge) == []
        press(judge.confirm_button)
        settle(page, qtbot)
        press(page.side.lines[0])
        bench = asking(page, BenchPanel)
        press(bench.buttons["finish 1"])
        settle(page, qtbot)
        assert focused() is bench.buttons["finish 2"]  # it went up to where the other stood
        press(bench.buttons["finish 2"])
        settle(page, qtbot)
        assert faults_of(bench) == []
        press(bench.buttons["shelve 1"])
        settle(page, qtbot)
        press(bench.buttons["hand out 2"])
        assert work.led == [("aids", 2)]
        assert page.panel is None

    def test_a_run_is_saved(
        self,
        page: DeskPage,
        work: AtWork,
        qtbot: QtBot,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        work.ask(2)
        arrive(page, qtbot)
        monkeypatch.setattr(pick_file, "ask_new_path", lambda *_asked: str(tmp_path / "run 1.3mf"))
        monkeypatch.setattr(pick_file, "ask_folder_path", lambda *_asked: str(tmp_path))
        for what in ("3mf", "folder"):
            press(page.sheet.rows[0])
            settle(page, qtbot)
            press(asking(page, PrinterPanel).buttons[what])
            settle(page, qtbot)
        assert sorted(path.name for path in tmp_path.iterdir()) == ["R 1-1.stl", "R 1-2.stl", "run 1.3mf"]


class TestByKeyboard:
    def test_start_fail_one_copy_take_off(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        work.ask(2)
        arrive(page, qtbot)
        page.card.main_button.setFocus(Qt.FocusReason.TabFocusReason)
        key(None, Enter)
        settle(page, qtbot)
        work.desk.clock.move(hours=2)
        arrive(page, qtbot)
        key(page, Enter, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
        settle(page, qtbot)
        panel = asking(page, TakeOffPanel)
        assert panel.rows is not None
        first_failed = next(iter(panel.rows.rows.values())).choice.buttons["failed"]
        tab_to("Failed", panel)
        while focused() is not first_failed:
            key(None, Tab)
            tab_to("Failed", panel)
        key(None, Space)
        tab_to("Why R 1/1 failed", panel)
        key(None, Enter)
        cause = page.standing_over
        assert isinstance(cause, CausePanel)
        tab_to("Material", cause)
        key(None, Space)
        tab_to("ran out", cause)
        key(None, Space)
        tab_to("That is it", cause)
        key(None, Enter)
        assert page.standing_over is panel
        tab_to("Take off run 1", panel)
        key(None, Enter)
        settle(page, qtbot)
        assert work.messages.said[-1] == "Run 1 taken off North: 1 good, 1 failed."
        assert work.desk.copies(1)[0].cause == "ran out"

    def test_all_good_by_shortcut_and_really_at(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        work.printing()
        arrive(page, qtbot)
        tab_to("When it was really done", page)
        key(None, Enter)
        steps = page.standing_over
        assert isinstance(steps, ReallyAtPanel)
        tab_to("5 min earlier", steps)
        key(None, Space)
        tab_to("Really at", steps)
        key(None, Enter)
        key(page, Enter, Qt.KeyboardModifier.ControlModifier)
        settle(page, qtbot)
        taken = work.desk.run(1).taken_off_at
        assert taken is not None
        assert (work.desk.now() - taken).total_seconds() == 300
        assert page.card.really_at.moment is None

    def test_rows_and_lists_by_arrows(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        work.ask(hours=0.1)
        arrive(page, qtbot)
        page.sheet.rows[0].setFocus(Qt.FocusReason.TabFocusReason)
        key(None, Qt.Key.Key_Down)
        assert focused() is page.sheet.rows[1]
        key(None, Enter)
        settle(page, qtbot)
        key(asking(page, PrinterPanel), Escape)
        assert page.panel is None
        page.side.lines[0].setFocus(Qt.FocusReason.TabFocusReason)
        key(None, Enter)
        assert work.led == [("requests", 1)]

    def test_run_by_hand_with_all_there_is_to_say(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        arrive(page, qtbot)
        page.sheet.rows[1].setFocus(Qt.FocusReason.TabFocusReason)
        key(None, Enter)
        settle(page, qtbot)
        tab_to("Run by hand: say more", asking(page, PrinterPanel))
        key(None, Enter)
        more = page.standing_over
        assert isinstance(more, ByHandPanel)
        assert faults_of(more) == []
        tab_to("what it is", more)
        typing(None, "gauge")
        tab_to("Book the run", more)
        key(None, Enter)
        settle(page, qtbot)
        run = work.desk.run(1)
        assert (run.name, run.free_again_at) == ("gauge", work.desk.later(1))
        assert page.panel is None
        assert page.standing_over is None


class TestSheets:
    def test_take_off_tells_figures_of_the_panel_from_our_own(
        self, page: DeskPage, work: AtWork, qtbot: QtBot
    ) -> None:
        work.ask(2)
        start_next(
            work.desk.shop, work.desk.press(), work.desk.north, Start(mg=9000, grams_source=Source.PANEL)
        )
        page._presenter.ask_take_off(1)
        settle(page, qtbot)
        off = asking(page, TakeOffPanel)
        words = [each.sources.buttons[Source.ASSUMED.value].text() for each in (off.minutes, off.grams)]
        assert words == ["as estimated", "as at its start"]

    def test_start_offers_what_would_do(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        work.ask(2, part_mg=370_000)
        arrive(page, qtbot)
        work.desk.change("spools", work.desk.spools["grey2"], state="shelf")
        page._presenter.ask_start(work.desk.north, "S-1 can give 792 g.")
        settle(page, qtbot)
        panel = asking(page, StartPanel)
        for _ in range(60):
            panel.grams.stepper.plus_button.click()
        assert panel.offer_buttons[0].text().startswith("S-2 goes on after it")
        press(panel.offer_buttons[0])
        assert panel.second.chosen == str(work.desk.spools["grey2"])
        assert panel.offer_buttons == []
        press(panel.confirm_button)
        settle(page, qtbot)
        assert work.desk.run(1).spool_ids == (1, 2)
        assert work.desk.run(1).file_mg == 801_000

    def test_the_print_file_chosen_by_keyboard_fills_the_sheet(
        self, page: DeskPage, work: AtWork, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        file = tmp_path / "run 1.nc"
        file.write_bytes(tower(100))
        monkeypatch.setattr(start_panel, "ask_path", lambda *_asked: str(file))
        work.ask(minutes={400: 5.0}, part_mg=1000)
        arrive(page, qtbot)
        key(page, Enter, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
        settle(page, qtbot)
        panel = asking(page, StartPanel)
        assert faults_of(panel) == []
        tab_to("Print file", panel)
        key(None, Space)
        settle(page, qtbot)
        assert panel.file_words.text() == "run 1.nc: 7 min, 1.3 g, 100 layers, 20.0 mm high"
        assert not panel.file_doubts.isVisible()
        assert (panel.minutes.figure.value, panel.minutes.figure.source) == (7, Source.FILE)
        assert (panel.grams.figure.value, panel.grams.figure.source) == (1, Source.FILE)
        assert panel.minutes.sources.chosen == Source.FILE.value
        assert focused() is panel.confirm_button
        key(None, Enter)
        settle(page, qtbot)
        run = work.desk.run(1)
        assert run.file_minutes_source is Source.FILE
        assert run.file_mg == pytest.approx(1316, abs=3)
        assert work.desk.shop.files.get(run.print_file_sha) == file.read_bytes()
        work.desk.clock.move(hours=1)
        page._presenter.ask_take_off(1)
        settle(page, qtbot)
        off = asking(page, TakeOffPanel)
        assert off.minutes.sources.buttons[Source.ASSUMED.value].text() == "as its file says"
        assert faults_of(off) == []

    def test_a_print_file_dropped_says_what_looks_wrong(
        self, page: DeskPage, work: AtWork, qtbot: QtBot, tmp_path: Path
    ) -> None:
        file = tmp_path / "another run with quite a long name, for the other printer.nc"
        file.write_bytes(tower(3))
        work.ask(3)
        arrive(page, qtbot)
        press(page.card.other_button)
        settle(page, qtbot)
        panel = asking(page, StartPanel)
        drop(panel, file)
        settle(page, qtbot)
        assert panel.file_doubts.isVisible()
        assert panel.file_doubts.text().count("\n") == 2
        assert faults_of(panel) == []
        file.write_bytes(b"no moves in here")
        drop(panel, file)
        settle(page, qtbot)
        assert "holds no moves" in panel._error.text()
        press(panel.back_button)
        assert page.panel is None
        file.write_bytes(tower(3))
        page._presenter.read_print_file(1, str(file))
        settle(page, qtbot)
        assert work.messages.problems == []

    def test_a_run_by_hand_is_kept_at_take_off(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        run_by_hand(work.desk.shop, work.desk.press(), work.desk.south, work.desk.later(0.5))
        work.desk.clock.move(hours=1)
        arrive(page, qtbot)
        press(page.card.main_button)
        settle(page, qtbot)
        panel = asking(page, TakeOffPanel)
        panel.kept.buttons[KEPT].click()
        press(panel.confirm_button)
        settle(page, qtbot)
        assert page.panel is panel
        assert "Write a few words" in panel._error.text()
        panel.words.setText("gauge holder")
        panel.quantity.plus_button.click()
        assert faults_of(panel) == []
        press(panel.confirm_button)
        settle(page, qtbot)
        assert work.desk.states(1) == [CopyState.TO_CHECK] * 2

    def test_back_lays_a_sheet_down(self, page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
        work.printing()
        arrive(page, qtbot)
        press(page.card.other_button)
        settle(page, qtbot)
        press(asking(page, TakeOffPanel).back_button)
        assert page.panel is None
        assert work.messages.said == []


@pytest.mark.parametrize("size", [(1108, 652), (1726, 1012)])
@pytest.mark.parametrize("printers", [0, 2, 5])
def test_words_fit_and_targets_are_large(
    page: DeskPage, work: AtWork, qtbot: QtBot, size: tuple[int, int], printers: int
) -> None:
    work.printing()
    work.ask(2, hours=0.2)
    with work.desk.shop.write(work.desk.press(), "more") as uow:
        for number in range(printers - 2):
            uow.printers.add(Printer(name=f"Printer in the long hall {number}"))
        uow.commit()
    if not printers:
        for one in (work.desk.north, work.desk.south):
            work.desk.change("printers", one, active=False)
    page.resize(*size)
    arrive(page, qtbot)
    assert len(page.sheet.rows) == printers
    assert faults_of(page) == []


def test_it_reads_anew_only_what_concerns_it(page: DeskPage, work: AtWork, qtbot: QtBot) -> None:
    arrive(page, qtbot)
    work.ask()
    page.refresh(frozenset({"people"}))
    assert page.card.main_button.text() == "Raise a\nrequest"
    page.refresh(frozenset({"runs"}))
    settle(page, qtbot)
    assert page.card.main_button.text() == "Start\nrun 1"


def _causes(panel: CausePanel) -> dict[str, QWidget]:
    return {name: button for row in panel.pick.causes.values() for name, button in row.buttons.items()}
