"""Long work outside the window's thread: two kinds, one that changes data and one that reads.

Callbacks come from other threads; they become Qt signals here and are handled in the window's thread.
"""

import logging
import secrets
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

from PySide6.QtCore import QElapsedTimer, QObject, Qt, Signal, Slot

from printcrib.core.errors import ShopError
from printcrib.screens.shell.messages import Messages
from printcrib.services.done import Done

if TYPE_CHECKING:
    from printcrib.services.interfaces import Task, Worker

T = TypeVar("T")

log = logging.getLogger(__name__)


class Work(QObject):
    """One piece of background work; a child of the Background that started it until it is over.

    Signals:
        came(object), failed(object), went_on(float): internal, cross threads.
    """

    came = Signal(object)
    failed = Signal(object)
    went_on = Signal(float)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
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


class Background(QObject):
    """Starts work, brings its result back into the window's thread, tells the strip.

    Args:
        reader: for work that only reads. writer: for work that changes data (one thread, in order).
        messages: where progress and problems are shown.

    Signals:
        changed(object): frozenset of the kinds of record a finished change wrote to.
    """

    changed = Signal(object)

    def __init__(
        self, reader: "Worker", writer: "Worker", messages: Messages, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._reader, self._writer, self._messages = reader, writer, messages
        self._calls: dict[
            Work, tuple[Callable[[Any], None] | None, Callable[[ShopError], None] | None, str]
        ] = {}
        self._shown: Work | None = None

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
        for work in list(self._calls):
            work.cancel()

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
        work = Work(self)
        self._calls[work] = (done, failed, words)
        queued = Qt.ConnectionType.QueuedConnection
        work.came.connect(self._on_came, queued)
        work.failed.connect(self._on_failed, queued)
        work.went_on.connect(self._on_went_on, queued)
        if words:
            self._shown = work
            self._messages.busy(words, None, "", work.cancel)
        task = worker.submit(
            call,
            *args,
            on_done=work.came.emit,
            on_error=work.failed.emit,
            on_progress=work.went_on.emit if words else None,
            process=process,
        )
        work.started(task)
        return work

    @Slot(object)
    def _on_came(self, result: Any) -> None:
        work = self.sender()
        if not isinstance(work, Work):
            return
        done, _failed, _words = self._over(work)
        if isinstance(result, Done) and result.changed:
            self.changed.emit(result.changed)
        if done is not None and not work.cancelled:
            done(result)

    @Slot(object)
    def _on_failed(self, error: BaseException) -> None:
        work = self.sender()
        if not isinstance(work, Work):
            return
        _done, failed, _words = self._over(work)
        if work.cancelled:
            return
        told = error if isinstance(error, ShopError) else broken(error)
        if failed is not None:
            failed(told)
        else:
            self._messages.problem(told)

    @Slot(float)
    def _on_went_on(self, share: float) -> None:
        work = self.sender()
        if isinstance(work, Work) and work is self._shown and work in self._calls:
            left = left_words(work.seconds, share)
            self._messages.busy(self._calls[work][2], round(100 * share), left, work.cancel)

    def _over(
        self, work: Work
    ) -> tuple[Callable[[Any], None] | None, Callable[[ShopError], None] | None, str]:
        calls = self._calls.pop(work, (None, None, ""))
        if self._shown is work:
            self._shown = None
            self._messages.idle()
        work.deleteLater()
        return calls


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
