"""The real window in a process of its own, watched: first paint, memory, and how live it stays in use.

Started by tests.bench.bench_window. Runs what `printcrib --shop PLACE` runs; what is watched
is watched from outside, by an event filter and a timer. Prints one JSON object.
"""

import json
import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt, QTimer

from printcrib.app import start
from printcrib.app.live_window import keep_imports_quick

if TYPE_CHECKING:
    from printcrib.app.window import OpenWindow
    from printcrib.services.interfaces import Done, Shop
    from printcrib.services.press import Press

GAP_MS = 10
PHASE_S = 8.0
TRIANGLES = 100_000
Start = Callable[[], object]


def memory_mb(what: str) -> float:
    """Resident memory of this process, now (VmRSS) or at its highest (VmHWM), MB."""
    lines = Path("/proc/self/status").read_text("ascii").splitlines()
    told = next(line for line in lines if line.startswith(f"{what}:"))
    return int(told.split()[1]) * 1024 / 1e6


class Watch(QObject):
    """Sees the first paint, and counts the gaps of a 10 ms timer from the start on.

    Attributes:
        told: what was measured so far.
    """

    def __init__(self, begun: float) -> None:
        super().__init__()
        self._begun = begun
        self._gaps: list[float] = []
        self._last = time.perf_counter()
        self.told: dict[str, Any] = {"gaps": {}}
        self._timer = QTimer(self, interval=GAP_MS, timerType=Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._tick)
        self._timer.start()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        if event.type() == QEvent.Type.Paint and type(watched).__name__ == "ShopWindow":
            QCoreApplication.instance().removeEventFilter(self)  # type: ignore[union-attr]
            self.note("first_paint")
        return False

    def note(self, name: str) -> None:
        """How long it took from the start of the process, and its memory now."""
        self.told[f"{name}_s"] = time.time() - self._begun
        self.told[f"{name}_mb"] = memory_mb("VmRSS")
        self.told[f"{name}_cpu_s"] = time.process_time()

    def begin(self) -> None:
        """Forget the gaps so far."""
        self._gaps.clear()

    def end(self, name: str, seconds: float) -> None:
        """Keep the gaps under a name."""
        gaps = sorted(self._gaps)
        at = min(len(gaps) - 1, round(0.999 * (len(gaps) - 1)))
        self.told["gaps"][name] = {"p999_ms": gaps[at], "longest_ms": gaps[-1], "seconds": seconds}
        self.told["gaps"][name]["mb"] = memory_mb("VmRSS")

    def _tick(self) -> None:
        now = time.perf_counter()
        self._gaps.append(1000 * (now - self._last))
        self._last = now


class Use:
    """Waits for the Desk, then does one kind of work after the other, each for some seconds, and closes."""

    def __init__(self, watch: Watch, opened: "OpenWindow") -> None:
        self._watch, self._opened = watch, opened
        self._steps = self._whole()
        self._timer = QTimer(opened.window, interval=GAP_MS)
        self._timer.timeout.connect(self._step)
        self._timer.start()

    def _step(self) -> None:
        if next(self._steps, "over") == "over":
            self._timer.stop()
            self._opened.window.close()

    def _whole(self) -> Iterator[None]:
        yield from self._until_done()
        self._watch.note("desk_filled")
        to_do = works(self._opened)
        yield from self._for_a_while()  # the duties of the first seconds are over
        self._watch.begin()
        yield from self._for_a_while()
        self._watch.end("idle", 0.0)
        for name, begin in to_do.items():
            self._watch.begin()
            times, began = 0, time.perf_counter()
            while times < 3 or time.perf_counter() - began < PHASE_S:
                begin()
                times += 1
                yield from self._until_done()
            self._watch.end(name, (time.perf_counter() - began) / times)
        self._watch.note("in_use")
        self._watch.told["peak_mb"] = memory_mb("VmHWM")

    def _until_done(self) -> Iterator[None]:
        yield
        while self._opened.background.busy:
            yield

    def _for_a_while(self) -> Iterator[None]:
        end = time.perf_counter() + PHASE_S
        while time.perf_counter() < end:
            yield


def works(opened: "OpenWindow") -> dict[str, Start]:
    """What the window does in the background while somebody uses it, as the screens ask for it."""
    from printcrib.screens.run_sheet.presenter import planned_anew
    from printcrib.services.do_duties import do_duties
    from printcrib.services.plan_runs import repair_plan
    from printcrib.services.weekly_report import week_pdf

    standing, content = opened.standing, _sphere()

    def mend(shop: "Shop", press: "Press") -> "Done[Any]":
        return repair_plan(shop, press)

    def look(work: "Callable[[Shop], object]", words: str) -> Start:
        return lambda: standing.look(work, _nothing, failed=_broken, words=words)

    def act(work: "Callable[[Shop, Press], Done[Any]]", words: str = "") -> Start:
        return lambda: standing.act(work, "Done.", undoable=False, failed=_broken, words=words)

    return {
        "planning": act(planned_anew, "Planning"),
        "mending the plan": act(mend),
        "reading a model": look(_read_and_estimate(content), "Reading"),
        "writing the PDF": look(week_pdf, "Setting the report"),
        "the tool's own duties": act(do_duties),
    }


def _sphere() -> bytes:
    """Made in another process, so that what it takes is not counted here."""
    import subprocess

    words = (
        "import sys; from tests.bench.models import rippled_sphere\n"
        "from printcrib.meshes.writer import write_stl"
        f"\nsys.stdout.buffer.write(write_stl(rippled_sphere({TRIANGLES})))"
    )
    return subprocess.run([sys.executable, "-c", words], check=True, stdout=subprocess.PIPE).stdout


def _read_and_estimate(content: bytes) -> "Callable[[Shop], int]":
    from printcrib.services.answer_form import estimate_form, read_form_file
    from printcrib.services.read_model import ModelFile

    def work(shop: "Shop") -> int:
        return len(estimate_form(shop, read_form_file(shop, ModelFile(content=content, name="sphere.stl"))))

    return work


def _nothing(_answer: object) -> None:
    """What was read is not looked at here."""


def _broken(error: Exception) -> None:
    """Nothing may fail here: a figure of work that was not done would be worth nothing."""
    sys.stderr.write(f"{error}\n")
    os._exit(1)


def main(place: str, begun: float) -> None:
    """Run the window from its start to its end."""
    keep_imports_quick()  # as the command line does before it imports the window
    from printcrib.app import window

    with tempfile.TemporaryDirectory() as folder:
        os.environ["PRINTCRIB_CONFIG"] = folder
        app = window.application()
        watch = Watch(begun)
        app.installEventFilter(watch)
        begin_duties, kept = window.start_duties, []

        def opened(found: "OpenWindow") -> QTimer:
            kept.append(Use(watch, found))
            return begin_duties(found)

        window.start_duties = opened  # type: ignore[assignment]
        start.main(["--shop", place])
    sys.stdout.write(json.dumps(watch.told) + "\n")


if __name__ == "__main__":
    main(sys.argv[1], float(sys.argv[2]))
