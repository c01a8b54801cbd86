"""Choosing a file or a folder: the shop's look and sizes, and what comes back."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QHeaderView, QLineEdit, QPushButton, QToolButton, QWidget
from pytestqt.qtbot import QtBot

from printcrib.screens.parts.pick_file import MODEL_FILES, ask_folder_path, ask_new_path, ask_path
from printcrib.screens.shell.theme import Theme

SMALLEST_PX = 48


@pytest.fixture
def parent(theme: Theme, qtbot: QtBot) -> QWidget:
    widget = QWidget()
    qtbot.addWidget(widget)
    return widget


def answered(monkeypatch: pytest.MonkeyPatch, answer: Callable[[QFileDialog], None]) -> None:
    """Let the dialog be shown and answered instead of waiting for hands."""

    def shown(dialog: QFileDialog) -> int:
        dialog.show()
        answer(dialog)
        return dialog.result()

    monkeypatch.setattr(QFileDialog, "exec", shown)


def typed(words: str) -> Callable[[QFileDialog], None]:
    """Somebody types a name and accepts."""

    def answer(dialog: QFileDialog) -> None:
        dialog.findChildren(QLineEdit)[-1].setText(words)
        dialog.accept()

    return answer


def test_a_file_is_chosen_by_its_name(
    parent: QWidget, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "one.stl").write_bytes(b"solid")
    answered(monkeypatch, typed(str(tmp_path / "one.stl")))
    assert ask_path(parent, "Choose a model file", MODEL_FILES) == str(tmp_path / "one.stl")


def test_nothing_chosen_is_nothing(parent: QWidget, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    answered(monkeypatch, QFileDialog.reject)
    assert ask_path(parent, "Choose a model file", MODEL_FILES) == ""
    assert ask_new_path(parent, "Save", str(tmp_path / "a.pdf"), "PDF (*.pdf)") == ""
    assert ask_folder_path(parent, "Save in", str(tmp_path)) == ""


def test_a_new_name_gets_its_ending(parent: QWidget, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    answered(monkeypatch, typed("week"))
    chosen = ask_new_path(parent, "Save the PDF", str(tmp_path / "print-desk.pdf"), "PDF (*.pdf)")
    assert chosen == str(tmp_path / "week.pdf")


def test_a_folder_is_chosen(parent: QWidget, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    answered(monkeypatch, lambda dialog: dialog.accept())
    assert ask_folder_path(parent, "Save in", str(tmp_path)) == str(tmp_path)


def test_everything_on_it_is_large_enough_and_has_a_name(
    parent: QWidget, each_theme: Theme, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[str] = []

    def look(dialog: QFileDialog) -> None:
        for button in (*dialog.findChildren(QPushButton), *dialog.findChildren(QToolButton)):
            if button.isVisible() and button.parent() is dialog:
                assert min(button.width(), button.height()) >= SMALLEST_PX, button.objectName()
                seen.append(button.accessibleName() or button.text().replace("&", ""))
        assert not any(header.isVisible() for header in dialog.findChildren(QHeaderView))
        dialog.reject()

    answered(monkeypatch, look)
    ask_new_path(parent, "Save the PDF", str(tmp_path / "a.pdf"), "PDF (*.pdf)")
    assert {"Folder of before", "Folder above", "New folder"} <= set(seen)
    assert len(seen) >= 3
    assert all(seen)
