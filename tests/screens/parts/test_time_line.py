"""The time line: chosen by press and key, zoomed by buttons, keys and wheel, painted to scale."""

from datetime import datetime, timedelta, timezone

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QWheelEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.hands import key, press

from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.time_line import TimeLine, TimeLinePanel
from printcrib.screens.parts.time_line_data import (
    Closed,
    FittedNozzle,
    LaneData,
    NeededBy,
    RunBlock,
    SetUp,
    Span,
    TimeLineData,
)
from printcrib.screens.parts.tokens import current_tokens
from printcrib.screens.shell.theme import Theme

NOW = datetime(2026, 11, 25, 9, 42, tzinfo=timezone(timedelta(hours=1)))


def after(hours: float) -> datetime:
    return NOW + timedelta(hours=hours)


def plan() -> TimeLineData:
    north = LaneData(
        "North",
        (
            RunBlock(31, "31", after(-2), after(-0.1), "over"),
            RunBlock(32, "32", after(0.5), after(5), words="run 32, 10:12 to 14:42"),
            RunBlock(35, "35", after(6), after(8)),
        ),
        (SetUp(after(0), after(0.5), swap=True), SetUp(after(5), after(5.2))),
        (NeededBy(after(5), after(7), "R 214"), NeededBy(after(8), after(7), "R 198, 1 h late", "late")),
        (FittedNozzle("0.4", after(-4), after(0)), FittedNozzle("0.6", after(0.5))),
    )
    south = LaneData(
        "South", (RunBlock(33, "33", after(-2), after(2), "printing"), RunBlock(36, "36", after(3), after(7)))
    )
    east = LaneData("East")
    west = LaneData("West", (RunBlock(40, "40", after(1), after(30)),))
    return TimeLineData(NOW, (north, south, east, west), (Closed(after(8), after(20), "nobody in"),))


@pytest.fixture
def line(qtbot: QtBot, theme: Theme) -> TimeLine:
    made = TimeLine(plan())
    qtbot.addWidget(made)
    made.resize(1000, 420)
    with qtbot.waitActive(made):
        made.show()
    return made


def middle_of(line: TimeLine, hours: float, lane: int) -> QPoint:
    rows = line._rows(lane)
    return QPoint(round(line._span().x(after(hours))), round(rows.block_top + rows.block / 2))


def test_a_span_puts_moments_to_scale() -> None:
    span = Span(NOW, 10, 100, 500)
    assert span.x(NOW) == 100
    assert span.x(after(10)) == 600
    assert span.cut(after(-2), after(-1)) is None
    assert span.cut(after(11), after(12)) is None
    assert span.cut(after(-2), after(5)) == (92, 350)


class TestChoosing:
    def test_a_press_chooses_a_run(self, qtbot: QtBot, line: TimeLine) -> None:
        with qtbot.waitSignal(line.run_chosen) as told:
            press(line, middle_of(line, 2, 0))
        assert told.args == [32]
        assert line.accessibleDescription() == "run 32, 10:12 to 14:42"

    def test_a_press_beside_every_run_chooses_none(self, qtbot: QtBot, line: TimeLine) -> None:
        with qtbot.assertNotEmitted(line.run_chosen):
            press(line, middle_of(line, 5.6, 0))
            press(line, middle_of(line, 5, 2))
            press(line, QPoint(200, 10))

    def test_keys_walk_along_and_across(self, qtbot: QtBot, line: TimeLine) -> None:
        line.clearFocus()
        line.setFocus(Qt.FocusReason.TabFocusReason)
        chosen = [line.chosen]
        for code in (
            Qt.Key.Key_Left,
            Qt.Key.Key_Left,
            Qt.Key.Key_Down,
            Qt.Key.Key_Right,
            Qt.Key.Key_Down,
            Qt.Key.Key_Down,
            Qt.Key.Key_Up,
        ):
            key(line, code)
            chosen.append(line.chosen)
        assert chosen == [32, 31, 31, 33, 36, 40, 40, 36]

    def test_enter_opens(self, qtbot: QtBot, line: TimeLine) -> None:
        line.choose(36)
        with qtbot.waitSignal(line.run_opened) as told:
            key(line, Qt.Key.Key_Return)
        assert told.args == [36]

    def test_what_is_chosen_stays_over_a_new_plan_while_it_is_in_it(self, line: TimeLine) -> None:
        line.choose(35)
        line.set_data(plan())
        kept = line.chosen
        line.set_data(TimeLineData(NOW, (LaneData("North"),)))
        assert (kept, line.chosen) == (35, None)

    def test_a_run_out_of_view_comes_into_view(self, line: TimeLine) -> None:
        line.move_view(5)
        line.choose(32)
        span = line._span()
        assert span.left <= span.x(after(0.5)) <= span.left + span.width


