"""What belongs to the station rather than to a place: who stands here, the shop's time, the books' keeper."""

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from printcrib.core.people import Person
from printcrib.screens.shell.background import Background
from printcrib.screens.shell.keepers import Kept
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.refresh import Refresh
from printcrib.screens.shell.standing import Standing
from printcrib.screens.shell.theme import Theme
from printcrib.screens.shell.who_here import WhoHere
from printcrib.screens.shell.window import ShopWindow
from printcrib.services.interfaces import Shop
from printcrib.services.read_calendar import zone_of

if TYPE_CHECKING:
    from printcrib.storage.books import OpenBooks


class ShopKeepers:
    """Keeps the books and the look of one open shop (see `screens.shell.keepers.Keepers`)."""

    def __init__(self, books: "OpenBooks", theme: Theme) -> None:
        self._books, self._theme = books, theme

    def look(self) -> Kept:
        """Where the books are, and which backups there are."""
        home = self._books.home
        if home is None:
            return Kept(self._books.reader.url.render_as_string(hide_password=True), on_server=True)
        copies = sorted((home / "backups").glob("shop-*.db"), key=lambda path: path.name, reverse=True)
        return Kept(str(home), backups=tuple(path.name for path in copies))

    def back_up(self) -> str:
        """Make a backup now; gives its name."""
        return self._books.back_up().name

    @property
    def dark(self) -> bool:
        """Whether the window is dark."""
        return self._theme.dark

    def set_dark(self, dark: bool) -> None:
        """Make the window dark or light; whoever made the theme remembers it."""
        self._theme.set_dark(dark)


def person_stood(window: ShopWindow, memory: Memory, person: Person) -> None:
    """Somebody stands here now: remember it, show it, and let every page ask again what may be pressed."""
    memory.put_shop_text("person", str(person.id))
    window.side.set_person(person.name)
    window.refresh(frozenset({"people"}))


def follow_station(
    window: ShopWindow, standing: Standing, background: Background, refresh: Refresh
) -> WhoHere:
    """Show who stands here, ask when somebody else does, and keep to the shop's zone when it is changed."""
    who = WhoHere(standing, lambda: window.page(window.open_place_id))
    window.side.set_person(standing.person.name)
    window.side.set_time(standing.local(standing.now()))  # not the PC's zone until the next second
    window.side.person_pressed.connect(who.ask)

    def keep_to_zone(zone: str) -> None:
        standing.zone = ZoneInfo(zone)
        window.side.set_time(standing.local(standing.now()))

    def follow(things: frozenset[str]) -> None:
        who.refresh(things)
        if "settings" in things:
            standing.look(_zone, keep_to_zone)

    background.changed.connect(follow)
    refresh.changed.connect(follow)
    return who


def _zone(shop: Shop) -> str:
    with shop.read() as uow:
        return zone_of(uow)
