"""How smooth the run sheet is with very many runs: python -m tests.bench.bench_run_sheet [COUNT].

Prints milliseconds, best and worst of some goes. Reading happens beside the window; showing, painting
and an arrow key happen in it.
"""

import os
import sys
from collections.abc import Callable
from time import perf_counter

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from tests.screens.desk.shop import AtWork, at_work

from printcrib.app.resources import resource_folder
from printcrib.app.window import application
from printcrib.screens.run_sheet.screen import RunSheetPage
from printcrib.screens.run_sheet.words import head_of
from printcrib.screens.shell.theme import Theme
from printcrib.services.look_at_runs import look_at_runs

GRAM = 1000
"""So light that one spool lasts for hundreds of runs."""


def busy(count: int) -> AtWork:
    """So many requests, each too large to share a platform and 1 g in weight, planned once."""
    work = at_work()
    desk = work.desk
    for number in range(count):
        own = ("asa", "black") if number % 2 else ("pla", "grey")
        desk.ask(
            material=own[0],
            colour=own[1],
            printers=(desk.south if number % 2 else desk.north,),
            hours=4.0 + number,
            size_mm=(200, 200, 20),
            minutes={400: 30.0, 600: 25.0},
            part_mg=GRAM,
        )
    work.plan()
    return work


def timed(words: str, work: Callable[[], object], times: int = 7) -> None:
    """Print the best and the worst of some goes."""
    taken = []
    for _ in range(times):
        begun = perf_counter()
        work()
        taken.append((perf_counter() - begun) * 1000)
    print(f"{words:<44} {min(taken):8.1f} ms best {max(taken):8.1f} ms worst")


def main(count: int) -> None:
    """Plan so many runs and time what the page does with them."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    app: QApplication = application()
    theme = Theme(app, resource_folder(), dark=False)
    begun = perf_counter()
    work = busy(count)
    sheet = look_at_runs(work.desk.shop)
    if len(sheet.rows) != count:
        raise SystemExit(f"Only {len(sheet.rows)} of {count} runs are planned; the figures would flatter.")
    print(f"{count} runs on {len(sheet.lanes)} printers, asked and planned in {perf_counter() - begun:.1f} s")
    page = RunSheetPage(work.standing)
    page.resize(1108, 652)
    page.show()
    page.arrived()
    app.processEvents()
    line, view = page.lanes.line, page.table.view
    timed("read the sheet (beside the window)", lambda: look_at_runs(work.desk.shop), 3)
    timed("show the sheet", lambda: page.show_sheet(sheet, head_of(sheet)))
    timed("paint the lanes", line.grab)
    line.zoom(1 / 100)
    timed("paint the lanes, three weeks in view", line.grab)
    timed("paint the list", page.table.grab)
    view.setFocus()
    timed("an arrow key, painted", lambda: (QTest.keyClick(view, Qt.Key.Key_Down), page.grab()))
    del theme


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
