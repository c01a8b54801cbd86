"""The window: side list, the open place, the message strip."""

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QGridLayout, QStackedWidget, QWidget

from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.tokens import WIDE_FROM_PX
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.places import Place
from printcrib.screens.shell.side_list import SideList
from printcrib.screens.shell.strip import MessageStrip
from printcrib.screens.shell.theme import Theme


class ShopWindow(QWidget):
    """One window of the shop.

    Keys: Ctrl+1..9 and F2..F10 go to a place, F1 opens the handbook at it, F11 asks who
    stands here, F12 goes to the message's button, Ctrl+T changes light and dark.

    Args:
        places: the nine places; a page is made when its place is first opened.
        theme: the look.
        memory: what is kept over a restart.
        shop_time: the shop's wall time now (aware).
        open_handbook: called with the place's id when F1 is pressed.
        title: of the window.

    Attributes:
        strip: the message view (a `Messages`).

    Signals:
        place_opened(str), closing()
    """

    place_opened = Signal(str)
    closing = Signal()

    def __init__(
        self,
        places: Sequence[Place],
        theme: Theme,
        memory: Memory,
        shop_time: Callable[[], datetime],
        *,
        open_handbook: Callable[[str], None] | None = None,
        title: str = "Printcrib",
    ) -> None:
        super().__init__()
        self.setWindowTitle(title)
        self.setMinimumSize(1024, 680)
        self._places = {place.id: place for place in places}
        self._pages: dict[str, PageFrame] = {}
        self._open = ""
        self._front: QWidget | None = None
        self._theme, self._memory, self._shop_time = theme, memory, shop_time
        self._open_handbook = open_handbook
        self.side = SideList([(place.id, place.words) for place in places])
        self.stack = QStackedWidget()
        self.strip = MessageStrip()
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(0)
        grid.addWidget(self.side, 0, 0, 2, 1)
        grid.addWidget(self.stack, 0, 1)
        grid.addWidget(self.strip, 1, 1)
        grid.setColumnStretch(1, 1)
        self.side.place_chosen.connect(self.open_place)
        self._bind_keys()
        self._tick()
        self._clock = QTimer(self, interval=1000)
        self._clock.timeout.connect(self._tick)
        self._clock.start()
        if not memory.restore_geometry(self):
            self.resize(1280, 720)

    @property
    def open_place_id(self) -> str:
        """Id of the place that is open."""
        return self._open

    def page(self, place_id: str) -> PageFrame:
        """The page of a place, made now if it was never opened."""
        if place_id not in self._pages:
            page = self._places[place_id].make()
            page.restore_state(self._memory.page_state(place_id))
            self._pages[place_id] = page
            self.stack.addWidget(page)
        return self._pages[place_id]

    def open_first_place(self) -> None:
        """Open the place that was open last, or the first one."""
        first = next(iter(self._places))
        last = self._memory.shop_text("place_open") or first
        self.open_place(last if last in self._places else first)

    def open_place(self, place_id: str) -> None:
        """Bring a place to the front."""
        page = self.page(place_id)
        self._open = place_id
        self.side.set_chosen(place_id)
        self.stack.setCurrentWidget(page)
        self._memory.put_shop_text("place_open", place_id)
        page.arrived()
        self.place_opened.emit(place_id)

    def refresh(self, things: frozenset[str]) -> None:
        """Tell every page that was made which kinds of record changed."""
        for page in list(self._pages.values()):
            page.refresh(things)

    def put_in_front(self, page: QWidget) -> None:
        """Let a page stand instead of the places (set-up at the first start)."""
        self._front = page
        self.stack.addWidget(page)
        self.stack.setCurrentWidget(page)
        self.side.setEnabled(False)

    def take_from_front(self, *, open_place: bool = True) -> None:
        """What stood instead goes away: the places come back.

        Args:
            open_place: open the last or first one at once.
        """
        if self._front is not None:
            self.stack.removeWidget(self._front)
            self._front.deleteLater()
            self._front = None
        self.side.setEnabled(True)
        if open_place:
            self.open_first_place()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.side.set_wide(self.width() >= WIDE_FROM_PX)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.keep_state()
        self.closing.emit()
        super().closeEvent(event)

    def keep_state(self) -> None:
        """Write down what the window remembers."""
        self._memory.put_geometry(self)
        for place_id, page in self._pages.items():
            self._memory.put_page_state(place_id, page.kept_state())
        self._memory.write()

    def _tick(self) -> None:
        self.side.set_time(self._shop_time())

    def _bind_keys(self) -> None:
        for index, place_id in enumerate(self._places):
            for keys in (f"Ctrl+{index + 1}", f"F{index + 2}"):
                self._bind(keys, partial(self._go, place_id))
        self._bind("F1", self._ask_handbook)
        self._bind("F11", self._ask_person)
        self._bind("F12", self.strip.focus_answer)
        self._bind("Ctrl+T", self._theme.toggle)

    def _bind(self, keys: str, call: Callable[[], object]) -> None:
        shortcut = QShortcut(QKeySequence(keys), self)
        shortcut.activated.connect(call)

    def _go(self, place_id: str) -> None:
        if self._front is None:
            self.open_place(place_id)
            asking = [each for each in self.page(place_id).findChildren(AskPanel) if each.isVisible()]
            if asking:  # the one on top; Tab from the side list would go on under it
                asking[-1].focus_first()
            else:
                self.side.tabs[place_id].setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _ask_person(self) -> None:
        if self._front is None:
            self.side.person_pressed.emit()

    def _ask_handbook(self) -> None:
        if self._open_handbook is not None:
            self._open_handbook(self._open)
