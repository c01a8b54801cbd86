"""Long work outside the caller: plain threads, and spawned processes kept warm."""

import contextlib
import inspect
import multiprocessing
import threading
import time
from collections.abc import Callable, Collection, Iterator
from concurrent.futures import CancelledError, ProcessPoolExecutor, ThreadPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from functools import partial
from typing import Any, TypeVar

from printcrib.core.errors import ShopError

T = TypeVar("T")

PROGRESS_EVERY_S = 0.1
"""At most ten a second: unthrottled, progress alone froze a window for seconds."""
LOOK_EVERY_S = 0.05
_SLOTS = 16

_slots: Any = None
"""In a kept process: per slot how far the work is, and whether it is to stop."""


class Throttle:
    """Passes progress on at most ten times a second, and always the end.

    Args:
        pass_on: who is told, 0 to 1.
        now: a clock in seconds.
    """

    def __init__(self, pass_on: Callable[[float], None], now: Callable[[], float] = time.monotonic) -> None:
        self._pass_on = pass_on
        self._now = now
        self._last = float("-inf")

    def __call__(self, share: float) -> None:
        """Told by the work how far it is."""
        moment = self._now()
        if share >= 1.0 or moment - self._last >= PROGRESS_EVERY_S:
            self._last = moment
            self._pass_on(share)


class WorkUnderWay:
    """Work that was started; `cancel` sets a flag the work looks at, and drops its result."""

    def __init__(self) -> None:
        self._flag = threading.Event()

    def cancel(self) -> None:
        """Ask it to stop soon."""
        self._flag.set()

    def cancelled(self) -> bool:
        """Whether somebody asked it to stop."""
        return self._flag.is_set()


class Workers:
    """Runs work in threads or in kept processes; a `services.interfaces.Worker`.

    Every submit is answered by exactly one of on_done and on_error; after a cancel it is on_error
    with CancelledError.

    Args:
        threads: how many threads; 1 for the one that writes, so that writes keep their order.
        processes: how many kept processes; the first is started when first asked for.
        name: begins the threads' names.
    """

    def __init__(self, threads: int = 3, processes: int = 1, name: str = "reader") -> None:
        self._threads = ThreadPoolExecutor(threads, thread_name_prefix=name)
        self._kept = _KeptProcesses(processes)
        self._lock = threading.Lock()
        self._under_way: set[WorkUnderWay] = set()

    def submit(
        self,
        work: Callable[..., T],
        *args: Any,
        on_done: Callable[[T], None] | None = None,
        on_error: Callable[[BaseException], None] | None = None,
        on_progress: Callable[[float], None] | None = None,
        process: bool = False,
    ) -> WorkUnderWay:
        """Start work; callbacks come from another thread.

        `work` gets `progress` and `cancelled` keyword arguments when it names them. With `process`
        it must be a function of a module, and its arguments and result must pickle.
        """
        task = WorkUnderWay()
        with self._lock:
            self._under_way.add(task)
        told = Throttle(on_progress) if on_progress is not None else _tell_nobody
        run = self._kept.run if process else _run_here
        self._threads.submit(self._answer, task, partial(run, task, work, args, told), on_done, on_error)
        return task

    def close(self, *, finish: bool = False) -> None:
        """Let threads and processes go.

        Args:
            finish: do everything that was submitted first (the writer), instead of asking it to stop.
        """
        if not finish:
            with self._lock:
                under_way = list(self._under_way)
            for task in under_way:
                task.cancel()
        self._threads.shutdown(wait=True)
        self._kept.close()

    def _answer(
        self,
        task: WorkUnderWay,
        run: Callable[[], Any],
        on_done: Callable[[Any], None] | None,
        on_error: Callable[[BaseException], None] | None,
    ) -> None:
        try:
            result = _unless_cancelled(task, run)
        except BaseException as error:
            if on_error is not None:
                on_error(error)
        else:
            if on_done is not None:
                on_done(result)
        finally:
            with self._lock:
                self._under_way.discard(task)


class _KeptProcesses:
    """Spawned processes that stay warm between calls, with shared slots for progress and cancel."""

    def __init__(self, count: int) -> None:
        self._count = count
        self._lock = threading.Lock()
        self._pool: ProcessPoolExecutor | None = None
        self._shares: Any = None
        self._free = set(range(_SLOTS))

    def run(
        self,
        task: WorkUnderWay,
        work: Callable[..., Any],
        args: tuple[Any, ...],
        told: Callable[[float], None],
    ) -> Any:
        """Call work in a process and wait for it, passing progress and cancel to and fro."""
        pool, shares = self._started()
        with self._slot() as slot:
            shares[2 * slot] = shares[2 * slot + 1] = 0.0
            future = pool.submit(_run_in_process, slot, work, args)
            last = 0.0
            while not wait([future], timeout=LOOK_EVERY_S).done:
                if task.cancelled():
                    shares[2 * slot + 1] = 1.0
                    future.cancel()
                if shares[2 * slot] != last:
                    last = shares[2 * slot]
                    told(last)
            try:
                return future.result()
            except BrokenProcessPool as error:
                self.close()
                raise ShopError("The computing process stopped", "Please try again.") from error

    def close(self) -> None:
        """Let the processes go."""
        with self._lock:
            pool, self._pool = self._pool, None
        if pool is not None:
            pool.shutdown(wait=True, cancel_futures=True)

    @contextlib.contextmanager
    def _slot(self) -> Iterator[int]:
        with self._lock:
            slot = self._free.pop()
        try:
            yield slot
        finally:
            with self._lock:
                self._free.add(slot)

    def _started(self) -> tuple[ProcessPoolExecutor, Any]:
        with self._lock:
            if self._pool is None:
                spawn = multiprocessing.get_context("spawn")
                self._shares = spawn.Array("d", 2 * _SLOTS, lock=False)
                self._pool = ProcessPoolExecutor(
                    self._count, mp_context=spawn, initializer=_take_slots, initargs=(self._shares,)
                )
            return self._pool, self._shares


def _take_slots(slots: Any) -> None:
    global _slots
    _slots = slots


def _run_in_process(slot: int, work: Callable[..., Any], args: tuple[Any, ...]) -> Any:
    def told(share: float) -> None:
        _slots[2 * slot] = share

    def cancelled() -> bool:
        return bool(_slots[2 * slot + 1])

    return _call(work, args, told, cancelled)


def _run_here(
    task: WorkUnderWay, work: Callable[..., Any], args: tuple[Any, ...], told: Callable[[float], None]
) -> Any:
    return _call(work, args, told, task.cancelled)


def _call(
    work: Callable[..., Any],
    args: tuple[Any, ...],
    told: Callable[[float], None],
    cancelled: Callable[[], bool],
) -> Any:
    offered = {"progress": told, "cancelled": cancelled}
    return work(*args, **{name: offer for name, offer in offered.items() if name in _named(work)})


def _named(work: Callable[..., Any]) -> Collection[str]:
    """Names of the arguments a function takes; some built-in ones do not tell."""
    try:
        return inspect.signature(work).parameters
    except ValueError:
        return ()


def _unless_cancelled(task: WorkUnderWay, run: Callable[[], Any]) -> Any:
    if task.cancelled():
        raise CancelledError
    result = run()
    if task.cancelled():
        raise CancelledError
    return result


def _tell_nobody(_share: float) -> None:
    return None
