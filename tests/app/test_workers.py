"""Threads and kept processes: every submit is answered once, progress is throttled, cancel is a flag."""

import os
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError
from queue import Queue
from typing import Any

import pytest

from printcrib.app.workers import Throttle, Workers
from printcrib.core.errors import ShopError
from printcrib.services.interfaces import Worker

Answers = Queue[tuple[str, Any]]


@pytest.fixture(scope="module")
def workers() -> Iterator[Workers]:
    made = Workers(2, 1)
    yield made
    made.close()


def ask(
    workers: Worker, answers: Answers, work: Callable[..., Any], *args: Any, process: bool = False
) -> Any:
    return workers.submit(
        work,
        *args,
        on_done=lambda result: answers.put(("done", result)),
        on_error=lambda error: answers.put(("error", error)),
        on_progress=lambda share: answers.put(("progress", share)),
        process=process,
    )


def process_number() -> int:
    return os.getpid()


def halves(count: int, progress: Callable[[float], None]) -> int:
    for step in range(count):
        progress((step + 1) / count)
    return count


def until_cancelled(progress: Callable[[float], None], cancelled: Callable[[], bool]) -> str:
    progress(0.5)
    while not cancelled():
        pass
    return "stopped early"


def refuse() -> None:
    raise ShopError("Not like this", "Do it so.")


def die() -> None:
    os._exit(3)


@pytest.mark.parametrize("process", [False, True], ids=["thread", "process"])
class TestBoth:
    def test_answers(self, workers: Workers, process: bool) -> None:
        answers: Answers = Queue()
        ask(workers, answers, max, 3, 8, process=process)
        assert answers.get(timeout=60) == ("done", 8)

    def test_says_what_went_wrong(self, workers: Workers, process: bool) -> None:
        answers: Answers = Queue()
        ask(workers, answers, refuse, process=process)
        kind, error = answers.get(timeout=60)
        assert kind == "error"
        assert isinstance(error, ShopError)

    def test_progress_then_cancel(self, workers: Workers, process: bool) -> None:
        answers: Answers = Queue()
        task = ask(workers, answers, until_cancelled, process=process)
        assert answers.get(timeout=60) == ("progress", 0.5)
        task.cancel()
        kind, error = answers.get(timeout=60)
        assert kind == "error"
        assert isinstance(error, CancelledError)


def test_a_process_is_kept_warm_and_is_not_this_one(workers: Workers) -> None:
    answers: Answers = Queue()
    numbers = set()
    for _ in range(3):
        ask(workers, answers, process_number, process=True)
        numbers.add(answers.get(timeout=60)[1])
    assert len(numbers) == 1
    assert numbers != {os.getpid()}


def test_a_process_that_dies_is_one_sentence_and_the_next_call_works(workers: Workers) -> None:
    answers: Answers = Queue()
    ask(workers, answers, die, process=True)
    kind, error = answers.get(timeout=60)
    assert kind == "error"
    assert isinstance(error, ShopError)
    ask(workers, answers, max, 1, 2, process=True)
    assert answers.get(timeout=60) == ("done", 2)


def test_one_thread_keeps_the_order(workers: Workers) -> None:
    writer = Workers(1)
    order: list[int] = []
    for number in range(50):
        writer.submit(order.append, number)
    writer.close(finish=True)
    assert order == list(range(50))


def test_closing_cancels_what_waits_and_what_runs() -> None:
    closing = Workers(1)
    answers: Answers = Queue()
    began = threading.Event()

    def hold(cancelled: Callable[[], bool]) -> None:
        began.set()
        while not cancelled():
            pass

    ask(closing, answers, hold)
    ask(closing, answers, process_number)
    assert began.wait(30)
    closing.close()
    assert [answers.get(timeout=30)[0] for _ in range(2)] == ["error", "error"]


def test_progress_is_passed_on_ten_times_a_second_and_at_the_end() -> None:
    moments = iter([0.0, 0.04, 0.09, 0.11, 0.15, 0.30, 0.31])
    told: list[float] = []
    throttle = Throttle(lambda share: told.append(share), now=lambda: next(moments))
    for share in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 1.0):
        throttle(share)
    assert told == [0.1, 0.4, 0.6, 1.0]


def test_steps_of_a_process_end_with_the_answer(workers: Workers) -> None:
    answers: Answers = Queue()
    ask(workers, answers, halves, 4, process=True)
    kind, result = answers.get(timeout=60)
    while kind == "progress":
        kind, result = answers.get(timeout=60)
    assert (kind, result) == ("done", 4)
