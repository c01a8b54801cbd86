"""Two kinds of hands before the print station: the keyboard alone, the mouse alone.

Both read the same words on the screen; they differ in how they come to them. A story told with them
therefore stops wherever one of the two cannot go on.
"""

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractItemView,
    QAbstractScrollArea,
    QApplication,
    QFileDialog,
    QPushButton,
    QTableView,
    QWidget,
)
from tests.stories.file_dialogs import answering, files_in, listing
from tests.stories.station import Station, names_of, plain

from printcrib.screens.parts.ask import AskPanel

MOST_TABS = 160
Tab, Space, Enter, Down, Up = (
    Qt.Key.Key_Tab,
    Qt.Key.Key_Space,
    Qt.Key.Key_Return,
    Qt.Key.Key_Down,
    Qt.Key.Key_Up,
)


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

    def open(self) -> None:
        """Press Enter where the focus is: a chosen row opens."""
        self._key(Enter)

    def main(self) -> None:
        """Press the page's one main button by its key, from wherever the focus is."""
        QTest.keyClick(self._focused(), Enter, Qt.KeyboardModifier.ControlModifier)
        self.station.settle()

    def somebody_else(self) -> None:
        """Press who stands here, above the places."""
        self._come_to(self.station.window.side.person)
        self._key(Space)

    @contextmanager
    def picks(self, path: Path) -> Iterator[None]:
        """Types the file's name into the dialog that opens meanwhile."""

        def type_it(dialog: QFileDialog) -> None:
            QTest.keyClicks(dialog.focusWidget(), path.name)
            proposals = QApplication.activePopupWidget()  # takes the keys while it is open
            QTest.keyClick(proposals or dialog.focusWidget(), Enter)

        with answering(path, type_it):
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
                view = listing(dialog)
                index = view.model().index(files_in(dialog).index(path.name), 0, view.rootIndex())
                QTest.mouseClick(
                    view.viewport(), Qt.MouseButton.LeftButton, pos=view.visualRect(index).center()
                )
            words = "Open" if dialog.acceptMode() == QFileDialog.AcceptMode.AcceptOpen else "Save"
            button = next(b for b in dialog.findChildren(QPushButton) if plain(b.text()).strip("&") == words)
            QTest.mouseClick(button, Qt.MouseButton.LeftButton)

        with answering(path, point_at_it):
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
