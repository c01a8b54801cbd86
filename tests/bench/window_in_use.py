"""One window of its own process, watched: when it painted first, how much memory it takes, how live it stays.

Started by tests.bench.bench_window; prints one JSON object.
"""

import gc
import json
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

GAP_MS = 10
IDLE_S = 8.0


def rss_mb() -> float:
    """Resident memory of this process now, MB."""
    pages = int(Path("/proc/self/statm").read_text("ascii").split()[1])
    return pages * resource.getpagesize() / 1e6


def main(place: str, begun: float) -> None:
    """Open the window on a shop, wait for its first paint and its filled Desk, then keep it busy."""
    from PySide6.QtCore import QEvent, QObject

    from printcrib.app import window as app_window
    from printcrib.app.frame import Frame
    from printcrib.app.resources import resource_folder
    from printcrib.screens.shell.memory import Memory
    from printcrib.screens.shell.theme import Theme

    told: dict[str, Any] = {}

    class FirstPaint(QObject):
        """Notes when the window was painted first."""

        def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
            if event.type() == QEvent.Type.Paint and "first_paint_s" not in told:
                told["first_paint_s"] = time.time() - begun
                told["first_paint_mb"] = rss_mb()
            return False

    with tempfile.TemporaryDirectory() as folder:
        app = app_window.application()
        memory = Memory(Path(folder) / "window.ini")
        theme = Theme(app, resource_folder())
        frame = Frame(theme, memory)
        watcher = FirstPaint()
        frame.window.installEventFilter(watcher)
        wired = frame.open_behind(place, app_window.open_books_of)
        opened = app_window.open_window(wired, theme, memory, station="bench", frame=frame)
        opened.window.open_first_place()
        _until(lambda: "first_paint_s" in told)
        _until(lambda: not opened.background.busy)
        told["desk_filled_s"] = time.time() - begun
        told["desk_filled_mb"] = rss_mb()
        told["gaps"] = _gaps(opened)
        told["in_use_mb"] = rss_mb()
        opened.refresh.stop()
        opened.close()
    sys.stdout.write(json.dumps(told) + "\n")


def _until(done: Callable[[], bool]) -> None:
    """Let the event loop run until something is so."""
    from PySide6.QtCore import QEventLoop, QTimer

    loop = QEventLoop()
    look = QTimer(interval=5)
    look.timeout.connect(lambda: loop.quit() if done() else None)
    look.start()
    loop.exec()


class Gaps:
    """The gaps of a 10 ms timer, in ms."""

    def __init__(self) -> None:
        from PySide6.QtCore import Qt, QTimer

        self.all: list[float] = []
        self._last = time.perf_counter()
        self._timer = QTimer(interval=GAP_MS)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._tick)
        self._timer.start()

    def _tick(self) -> None:
        now = time.perf_counter()
        self.all.append(1000 * (now - self._last))
        self._last = now

    def figures(self) -> dict[str, float]:
        """How many, the 99.9th percentile and the longest; the list begins anew."""
        gaps, self.all = sorted(self.all), []
        return {
            "count": len(gaps),
            "p999_ms": gaps[min(len(gaps) - 1, round(0.999 * (len(gaps) - 1)))],
            "longest_ms": gaps[-1],
        }


def _gaps(opened: Any) -> dict[str, dict[str, float]]:
    """Gaps idle, then while planning, reading a model of 100,000 triangles, and setting the report."""
    from tests.bench.models import rippled_sphere

    from printcrib.meshes.writer import write_stl
    from printcrib.services.estimate_files import default_nozzles
    from printcrib.services.interfaces import Shop
    from printcrib.services.plan_runs import propose_plan
    from printcrib.services.weekly_report import week_pdf

    gc.collect()
    gc.freeze()
    content = write_stl(rippled_sphere(100_000))
    gaps = Gaps()
    found = {}
    end = time.perf_counter() + IDLE_S
    _until(lambda: time.perf_counter() > end)
    found["idle"] = gaps.figures()

    def read(shop: Shop) -> int:
        return len(shop.meshes.read(content, "sphere.stl").mesh.faces) + len(default_nozzles())

    works: dict[str, Callable[[], object]] = {
        "planning": lambda: opened.standing.act(
            lambda shop, press: propose_plan(shop, press), "planned", words="Planning", undoable=False
        ),
        "reading a model": lambda: opened.standing.look(read, lambda _: None, words="Reading"),
        "writing the PDF": lambda: opened.standing.look(week_pdf, lambda _: None, words="Setting"),
    }
    for name, start in works.items():
        gaps.all.clear()
        began = time.perf_counter()
        for _ in range(3):
            start()
            _until(lambda: not opened.background.busy)
        found[name] = {**gaps.figures(), "seconds": (time.perf_counter() - began) / 3}
    return found


if __name__ == "__main__":
    main(sys.argv[1], float(sys.argv[2]))
