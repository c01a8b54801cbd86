"""The run sheet in a window: choose, open, plan again, keep; by keyboard and by mouse."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot
from tests.core.estimating.print_files import tower
from tests.screens.checks import faults_of
from tests.screens.desk.shop import AtWork, at_work
from tests.screens.fakes import InlineWorker
from tests.screens.hands import focused, key, press

from printcrib.core.printers import Printer
from printcrib.core.runs import PlanState
from printcrib.screens.parts import pick_file
from printcrib.screens.parts.cards import FactRow
from printcrib.screens.parts.tokens import WIDE_FROM_PX
from printcrib.screens.run_sheet import run_panel
from printcrib.screens.run_sheet.run_panel import RunPanel
from printcrib.screens.run_sheet.screen import RunSheetPage
from printcrib.screens.shell.background import Background
from printcrib.screens.shell.theme import Theme
from printcrib.services.start_run import start_next
from printcrib.services.take_off_run import take_off_run

Tab, Enter, Down, Escape = Qt.Key.Key_Tab, Qt.Key.Key_Return, Qt.Key.Key_Down, Qt.Key.Key_Escape


@pytest.fixture
def work() -> AtWork:
    made = at_work()
    for hours in (0.2, 5, 9, 30):
        made.ask(hours=hours, size_mm=(200, 200, 20))
    return made


@pytest.fixture
def worker() -> InlineWorker:
    return InlineWorker()


@pytest.fixture
def background(worker: InlineWorker, work: AtWork, qapp: object) -> Background:
    return Background(worker, worker, work.messages)


@pytest.fixture
def page(qtbot: QtBot, theme: Theme, work: AtWork, background: Background) -> Iterator[RunSheetPage]:
    made = RunSheetPage(work.stand(background))
    background.changed.connect(made.refresh)
    qtbot.addWidget(made)
    made.resize(1108, 652)
    with qtbot.waitActive(made):
        made.show()
    made.arrived()
    qtbot.waitUntil(lambda: not background.busy)
    yield made
    qtbot.waitUntil(lambda: not background.busy)


def settle(background: Background, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not background.busy)


def open_panel(page: RunSheetPage) -> RunPanel | None:
    return page.panel


def tab_to(widget: QWidget, most: int = 40) -> None:
    for _ in range(most):
        if focused() is widget:
            return
        key(None, Tab)
    raise AssertionError(f"Tab never came to {widget.accessibleName()!r}")


def test_the_first_run_is_chosen_in_both(page: RunSheetPage) -> None:
    assert page.table.chosen is not None
    assert page.lanes.line.chosen == page.table.chosen.key == 1


def test_choosing_in_one_chooses_in_the_other(page: RunSheetPage) -> None:
    page.table.choose(3)
    assert page.lanes.line.chosen == 3
    page.lanes.line.run_chosen.emit(2)
    assert page.table.chosen is not None
    assert page.table.chosen.key == 2


def test_plan_again_and_keep_by_mouse(
    page: RunSheetPage, work: AtWork, background: Background, qtbot: QtBot
) -> None:
    assert page.main_button is not None
    press(page.main_button)
    settle(background, qtbot)
    assert page.title.text() == "Run sheet, proposed"
    assert page.main_button.text() == "Keep this plan"
    assert page.other_buttons["beside"].text() == "Leave it"
    assert work.messages.busy_words[0] == "Planning"
    assert faults_of(page) == []
    press(page.other_buttons["beside"])
    settle(background, qtbot)
    assert page.main_button.text() == "Plan again"
    press(page.other_buttons["beside"])
    settle(background, qtbot)
    press(page.main_button)
    settle(background, qtbot)
    assert page.title.text() == "Run sheet"
    with work.desk.shop.read() as uow:
        assert sum(plan.state is PlanState.KEPT for plan in uow.plans.find()) == 1


def test_plan_again_and_keep_by_keyboard(page: RunSheetPage, background: Background, qtbot: QtBot) -> None:
    page.table.view.setFocus(Qt.FocusReason.TabFocusReason)
    key(page, Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)
    settle(background, qtbot)
    assert page.title.text() == "Run sheet, proposed"
    assert page.main_button is not None
    tab_to(page.main_button)
    key(None, Enter)
    settle(background, qtbot)
    assert page.title.text() == "Run sheet"


def test_planning_can_be_cancelled(
    page: RunSheetPage, work: AtWork, worker: InlineWorker, background: Background, qtbot: QtBot
) -> None:
    worker.held = True
    assert page.main_button is not None
    press(page.main_button)
    background.cancel_all()
    worker.held = False
    worker.release()
    settle(background, qtbot)
    assert page.title.text() == "Run sheet"
    assert work.messages.said == []


def test_a_run_in_full_by_keyboard(
    page: RunSheetPage, work: AtWork, background: Background, qtbot: QtBot
) -> None:
    page.table.view.setFocus(Qt.FocusReason.TabFocusReason)
    key(None, Down)
    key(None, Enter)
    settle(background, qtbot)
    panel = page.panel
    assert isinstance(panel, RunPanel)
    assert panel.title.text() == f"Run {page.table.model.rows[1].number}"
    assert faults_of(panel) == []
    key(panel, Escape)
    assert open_panel(page) is None
    key(page.lanes.line, Enter)
    settle(background, qtbot)
    assert open_panel(page) is not None


def test_a_run_in_full_by_mouse(
    page: RunSheetPage,
    work: AtWork,
    background: Background,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pick_file, "ask_new_path", lambda *_asked: str(tmp_path / "one.3mf"))
    monkeypatch.setattr(pick_file, "ask_folder_path", lambda *_asked: str(tmp_path))
    press(page.other_buttons["open"])
    settle(background, qtbot)
    panel = page.panel
    assert panel is not None
    press(panel.buttons["3mf"])
    press(panel.buttons["folder"])
    settle(background, qtbot)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["R 1-1.stl", "one.3mf"]
    press(panel.buttons["desk"])
    assert work.led == [("desk", work.desk.north)]
    assert open_panel(page) is None
    press(page.other_buttons["open"])
    settle(background, qtbot)
    again = open_panel(page)
    assert again is not None
    press(again.buttons["R 1/1"])
    assert work.led[-1] == ("requests", 1)


def test_a_run_on_its_printer_takes_its_print_file(
    page: RunSheetPage,
    work: AtWork,
    background: Background,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    file = tmp_path / "run 1.nc"
    file.write_bytes(tower(40))
    monkeypatch.setattr(run_panel, "ask_path", lambda *_asked: str(file))
    start_next(work.desk.shop, work.desk.press(), work.desk.north)
    page.arrived()
    page.go_to(1)
    settle(background, qtbot)
    press(page.other_buttons["open"])
    settle(background, qtbot)
    panel = page.panel
    assert panel is not None
    assert faults_of(panel) == []
    tab_to(panel.file_button)
    key(None, Enter)
    settle(background, qtbot)
    assert panel.file_words.text().startswith("run 1.nc: ")
    qtbot.waitUntil(lambda: faults_of(panel) == [])
    assert work.desk.run(1).file_minutes is None
    assert focused() is panel.file_button
    press(panel.file_button)
    settle(background, qtbot)
    assert work.desk.run(1).file_minutes is not None
    assert page.panel is not None
    assert page.panel is not panel
    assert ("Grams", "0.5 g, by the print file") in [
        (row.name.text(), row.value.text()) for row in page.panel.findChildren(FactRow)
    ]


def test_three_lines_stay_in_view_on_a_low_window(
    page: RunSheetPage, work: AtWork, background: Background, qtbot: QtBot
) -> None:
    with work.desk.shop.write(work.desk.press(), "more") as uow:
        for name in ("East", "West"):
            uow.printers.add(Printer(name=name))
        uow.commit()
    page.refresh(frozenset({"printers"}))
    settle(background, qtbot)
    qtbot.waitUntil(lambda: page.lanes.height() <= 300)
    rows = page.table.view.viewport().height() / page.table.view.verticalHeader().defaultSectionSize()
    assert rows >= 2.9
    assert faults_of(page) == []


def test_the_tools_move_the_view(page: RunSheetPage) -> None:
    hours = page.lanes.line.hours
    press(page.lanes.tool_buttons["Closer"])
    assert page.lanes.line.hours < hours
    press(page.lanes.tool_buttons["Wider"])
    assert page.lanes.line.hours == hours
    for words in ("Earlier", "Later", "Now"):
        press(page.lanes.tool_buttons[words])


def test_wide(page: RunSheetPage, qtbot: QtBot) -> None:
    page.resize(WIDE_FROM_PX + 126, 1012)
    qtbot.waitUntil(lambda: page.wide)
    assert [column.heading for column in page.table.model.columns][3] == "Material"
    assert page.lanes.panel.tools.isVisible()
    assert not page.lanes.tools.isVisible()
    assert faults_of(page) == []


def test_another_place_leads_to_a_run(page: RunSheetPage) -> None:
    page.go_to(3)
    assert page.lanes.line.chosen == 3
    assert page.kept_state() == {"run": "3"}


def test_the_chosen_run_comes_back_after_a_restart(
    work: AtWork, background: Background, theme: Theme, qtbot: QtBot
) -> None:
    made = RunSheetPage(work.stand(background))
    qtbot.addWidget(made)
    made.restore_state({"run": "4"})
    made.arrived()
    settle(background, qtbot)
    assert made.lanes.line.chosen == 4
    made.restore_state({})
    assert made.kept_state() == {"run": "4"}


def taken_off(work: AtWork, page: RunSheetPage, background: Background, qtbot: QtBot) -> None:
    """Run 1 was printed and taken off; the list has no line for it any more, the lanes still show it."""
    shop, press_of = work.desk.shop, work.desk.press
    start_next(shop, press_of(), work.desk.north)
    work.desk.clock.move(minutes=45)
    take_off_run(shop, press_of(), 1)
    page.refresh(frozenset({"runs"}))
    settle(background, qtbot)


def test_a_run_taken_off_is_opened_from_the_lanes(
    page: RunSheetPage, work: AtWork, background: Background, qtbot: QtBot
) -> None:
    taken_off(work, page, background, qtbot)
    assert page.table.model.row_of(1) is None
    page.lanes.line.setFocus(Qt.FocusReason.TabFocusReason)
    key(page.lanes.line, Qt.Key.Key_Left)
    assert (page.lanes.line.chosen, page.table.chosen) == (1, None)
    page.refresh(frozenset({"runs"}))
    settle(background, qtbot)
    assert (page.lanes.line.chosen, page.table.chosen) == (1, None)
    key(page.lanes.line, Enter)
    settle(background, qtbot)
    assert page.panel is not None
    assert page.panel.title.text() == "Run 1"
    assert not page.panel.buttons["desk"].isEnabled()
    assert faults_of(page.panel) == []
    key(page.panel, Escape)
    page.table.choose(3)
    assert page.lanes.line.chosen == 3


def test_the_hours_in_view_stay_when_the_sheet_is_read_anew(
    page: RunSheetPage, background: Background, qtbot: QtBot
) -> None:
    line = page.lanes.line
    for _ in range(3):
        press(page.lanes.tool_buttons["Later"])
    before = line.grab().toImage()
    page.refresh(frozenset({"runs"}))
    settle(background, qtbot)
    assert line.grab().toImage() == before


def test_a_run_no_longer_on_the_sheet_is_opened_in_full(
    page: RunSheetPage, work: AtWork, background: Background, qtbot: QtBot
) -> None:
    taken_off(work, page, background, qtbot)
    page.go_to(1)
    assert page.lanes.line.chosen == 1
    assert open_panel(page) is None
    work.desk.clock.move(hours=20)
    page.arrived()
    settle(background, qtbot)
    page.go_to(1)
    settle(background, qtbot)
    assert page.panel is not None
    assert page.panel.title.text() == "Run 1"
    assert page.panel.sentence.text() == "This run is not on the sheet."


def test_an_empty_sheet_says_what_to_do(theme: Theme, qtbot: QtBot) -> None:
    work = at_work()
    messages = work.messages
    background = Background(InlineWorker(), InlineWorker(), messages)
    made = RunSheetPage(work.stand(background))
    qtbot.addWidget(made)
    made.resize(1108, 652)
    made.show()
    made.arrived()
    settle(background, qtbot)
    assert made.subtitle.text() == "Nothing is planned."
    assert not made.other_buttons["open"].isEnabled()
    assert made.kept_state() == {}
    assert faults_of(made) == []
