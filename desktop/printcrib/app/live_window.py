"""What keeps the window answering while its threads work: short turns, no long collections, quick imports."""

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

YOUNG, MIDDLE, NEVER = 700, 10, 1_000_000
"""Python's usual thresholds for new objects, and none for old ones: looking through all of them by itself,
in whichever thread came to it, stopped the window for 0.1 to 0.7 s while records were read."""

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
    """Threads give way to the window every millisecond, and none of them looks through all old objects."""
    sys.setswitchinterval(TURN_S)
    gc.set_threshold(YOUNG, MIDDLE, NEVER)


class TidyUp(QObject):
    """Looks through old objects itself, every ten minutes, when no work is under way.

    What the start has made stays for good and is left out from then on.
    """

    def __init__(self, background: "Background", parent: QObject) -> None:
        super().__init__(parent)
        self._background = background
        self._minutes = 0
        gc.freeze()
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
