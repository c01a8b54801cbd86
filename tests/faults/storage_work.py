"""What is killed: work on the shop's books that goes on until the plug is pulled."""

import os
from collections.abc import Callable
from pathlib import Path

from tests.services.fake import FakeClock

from printcrib.core.materials import Material, Spool, SpoolEntry, SpoolEntryKind
from printcrib.core.records import THE_TOOL
from printcrib.services.interfaces import UnitOfWork
from printcrib.services.press import Press
from printcrib.storage.books import open_books

AMOUNTS = (1000, -400, -350, -250)
"""Bookings of one press; together they come to nothing."""
ENTRIES = len(AMOUNTS)


def prepare(place: Path | str) -> None:
    """A shop with one spool."""
    books = open_books(place, FakeClock())
    with books.write(Press(who_id=THE_TOOL), "prepare") as unit:
        material = unit.materials.add(Material(name="PETG", density=1.27))
        number = unit.next_number("spool")
        unit.spools.add(Spool(number=number, material_id=material.id, colour="grey"))
        unit.commit()
    books.close()


def write_for_ever(place: Path | str, ready: Callable[[], None], say: Callable[[str], None]) -> None:
    """Book several lines a press, each press all or nothing."""
    books = open_books(place, FakeClock())
    with books.write(Press(who_id=THE_TOOL), "warm up") as unit:
        _book(unit)  # not committed
    ready()
    while True:
        with books.write(Press(who_id=THE_TOOL), "book") as unit:
            _book(unit)
            unit.commit()
        say(str(unit.press_number))


def _book(unit: UnitOfWork) -> None:
    for mg in AMOUNTS:
        unit.spool_entries.add(_entry(unit, mg))


def _entry(unit: UnitOfWork, mg: int) -> SpoolEntry:
    note = str(unit.next_number("run"))
    return SpoolEntry(spool_id=1, kind=SpoolEntryKind.ADJUSTED, mg=mg, who_id=THE_TOOL, note=note)


def keep_for_ever(place: Path | str, ready: Callable[[], None], say: Callable[[str], None]) -> None:
    """Keep one file after the other."""
    books = open_books(place, FakeClock())
    books.files.put(os.urandom(10), "warm up")
    ready()
    while True:
        say(books.files.put(os.urandom(300_000), "model"))


def write_some(
    place: Path | str, ready: Callable[[], None], say: Callable[[str], None], presses: int
) -> None:
    """Book so many presses and come to an end."""
    books = open_books(place, FakeClock())
    ready()
    for _ in range(presses):
        with books.write(Press(who_id=THE_TOOL), "book") as unit:
            _book(unit)
            unit.commit()
        say(str(unit.press_number))
    books.close()


def break_down(place: Path | str, ready: Callable[[], None], say: Callable[[str], None]) -> None:
    """End before anything is done, as a broken work would."""
    ready()
    os._exit(3)
