"""Opens a shop's books: a folder on this computer, or a server by its address."""

from pathlib import Path
from typing import cast

from sqlalchemy import Engine

from printcrib.core.errors import ShopError
from printcrib.services.interfaces import Clock, UnitOfWork
from printcrib.services.press import Press
from printcrib.storage.backup import DATABASE, back_up
from printcrib.storage.engines import postgres_engine, sqlite_engine
from printcrib.storage.files import FolderFiles, KeptFiles
from printcrib.storage.migrate import bring_up_to_date, is_current
from printcrib.storage.unit import StoredUnit, Turn


class OpenBooks:
    """The open books of one shop.

    Attributes:
        home: the shop's folder, None for a shop on a server.
        files: its attachments. reader: the engine that reads, for a check.
    """

    def __init__(
        self, writer: Engine, reader: Engine, clock: Clock, home: Path | None, cache: Path | None = None
    ) -> None:
        self._writer, self.reader, self._clock, self.home = writer, reader, clock, home
        self._turn = Turn()
        self.files = _files(self, cache)

    def write(self, press: Press, verb: str) -> UnitOfWork:
        """A writing unit for a press; it has the books alone from `with` to commit or leaving."""
        return cast(UnitOfWork, StoredUnit(self._writer, self._clock, self._turn, press, verb))

    def read(self) -> UnitOfWork:
        """A reading unit; leave it soon, since on a file writers wait for it."""
        return cast(UnitOfWork, StoredUnit(self.reader, self._clock, self._turn, None))

    def back_up(self) -> Path:
        """Copy the shop's file into its backups and check the copy."""
        if self.home is None:
            raise ShopError(
                "A shop on a server is not backed up from here",
                "Ask whoever looks after the server to do it.",
            )
        return back_up(self.home / DATABASE, self.home / "backups", self._clock.now())

    def close(self) -> None:
        """Let all connections go."""
        self._writer.dispose()
        self.reader.dispose()


def _files(books: OpenBooks, cache: Path | None) -> KeptFiles:
    if books.home:
        return FolderFiles(books.home / "files", books.write, books.read)
    from printcrib.storage.pieces import DatabaseFiles

    return DatabaseFiles(books.write, books.read, cache)


def is_server(place: str | Path) -> bool:
    """Whether a place is the address of a server rather than a folder."""
    return isinstance(place, str) and "://" in place


def open_books(
    place: str | Path, clock: Clock, *, create: bool = True, cache: Path | None = None
) -> OpenBooks:
    """Open a shop and bring its books up to date.

    Args:
        place: the shop's folder (or the shop.db in it), or the address of a PostgreSQL database.
        clock: tells the time of every record.
        create: make a new shop where there is none.
        cache: folder of this computer for files read from a server.

    Raises:
        ShopError: no shop there, a damaged file, no answer, or a newer program's books.
    """
    return (
        _on_server(str(place), clock, cache) if is_server(place) else _in_folder(Path(place), clock, create)
    )


def _in_folder(place: Path, clock: Clock, create: bool) -> OpenBooks:
    home = place.parent if place.name == DATABASE else place
    database = home / DATABASE
    old = database.exists()
    if not old and not create:
        raise ShopError(f"There is no shop in {home}", "Choose its folder, or begin a new shop there.")
    try:
        for folder in (home, home / "files", home / "backups"):
            folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ShopError(f"The folder {home} cannot be made", "Choose another place for the shop.") from error
    writer, reader = (sqlite_engine(database, writing=writing) for writing in (True, False))
    try:
        if not (old and is_current(reader)):
            if old and database.stat().st_size:
                back_up(database, home / "backups", clock.now(), "before-update")
            bring_up_to_date(writer)
    except BaseException:
        writer.dispose()
        reader.dispose()
        raise
    return OpenBooks(writer, reader, clock, home)


def _on_server(url: str, clock: Clock, cache: Path | None) -> OpenBooks:
    writer, reader = (postgres_engine(url, writing=writing) for writing in (True, False))
    try:
        if not is_current(reader):
            bring_up_to_date(writer)
    except BaseException:
        writer.dispose()
        reader.dispose()
        raise
    return OpenBooks(writer, reader, clock, None, cache)
