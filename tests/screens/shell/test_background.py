"""Background work: results in the window's thread, changes told, problems said, cancel."""

import logging
import threading
from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QThread
from pytestqt.qtbot import QtBot
from tests.screens.fakes import FakeMessages, InlineWorker

from printcrib.app.workers import Workers
from printcrib.core.errors import ShopError
from printcrib.screens.shell.background import Background, left_words
from printcrib.screens.shell.refresh import Refresh
from printcrib.services.interfaces import Done


@pytest.fixture
def threads(qtbot: QtBot, messages: FakeMessages) -> Iterator[Background]:
    """Background work on real threads."""
    reader, writer = Workers(2), Workers(1)
    background = Background(reader, writer, messages)
    yield background
    reader.close()
    writer.close(finish=True)
    qtbot.waitUntil(lambda: not background.busy)


def test_300_results_all_arrive_in_the_windows_thread(qtbot: QtBot, threads: Background) -> None:
    came: list[int] = []
    here = QThread.currentThread()
    at: set[bool] = set()

    def done(number: int) -> None:
        came.append(number)
        at.add(QThread.currentThread() is here)

    for number in range(300):
        threads.read(lambda n: n, number, done=done)
    qtbot.waitUntil(lambda: len(came) == 300)
    assert sorted(came) == list(range(300))
    assert at == {True}
    assert not threads.busy


def test_changes_keep_their_order_and_are_told(qtbot: QtBot, threads: Background) -> None:
    order: list[int] = []
    told: list[frozenset[str]] = []
    threads.changed.connect(lambda things: told.append(things))

    def weigh(number: int) -> Done[None]:
        order.append(number)
        return Done(None, frozenset({"spools"}))

    for number in range(20):
        threads.change(weigh, number)
    qtbot.waitUntil(lambda: len(told) == 20)
    assert order == list(range(20))
    assert told[0] == {"spools"}


def test_a_shop_error_is_a_sentence_in_the_strip(
    qtbot: QtBot, background: Background, messages: FakeMessages
) -> None:
    def refuse() -> None:
        raise ShopError("S-121 has too few grams", "Mount another spool.")

    background.read(refuse)
    qtbot.waitUntil(lambda: not background.busy)
    assert messages.problems == ["S-121 has too few grams. Mount another spool."]


def test_a_page_may_take_the_error_itself(
    qtbot: QtBot, background: Background, messages: FakeMessages
) -> None:
    def refuse() -> None:
        raise ShopError("No such machine")

    taken: list[ShopError] = []
    background.read(refuse, failed=lambda error: taken.append(error))
    qtbot.waitUntil(lambda: bool(taken))
    assert messages.problems == []


def test_what_nobody_foresaw_is_logged_and_told_with_a_reference(
    qtbot: QtBot, background: Background, messages: FakeMessages, caplog: pytest.LogCaptureFixture
) -> None:
    def break_down() -> None:
        raise ZeroDivisionError("a wheel came off")

    with caplog.at_level(logging.ERROR):
        background.read(break_down)
        qtbot.waitUntil(lambda: not background.busy)
    assert messages.problems[0].startswith("Something broke; nothing was saved (reference ")
    reference = messages.problems[0].split("reference ")[1][:6]
    assert reference in caplog.text
    assert "a wheel came off" in caplog.text


def test_progress_is_shown_and_ends(qtbot: QtBot, background: Background, messages: FakeMessages) -> None:
    def plan(progress: Callable[[float], None]) -> str:
        progress(0.4)
        return "planned"

    came: list[str] = []
    background.read(plan, done=lambda result: came.append(result), words="Planning", process=True)
    qtbot.waitUntil(lambda: came == ["planned"])
    assert messages.busy_words == ["Planning", "Planning, 40 %"]
    assert messages.idle_count == 1


def test_cancelled_work_calls_nobody(qtbot: QtBot, messages: FakeMessages) -> None:
    worker = InlineWorker(held=True)
    background = Background(worker, worker, messages)
    came: list[int] = []
    work = background.read(lambda: 1, done=lambda n: came.append(n), words="Planning")
    background.cancel_all()
    assert work.cancelled
    worker.release()
    qtbot.waitUntil(lambda: not background.busy)
    assert came == []
    assert messages.problems == []


def test_cancelling_real_threads_stops_the_work(qtbot: QtBot, threads: Background) -> None:
    began = threading.Event()

    def wait(cancelled: Callable[[], bool]) -> None:
        began.set()
        while not cancelled():
            pass

    work = threads.read(wait)
    qtbot.waitUntil(began.is_set)
    work.cancel()
    qtbot.waitUntil(lambda: not threads.busy)


@pytest.mark.parametrize(
    ("seconds", "share", "words"),
    [
        (1.0, 0.5, ""),
        (10, 0.01, ""),
        (10, 1.0, ""),
        (10, 0.5, "about 10 s left"),
        (60, 0.25, "about 3 min left"),
    ],
)
def test_time_left_is_told_once_it_is_known(seconds: float, share: float, words: str) -> None:
    assert left_words(seconds, share) == words


class TestRefresh:
    def test_tells_what_changed_since_it_last_looked(self, qtbot: QtBot, background: Background) -> None:
        asked: list[int] = []

        def since(number: int) -> tuple[int, frozenset[str]]:
            asked.append(number)
            return 7, frozenset({"runs"}) if number < 7 else frozenset()

        refresh = Refresh(since, background, seen=3)
        with qtbot.waitSignal(refresh.changed) as told:
            refresh.look()
        assert told.args == [frozenset({"runs"})]
        assert refresh.seen == 7
        with qtbot.assertNotEmitted(refresh.changed):
            refresh.look()
            qtbot.waitUntil(lambda: not background.busy)
        assert asked == [3, 7]

    def test_never_asks_twice_at_a_time_and_looks_again_after_trouble(
        self, qtbot: QtBot, messages: FakeMessages
    ) -> None:
        worker = InlineWorker(held=True)
        background = Background(worker, worker, messages)
        answers: list[int] = []

        def since(number: int) -> tuple[int, frozenset[str]]:
            answers.append(number)
            raise OSError("the shop's disk is away")

        refresh = Refresh(since, background, every_ms=5)
        refresh.start()
        qtbot.waitUntil(lambda: bool(worker.waiting))
        refresh.look()
        assert len(worker.waiting) == 1
        refresh.stop()
        worker.release()
        qtbot.waitUntil(lambda: not background.busy)
        refresh.look()
        assert len(worker.waiting) == 1
        assert messages.problems == []
