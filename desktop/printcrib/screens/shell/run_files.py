"""Saving a run for whatever makes the print file: one file, or a folder of models. Without Qt."""

from pathlib import Path
from typing import Protocol

from printcrib.screens.parts.write_files import named, write_whole
from printcrib.screens.shell.standing import Standing
from printcrib.services.save_run_files import run_3mf, run_folder


class Where(Protocol):
    """Asks where files go."""

    def ask_file(self, name: str) -> Path | None:
        """Where one file goes; None when the person thinks better of it."""
        ...

    def ask_folder(self) -> Path | None:
        """Where a folder of files goes."""
        ...


class RunFiles:
    """Writes a run's files where a person says, in the background."""

    def __init__(self, standing: Standing, where: Where) -> None:
        self._standing, self._where = standing, where

    def save_3mf(self, run_id: int, number: int) -> None:
        """All copies of a run in place, in one file."""
        target = self._where.ask_file(f"run {number}.3mf")
        if target is None:
            return
        path = named(target, ".3mf")
        self._standing.look(
            lambda shop: write_whole({path: run_3mf(shop, run_id)}),
            lambda _count: self._standing.messages.say(f"Run {number} saved as {path.name}."),
            words="Making the file",
        )

    def save_folder(self, run_id: int, number: int) -> None:
        """The models of a run, one file a copy."""
        folder = self._where.ask_folder()
        if folder is None:
            return
        self._standing.look(
            lambda shop: write_whole({folder / name: stl for name, stl in run_folder(shop, run_id).items()}),
            lambda count: self._standing.messages.say(f"{count} models of run {number} saved."),
            words="Writing the models",
        )
