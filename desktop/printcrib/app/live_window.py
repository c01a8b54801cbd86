"""What keeps the window answering while its threads work: short turns, no collections, quick imports."""

import builtins
import gc
import sys
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

if TYPE_CHECKING:
    from printcrib.screens.shell.background import Background

TURN_S = 0.001
"""How long a computing thread keeps the interpreter while the window waits for it. Python's usual 5 ms are
waited for at every call into Qt, so that one paint during a plan took a quarter of a second."""

YOUNG_EVERY_MS = 1_000
MIDDLE = 1
"""The newest two of Python's three generations of objects."""
LOOK_EVERY_MS = 60_000
COLLECT_EVERY = 10
"""Minutes between two looks through old objects: between works, never during one."""


def keep_imports_quick() -> None:
    """Let Python import by itself again now that Qt is loaded (by this module).

    WORKAROUND: https://github.com/napari/napari/issues/8584 - PySide6 reads and keeps the source text of
    every module imported after it (30 MB and a quarter of the start here), for a syntax nobody uses here.
    """
    own = getattr(builtins, "__orig_import__", None)
    if own is not None:
        builtins.__import__ = own


def take_short_turns() -> None:
    """Threads give way to the window every millisecond, and none of them collects garbage.

    A collection happens in whichever thread comes to it. One in a reading thread may free a widget that the
    window let go a moment ago, which Qt does not survive; and looking through all old objects stops the
    window for 0.1 to 0.7 s. So only the window's own thread collects: `TidyUp`.
    """
    sys.setswitchinterval(TURN_S)
    gc.disable()


class TidyUp(QObject):
    """Collects garbage in the window's thread: new objects every second, all when no work is under way.

    What the start has made stays for good and is left out from then on.
    """

    def __init__(self, background: "Background", parent: QObject) -> None:
        super().__init__(parent)
        self._background = background
        self._minutes = 0
        gc.freeze()
        self._young = QTimer(self, interval=YOUNG_EVERY_MS)
        self._young.timeout.connect(collect_young)
        self._young.start()
        self._timer = QTimer(self, interval=LOOK_EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    def look(self) -> bool:
        """A minute is over: tidy up when it is time and nothing is under way; says whether it did."""
        self._minutes += 1
        if self._minutes < COLLECT_EVERY or self._background.busy:
            return False
        self._minutes = 0
        gc.collect()
        return True


def collect_young() -> None:
    """Free what was made and let go lately; milliseconds, because it looks at nothing old."""
    gc.collect(MIDDLE)
