"""Who keeps an open shop's books: where they are, and copies of them."""

from datetime import UTC, datetime
from pathlib import Path

from printcrib.storage.backup import DATABASE
from printcrib.storage.books import OpenBooks


class BooksKeeper:
    """Keeps the books of one open shop (a `screens.shell.standing.Keeper`)."""

    def __init__(self, books: OpenBooks) -> None:
        self._books = books

    @property
    def place_words(self) -> str:
        """The shop's folder, or the server's address without its password."""
        if self._books.home is None:
            return self._books.reader.url.render_as_string(hide_password=True)
        return str(self._books.home)

    @property
    def backup_words(self) -> str:
        """The folder of the copies; who looks after a server makes its own."""
        return "" if self._books.home is None else str(self._books.home / "backups")

    def last_backup(self) -> datetime | None:
        """When the newest copy was made."""
        if self._books.home is None:
            return None
        copies = (self._books.home / "backups").glob(f"{Path(DATABASE).stem}-*.db")
        made = max((copy.stat().st_mtime for copy in copies), default=None)
        return None if made is None else datetime.fromtimestamp(made, UTC)

    def back_up(self) -> Path:
        """Make a copy now and check it.

        Raises:
            ShopError: the shop is on a server, or the copy is not whole.
        """
        return self._books.back_up()
