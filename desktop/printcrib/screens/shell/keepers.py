"""What keeps the shop's books and the window's look, handed to Shop settings by the wiring. No Qt."""

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True)
class Kept:
    """Where the books are.

    Attributes:
        place: folder on this PC, or address of a server without its password.
        on_server: a server; it is backed up where it stands.
        backups: names of the copies in the shop's folder, newest first.
    """

    place: str
    on_server: bool = False
    backups: tuple[str, ...] = ()


class Keepers(Protocol):
    """The books' keeper and the look's."""

    def look(self) -> Kept:
        """Where the books are, and which backups there are."""
        ...

    def back_up(self) -> str:
        """Make a backup now; gives its name.

        Raises:
            ShopError: it cannot be made, or it is not whole.
        """
        ...

    @property
    def dark(self) -> bool:
        """Whether the window is dark."""
        ...

    def set_dark(self, dark: bool) -> None:
        """Make the window dark or light; remembered."""
        ...
