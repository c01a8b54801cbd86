"""How long the books take with 10,000 requests and 200,000 use entries.

    python -m tests.bench.bench_books [--folder FOLDER] [--requests 10000] [--entries 200000] [--url URL]

Fills the folder once (the same every time) and prints milliseconds: opening in a fresh process, and what
screens and services ask for. A filled folder is used again.
"""

import argparse
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any

from tests.services.fake import FakeClock

from printcrib.core.aids import Aid, AidState, UseEntry, UseKind
from printcrib.core.patterns import Pattern, Size
from printcrib.core.people import Person
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import Copy, CopyState, Request, RequestState
from printcrib.services.interfaces import UnitOfWork, Where, among, is_
from printcrib.services.press import Press
from printcrib.storage.books import OpenBooks, open_books

AIDS = 400
SIZES = 60


def fill(books: OpenBooks, requests: int, entries: int) -> None:
    """Three years of a busy shop."""
    with books.write(Press(who_id=THE_TOOL), "fill") as unit:
        people = [unit.people.add(Person(name=f"Person {number}")).id for number in range(12)]
        pattern = unit.patterns.add(Pattern(number=1, name="Spindle stop"))
        sizes = [unit.sizes.add(Size(pattern_id=pattern.id, name=f"size {n}")).id for n in range(SIZES)]
        unit.commit()
    random = Random(1)
    for start in range(0, requests, 500):
        with books.write(Press(who_id=THE_TOOL), "fill") as unit:
            for number in range(start, min(start + 500, requests)):
                _request(unit, random, number + 1, requests, people, sizes)
            unit.commit()
    with books.read() as unit:
        aids = [aid.id for aid in unit.aids.find()]
    for start in range(0, entries, 5000):
        with books.write(Press(who_id=THE_TOOL), "fill") as unit:
            for number in range(start, min(start + 5000, entries)):
                _use(unit, random, number, entries, people, aids)
            unit.commit()


