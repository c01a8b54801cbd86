"""Kills a real process at a random moment of its work, as a pulled plug on the desk would.

The work is a function named as "module:function" and called as

    work(folder, ready, say, *arguments)

in a process of its own: it prepares itself (opens the books), calls `ready()`, which waits for the start,
and then does what is to be interrupted. After each thing that was acknowledged it calls `say("...")`; what
was said is known here even when the process is dead. Where the system can, processes are forked from one
that has the program loaded, so that a thousand kills take minutes. The function lives in another module
than the command that kills it, since that one is the processes' main module too.
"""

import multiprocessing
import time
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from multiprocessing.connection import Connection
from pathlib import Path
from random import Random
from typing import Any

READY, DONE = "\0ready", "\0done"
PATIENCE_SECONDS = 60.0


@dataclass(frozen=True)
class Outcome:
    """What became of one process.

    Attributes:
        said: what it acknowledged, in order. killed: False when it came to its end first.
        seconds: from the start of the work to the end or the kill.
    """

    said: tuple[str, ...]
    killed: bool
    seconds: float


def _function(work: str) -> Callable[..., None]:
    module, name = work.split(":")
    function: Callable[..., None] = getattr(import_module(module), name)
    return function


def _live(work: str, folder: str, arguments: tuple[Any, ...], pipe: Connection) -> None:
    """What the process does."""

    def ready() -> None:
        pipe.send(READY)
        pipe.recv()

    _function(work)(folder if "://" in folder else Path(folder), ready, pipe.send, *arguments)
    pipe.send(DONE)


def quick_processes(*modules: str) -> Any:
    """How processes are started: forked from one that has these modules loaded, where the system can."""
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([__name__, *modules])
    return context


class Killer:
    """Starts one kind of work again and again and kills it.

    Args:
        work: "module:function".
        seed: of the random moments, so that a run can be repeated as far as the system allows.
    """

    def __init__(self, work: str, seed: int = 1) -> None:
        self.work, self.random = work, Random(seed)
        self._context = quick_processes(work.split(":")[0])

    def finish(self, folder: Path | str, *arguments: Any) -> Outcome:
        """Let the work come to its end; says how long it takes."""
        return self._run(folder, arguments, None)

    def kill(self, folder: Path | str, *arguments: Any, within_seconds: float) -> Outcome:
        """Kill the work at a random moment of its first so many seconds."""
        return self._run(folder, arguments, self.random.uniform(0.0, within_seconds))

    def _run(self, folder: Path | str, arguments: tuple[Any, ...], seconds: float | None) -> Outcome:
        ours, theirs = self._context.Pipe()
        process = self._context.Process(target=_live, args=(self.work, str(folder), arguments, theirs))
        process.start()
        theirs.close()
        said: list[str] = []
        try:
            if not ours.poll(PATIENCE_SECONDS) or ours.recv() != READY:
                raise RuntimeError(f"{self.work} was not ready in {PATIENCE_SECONDS:g} s")
            started = time.perf_counter()
            ours.send("go")
            killed = not self._listen(ours, said, None if seconds is None else started + seconds)
            process.kill()
            took = time.perf_counter() - started
            process.join()
            self._listen(ours, said, None)
        finally:
            process.kill()
            process.join()
            process.close()
            ours.close()
        if seconds is None and killed:
            raise RuntimeError(f"{self.work} ended with an error")
        return Outcome(tuple(said), killed, took)

    def _listen(self, pipe: Connection, said: list[str], until: float | None) -> bool:
        """Collect what is said up to a moment; whether the work came to its end."""
        while until is None or time.perf_counter() < until:
            try:
                if pipe.poll(None if until is None else max(0.0, until - time.perf_counter())):
                    word = pipe.recv()
                    if word == DONE:
                        return True
                    said.append(word)
            except (EOFError, OSError):
                return False
        return False
