"""Takes backups while a process writes without a pause; every one must be whole, and one is put back.

    python -m tests.faults.many_backups [--backups 100]

Exit 1 when a backup is not whole or the one put back says something else than the books did.
"""

import argparse
import sys
import tempfile
from multiprocessing.connection import Connection
from pathlib import Path

from tests.faults.killing import quick_processes
from tests.faults.storage_work import ENTRIES, prepare, write_for_ever
from tests.services.fake import FakeClock

from printcrib.storage.backup import faults_of_file, put_back
from printcrib.storage.books import open_books
from printcrib.storage.check import check_books


def write(home: Path, pipe: Connection) -> None:
    """Write until killed; tell when it begins."""
    write_for_ever(home, lambda: pipe.send("ready"), lambda _press: None)


def take(home: Path, backups: int) -> tuple[list[Path], list[str]]:
    """The backups taken under load, and what is wrong with them."""
    prepare(home)
    context = quick_processes("tests.faults.storage_work")
    ours, theirs = context.Pipe()
    writer = context.Process(target=write, args=(home, theirs))
    writer.start()
    books = open_books(home, FakeClock())
    try:
        ours.recv()
        copies = [books.back_up() for _ in range(backups)]
    finally:
        writer.kill()
        writer.join()
        books.close()
    return copies, [fault for copy in copies for fault in faults_of_file(copy)]


def compare(home: Path, copy: Path, again: Path) -> list[str]:
    """Put a backup back elsewhere; what differs from the books it was taken from."""
    put_back(copy, again, FakeClock().now())
    restored, whole = open_books(again, FakeClock(), create=False), open_books(home, FakeClock())
    faults = list(check_books(restored))
    with restored.read() as unit, whole.read() as other:
        number = unit.changes.last_number()
        if unit.changes.since(0, number) != other.changes.since(0, number):
            faults.append("the trail of the backup is another one")
        if unit.spool_entries.count() % ENTRIES:
            faults.append("a press is in the backup by half")
    restored.close()
    whole.close()
    return faults


def main(words: list[str]) -> int:
    """Take backups and say what is wrong."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.many_backups")
    parser.add_argument("--backups", type=int, default=100)
    asked = parser.parse_args(words)
    with tempfile.TemporaryDirectory(prefix="printcrib-backups-") as folder:
        home = Path(folder) / "shop"
        copies, faults = take(home, asked.backups)
        faults += compare(home, copies[len(copies) // 2], Path(folder) / "again")
    print(f"{len(set(copies))} backups, {len(faults)} faults")
    for fault in faults[:20]:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
