"""A run's files go where a person says, whole or not at all."""

from dataclasses import dataclass, field
from pathlib import Path

import pytest
from tests.screens.desk.shop import AtWork, at_work

from printcrib.screens.shell.run_files import RunFiles


@dataclass
class Answering:
    """A person who says where files go, or thinks better of it."""

    folder: Path
    names: list[str] = field(default_factory=list)
    chooses: bool = True

    def ask_file(self, name: str) -> Path | None:
        self.names.append(name)
        return self.folder / "saved" if self.chooses else None

    def ask_folder(self) -> Path | None:
        return self.folder if self.chooses else None


@pytest.fixture
def work() -> AtWork:
    work = at_work()
    work.ask(2)
    return work


@pytest.fixture
def person(tmp_path: Path) -> Answering:
    return Answering(tmp_path)


@pytest.fixture
def files(work: AtWork, person: Answering) -> RunFiles:
    return RunFiles(work.standing, person)


def test_one_file(work: AtWork, files: RunFiles, person: Answering) -> None:
    files.save_3mf(1, 1)
    assert person.names == ["run 1.3mf"]
    assert (person.folder / "saved.3mf").exists()
    assert work.messages.said == ["Run 1 saved as saved.3mf."]


def test_a_folder(work: AtWork, files: RunFiles, person: Answering) -> None:
    files.save_folder(1, 1)
    assert sorted(path.name for path in person.folder.iterdir()) == ["R 1-1.stl", "R 1-2.stl"]
    assert work.messages.said == ["2 models of run 1 saved."]


def test_thinking_better_of_it(work: AtWork, files: RunFiles, person: Answering) -> None:
    person.chooses = False
    files.save_3mf(1, 1)
    files.save_folder(1, 1)
    assert list(person.folder.iterdir()) == []
    assert work.messages.said == []


def test_a_place_that_cannot_be_written(work: AtWork, files: RunFiles, person: Answering) -> None:
    person.folder = person.folder / "nowhere"
    files.save_3mf(1, 1)
    assert work.messages.problems[0].endswith("cannot be written. Choose another folder.")
