"""What is killed: taking runs off, with a good copy, a failed one, grams, hours, an aid and a new copy."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from tests.services.fake import FakeClock, fake_shop
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.requests import Copy, CopyState
from printcrib.core.runs import Run, RunState
from printcrib.services.interfaces import Shop, is_
from printcrib.services.judge_copies import Outcome, Verdict
from printcrib.services.take_off_run import TakeOff, take_off_run
from printcrib.storage.books import OpenBooks, open_books

RUN_MG = 41_000
RUN_MINUTES = 100.0


def desk_on(books: OpenBooks, clock: FakeClock) -> PrintDesk:
    """A print desk on real books; its keys are those of a fresh one."""
    return PrintDesk(
        shop_on(books, clock), clock, ann=1, north=1, pla=1, nozzles={"4": 1}, spools={"grey": 1}
    )


def shop_on(books: OpenBooks, clock: FakeClock) -> Shop:
    """A shop whose books and files are real."""
    return replace(fake_shop(clock=clock), write=books.write, read=books.read, files=books.files)


def prepare(place: Path | str) -> None:
    """A furnished shop with one request of two copies."""
    clock = FakeClock()
    books = open_books(place, clock, create=True)
    desk = furnish(shop_on(books, clock), clock)
    desk.ask(1, minutes={400: RUN_MINUTES}, printers=(desk.north,))
    with desk.shop.write(desk.press(), "more filament") as uow:
        entry = uow.spool_entries.get(1)
        uow.spool_entries.add(replace(entry, id=0, version=0, mg=100_000_000 - entry.mg))
        uow.commit()
    books.close()


def take_off_for_ever(place: Path | str, ready: Callable[[], None], say: Callable[[str], None]) -> None:
    """Start and take off one run after the other; says the number of each that was taken off."""
    clock = FakeClock()
    books = open_books(place, clock)
    desk = desk_on(books, clock)
    open_run = _open_run(desk)
    ready()
    while True:
        run = open_run or started(desk)
        open_run = None
        with desk.shop.read() as uow:
            good, bad = (copy.id for copy in uow.copies.find(is_("run_id", run.id)))
        verdicts = {good: Verdict(), bad: Verdict(Outcome.FAILED, "damp")}
        take_off_run(desk.shop, desk.press(), run.id, TakeOff(verdicts=verdicts))
        say(str(run.number))


def _open_run(desk: PrintDesk) -> Run | None:
    with desk.shop.read() as uow:
        return uow.runs.one(is_("state", RunState.STARTED))


def started(desk: PrintDesk) -> Run:
    """A started run of two copies, written without a plan."""
    with desk.shop.write(desk.press(), "start") as uow:
        run = uow.runs.add(
            Run(
                number=uow.next_number("run"),
                printer_id=desk.north,
                bore_um=400,
                nozzle_id=desk.nozzles["4"],
                material_id=desk.pla,
                colour="grey",
                spool_ids=(desk.spools["grey"],),
                state=RunState.STARTED,
                estimated_minutes=RUN_MINUTES,
                estimated_mg=RUN_MG,
                started_at=uow.now,
            )
        )
        ordinal = uow.copies.count(is_("request_id", 1)) + 1
        for place in range(2):
            copy = Copy(request_id=1, ordinal=ordinal + place, size_id=1, model_id=1)
            uow.copies.add(replace(copy, state=CopyState.PRINTING, run_id=run.id))
        uow.commit()
        return run
