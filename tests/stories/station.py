"""The print station with the real window, and two kinds of hands: the keyboard alone, the mouse alone.

Both read the same words on the screen; they differ in how they come to them. A story told with them
therefore stops wherever one of the two cannot go on.
"""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QApplication,
    QFileDialog,
    QLabel,
    QLineEdit,
    QListView,
    QPlainTextEdit,
    QPushButton,
    QTableView,
    QWidget,
)
from pytestqt.qtbot import QtBot
from tests.stories.crib import Crib, wall

from printcrib.app.window import OpenWindow, open_window
from printcrib.core.records import THE_TOOL
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.theme import Theme
from printcrib.services.do_duties import do_duties
from printcrib.services.press import Press

CONTROLS = (QAbstractButton, QLineEdit, QPlainTextEdit, QTableView)
MOST_TABS = 160
LONGEST_MS = 30_000
"""Nothing on the screen takes so long, even where many tests share the machine."""
Tab, Space, Enter, Down, Up = (
    Qt.Key.Key_Tab,
    Qt.Key.Key_Space,
    Qt.Key.Key_Return,
    Qt.Key.Key_Down,
    Qt.Key.Key_Up,
)


def plain(words: str) -> str:
    """Words as they are read: spaces of every kind count as one."""
    return " ".join(words.replace("\u00a0", " ").split())


def names_of(widget: QWidget) -> tuple[str, ...]:
    """What a control says: its words, and what a screen reader is told."""
    words = widget.text() if isinstance(widget, QAbstractButton) else ""
    return tuple(dict.fromkeys(plain(each) for each in (words, widget.accessibleName()) if each))


def groups_of(widget: QWidget) -> tuple[str, ...]:
    """Names of what a control stands in, the nearest first."""
    names, around = [], widget.parentWidget()
    while around is not None:
        names.append(plain(around.accessibleName()))
        around = around.parentWidget()
    return tuple(name for name in names if name)


def labels_in(widget: QWidget) -> list[QLabel]:
    """All words that are seen and cannot be pressed."""
    return [label for label in widget.findChildren(QLabel) if label.isVisible()]


class Station:
    """The window on a shop, as somebody standing before it sees it."""

    def __init__(self, qtbot: QtBot, crib: Crib, theme: Theme, memory: Memory, person: str) -> None:
        self.qtbot, self.crib = qtbot, crib
        memory.put("station/person", str(crib.made.people[person].id))
        self.opened: OpenWindow = open_window(crib.wired, theme, memory, station="crib")
        self.window = self.opened.window
        self.window.resize(1280, 720)
        self.window.open_first_place()
        with qtbot.waitActive(self.window):
            self.window.show()
        self.settle()

    def settle(self) -> None:
        """Until nothing is under way any more and all is laid out."""
        self.qtbot.waitUntil(lambda: not self.opened.background.busy, timeout=LONGEST_MS)
        for _ in range(4):  # layouts ask one another again
            QApplication.sendPostedEvents()
            QApplication.processEvents()
        self.qtbot.waitUntil(lambda: not self.opened.background.busy, timeout=LONGEST_MS)

    def at(self, day: str, clock: str) -> None:
        """Time passes: the tool does its duties, the page looks again, as by their timers."""
        self.crib.clock.go_to(wall(day, clock))
        self.opened.background.change(do_duties, self.crib.shop, Press(who_id=THE_TOOL, station="crib"))
        self.settle()
        self.page.arrived()
        self.settle()

    def come_back(self) -> None:
        """A dialog is closed: the window is in front again, which a window manager sees to elsewhere."""
        self.window.activateWindow()
        self.qtbot.waitUntil(lambda: self.window.isActiveWindow(), timeout=LONGEST_MS)
        self.settle()

    def close(self) -> None:
        """Close the window; the books stay open."""
        self.settle()
        self.opened.refresh.stop()
        self.opened.background.cancel_all()
        self.opened.writer.close(finish=True)
        self.window.close()
        self.window.deleteLater()
        QApplication.sendPostedEvents(self.window, QEvent.Type.DeferredDelete)  # its timers go with it

    @property
    def page(self) -> PageFrame:
        """The page in front; the innermost where pages lie over one another."""
        page: PageFrame = self.window.page(self.window.open_place_id)
        inner = [each for each in page.findChildren(PageFrame) if each.isVisible()]
        return inner[-1] if inner else page

    @property
    def front(self) -> QWidget:
        """What can be pressed now: the sheet that asks, else the page."""
        return self.page.standing_over or self.page

    @property
    def said(self) -> str:
        """What the message strip says."""
        return plain(" ".join(label.text() for label in labels_in(self.window.strip)))

    def reads(self, words: str) -> bool:
        """Whether these words stand on the page or the sheet in front."""
        return any(words in plain(label.text()) for label in labels_in(self.front))

    def see(self, words: str, within: str = "") -> QWidget:
        """The one control with these words; the whole of them, else their beginning, else a part.

        Args:
            within: name of the row or group it stands in, where the words alone are there more than once.

        Raises:
            AssertionError: there is none, or more than one.
        """
        places = (self.front, self.window.strip)
        controls = [w for place in places for w in place.findChildren(QWidget) if isinstance(w, CONTROLS)]
        controls = [w for w in dict.fromkeys(controls) if w.isVisible() and w.isEnabled()]
        if within:
            controls = [w for w in controls if within in groups_of(w)]
        tries: tuple[Callable[[str], bool], ...] = (
            lambda name: name == words,
            lambda name: name.startswith(words),
            lambda name: words in name,
        )
        for fits in tries:
            found = [w for w in controls if any(fits(name) for name in names_of(w))]
            if found:
                assert len(found) == 1, f"{words!r} is there {len(found)} times: {self.words_there()}"
                return found[0]
        raise AssertionError(f"{words!r} is not there: {self.words_there()}")

    def words_there(self) -> list[str]:
        """All that could be pressed, for a failure's message."""
        widgets = [w for w in self.front.findChildren(QWidget) if isinstance(w, CONTROLS) and w.isVisible()]
        return [f"{' / '.join(names_of(w))}{'' if w.isEnabled() else ' (off)'}" for w in widgets]


