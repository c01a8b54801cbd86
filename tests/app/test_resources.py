"""The shipped files are found in a clone, an installed package and a frozen folder."""

import sys
from pathlib import Path

import pytest

import printcrib.app.resources as resources


def test_found_in_this_clone() -> None:
    folder = resources.resource_folder()
    assert (folder / "fonts" / "Inter-Regular.otf").is_file()


def test_an_installed_package_has_them_under_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "printcrib"
    (package / "resources" / "fonts").mkdir(parents=True)
    (package / "app").mkdir()
    monkeypatch.setattr(resources, "__file__", str(package / "app" / "resources.py"))
    assert resources.resource_folder() == package / "resources"


def test_a_frozen_folder_comes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "resources" / "fonts").mkdir(parents=True)
    monkeypatch.setattr(sys, "_MEIPASS", str(tmp_path), raising=False)
    assert resources.resource_folder() == tmp_path / "resources"


def test_without_them_there_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(resources, "__file__", str(tmp_path / "a" / "b" / "resources.py"))
    with pytest.raises(FileNotFoundError, match="install Printcrib again"):
        resources.resource_folder()
