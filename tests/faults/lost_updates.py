"""Many clients edit the same record at once: no edit is lost, and a stale one is told who was first.

    python -m tests.faults.lost_updates --clients 16 --edits 200 [--place FOLDER-or-URL]

Each client is a process of its own. Exit 1 when an edit was lost.
"""

import argparse
import sys
import tempfile
from pathlib import Path

from tests.faults.edit_work import Tally, edit
from tests.faults.killing import quick_processes
from tests.services.fake import FakeClock

from printcrib.core.materials import Material, Spool
from printcrib.core.people import Person
from printcrib.core.records import THE_TOOL
from printcrib.services.press import Press
from printcrib.storage.books import open_books
from printcrib.storage.check import check_books


def prepare(place: Path | str, clients: int) -> None:
    """A shop with so many people and one spool."""
    books = open_books(place, FakeClock())
    with books.write(Press(who_id=THE_TOOL), "prepare") as unit:
        for client in range(clients):
            unit.people.add(Person(name=f"Client {client + 1}"))
        material = unit.materials.add(Material(name="PETG", density=1.27))
        unit.spools.add(Spool(number=1, material_id=material.id, colour="grey", nominal_mg=0))
        unit.commit()
    books.close()


def lost(place: Path | str, tallies: list[Tally], clients: int, edits: int) -> list[str]:
    """Sentences on every edit, booking or number that is not there."""
    books = open_books(place, FakeClock())
    faults = list(check_books(books))
    done = clients * edits
    with books.read() as unit:
        spool, total = unit.spools.get(1), unit.spool_entries.totals("mg", "spool_id")
        if spool.nominal_mg != done or spool.version != done + 1:
            faults.append(f"{done - spool.nominal_mg} of {done} edits are lost")
        if total != {1: edits * sum(range(1, clients + 1))}:
            faults.append(f"the ledger says {total}")
    books.close()
    if sorted(number for tally in tallies for number in tally.numbers) != list(range(1, done + 1)):
        faults.append("a number was given twice or never")
    return faults


def run(place: Path | str, clients: int, edits: int) -> tuple[list[Tally], list[str]]:
    """Let all clients edit at once; their tallies, and what was lost."""
    prepare(place, clients)
    with quick_processes(edit.__module__).Pool(clients) as pool:
        work = [(place, client, edits) for client in range(1, clients + 1)]
        tallies = pool.starmap(edit, work, chunksize=1)
    return tallies, lost(place, tallies, clients, edits)


def main(words: list[str]) -> int:
    """Run the clients and say what was lost."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.lost_updates")
    parser.add_argument("--clients", type=int, default=16)
    parser.add_argument("--edits", type=int, default=200)
    parser.add_argument("--place")
    asked = parser.parse_args(words)
    with tempfile.TemporaryDirectory(prefix="printcrib-edits-") as folder:
        tallies, faults = run(asked.place or Path(folder) / "shop", asked.clients, asked.edits)
    done, stale = sum(tally.edits for tally in tallies), sum(tally.stale for tally in tallies)
    print(f"{asked.clients} clients, {done} edits, {stale} times told to look again, {len(faults)} faults")
    for fault in faults[:20]:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