def _request(
    unit: UnitOfWork, random: Random, number: int, requests: int, people: list[int], sizes: list[int]
) -> None:
    ago, is_open = unit.now - timedelta(days=1000 * (1 - number / requests)), number > requests - 60
    request = unit.requests.add(
        Request(
            number=unit.next_number("request"),
            asker_id=random.choice(people),
            entered_by_id=random.choice(people),
            words="a stop for the small vice, as last time",
            size_id=random.choice(sizes),
            needed_by=ago + timedelta(days=random.randint(1, 14)),
            state=RequestState.ACCEPTED if is_open else RequestState.DONE,
            happened_at=ago,
        )
    )
    for ordinal in (1, 2):
        state = CopyState.WANTED if is_open else CopyState.HANDED_OUT
        copy = unit.copies.add(
            Copy(request_id=request.id, ordinal=ordinal, state=state, size_id=request.size_id)
        )
        if not is_open and request.size_id and number % max(1, requests // AIDS) == 0 and ordinal == 1:
            unit.aids.add(
                Aid(
                    number=unit.next_number("aid"),
                    copy_id=copy.id,
                    request_id=request.id,
                    size_id=request.size_id,
                    state=AidState.IN_USE,
                )
            )


def _use(
    unit: UnitOfWork, random: Random, number: int, entries: int, people: list[int], aids: list[int]
) -> None:
    unit.use_entries.add(
        UseEntry(
            aid_id=random.choice(aids),
            kind=UseKind.ADD,
            amount=random.randint(1, 80),
            who_id=random.choice(people),
            happened_at=unit.now - timedelta(days=1000 * (1 - number / entries)),
        )
    )


def measured(words: str, ask: Callable[[], Any], times: int = 5) -> None:
    """Print the median of some goes."""
    took = []
    for _ in range(times):
        started = time.perf_counter()
        answer = ask()
        took.append((time.perf_counter() - started) * 1000)
    size = len(answer) if hasattr(answer, "__len__") else answer
    print(f"{sorted(took)[times // 2]:8.1f} ms  {words}  [{size}]")


def reading(books: OpenBooks, ask: Callable[[UnitOfWork], Any]) -> Callable[[], Any]:
    """The same in a unit of its own."""

    def go() -> Any:
        with books.read() as unit:
            return ask(unit)

    return go


def ask_all(books: OpenBooks) -> None:
    """What screens and services ask for every day."""
    with books.read() as unit:
        requests = [request.id for request in unit.requests.find(newest_first=True, limit=60)]
        aids = [aid.id for aid in unit.aids.find()]
        now = unit.now
    questions: tuple[tuple[str, Callable[[UnitOfWork], Any]], ...] = (
        ("one request by key", lambda unit: [unit.requests.get(requests[0])]),
        ("one request by number", lambda unit: unit.requests.find(is_("number", 77))),
        (
            "open requests by needed-by",
            lambda u: u.requests.find(is_("state", "accepted"), order_by="needed_by"),
        ),
        ("their copies", lambda unit: unit.copies.find(among("request_id", requests))),
        ("wanted copies", lambda unit: unit.copies.find(is_("state", CopyState.WANTED))),
        ("all requests", lambda unit: unit.requests.find()),
        (
            "requests of a week",
            lambda u: u.requests.find(Where("happened_at", ">=", now - timedelta(days=7))),
        ),
        ("aids in use", lambda unit: unit.aids.find(is_("state", "in use"))),
        ("uses of every aid", lambda unit: unit.use_entries.totals("amount", "aid_id")),
        ("newest use of every aid", lambda unit: unit.use_entries.latest("happened_at", "aid_id")),
        ("uses of one aid", lambda unit: unit.use_entries.find(is_("aid_id", aids[0]))),
        (
            "uses of one aid, newest 40",
            lambda u: u.use_entries.find(
                is_("aid_id", aids[0]), order_by="happened_at", newest_first=True, limit=40
            ),
        ),
        (
            "uses of 6 weeks",
            lambda u: u.use_entries.find(Where("happened_at", ">=", now - timedelta(days=42))),
        ),
        ("number of use entries", lambda unit: [unit.use_entries.count()]),
        ("changes since the last look", lambda unit: unit.changes.since(unit.changes.last_number() - 3)),
        ("history of one request", lambda unit: unit.changes.of_thing("requests", requests[0])),
        (
            "newest changes of some kinds",
            lambda unit: unit.changes.newest_of_each(("requests", "aids", "runs")),
        ),
    )
    for words, ask in questions:
        measured(words, reading(books, ask))


def book_one(books: OpenBooks) -> str:
    """One press on the books, to the disk."""
    with books.write(Press(who_id=THE_TOOL), "bench") as unit:
        aid = unit.aids.find(limit=1)[0]
        unit.use_entries.add(UseEntry(aid_id=aid.id, kind=UseKind.ADD, amount=1, who_id=THE_TOOL))
        unit.commit()
    return "1"


def open_fresh(place: str) -> str:
    """Import and open in a process of its own; says milliseconds of each."""
    words = (
        "import time; a = time.perf_counter(); from printcrib.storage.books import open_books;"
        "from tests.services.fake import FakeClock; b = time.perf_counter();"
        f"books = open_books({place!r}, FakeClock());\n"
        "with books.read() as unit: unit.requests.find(limit=1)\n"
        "c = time.perf_counter()\n"
        "print(f'import {(b - a) * 1000:.0f} ms, open and first answer {(c - b) * 1000:.1f} ms')"
    )
    done = subprocess.run([sys.executable, "-c", words], check=True, capture_output=True, text=True)
    return done.stdout.strip()


def main(words: list[str]) -> None:
    """Fill where needed, then ask."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.bench_books")
    parser.add_argument("--folder", default=str(Path(tempfile.gettempdir()) / "printcrib-bench-books"))
    parser.add_argument("--url")
    parser.add_argument("--requests", type=int, default=10_000)
    parser.add_argument("--entries", type=int, default=200_000)
    asked = parser.parse_args(words)
    place = asked.url or asked.folder
    books = open_books(place, FakeClock())
    with books.read() as unit:
        filled = unit.use_entries.count() >= asked.entries
    if not filled:
        started = time.perf_counter()
        fill(books, asked.requests, asked.entries)
        print(f"filled in {time.perf_counter() - started:.0f} s")
    print(open_fresh(place))
    ask_all(books)
    measured("one press with one booking, to the disk", lambda: book_one(books), 21)
    books.close()


if __name__ == "__main__":
    main(sys.argv[1:])
