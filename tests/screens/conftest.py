"""What the tests of all screens share: the look on the application, and stand-ins."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from tests.screens.fakes import FakeMessages, InlineWorker

from printcrib.app.resources import resource_folder
from printcrib.screens.shell.background import Background
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.theme import Theme


@pytest.fixture(scope="session")
def look(qapp: QApplication) -> Theme:
    """The shop's look, put on the application once."""
    return Theme(qapp, resource_folder())


@pytest.fixture
def theme(look: Theme) -> Iterator[Theme]:
    """The shop's look, light at the start of every test."""
    look.set_dark(False)
    yield look
    look.set_dark(False)


@pytest.fixture(params=["light", "dark"])
def each_theme(request: pytest.FixtureRequest, theme: Theme) -> Theme:
    """The look in light, then in dark."""
    theme.set_dark(request.param == "dark")
    return theme


@pytest.fixture
def messages() -> FakeMessages:
    """Remembers what a person was told."""
    return FakeMessages()


@pytest.fixture
def worker() -> InlineWorker:
    """Does background work at once."""
    return InlineWorker()


@pytest.fixture
def background(qapp: QApplication, worker: InlineWorker, messages: FakeMessages) -> Background:
    """Background work on the worker above; results arrive with the next turn of the event loop."""
    return Background(worker, worker, messages)


@pytest.fixture
def memory(tmp_path: Path) -> Memory:
    """An empty memory."""
    return Memory(tmp_path / "window.ini")
