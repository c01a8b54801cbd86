"""How long the Desk, the run sheet and an act at the desk take in a shop with years of records.

    python -m tests.bench.bench_desk [--folder FOLDER] [--requests 10000] [--entries 200000] [--open 30]

Fills the folder once and prints milliseconds, the median of some goes. A filled folder is used again.
"""

import argparse
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from random import Random

from tests.bench.bench_books import fill, measured
from tests.faults.take_off_work import shop_on
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.requests import CopyState, RequestState
from printcrib.core.runs import RunState
from printcrib.services.interfaces import is_
from printcrib.services.look_at_desk import look_at_desk
from printcrib.services.look_at_runs import look_at_runs
from printcrib.services.look_at_spools import look_at_spools
from printcrib.services.look_at_trouble import look_at_trouble
from printcrib.services.plan_runs import propose_plan, repair_plan
from printcrib.services.say_when import when_ready
from printcrib.services.start_run import start_next
from printcrib.services.take_off_run import take_off_run
from printcrib.storage.books import OpenBooks, open_books


def furnished(books: OpenBooks, clock: FakeClock, requests: int, entries: int, open_ones: int) -> PrintDesk:
    """Years of records and a print desk with open requests of several nozzles and materials."""
    fill(books, requests, entries)
    shop = shop_on(books, clock)
    desk = furnish(shop, clock)
    with shop.write(desk.press(), "close what has no model") as uow:
        uow.next_number("pattern")
        for request in uow.requests.find(is_("state", RequestState.ACCEPTED)):
            uow.requests.save(replace(request, state=RequestState.DONE))
            for copy in uow.copies.find(is_("request_id", request.id)):
                uow.copies.save(replace(copy, state=CopyState.HANDED_OUT))
        uow.commit()
    ask_for(desk, open_ones)
    return desk


def ask_for(desk: PrintDesk, open_ones: int) -> None:
    """So many requests to plan, the same every time."""
    chance = Random(2)
    kinds = (("pla", "grey"), ("pla", "grey"), ("asa", "black"))
    for _ in range(open_ones):
        material, colour = chance.choice(kinds)
        part = chance.lognormvariate(4.0, 0.7)
        desk.ask(
            chance.choice((1, 1, 2, 4)),
            material=material,
            colour=colour,
            hours=chance.uniform(4, 120),
            minutes={400: part, 600: 0.62 * part},
            part_mg=chance.randint(3000, 12_000),
            size_mm=(chance.choice((40, 80, 120, 160)), chance.choice((40, 60, 90)), 20),
        )


def desk_in(books: OpenBooks, clock: FakeClock) -> PrintDesk:
    """The desk of a folder filled before."""
    with books.read() as uow:
        ann = uow.people.find(newest_first=True, limit=1)[0].id
        north, south = (printer.id for printer in uow.printers.find())
    return PrintDesk(shop_on(books, clock), clock, ann=ann, north=north, south=south)


def ask_all(desk: PrintDesk) -> None:
    """What the Desk and the run sheet ask for."""
    shop = desk.shop
    measured("plan from scratch, proposed", lambda: propose_plan(shop, desk.press()).value.lanes, 3)
    measured("mend the plan", lambda: repair_plan(shop, desk.press()).value.lanes)
    measured("look at the desk", lambda: look_at_desk(shop).printers)
    measured("look at the run sheet", lambda: look_at_runs(shop).rows, 3)
    measured("look at the rack", lambda: look_at_spools(shop).spools)
    measured("look at the trouble log", lambda: look_at_trouble(shop).rows)
    with shop.read() as uow:
        asked = uow.requests.find(is_("state", RequestState.ACCEPTED), newest_first=True, limit=1)[0].id
    measured("say when, every nozzle", lambda: when_ready(shop, asked), 3)
    measured(
        "start the next run, plan mended", lambda: start_next(shop, desk.press(), desk.north).value.number, 1
    )

    def take_off() -> int:
        with shop.read() as uow:
            run = uow.runs.one(is_("state", RunState.STARTED))
        assert run is not None
        return take_off_run(shop, desk.press(), run.id).value.run.number

    measured("take it off, plan mended", take_off, 1)


def main(words: list[str]) -> None:
    """Fill and measure."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.bench_desk")
    parser.add_argument("--folder")
    parser.add_argument("--requests", type=int, default=10_000)
    parser.add_argument("--entries", type=int, default=200_000)
    parser.add_argument("--open", type=int, default=30)
    asked = parser.parse_args(words)
    clock = FakeClock()
    with tempfile.TemporaryDirectory(prefix="printcrib-bench-") as spare:
        folder = Path(asked.folder or spare) / "shop"
        filled = folder.exists()
        books = open_books(folder, clock, create=not filled)
        if filled:
            desk = desk_in(books, clock)
        else:
            desk = furnished(books, clock, asked.requests, asked.entries, asked.open)
        ask_all(desk)
        books.close()


if __name__ == "__main__":
    main(sys.argv[1:])
