"""The first thing that runs: the window at once, everything else through the command line."""

import os
import sys
from collections.abc import Sequence

from printcrib.app.commands.answering import REFUSED, refuse
from printcrib.core.errors import ShopError

SHOP = "--shop"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run what was asked for and give the exit code; a refusal is one sentence on stderr.

    The window does not wait for the command line, whose library takes a third of the time to the first paint.
    """
    words = list(sys.argv[1:] if arguments is None else arguments)
    if not asks_for_the_window(words):
        from printcrib.app.command_line import main as command_line

        return command_line(words)
    try:
        return open_the_window(words[-1].removeprefix(f"{SHOP}=") if words else None)
    except ShopError as error:
        refuse(error)
        return REFUSED


def asks_for_the_window(words: Sequence[str]) -> bool:
    """Whether nothing is asked for, or only which shop."""
    if len(words) == 1:
        return words[0].startswith(f"{SHOP}=")
    return not words or (len(words) == 2 and words[0] == SHOP and not words[1].startswith("-"))


def open_the_window(place: str | None) -> int:
    """Open the window on a shop, None for the one this PC opened last.

    Raises:
        ShopError: the shop cannot be opened.
    """
    do_without_a_screen()
    from printcrib.app.live_window import keep_imports_quick

    keep_imports_quick()
    from printcrib.app.window import run_window

    return run_window(place)


def do_without_a_screen() -> None:
    """Let Qt draw into memory where there is no screen, without complaining at every window."""
    if sys.platform.startswith("linux") and not (
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    ):
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        os.environ.setdefault("QT_LOGGING_RULES", "qt.qpa.offscreen=false")
