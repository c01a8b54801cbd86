"""Long work outside the window's thread: two kinds, one that changes data and one that reads.

Callbacks come from other threads; they become Qt signals here and are handled in the window's thread.
"""

import logging
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from itertools import count
from typing import TYPE_CHECKING, Any, TypeVar

from PySide6.QtCore import QElapsedTimer, QObject, Qt, Signal, Slot

from printcrib.core.errors import ShopError
from printcrib.screens.shell.messages import Messages
from printcrib.services.done import Done

if TYPE_CHECKING:
    from printcrib.services.interfaces import Task, Worker

T = TypeVar("T")

log = logging.getLogger(__name__)


class Work:
    """One piece of background work, for whoever may want to stop it."""

    def __init__(self) -> None:
        self._task: Task | None = None
        self._cancelled = False
        self._clock = QElapsedTimer()
        self._clock.start()

    def started(self, task: "Task") -> None:
        """The worker took it."""
        self._task = task
        if self._cancelled:
            task.cancel()

    def cancel(self) -> None:
        """Ask it to stop soon; nothing is called any more."""
        self._cancelled = True
        if self._task is not None:
            self._task.cancel()

    @property
    def cancelled(self) -> bool:
        """Whether somebody asked it to stop."""
        return self._cancelled

    @property
    def seconds(self) -> float:
        """How long it has been under way."""
        return self._clock.elapsed() / 1000


@dataclass(frozen=True)
class _Call:
    """What becomes of a work's result.

    Attributes:
        words: shown in the strip while it lasts; "" for never.
    """

    work: Work
    done: Callable[[Any], None] | None
    failed: Callable[[ShopError], None] | None
    words: str


class Background(QObject):
    """Starts work, brings its result back into the window's thread, tells the strip.

    Work is known by number in its threads. They hold nothing of Qt that goes before the window does: what a
    thread lets go last is freed in that thread, and a Qt object freed there ends the process.

    Args:
        reader: for work that only reads. writer: for work that changes data (one thread, in order).
        messages: where progress and problems are shown.

    Signals:
        changed(object): frozenset of the kinds of record a finished change wrote to.
    """

    changed = Signal(object)
    _came = Signal(int, object)
    _failed = Signal(int, object)
    _went_on = Signal(int, float)

    def __init__(
        self, reader: "Worker", writer: "Worker", messages: Messages, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._reader, self._writer, self._messages = reader, writer, messages
        self._numbers = count(1)
        self._calls: dict[int, _Call] = {}
        self._shown = 0
        queued = Qt.ConnectionType.QueuedConnection
        self._came.connect(self._on_came, queued)
        self._failed.connect(self._on_failed, queued)
        self._went_on.connect(self._on_went_on, queued)

    def read(
        self,
        work: Callable[..., T],
        *args: Any,
        done: Callable[[T], None] | None = None,
        failed: Callable[[ShopError], None] | None = None,
        words: str = "",
        process: bool = False,
    ) -> Work:
        """Read or compute in the background; `done` gets the result in the window's thread.

        Args:
            words: shown in the strip with percent and Cancel when it takes over 0.6 s; "" for never.
            failed: what else to do on a ShopError, instead of the strip's sentence.
            process: in a kept process instead of a thread (long computing).
        """
        return self._start(self._reader, work, args, done, failed, words, process)

    def change(
        self,
        work: Callable[..., Done[T]],
        *args: Any,
        done: Callable[[Done[T]], None] | None = None,
        failed: Callable[[ShopError], None] | None = None,
        words: str = "",
    ) -> Work:
        """Change data in the one writer thread; tells `changed` before `done`."""
        return self._start(self._writer, work, args, done, failed, words, False)

    @property
    def busy(self) -> bool:
        """Whether anything is still under way."""
        return bool(self._calls)

    def cancel_all(self) -> None:
        """Ask everything to stop (the window closes)."""
        for call in list(self._calls.values()):
            call.work.cancel()

    def _start(
        self,
        worker: "Worker",
        call: Callable[..., Any],
        args: tuple[Any, ...],
        done: Callable[[Any], None] | None,
        failed: Callable[[ShopError], None] | None,
        words: str,
        process: bool,
    ) -> Work:
        number, work = next(self._numbers), Work()
        self._calls[number] = _Call(work, done, failed, words)
        if words:
            self._shown = number
            self._messages.busy(words, None, "", work.cancel)
        task = worker.submit(
            call,
            *args,
            on_done=partial(self._came.emit, number),
            on_error=partial(self._failed.emit, number),
            on_progress=partial(self._went_on.emit, number) if words else None,
            process=process,
        )
        work.started(task)
        return work

    @Slot(int, object)
    def _on_came(self, number: int, result: Any) -> None:
        call = self._over(number)
        if isinstance(result, Done) and result.changed:
            self.changed.emit(result.changed)
        if call.done is not None and not call.work.cancelled:
            call.done(result)

    @Slot(int, object)
    def _on_failed(self, number: int, error: BaseException) -> None:
        call = self._over(number)
        if call.work.cancelled:
            return
        told = error if isinstance(error, ShopError) else broken(error)
        if call.failed is not None:
            call.failed(told)
        else:
            self._messages.problem(told)

    @Slot(int, float)
    def _on_went_on(self, number: int, share: float) -> None:
        if number == self._shown:
            call = self._calls[number]
            left = left_words(call.work.seconds, share)
            self._messages.busy(call.words, round(100 * share), left, call.work.cancel)

    def _over(self, number: int) -> _Call:
        if self._shown == number:
            self._shown = 0
            self._messages.idle()
        return self._calls.pop(number)


def left_words(seconds: float, share: float) -> str:
    """How long it will still take, once that can be told: "about 8 s left", "about 3 min left"."""
    if seconds < 2 or not 0.03 < share < 1:
        return ""
    left = seconds * (1 - share) / share
    return f"about {left:.0f} s left" if left < 100 else f"about {left / 60:.0f} min left"


def broken(error: BaseException) -> ShopError:
    """An error nobody foresaw: logged in full, told in one sentence with a reference."""
    reference = secrets.token_hex(3)
    log.error("reference %s", reference, exc_info=error)
    return ShopError(f"Something broke; nothing was saved (reference {reference})", "Please try again.")
