"""How long Aids in service, Week summary and the look for reprints take on the filled books.

    python -m tests.bench.bench_aids [--folder FOLDER]

Needs the folder that tests.bench.bench_books fills (10,000 requests, 200,000 use entries). Prints
milliseconds: with the read transaction open, and computing after it is closed.
"""

import argparse
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

from tests.services.fake import FakeClock, FakeMeshReader, FakeMeshWriter, FakeReports

from printcrib.core.aids import Machine
from printcrib.core.calendar import iso_week_text
from printcrib.core.life import Forecast, LifeUnit
from printcrib.core.records import THE_TOOL
from printcrib.core.shop import Shift, ShopSettings
from printcrib.services.ask_weekly import weekly_questions
from printcrib.services.check_books import check_books
from printcrib.services.due_reprints import aids_due
from printcrib.services.forecast_aids import forecast_aids
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_aid import look_at_aid
from printcrib.services.look_at_aids import look_at_aids
from printcrib.services.press import Press
from printcrib.services.read_aids import read_in_steps
from printcrib.services.weekly_report import week
from printcrib.storage.books import OpenBooks, open_books


def measured(words: str, ask: Callable[[], Any], times: int = 5) -> Any:
    """Print the quickest of some goes, by the wall clock and by this process alone; give the answer."""
    took, alone, answer = [], [], None
    for _ in range(times):
        started, used = time.perf_counter(), time.process_time()
        answer = ask()
        took.append((time.perf_counter() - started) * 1000)
        alone.append((time.process_time() - used) * 1000)
    print(f"{min(took):8.1f} ms  ({min(alone):7.1f} ms of its own)  {words}")
    return answer


def shop_on(books: OpenBooks, clock: FakeClock) -> Shop:
    """The use cases on real books, with nothing else behind them."""
    return Shop(
        write=books.write,
        read=books.read,
        clock=clock,
        files=books.files,
        meshes=FakeMeshReader(),
        mesh_writer=FakeMeshWriter(),
        reports=FakeReports(),
    )


def furnished(filled: Path, clock: FakeClock) -> OpenBooks:
    """A copy of the filled books in which the aids are in use at machines and expected to last."""
    folder = filled.with_name("printcrib-bench-aids")
    if folder.exists():
        return open_books(str(folder), clock)
    shutil.copytree(filled, folder)
    books = open_books(str(folder), clock)
    with books.write(Press(who_id=THE_TOOL), "furnish") as uow:
        machine = uow.machines.add(Machine(name="Lathe 1"))
        uow.settings.add(ShopSettings(name="Bench"))
        for weekday in range(5):
            uow.shifts.add(Shift(weekday=weekday, opens="07:00", closes="16:00"))
        for pattern in uow.patterns.find():
            uow.patterns.save(replace(pattern, expected_life=900, use_unit="uses"))
        long_ago = uow.now - timedelta(days=900)
        for aid in uow.aids.find():
            uow.aids.save(replace(aid, machine_id=machine.id, since=long_ago, in_use_since=long_ago))
        uow.commit()
    return books


def main(words: list[str]) -> None:
    """Ask as the screens do."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.bench_aids")
    parser.add_argument("--folder", default=str(Path(tempfile.gettempdir()) / "printcrib-bench-books"))
    clock = FakeClock()
    books = furnished(Path(parser.parse_args(words).folder), clock)
    shop = shop_on(books, clock)

    def due() -> Any:
        with shop.read() as uow:
            return aids_due(uow, uow.now)

    copied = measured("aids copied out, in three units", lambda: read_in_steps(shop))
    made = measured("aids forecast (closed)", lambda: forecast_aids(copied))
    print(f"            {len(copied.aids)} aids, {sum(each.rate is not None for each in made)} rates")
    measured("Aids in service, whole", lambda: look_at_aids(shop))
    measured("page of one aid", lambda: look_at_aid(shop, made[0].aid.id))
    measured("aids due, reprints looked for", due)
    measured("weekly questions", lambda: weekly_questions(shop))
    measured("week, whole", lambda: week(shop, iso_week_text(clock.now(), "Europe/Vienna")))
    measured("check of the books", lambda: check_books(shop), 1)
    units = tuple(LifeUnit(100.0 * index, index % 3 == 0) for index in range(30))
    measured(
        "life of 100 families and one remaining life each",
        lambda: [Forecast(600.0 + index, units).remaining(300.0, 0.9) for index in range(100)],
    )
    books.close()


if __name__ == "__main__":
    main(sys.argv[1:])
