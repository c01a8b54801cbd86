"""The window's frame: shown at once, before the books are open, so that nobody looks at an empty screen."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QEvent, QEventLoop, QObject, QTimer, Signal
from PySide6.QtWidgets import QWidget

from printcrib.app.places import make_page
from printcrib.app.resources import resource_folder
from printcrib.app.workers import Workers
from printcrib.core.errors import ShopError
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.shell.background import Background
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.places import PLACE_WORDS, Place
from printcrib.screens.shell.theme import Theme
from printcrib.screens.shell.window import ShopWindow

if TYPE_CHECKING:
    from printcrib.screens.shell.standing import Standing

T = TypeVar("T")

PAINTED_BY_MS = 500


class FirstPaint(QObject):
    """Tells when a window was painted first: what else there is to load would only hold that up.

    Signals:
        came(): it was painted, or half a second is over (it was opened minimised).
    """

    came = Signal()

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._waiting = True
        window.installEventFilter(self)
        QTimer.singleShot(PAINTED_BY_MS, self, self._tell)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        if event.type() == QEvent.Type.Paint and self._waiting:
            QTimer.singleShot(0, self, self._tell)  # it is painted once this event is over
        return False

    def _tell(self) -> None:
        if self._waiting:
            self._waiting = False
            self.came.emit()
            self.deleteLater()


class Frame:
    """Side list, empty page and strip; its places open once somebody stands at a shop.

    Attributes:
        window: the window. standing: who stands at which shop; None until the books are open.
        closed: somebody closed the window before they were.
    """

    def __init__(self, theme: Theme, memory: Memory) -> None:
        self.standing: Standing | None = None
        self.closed = False
        places = [Place(place_id, words, self._maker(place_id)) for place_id, words in PLACE_WORDS]
        self.window = ShopWindow(
            places, theme, memory, self._wall_time, open_handbook=lambda place_id: self._handbook(place_id)
        )

    def open_behind(self, place: str, open_it: Callable[[str], T]) -> T:
        """Show the frame and open a shop in another thread meanwhile.

        Raises:
            ShopError: as `open_it` does; the frame is gone again then.
        """
        self.window.put_in_front(PageFrame("Opening the shop", Path(place).name if place else ""))
        self.window.closing.connect(self._on_closing)
        self.window.show()
        opened: list[T] = []
        refused: list[ShopError] = []
        loop = QEventLoop()
        opener = Workers(threads=1, processes=0, name="opener")
        background = Background(opener, opener, self.window.strip, self.window)

        def done(answer: T) -> None:
            opened.append(answer)
            loop.quit()

        def failed(error: ShopError) -> None:
            refused.append(error)
            loop.quit()

        painted = FirstPaint(self.window)
        painted.came.connect(lambda: background.read(open_it, place, done=done, failed=failed))
        loop.exec()
        opener.close()
        if refused:
            self.window.hide()
            self.window.deleteLater()
            raise refused[0]
        self.window.take_from_front(open_place=False)
        return opened[0]

    def _on_closing(self) -> None:
        self.closed = self.standing is None

    def _maker(self, place_id: str) -> Callable[[], PageFrame]:
        def make() -> PageFrame:
            if self.standing is None:
                raise ShopError("The shop is not open yet", "Wait a moment.")
            return make_page(place_id, self.standing)

        return make

    def _wall_time(self) -> datetime:
        """The shop's wall time, this PC's until the books are open."""
        if self.standing is None:
            return datetime.now().astimezone()
        return self.standing.local(self.standing.now())

    def _handbook(self, place_id: str) -> None:
        from printcrib.screens.handbook.screen import HandbookPanel

        text = (resource_folder() / "handbook" / f"{place_id}.md").read_text("utf-8")
        HandbookPanel(text).open_over(self.window.page(place_id))
