"""Kills the program while it takes runs off: a take-off is there whole or not at all.

    python -m tests.faults.kill_take_off --kills 200

Options: --place FOLDER-or-URL (a temporary folder without it), --within SECONDS, --seed NUMBER.
Exit 1 when something is there by half or an acknowledged take-off is lost.
"""

import argparse
import sys
import tempfile
from pathlib import Path

from tests.faults.killing import Killer
from tests.faults.take_off_work import RUN_MG, RUN_MINUTES, prepare
from tests.services.fake import FakeClock

from printcrib.core.requests import CopyState
from printcrib.core.runs import Run, RunState
from printcrib.services.interfaces import UnitOfWork, is_
from printcrib.storage.books import OpenBooks, open_books
from printcrib.storage.check import check_books

WHOLE, NOTHING = "whole", "nothing"


def kill_take_offs(
    place: Path | str, kills: int, within_seconds: float = 0.25, seed: int = 1
) -> tuple[int, list[str]]:
    """How many take-offs were acknowledged over so many kills, and what was there by half or lost."""
    prepare(place)
    killer, acknowledged = Killer("tests.faults.take_off_work:take_off_for_ever", seed), 0
    faults: list[str] = []
    books = open_books(place, FakeClock())
    for _ in range(kills):
        outcome = killer.kill(place, within_seconds=within_seconds)
        acknowledged += len(outcome.said)
        faults += lost_or_half(books, outcome.said)
    faults += check_books(books)
    books.close()
    return acknowledged, faults


def lost_or_half(books: OpenBooks, said: tuple[str, ...]) -> list[str]:
    """Take-offs that are there by half, and acknowledged ones that are not there."""
    faults: list[str] = []
    with books.read() as uow:
        taken = 0
        for run in uow.runs.find():
            found = _how_much(uow, run)
            taken += found == {WHOLE}
            if len(found) > 1:
                faults.append(f"run {run.number} is taken off by half")
            if str(run.number) in said and found != {WHOLE}:
                faults.append(f"run {run.number} was acknowledged and is lost")
        nozzle = uow.nozzles.get(1)
        if (nozzle.mg_used, nozzle.minutes_used) != (taken * RUN_MG, taken * round(RUN_MINUTES)):
            faults.append("the nozzle's hours and grams are not those of the runs")
        if uow.aids.count() != taken:
            faults.append(f"{uow.aids.count()} aids for {taken} good copies")
    return faults


def _how_much(uow: UnitOfWork, run: Run) -> set[str]:
    """Whether every trace of a run's take-off is there, or none."""
    if run.state is RunState.KEPT or run.state is RunState.CANCELLED:
        return set()
    copies = uow.copies.find(is_("run_id", run.id))
    states = sorted(copy.state for copy in copies)
    booked = -sum(entry.mg for entry in uow.spool_entries.find(is_("run_id", run.id)))
    failed = [copy for copy in copies if copy.state is CopyState.FAILED]
    new = sum(uow.copies.count(is_("replaces_id", copy.id)) for copy in failed)
    traces = {
        (run.state is RunState.TAKEN_OFF, run.state is RunState.STARTED),
        (states == [CopyState.FAILED, CopyState.READY], states == [CopyState.PRINTING] * 2),
        (booked == RUN_MG, booked == 0),
        (uow.failures.count(is_("run_id", run.id)) == 1, uow.failures.count(is_("run_id", run.id)) == 0),
        (new == 1, new == 0),
        (run.minutes == RUN_MINUTES, run.minutes is None),
    }
    return {WHOLE if whole else NOTHING if nothing else "half" for whole, nothing in traces}


def main() -> int:
    """The command."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--kills", type=int, default=200)
    options.add_argument("--place", default="")
    options.add_argument("--within", type=float, default=0.25)
    options.add_argument("--seed", type=int, default=1)
    told = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        place = told.place or Path(folder) / "shop"
        acknowledged, faults = kill_take_offs(place, told.kills, told.within, told.seed)
    print(f"{told.kills} kills, {acknowledged} take-offs acknowledged, {len(faults)} faults")
    for fault in faults:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
