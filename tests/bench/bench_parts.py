"""How fast the painted parts are: `python -m tests.bench.bench_parts`. Prints milliseconds only."""

import os
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from printcrib.app.resources import resource_folder
from printcrib.screens.parts.model_view import ModelView
from printcrib.screens.parts.raster import Floats, Ints
from printcrib.screens.parts.record_table import RecordTable
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.parts.time_line import TimeLine
from printcrib.screens.parts.time_line_data import LaneData, NeededBy, RunBlock, SetUp, TimeLineData
from printcrib.screens.shell.theme import Theme


@dataclass(frozen=True)
class _Thing:
    number: int
    words: str


def timed(name: str, work: Callable[[], object], times: int = 5) -> None:
    """Print the least and the largest time of some calls."""
    taken = []
    for _ in range(times):
        begin = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - begin))
    print(f"{name:50s} {min(taken):8.1f} to {max(taken):8.1f} ms")


def waves(side: int) -> tuple[Floats, Ints]:
    """A wavy sheet of 2 x side x side faces."""
    x, y = np.meshgrid(np.linspace(0, 80, side + 1), np.linspace(0, 80, side + 1))
    z = 6 * np.sin(x / 5) * np.cos(y / 7)
    points = np.stack([x.ravel(), y.ravel(), z.ravel()], axis=1)
    a = (np.arange(side)[:, None] * (side + 1) + np.arange(side)[None, :]).ravel()
    one = np.stack([a, a + 1, a + side + 2], axis=1)
    return points, np.concatenate([one, np.stack([a, a + side + 2, a + side + 1], axis=1)])


def plan(runs: int) -> TimeLineData:
    """A plan of three printers with this many runs in all."""
    now = datetime(2026, 11, 25, 9, 42, tzinfo=UTC)

    def at(hours: float) -> datetime:
        return now + timedelta(hours=hours)

    count = runs // 3
    lanes = tuple(
        LaneData(
            f"Printer {lane}",
            tuple(RunBlock(lane * 1000 + n, str(n), at(n), at(n + 0.8)) for n in range(count)),
            tuple(SetUp(at(n - 0.2), at(n), swap=n % 5 == 0) for n in range(count)),
            tuple(NeededBy(at(n + 0.8), at(n + 1.5), f"R {n}") for n in range(count)),
        )
        for lane in range(3)
    )
    return TimeLineData(now, lanes)


def main() -> None:
    """Print all times."""
    app = QApplication([])
    Theme(app, resource_folder())
    line = TimeLine(plan(300))
    line.resize(1600, 420)
    line.zoom(0.3)
    timed("time line, 300 runs, one paint", line.grab)
    things = [_Thing(n * 7919 % 100_003, f"spool {n}") for n in range(100_000)]
    model: RecordModel[_Thing] = RecordModel(
        (
            Column("Number", 100, lambda t: Cell(str(t.number)), lambda t: t.number),
            Column("Words", 0, lambda t: Cell(t.words, "second line", strong=True), lambda t: t.words),
        ),
        key=lambda t: t.number,
        search_text=lambda t: t.words,
    )
    table = RecordTable(model, says="spools")
    table.resize(1200, 800)
    timed("table, 100,000 records shown", lambda: table.set_records(things), 1)
    timed("table, one paint", table.grab)
    timed("table, sorted", lambda: model.sort(0, Qt.SortOrder.DescendingOrder))
    timed("table, searched first", lambda: model.search("99"), 1)
    timed("table, searched again", lambda: model.search("999"))
    for side in (40, 160, 324):
        view = ModelView()
        view.resize(360, 300)
        mesh = waves(side)
        timed(f"model of {len(mesh[1])} faces, taken in", lambda v=view, m=mesh: v.set_model(*m), 1)  # type: ignore[misc]
        timed(f"model of {len(mesh[1])} faces, first picture", view.grab, 1)

        def turn(v: ModelView = view) -> None:
            v.turn(5)
            v.grab()

        timed(f"model of {len(mesh[1])} faces, one turn", turn)


if __name__ == "__main__":
    main()
