"""Kills processes in the middle of writing: nothing acknowledged is lost, nothing is there by half.

    python -m tests.faults.kill_storage books --kills 1000
    python -m tests.faults.kill_storage files --kills 500

Options: --place FOLDER-or-URL (a temporary folder without it), --within SECONDS, --seed NUMBER.
Exit 1 when something was lost or half there.
"""

import argparse
import sys
import tempfile
from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path

from tests.faults.killing import Killer
from tests.faults.storage_work import ENTRIES, prepare
from tests.services.fake import FakeClock

from printcrib.services.interfaces import Where, is_
from printcrib.storage.books import OpenBooks, open_books
from printcrib.storage.check import check_books


def lost_presses(books: OpenBooks, said: Iterable[str]) -> list[str]:
    """Presses that were acknowledged and are not there whole, and any that are there by half."""
    faults: list[str] = []
    with books.read() as unit:
        lost = [number for number in said if len(unit.changes.of_press(int(number))) != ENTRIES]
        faults += [f"press {number} was acknowledged and is lost" for number in lost]
        entries, newest = unit.spool_entries.count(), unit.changes.last_number()
        if entries % ENTRIES or sum(unit.spool_entries.totals("mg", "spool_id").values()):
            faults.append(f"{entries} lines, one press is there by half")
        numbers = [int(entry.note) for entry in unit.spool_entries.find(newest_first=True, limit=ENTRIES)]
        if numbers and max(numbers) != entries:
            faults.append(f"number {max(numbers)} was given for line {entries}")
        if newest != entries + 2:
            faults.append(f"{newest} changes for {entries} lines")
    return faults


def lost_files(books: OpenBooks, said: Iterable[str], after: int) -> list[str]:
    """Files that were acknowledged and are lost, and lines whose file is not whole."""
    faults = [f"file {name} was acknowledged and is lost" for name in said if not books.files.has(name)]
    with books.read() as unit:
        lines = unit.attachments.find(Where("id", ">", after))
    broken = [line.id for line in lines if sha256(books.files.get(line.sha256)).hexdigest() != line.sha256]
    return faults + [f"file {key} is not whole" for key in broken]


def kill_writers(
    place: Path | str, kills: int, within_seconds: float = 0.12, seed: int = 1
) -> tuple[int, list[str]]:
    """How many presses were acknowledged over so many kills, and what was lost."""
    prepare(place)
    killer, faults, acknowledged = Killer("tests.faults.storage_work:write_for_ever", seed), [], 0
    books = open_books(place, FakeClock())
    for _ in range(kills):
        outcome = killer.kill(place, within_seconds=within_seconds)
        acknowledged += len(outcome.said)
        faults += lost_presses(books, outcome.said)
    faults += check_books(books)
    books.close()
    return acknowledged, faults


def kill_keepers(
    place: Path | str, kills: int, within_seconds: float = 0.3, seed: int = 1
) -> tuple[int, list[str]]:
    """How many files were acknowledged over so many kills, and what was lost."""
    prepare(place)
    killer, faults, acknowledged, last = Killer("tests.faults.storage_work:keep_for_ever", seed), [], 0, 0
    books = open_books(place, FakeClock())
    for _ in range(kills):
        outcome = killer.kill(place, within_seconds=within_seconds)
        acknowledged += len(outcome.said)
        faults += lost_files(books, outcome.said, last)
        with books.read() as unit:
            last = unit.attachments.latest("id", "void", is_("void", False)).get(False, 0)
    faults += check_books(books)
    books.close()
    return acknowledged, faults


def main(words: list[str]) -> int:
    """Run the kills and say what was lost."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.kill_storage")
    parser.add_argument("what", choices=["books", "files"])
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--within", type=float, default=0.2)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--place")
    asked = parser.parse_args(words)
    work = kill_writers if asked.what == "books" else kill_keepers
    with tempfile.TemporaryDirectory(prefix="printcrib-kills-") as folder:
        place = asked.place or Path(folder) / "shop"
        acknowledged, faults = work(place, asked.kills, asked.within, asked.seed)
    print(f"{asked.kills} kills, {acknowledged} acknowledged, {len(faults)} lost or half there")
    for fault in faults[:20]:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
