"""The print file of a run, read in the background and given to it. Without Qt."""

from collections.abc import Callable
from pathlib import Path

from printcrib.core.errors import ShopError
from printcrib.core.estimating.moves import refuse_size
from printcrib.core.runs import Run
from printcrib.core.units import duration_words, grams_words
from printcrib.screens.shell.standing import Standing
from printcrib.services.give_print_file import RunFile, give_print_file, read_for_run
from printcrib.services.interfaces import Shop


class PrintFiles:
    """Reads print files where somebody chose or dropped one."""

    def __init__(self, standing: Standing) -> None:
        self._standing = standing

    def read(
        self, run_id: int, path: str, then: Callable[[RunFile], None], failed: Callable[[ShopError], None]
    ) -> None:
        """Read a file of this PC for a run; nothing is booked."""
        file = Path(path)

        def work(
            shop: Shop,
            progress: Callable[[float], None] | None = None,
            cancelled: Callable[[], bool] | None = None,
        ) -> RunFile:
            return read_for_run(shop, run_id, _content(file), file.name, progress, cancelled)

        self._standing.look(work, then, failed=failed, words=f"Reading {file.name}")

    def give(self, run_id: int, file: RunFile, then: Callable[[Run], None]) -> None:
        """A run on its printer takes it."""
        figures = f"{duration_words(round(file.minutes))} and {grams_words(file.mg)}"
        self._standing.act(
            lambda shop, press: give_print_file(shop, press, run_id, file),
            lambda run: f"Run {run.number} takes {figures}, by its print file.",
            then=then,
        )


def _content(file: Path) -> bytes:
    """The bytes of a file on this PC.

    Raises:
        ShopError: it is not there, cannot be read, or is too large.
    """
    try:
        refuse_size(file.stat().st_size, file.name)
        return file.read_bytes()
    except OSError:
        raise ShopError(f"{file.name} cannot be read from {file.parent}", "Choose the file again.") from None
