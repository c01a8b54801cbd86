"""Where everything is put together: one shop, its books, its readers and its workers."""

from dataclasses import dataclass
from pathlib import Path

from printcrib.app.clock import WallClock
from printcrib.app.resources import resource_folder
from printcrib.app.station import data_folder
from printcrib.app.workers import Workers
from printcrib.meshes.reader import ModelReader
from printcrib.meshes.writer import ModelWriter
from printcrib.reports.week import PaperReports
from printcrib.services.interfaces import Clock, Shop
from printcrib.storage.books import OpenBooks, open_books


@dataclass(frozen=True)
class Wired:
    """A shop with everything behind it; close it when done.

    Attributes:
        shop: what the use cases get. books: storage, for checks and backups.
        computing: threads and kept processes for long reading and computing.
    """

    shop: Shop
    books: OpenBooks
    reader: ModelReader
    computing: Workers

    def close(self) -> None:
        """Let the child, the processes and the database go."""
        self.computing.close()
        self.reader.close()
        self.books.close()


def open_shop(place: str | Path, *, clock: Clock | None = None, create: bool = False) -> Wired:
    """Open the shop in a folder or on a server.

    Raises:
        ShopError: there is no shop there, or it cannot be opened.
    """
    time = clock or WallClock()
    books = open_books(place, time, create=create, cache=data_folder() / "read-from-server")
    reader = ModelReader()
    computing = Workers(threads=4, processes=2, name="reader")  # a form never waits for paths laid out
    shop = Shop(
        write=books.write,
        read=books.read,
        clock=time,
        files=books.files,
        meshes=reader,
        mesh_writer=ModelWriter(),
        reports=PaperReports(resource_folder()),
        worker=computing,
        home=books.home,
    )
    return Wired(shop, books, reader, computing)
