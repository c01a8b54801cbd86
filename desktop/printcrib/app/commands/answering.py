"""How every command answers: JSON or plain lines on stdout, one sentence a refusal on stderr."""

import json
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from printcrib.app.station import read_station
from printcrib.core.errors import ShopError

if TYPE_CHECKING:
    from printcrib.app.wiring import Wired

REFUSED = 2
FAULT = 1


def say(words: str) -> None:
    """One line on stdout."""
    sys.stdout.write(words + "\n")


def refuse(error: ShopError | str) -> None:
    """One sentence on stderr."""
    sys.stderr.write(f"{error}\n")


def answer(data: Any, as_json: bool, lines: Callable[[], Sequence[str]]) -> None:
    """The answer of a command, as JSON or in words."""
    if as_json:
        say(json.dumps(data, indent=1, ensure_ascii=False))
    else:
        for line in lines():
            say(line)


def table(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows under each other, columns lined up."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))] if rows else []
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    ]


def content_of(file: Path) -> bytes:
    """All of a file.

    Raises:
        ShopError: it cannot be read.
    """
    try:
        return file.read_bytes()
    except OSError as error:
        raise ShopError(f"{file} cannot be read", "Check its name and try again.") from error


def place_of_shop(told: str | None) -> str:
    """Which shop a command means: the one told, else the one this PC opens.

    Raises:
        ShopError: neither is known.
    """
    place = told or read_station().shop
    if not place:
        raise ShopError("No shop is named", "Add --shop FOLDER, or open the window once and set one up.")
    return place


@contextmanager
def opened(told: str | None) -> Iterator["Wired"]:
    """The shop a command works on, closed behind it."""
    from printcrib.app.wiring import open_shop

    wired = open_shop(place_of_shop(told))
    try:
        yield wired
    finally:
        wired.close()
