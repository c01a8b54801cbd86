"""The print station with the real window, as somebody standing before it sees it."""

from collections.abc import Callable

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QTableView,
    QWidget,
)
from pytestqt.qtbot import QtBot
from tests.stories.crib import Crib, wall

from printcrib.app.window import OpenWindow, open_window
from printcrib.core.records import THE_TOOL
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.theme import Theme
from printcrib.services.do_duties import do_duties
from printcrib.services.press import Press

CONTROLS = (QAbstractButton, QLineEdit, QPlainTextEdit, QTableView)
LONGEST_MS = 30_000
"""Nothing on the screen takes so long, even where many tests share the machine."""


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
        self.qtbot, self.crib, self.closed = qtbot, crib, False
        memory.put_shop_text("person", str(crib.made.people[person].id))
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
        """Close the window, if nobody did; the books stay open."""
        if self.closed:
            return
        self.closed = True
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
        whole: PageFrame = self.window.page(self.window.open_place_id)
        return whole.standing_over or self.page.standing_over or self.page

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