class TestView:
    def test_zoom_keeps_the_moment_under_the_wheel(self, line: TimeLine) -> None:
        x = 600.0
        before = line._span()
        moment = before.start + timedelta(hours=before.hours * (x - before.left) / before.width)
        line.zoom(2, x)
        assert line.hours == pytest.approx(18)
        assert line._span().x(moment) == pytest.approx(x, abs=0.5)

    def test_zoom_has_an_end(self, line: TimeLine) -> None:
        for _ in range(30):
            line.zoom(2)
        assert line.hours == 4
        for _ in range(30):
            line.zoom(0.5)
        assert line.hours == 24 * 21

    def test_keys_zoom_move_and_go_home(self, line: TimeLine) -> None:
        start = line._span().start
        key(line, Qt.Key.Key_Plus)
        assert line.hours == pytest.approx(24)
        key(line, Qt.Key.Key_Minus)
        key(line, Qt.Key.Key_PageDown)
        assert line._span().start > start
        key(line, Qt.Key.Key_PageUp)
        key(line, Qt.Key.Key_PageUp)
        key(line, Qt.Key.Key_Home)
        assert line._span().start == start

    def test_the_wheel_zooms_and_with_shift_moves(self, line: TimeLine) -> None:
        turn(line, 120)
        assert line.hours == pytest.approx(24)
        start = line._span().start
        turn(line, -120, Qt.KeyboardModifier.ShiftModifier)
        assert line._span().start > start
        turn(line, 0)
        assert line.hours == pytest.approx(24)

    def test_buttons_do_the_same(self, qtbot: QtBot, theme: Theme) -> None:
        panel = TimeLinePanel(plan())
        qtbot.addWidget(panel)
        panel.resize(1400, 460)
        panel.show()
        buttons = {b.text(): b for b in panel.findChildren(Button)}
        start = panel.line._span().start
        press(buttons["Closer"])
        assert panel.line.hours == pytest.approx(24)
        press(buttons["Wider"])
        press(buttons["Later"])
        assert panel.line._span().start > start
        press(buttons["Earlier"])
        press(buttons["Now"])
        assert panel.line._span().start == start
        assert panel.legend.isVisible()
        assert faults_of(panel) == []
        panel.resize(1000, 460)
        QApplication.sendPostedEvents()
        assert not panel.legend.isVisible()
        panel.set_data(plan())


def turn(line: TimeLine, by: int, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """Turn the wheel over the middle."""
    at = QPointF(500, 200)
    event = QWheelEvent(
        at,
        at,
        QPoint(0, 0),
        QPoint(0, by),
        Qt.MouseButton.NoButton,
        modifiers,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(line, event)


class TestPainting:
    def picture(self, line: TimeLine) -> QImage:
        return line.grab().toImage()

    def test_a_printing_run_is_solid_up_to_now_and_on_tint_after(
        self, line: TimeLine, each_theme: Theme
    ) -> None:
        tokens = current_tokens()
        picture = self.picture(line)
        assert picture.pixelColor(middle_of(line, -1.7, 1)) == tokens.accent
        assert picture.pixelColor(middle_of(line, 1.5, 1)) == tokens.tint

    def test_a_swap_is_a_tall_ink_block_and_other_hands_on_a_small_one(
        self, line: TimeLine, each_theme: Theme
    ) -> None:
        tokens = current_tokens()
        picture = self.picture(line)
        swap, other = middle_of(line, 0.3, 0), middle_of(line, 5.15, 0)
        reach = round(line._rows(0).block / 2) - 2
        assert picture.pixelColor(swap - QPoint(0, reach)) == tokens.ink
        assert picture.pixelColor(other) == tokens.ink
        assert picture.pixelColor(other - QPoint(0, reach)) != tokens.ink

    def test_closed_hours_lie_under_the_lanes(self, line: TimeLine, each_theme: Theme) -> None:
        spot = middle_of(line, 12, 2)
        assert self.picture(line).pixelColor(spot) == current_tokens().closed

    def test_a_late_one_is_signal_and_runs_backwards(self, line: TimeLine, each_theme: Theme) -> None:
        rows = line._rows(0)
        x = round(line._span().x(after(7.5)))
        assert self.picture(line).pixelColor(x, round(rows.need_y)) == current_tokens().signal

    def test_300_runs_are_painted(self, qtbot: QtBot, line: TimeLine) -> None:
        lanes = tuple(
            LaneData(
                f"P{lane}",
                tuple(RunBlock(lane * 100 + n, str(n), after(n), after(n + 0.9)) for n in range(100)),
                needed=tuple(NeededBy(after(n), after(n + 1), f"R {n}") for n in range(100)),
            )
            for lane in range(3)
        )
        line.set_data(TimeLineData(NOW, lanes))
        line.zoom(0.2)
        assert line.hours > 100
        blank = TimeLine(TimeLineData(NOW, (LaneData("P0"), LaneData("P1"), LaneData("P2"))))
        qtbot.addWidget(blank)
        blank.resize(line.size())
        assert self.picture(line) != blank.grab().toImage()

    def test_without_a_plan_there_is_an_empty_line(self, qtbot: QtBot, theme: Theme) -> None:
        empty = TimeLine()
        qtbot.addWidget(empty)
        empty.resize(600, 200)
        empty.grab()
        for code in (Qt.Key.Key_Right, Qt.Key.Key_Down, Qt.Key.Key_Return):
            key(empty, code)
        assert empty.run_at(QPointF(300, 60)) is None
        assert empty.chosen is None
