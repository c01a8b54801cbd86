"""Screens refresh when another window or the form changed something."""

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from printcrib.screens.shell.background import Background

ChangesSince = Callable[[int], tuple[int, frozenset[str]]]
"""Given the last change number seen: the newest number, and the kinds of record changed since."""


class Refresh(QObject):
    """Asks once a second what changed since it last looked.

    Args:
        changes_since: a service call, run in the background.
        background: where it runs; what this window changes itself is told through it at once.

    Signals:
        changed(object): frozenset of kinds of record ("requests", "runs", ...).
    """

    changed = Signal(object)

    def __init__(
        self,
        changes_since: ChangesSince,
        background: Background,
        *,
        seen: int = 0,
        every_ms: int = 1000,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._changes_since = changes_since
        self._background = background
        self._seen = seen
        self._asking = False
        self._timer = QTimer(self, interval=every_ms)
        self._timer.timeout.connect(self.look)

    @property
    def seen(self) -> int:
        """Number of the newest change seen."""
        return self._seen

    def start(self) -> None:
        """Begin to look."""
        self._timer.start()

    def stop(self) -> None:
        """Look no more."""
        self._timer.stop()

    @Slot()
    def look(self) -> None:
        """Look now; never twice at the same time."""
        if self._asking:
            return
        self._asking = True
        self._background.read(self._changes_since, self._seen, done=self._on_answer, failed=self._on_trouble)

    def _on_answer(self, answer: tuple[int, frozenset[str]]) -> None:
        self._asking = False
        self._seen, things = answer
        if things:
            self.changed.emit(things)

    def _on_trouble(self, error: Exception) -> None:
        self._asking = False
