"""Estimates by paths behind the window: one model after another, each tried once."""

from collections.abc import Callable
from typing import Any

import pytest
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot
from tests.screens.fakes import FakeMessages, InlineWorker

from printcrib.app import refining as module
from printcrib.app.refining import WORDS, Refining
from printcrib.core.errors import ShopError
from printcrib.screens.shell.background import Background
from printcrib.services.done import Done
from printcrib.services.refine_estimates import Refined, Waiting

ONE, TWO = Waiting(1, 1, (11, 12)), Waiting(2, 1, (21,))


class Books:
    """What waits, what was worked out and what was kept."""

    def __init__(self) -> None:
        self.waiting = [ONE, TWO]
        self.refined: list[Waiting] = []
        self.kept: list[int] = []
        self.broken = False
        self.unreadable = False

    def waits(self, _shop: object) -> tuple[Waiting, ...]:
        if self.unreadable:
            raise ShopError("The shop is locked", "Wait.")
        return tuple(self.waiting)

    def refine(self, _shop: object, wanted: Waiting) -> Refined:
        self.refined.append(wanted)
        if self.broken:
            raise ShopError("The file is gone", "Look for it.")
        return Refined(wanted.model_id, wanted.material_id, {})

    def keep(self, _shop: object, _press: object, refined: Refined) -> Done[tuple[()]]:
        self.kept.append(refined.model_id)
        self.waiting = [each for each in self.waiting if each.model_id != refined.model_id]
        return Done((), frozenset({"estimates"}))


@pytest.fixture
def books(monkeypatch: pytest.MonkeyPatch) -> Books:
    books = Books()
    for name, work in (
        ("waiting_for_paths", books.waits),
        ("refine", books.refine),
        ("keep_refined", books.keep),
    ):
        monkeypatch.setattr(module, name, work)
    return books


@pytest.fixture
def made(qapp: object, books: Books) -> Callable[..., tuple[Refining, Background, FakeMessages]]:
    keep: list[Any] = []

    def make(worker: InlineWorker | None = None) -> tuple[Refining, Background, FakeMessages]:
        messages, parent = FakeMessages(), QObject()
        background = Background(worker or InlineWorker(), InlineWorker(), messages, parent)
        refining = Refining(background, object(), "station", parent)  # type: ignore[arg-type]
        keep.append((parent, background, refining))
        return refining, background, messages

    return make


Made = Callable[..., tuple[Refining, Background, FakeMessages]]


def test_everything_that_waits_is_worked_out_in_turn(qtbot: QtBot, books: Books, made: Made) -> None:
    refining, background, messages = made()
    refining.look()
    qtbot.waitUntil(lambda: books.kept == [1, 2] and not background.busy)
    assert books.refined == [ONE, TWO]
    assert WORDS in messages.busy_words
    assert not refining.under_way


def test_quick_estimates_kept_later_are_seen(qtbot: QtBot, books: Books, made: Made) -> None:
    _refining, background, _messages = made()
    background.changed.emit(frozenset({"spools"}))
    assert not background.busy
    background.changed.emit(frozenset({"estimates"}))
    qtbot.waitUntil(lambda: books.kept == [1, 2] and not background.busy)


def test_what_cannot_be_worked_out_is_tried_once(qtbot: QtBot, books: Books, made: Made) -> None:
    books.broken = True
    refining, background, messages = made()
    refining.look()
    qtbot.waitUntil(lambda: len(books.refined) == 2 and not background.busy)
    assert (books.kept, messages.problems) == ([], [])
    refining.look()
    qtbot.waitUntil(lambda: not background.busy)
    assert len(books.refined) == 2


def test_books_that_cannot_be_read_are_left_until_the_next_change(
    qtbot: QtBot, books: Books, made: Made
) -> None:
    books.unreadable = True
    refining, background, messages = made()
    refining.look()
    qtbot.waitUntil(lambda: not background.busy)
    assert (refining.under_way, messages.problems) == (False, [])
    books.unreadable = False
    refining.look()
    qtbot.waitUntil(lambda: books.kept == [1, 2] and not background.busy)


def test_only_one_is_under_way_and_a_cancelled_one_is_not_begun_again(
    qtbot: QtBot, books: Books, made: Made
) -> None:
    worker = InlineWorker(held=True)
    refining, background, _messages = made(worker)
    refining.look()
    refining.look()
    assert len(worker.waiting) == 1
    worker.release()
    qtbot.waitUntil(lambda: len(worker.waiting) == 1)  # the first model is begun
    background.cancel_all()
    assert not refining.under_way
    worker.held = False
    refining.look()
    qtbot.waitUntil(lambda: books.kept == [2])
    assert books.refined == [TWO]
    worker.release()
    qtbot.waitUntil(lambda: not background.busy)
    assert books.kept == [2]
