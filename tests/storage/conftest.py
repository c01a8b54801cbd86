"""The same books three times: in memory, in a file, on a server."""

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from tests.postgres_server import fresh_database
from tests.services.fake import FakeClock, FakeFiles, FakeStore

from printcrib.services.interfaces import Attachments, UnitOfWork
from printcrib.services.press import Press
from printcrib.storage.books import OpenBooks, open_books
from printcrib.storage.engines import postgres_engine
from printcrib.storage.migrations import HEAD
from printcrib.storage.tables import Books

PLACES = ("memory", "file", "server")


@dataclass
class Kept:
    """Books that a test reads and writes.

    Attributes:
        opened: the real books; None in memory.
        place: folder or address they can be opened at again.
    """

    write: Callable[[Press, str], UnitOfWork]
    read: Callable[[], UnitOfWork]
    files: Attachments
    clock: FakeClock
    opened: OpenBooks | None = None
    place: Path | str = ""

    def add(self, table: str, record: Any, who_id: int = 0) -> Any:
        """Store one record by a press of its own."""
        with self.write(Press(who_id=who_id), "test") as unit:
            stored = getattr(unit, table).add(record)
            unit.commit()
        return stored

    def save(self, table: str, record: Any, who_id: int = 0) -> Any:
        """Store one edit by a press of its own."""
        with self.write(Press(who_id=who_id), "test") as unit:
            stored = getattr(unit, table).save(record)
            unit.commit()
        return stored

    def close(self) -> None:
        """Close the real books."""
        if self.opened:
            self.opened.close()


def kept_at(place: Path | str, clock: FakeClock, cache: Path | None = None) -> Kept:
    """Open the books at a place."""
    books = open_books(place, clock, cache=cache)
    return Kept(books.write, books.read, books.files, clock, books, place)


@pytest.fixture(scope="session")
def new_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new shop's folder, to be copied."""
    folder = tmp_path_factory.mktemp("new") / "shop"
    open_books(folder, FakeClock()).close()
    return folder


@pytest.fixture(scope="session")
def server_shop(postgres_server: str) -> Iterator[str]:
    """The address of a shop's database that the tests share one after the other."""
    with fresh_database(postgres_server) as url:
        open_books(url, FakeClock()).close()
        yield url


@pytest.fixture
def shop_folder(new_shop: Path, tmp_path: Path) -> Path:
    """A new shop's folder for one test."""
    return Path(shutil.copytree(new_shop, tmp_path / "shop"))


@pytest.fixture
def shop_url(server_shop: str) -> str:
    """An emptied shop's database for one test; making a new one takes over a second."""
    engine = postgres_engine(server_shop, writing=True)
    tables = ", ".join(f'"{name}"' for name in Books.metadata.tables)
    with engine.begin() as connection:
        connection.execute(text("CREATE TEMPORARY TABLE tool AS SELECT * FROM people WHERE id = 0"))
        connection.execute(text(f"TRUNCATE {tables} RESTART IDENTITY"))
        connection.execute(text("INSERT INTO people SELECT * FROM tool"))
        connection.execute(text("UPDATE alembic_version SET version_num = :head"), {"head": HEAD})
    engine.dispose()
    return server_shop


@pytest.fixture
def clock() -> FakeClock:
    """A clock that stands at 07:00 on a Tuesday until it is moved."""
    return FakeClock()


def in_memory(clock: FakeClock) -> Kept:
    """New books without a database."""
    store = FakeStore(clock)
    return Kept(store.write, store.read, FakeFiles(store), clock)


@pytest.fixture(params=PLACES)
def books(request: pytest.FixtureRequest, clock: FakeClock) -> Iterator[Kept]:
    """New books in memory, in a file and on a server."""
    if request.param == "memory":
        yield in_memory(clock)
        return
    place = request.getfixturevalue("shop_folder" if request.param == "file" else "shop_url")
    kept = kept_at(place, clock)
    yield kept
    kept.close()


@pytest.fixture(params=PLACES[1:])
def database(request: pytest.FixtureRequest, clock: FakeClock) -> Iterator[Kept]:
    """New books in a file and on a server."""
    place = request.getfixturevalue("shop_folder" if request.param == "file" else "shop_url")
    kept = kept_at(place, clock)
    yield kept
    kept.close()
