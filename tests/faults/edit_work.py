"""What many clients do at once: edit the same record from what each has on its screen."""

from dataclasses import dataclass, replace
from pathlib import Path

from tests.services.fake import FakeClock

from printcrib.core.errors import StaleEdit
from printcrib.core.materials import SpoolEntry, SpoolEntryKind
from printcrib.services.press import Press
from printcrib.storage.books import open_books


@dataclass(frozen=True)
class Tally:
    """What a client did: its edits, how often it was told to look again, and the numbers it was given."""

    edits: int
    stale: int
    numbers: tuple[int, ...]


def edit(place: Path | str, client: int, edits: int) -> Tally:
    """Edit the spool so many times, each from what was on the screen, with a booking and a number."""
    books = open_books(place, FakeClock())
    numbers: list[int] = []
    stale = 0
    while len(numbers) < edits:
        with books.read() as unit:
            seen = unit.spools.get(1)
        try:
            with books.write(Press(who_id=client), "edit spool") as unit:
                number = unit.next_number("run")
                unit.spools.save(replace(seen, nominal_mg=seen.nominal_mg + 1))
                unit.spool_entries.add(
                    SpoolEntry(spool_id=1, kind=SpoolEntryKind.ADJUSTED, mg=client, who_id=client)
                )
                unit.commit()
        except StaleEdit as told:
            stale += "changed spool S-1 at" in str(told)
        else:
            numbers.append(number)
    books.close()
    return Tally(len(numbers), stale, tuple(numbers))