class Hands(Protocol):
    """What hands can do; the keyboard's and the mouse's do the same."""

    station: Station

    def press(self, words: str, within: str = "") -> None:
        """Press the control with these words."""
        ...

    def go(self, place_id: str) -> None:
        """Go to a place."""
        ...

    def choose(self, words: str) -> None:
        """Choose the row that has these words in the list in front."""
        ...

    def number(self, digits: str) -> None:
        """Tell a number on the keypad in front."""
        ...

    def picks(self, path: Path) -> AbstractContextManager[None]:
        """Answer the file dialog that opens meanwhile with this file."""
        ...


def row_words(view: QAbstractItemView, row: int) -> str:
    """All words of a row."""
    model = view.model()
    cells = (model.index(row, column) for column in range(model.columnCount()))
    said = (model.data(cell, role) for cell in cells for role in (Qt.ItemDataRole.DisplayRole, 11))
    return plain(" ".join(str(each) for each in said if each))


def row_with(view: QAbstractItemView, words: str) -> int:
    """The first row with these words."""
    rows = [row_words(view, row) for row in range(view.model().rowCount())]
    found = [row for row, said in enumerate(rows) if words in said]
    assert found, f"no row says {words!r}: {rows}"
    return found[0]


class Keyboard:
    """Tab, arrows, Enter, and the keys of the places; never the mouse."""

    def __init__(self, station: Station) -> None:
        self.station = station

    def press(self, words: str, within: str = "") -> None:
        self._come_to(self.station.see(words, within))
        self._key(Space)

    def go(self, place_id: str) -> None:
        keys = list(self.station.window.side.tabs)
        code = Qt.Key(Qt.Key.Key_1.value + keys.index(place_id))
        QTest.keyClick(self._focused(), code, Qt.KeyboardModifier.ControlModifier)
        self.station.settle()
        assert self.station.window.open_place_id == place_id

    def choose(self, words: str) -> None:
        view = list_in(self.station.front)
        row = row_with(view, words)
        self._come_to(view)
        for _ in range(view.model().rowCount()):
            if view.currentIndex().row() == row:
                break
            self._key(Down if view.currentIndex().row() < row else Up)
        assert view.currentIndex().row() == row

    def number(self, digits: str) -> None:
        for digit in digits:
            QTest.keyClicks(self._focused(), digit)
        self.station.settle()

    def type(self, field: str, text: str) -> None:
        """Type words into a field; only the keyboard can."""
        self._come_to(self.station.see(field))
        QTest.keyClicks(self._focused(), text)
        self.station.settle()

    @contextmanager
    def picks(self, path: Path) -> Iterator[None]:
        """Types the file's name into the dialog that opens meanwhile, in the folder it opens with."""

        def type_it(dialog: QFileDialog) -> None:
            QTest.keyClicks(dialog.focusWidget(), path.name)
            proposals = QApplication.activePopupWidget()  # takes the keys while it is open
            QTest.keyClick(proposals or dialog.focusWidget(), Enter)

        with answering(type_it):
            yield
        self.station.come_back()

    def _come_to(self, target: QWidget) -> None:
        """Tab until the control has the focus."""
        passed = []
        for _ in range(MOST_TABS):
            now = self._focused()
            if now is target:
                return
            passed.append(" / ".join(names_of(now)) or type(now).__name__)
            QTest.keyClick(now, Tab)
            QApplication.processEvents()
        raise AssertionError(f"Tab never came to {names_of(target)}: {list(dict.fromkeys(passed))}")

    def _key(self, code: Qt.Key) -> None:
        QTest.keyClick(self._focused(), code)
        self.station.settle()

    def _focused(self) -> QWidget:
        """What has the focus; it is never lost, and a sheet that asks has it for itself."""
        now = QApplication.focusWidget()
        assert now is not None, f"nothing has the focus before {self.station.words_there()}"
        assert now.isVisible(), f"{names_of(now)} has the focus and is not seen"
        front = self.station.front
        if isinstance(front, AskPanel):
            assert front.isAncestorOf(now) or now is front, f"{names_of(now)} has the focus under a sheet"
        return now


