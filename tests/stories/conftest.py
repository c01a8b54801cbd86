"""What the stories in the window share."""

from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from printcrib.app.resources import resource_folder
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.theme import Theme


@pytest.fixture(scope="session")
def look(qapp: QApplication) -> Theme:
    """The shop's look, put on the application once."""
    return Theme(qapp, resource_folder())


@pytest.fixture
def theme(look: Theme) -> Theme:
    """The shop's look, light."""
    look.set_dark(False)
    return look


@pytest.fixture
def memory(tmp_path: Path) -> Memory:
    """An empty memory."""
    return Memory(tmp_path / "window.ini")
