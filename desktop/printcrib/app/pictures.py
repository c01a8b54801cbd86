"""Take pictures of the window's places, for the demo and for people who look at them."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEventLoop, QTimer

from printcrib.app.resources import resource_folder
from printcrib.app.window import OpenWindow, application, open_window
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.places import PLACE_WORDS
from printcrib.screens.shell.theme import Theme

if TYPE_CHECKING:
    from printcrib.app.wiring import Wired


def settle(opened: OpenWindow, longest_ms: int = 20_000) -> None:
    """Let the event loop run until nothing is under way any more."""
    loop = QEventLoop()
    quiet = QTimer(interval=60)
    calm = [0]

    def look() -> None:
        calm[0] = 0 if opened.background.busy else calm[0] + 1
        if calm[0] >= 3:
            loop.quit()

    quiet.timeout.connect(look)
    quiet.start()
    QTimer.singleShot(longest_ms, loop.quit)
    loop.exec()


def take_pictures(
    wired: "Wired",
    folder: Path,
    sizes: Sequence[tuple[int, int]] = ((1280, 720), (1920, 1080)),
    looks: Sequence[str] = ("light", "dark"),
) -> list[Path]:
    """A picture of each of the nine places in every size and look."""
    app = application()
    folder.mkdir(parents=True, exist_ok=True)
    taken: list[Path] = []
    for look in looks:
        theme = Theme(app, resource_folder(), dark=look == "dark")
        for width, height in sizes:
            opened = open_window(wired, theme, Memory(folder / ".window.ini"), station="pictures")
            opened.window.setFixedSize(width, height)
            opened.window.show()
            for place_id, _ in PLACE_WORDS:
                opened.window.open_place(place_id)
                settle(opened)
                path = folder / f"{place_id}_{width}x{height}_{look}.png"
                opened.window.grab().save(str(path))
                taken.append(path)
            opened.window.hide()
            opened.refresh.stop()
            opened.writer.close(finish=True)
            opened.window.deleteLater()
        theme.deleteLater()
    (folder / ".window.ini").unlink(missing_ok=True)
    return taken