class Mouse:
    """Presses and the wheel; never a key."""

    def __init__(self, station: Station) -> None:
        self.station = station

    def press(self, words: str, within: str = "") -> None:
        self._click(self.station.see(words, within))

    def go(self, place_id: str) -> None:
        self._click(self.station.window.side.tabs[place_id])
        assert self.station.window.open_place_id == place_id

    def choose(self, words: str) -> None:
        view = list_in(self.station.front)
        index = view.model().index(row_with(view, words), 0)
        for _ in range(200):
            if view.viewport().rect().contains(view.visualRect(index).center()):
                break
            self._wheel(view, up=view.visualRect(index).center().y() < 0)
        self._click(view.viewport(), view.visualRect(index).center())
        assert view.currentIndex().row() == index.row()

    def number(self, digits: str) -> None:
        for digit in digits:
            self.press(digit)

    @contextmanager
    def picks(self, path: Path) -> Iterator[None]:
        """Points at the file in the dialog that opens meanwhile, and at its button."""

        def point_at_it(dialog: QFileDialog) -> None:
            if dialog.acceptMode() == QFileDialog.AcceptMode.AcceptOpen:
                view = next(v for v in dialog.findChildren(QListView) if v.objectName() == "listView")
                model, root = view.model(), view.rootIndex()
                index = next(
                    model.index(row, 0, root)
                    for row in range(model.rowCount(root))
                    if model.index(row, 0, root).data() == path.name
                )
                QTest.mouseClick(
                    view.viewport(), Qt.MouseButton.LeftButton, pos=view.visualRect(index).center()
                )
            words = "Open" if dialog.acceptMode() == QFileDialog.AcceptMode.AcceptOpen else "Save"
            button = next(b for b in dialog.findChildren(QPushButton) if plain(b.text()).strip("&") == words)
            QTest.mouseClick(button, Qt.MouseButton.LeftButton)

        with answering(point_at_it):
            yield
        self.station.come_back()

    def _click(self, target: QWidget, at: QPoint | None = None) -> None:
        """Press a control where it is seen, through whatever lies over it."""
        self._bring_into_sight(target)
        window = self.station.window
        point = target.mapTo(window, at or target.rect().center())
        hit = window.childAt(point)
        assert hit is not None, f"{names_of(target)} is outside the window"
        assert hit is target or target.isAncestorOf(hit), (
            f"{names_of(hit) or type(hit).__name__} covers {names_of(target)}"
        )
        QTest.mouseClick(hit, Qt.MouseButton.LeftButton, pos=hit.mapFrom(window, point))
        self.station.settle()

    def _bring_into_sight(self, target: QWidget) -> None:
        area = target.parentWidget()
        while area is not None and not isinstance(area, QAbstractScrollArea):
            area = area.parentWidget()
        if area is None or target is area.viewport():
            return
        for _ in range(200):
            middle = target.mapTo(area.viewport(), target.rect().center()).y()
            if 0 <= middle < area.viewport().height():
                return
            before = middle
            self._wheel(area, up=middle < 0)
            if target.mapTo(area.viewport(), target.rect().center()).y() == before:
                return

    @staticmethod
    def _wheel(area: QAbstractScrollArea, *, up: bool) -> None:
        middle = QPointF(area.viewport().rect().center())
        turn = QWheelEvent(
            middle,
            QPointF(area.viewport().mapToGlobal(middle.toPoint())),
            QPoint(),
            QPoint(0, 120 if up else -120),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(area.viewport(), turn)
        QApplication.processEvents()


def list_in(front: QWidget) -> QAbstractItemView:
    """The one list in front."""
    views = [view for view in front.findChildren(QTableView) if view.isVisible()]
    assert len(views) == 1, f"{len(views)} lists are in front"
    return views[0]


@contextmanager
def answering(answer: Callable[[QFileDialog], None]) -> Iterator[None]:
    """Answer the one file dialog that opens meanwhile; one left unanswered is closed, and that is a fault."""
    faults: list[str] = ["no file dialog opened"]

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if not isinstance(dialog, QFileDialog):
            return
        timer.stop()  # pressing keys lets timers go on
        try:
            answer(dialog)
        finally:
            faults.clear()
            if dialog.isVisible():
                faults.append(f"the dialog stays open: {dialog.windowTitle()}")
                dialog.reject()

    timer = QTimer(interval=20)
    timer.timeout.connect(look)
    timer.start()
    yield
    timer.stop()
    assert not faults, faults[0]
