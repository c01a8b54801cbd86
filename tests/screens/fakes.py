"""Stand-ins for what a screen talks to."""

import inspect
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeVar

from printcrib.core.errors import ShopError
from printcrib.screens.shell.messages import Answer

T = TypeVar("T")


@dataclass
class FakeMessages:
    """Remembers what a person was told."""

    said: list[str] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    answers: list[Answer | None] = field(default_factory=list)
    busy_words: list[str] = field(default_factory=list)
    idle_count: int = 0
    next_words: str = ""

    def say(self, sentence: str, answer: Answer | None = None, icon: str = "done") -> None:
        self.said.append(sentence)
        self.answers.append(answer)

    def problem(self, error: ShopError | str, answer: Answer | None = None) -> None:
        self.problems.append(str(error))
        self.answers.append(answer)

    def busy(
        self,
        words: str,
        percent: int | None = None,
        left: str = "",
        cancel: Callable[[], None] | None = None,
    ) -> None:
        self.busy_words.append(words if percent is None else f"{words}, {percent} %")

    def idle(self) -> None:
        self.idle_count += 1

    def set_next(self, words: str) -> None:
        self.next_words = words


class FakeTask:
    """Work that is over already, or held back."""

    def __init__(self) -> None:
        self.cancelled = False

    def cancel(self) -> None:
        self.cancelled = True


class InlineWorker:
    """Does the work at once in the caller's thread; `held` keeps it until `release`."""

    def __init__(self, *, held: bool = False) -> None:
        self.held = held
        self.waiting: list[Callable[[], None]] = []
        self.processes: list[bool] = []

    def submit(
        self,
        work: Callable[..., T],
        *args: Any,
        on_done: Callable[[T], None] | None = None,
        on_error: Callable[[BaseException], None] | None = None,
        on_progress: Callable[[float], None] | None = None,
        process: bool = False,
    ) -> FakeTask:
        task = FakeTask()
        self.processes.append(process)
        offered = {"progress": on_progress or (lambda _share: None), "cancelled": lambda: task.cancelled}
        named = inspect.signature(work).parameters

        def run() -> None:
            try:
                result = work(*args, **{k: v for k, v in offered.items() if k in named})
            except Exception as error:
                if on_error is not None:
                    on_error(error)
            else:
                if on_done is not None:
                    on_done(result)

        if self.held:
            self.waiting.append(run)
        else:
            run()
        return task

    def release(self) -> None:
        """Do what was held back."""
        waiting, self.waiting = self.waiting, []
        for run in waiting:
            run()
