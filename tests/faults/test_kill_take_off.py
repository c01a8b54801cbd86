"""A take-off that is killed is there whole or not at all: grams, copies, aid, nozzle, state."""

from pathlib import Path

from tests.faults.kill_take_off import kill_take_offs, lost_or_half
from tests.faults.take_off_work import desk_on, prepare, started
from tests.services.fake import FakeClock

from printcrib.core.requests import CopyState
from printcrib.storage.books import open_books

KILLS = 60  # python -m tests.faults.kill_take_off --kills 1000 does more


def test_killed_sixty_times(tmp_path: Path) -> None:
    _, faults = kill_take_offs(tmp_path / "shop", KILLS, within_seconds=0.4)
    assert faults == []


def test_half_a_take_off_would_be_seen(tmp_path: Path) -> None:
    prepare(tmp_path / "shop")
    clock = FakeClock()
    books = open_books(tmp_path / "shop", clock)
    desk = desk_on(books, clock)
    run = started(desk)
    assert lost_or_half(books, ()) == []
    assert lost_or_half(books, (str(run.number),)) == [f"run {run.number} was acknowledged and is lost"]
    desk.change("copies", desk.copies(1)[-1].id, state=CopyState.READY)
    assert lost_or_half(books, ()) == [f"run {run.number} is taken off by half"]
    desk.change("nozzles", 1, mg_used=5)
    assert len(lost_or_half(books, ())) == 2
    books.close()
