"""Start the window on a shop, and take pictures of its places."""

import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from printcrib.app.frame import Frame
from printcrib.app.live_window import TidyUp, take_short_turns
from printcrib.app.resources import resource_folder
from printcrib.app.station import Station, config_folder, read_station, remember_station
from printcrib.app.workers import Workers
from printcrib.core.errors import ShopError
from printcrib.core.people import Person, Role
from printcrib.screens.parts.buttons import SETTLE_MS, Button
from printcrib.screens.shell.background import Background
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.messages import Answer
from printcrib.screens.shell.reach import keep_scale, kept_scale
from printcrib.screens.shell.refresh import Refresh
from printcrib.screens.shell.theme import Theme
from printcrib.screens.shell.window import ShopWindow

if TYPE_CHECKING:  # what stands on the records is imported with the books, after the first paint
    from printcrib.app.refining import Refining
    from printcrib.app.wiring import Wired
    from printcrib.screens.shell.standing import Standing
    from printcrib.services.do_duties import DutiesDone
    from printcrib.services.interfaces import Done, Shop

DUTIES_EVERY_MS = 60_000
REFINE_AFTER_MS = 5_000
SCALE = "QT_SCALE_FACTOR"
"""Read by Qt once, when the application is made."""


@dataclass
class OpenWindow:
    """A window standing on an open shop.

    Attributes:
        background: its threads; refresh: what tells it of other windows' changes.
    """

    window: ShopWindow
    wired: "Wired"
    writer: Workers
    background: Background
    refresh: Refresh
    standing: "Standing"

    def close(self) -> None:
        """Finish what was pressed, then let everything go."""
        self.refresh.stop()
        self.background.cancel_all()
        self.writer.close(finish=True)
        self.wired.close()


def changes_since(shop: "Shop", seen: int) -> tuple[int, frozenset[str]]:
    """The newest change number, and which kinds of record changed since the one seen."""
    with shop.read() as uow:
        newest = uow.changes.last_number()
        if newest == seen:
            return seen, frozenset()
        changes = uow.changes.since(seen)
    return changes[-1].number, frozenset(change.thing for change in changes)


def person_at(shop: "Shop", remembered: str) -> Person:
    """Who stands at this station: the person remembered, else the first who works the desk.

    Nobody with a PIN is taken unasked while there is somebody without one.
    """
    from printcrib.services.interfaces import is_

    with shop.read() as uow:
        people = uow.people.find(is_("active", True))
    known = {str(person.id): person for person in people}
    usual = sorted(people, key=lambda person: (bool(person.pin_hash), not person.may(Role.DESK)))
    found = known.get(remembered) or next(iter(usual), None)
    if found is None:
        raise ShopError("Nobody is entered in this shop", "Set the shop up anew in another folder.")
    return found


def open_window(
    wired: "Wired", theme: Theme, memory: Memory, *, station: str, frame: Frame | None = None
) -> OpenWindow:
    """Put a window on an open shop; it is not shown yet, unless its frame was shown before."""
    from printcrib.app.at_station import ShopKeepers, follow_station, person_stood
    from printcrib.screens.shell.standing import Standing
    from printcrib.services.read_calendar import zone_of

    shop = wired.shop
    with shop.read() as uow:
        zone = ZoneInfo(zone_of(uow))
        seen = uow.changes.last_number()
    person = person_at(shop, memory.shop_text("person"))
    frame = frame or Frame(theme, memory)
    window = frame.window
    writer = Workers(threads=1, processes=0, name="writer")
    background = Background(wired.computing, writer, window.strip, window)
    standing = frame.standing = Standing(
        shop,
        background,
        window.strip,
        station=station,
        person=person,
        zone=zone,
        open_place=lambda place_id, key: open_place_at(window, place_id, key),
        raise_request=lambda size_id: raise_request_for(window, size_id),
        keepers=ShopKeepers(wired.books, theme),
        person_stood=lambda person: person_stood(window, memory, person),
    )
    refresh = Refresh(lambda last: changes_since(shop, last), background, seen=seen, parent=window)
    refresh.changed.connect(window.refresh)
    background.changed.connect(window.refresh)
    follow_station(window, standing, background, refresh)
    return OpenWindow(window, wired, writer, background, refresh, standing)


def open_place_at(window: ShopWindow, place_id: str, key: int | None) -> None:
    """Go to a place, and to one of its records when the page knows how."""
    window.open_place(place_id)
    if key is not None:
        window.page(place_id).go_to(key)


def raise_request_for(window: ShopWindow, size_id: int | None) -> None:
    """Go to Requests and begin its form, with a size of the book when one is told."""
    from printcrib.screens.requests.screen import RequestsPage

    window.open_place("requests")
    page = window.page("requests")
    if isinstance(page, RequestsPage):
        page.raise_request(**({} if size_id is None else {"size_id": size_id}))


def start_duties(opened: OpenWindow) -> QTimer:
    """Let the tool do its own work now and every minute: plan, reprints, lapses, promises."""
    from printcrib.services.do_duties import do_duties
    from printcrib.services.press import Press

    def work(shop: "Shop", press: Press) -> "Done[DutiesDone]":
        return do_duties(shop, press)

    def tick() -> None:
        opened.background.change(work, opened.standing.shop, Press(who_id=0, station=opened.standing.station))

    timer = QTimer(opened.window, interval=DUTIES_EVERY_MS)
    timer.timeout.connect(tick)
    timer.start()
    QTimer.singleShot(1500, opened.window, tick)
    return timer


def start_refining(opened: OpenWindow) -> "Refining":
    """Let quick estimates be worked out by paths behind the window, now and whenever some were kept."""
    from printcrib.app.refining import Refining

    refining = Refining(opened.background, opened.standing.shop, opened.standing.station, opened.window)
    QTimer.singleShot(REFINE_AFTER_MS, refining, refining.look)
    return refining


@dataclass(frozen=True)
class Chosen:
    """The shop this PC stands on now; `new` when it was chosen at the first start just now.

    Attributes:
        frame: the frame that was shown while the books were opened; None after the first start.
    """

    wired: "Wired"
    place: str
    new: bool
    frame: Frame | None = None


def run_window(told: str | None) -> int:
    """Open the window; at the first start it asks whether to begin with the demo shop or an own one.

    Args:
        told: folder or address of the shop; None for the one this PC opened last.

    Raises:
        ShopError: the shop that was told cannot be opened.
    """
    take_short_turns()
    Button.settle_ms = SETTLE_MS
    scale_told = SCALE in os.environ
    memory = Memory(config_folder() / "window.ini")
    app = application(memory)
    theme = Theme(app, resource_folder(), dark=memory.text("window/look") == "dark")
    theme.changed.connect(lambda dark: memory.put("window/look", "dark" if dark else "light"))
    place = told or read_station().shop
    while (chosen := choose_shop(app, theme, memory, place, told=bool(told))) is not None:
        code, again = stand_on(app, theme, memory, chosen, keep_scale_of_screen=not scale_told)
        if not again:
            return code
        place, told = "", None
    return 0


def choose_shop(app: QApplication, theme: Theme, memory: Memory, place: str, *, told: bool) -> Chosen | None:
    """The shop at a place; the first start asks when there is none, or when the one opened last is gone.

    Args:
        told: the place was told, so that a refusal is an answer. None when the first start was closed.
    """
    trouble = None
    if place:
        memory.stand_at(place)
        frame = Frame(theme, memory)
        try:
            wired = frame.open_behind(place, open_books_of)
            if frame.closed:
                wired.close()
                return None
            return Chosen(wired, place, new=False, frame=frame)
        except ShopError as error:
            if told:
                raise
            trouble = error
    from printcrib.app.first_start import run_first_start  # its pages are not needed at other starts

    place = run_first_start(app, theme, memory, trouble=trouble)
    if not place:
        return None
    memory.stand_at(place)
    return Chosen(open_books_of(place), place, new=True)


def open_books_of(place: str) -> "Wired":
    """Open a shop that is set up; imported here, so that the frame is painted before the database loads."""
    from printcrib.app.begin_shop import open_set_up

    return open_set_up(place)


def stand_on(
    app: QApplication, theme: Theme, memory: Memory, chosen: Chosen, *, keep_scale_of_screen: bool
) -> tuple[int, bool]:
    """Work at a shop until the window is closed.

    Returns:
        The exit code, and whether to ask again which shop to begin with.
    """
    station = read_station()
    remember_station(Station(name=station.name, shop=chosen.place))
    opened = open_window(chosen.wired, theme, memory, station=station.name, frame=chosen.frame)
    again: list[bool] = []

    def begin_own() -> None:
        again.append(True)
        opened.window.close()

    opened.window.open_first_place()
    opened.window.show()
    if keep_scale_of_screen:
        keep_scale(memory, opened.window.screen())
    greet(opened, new=chosen.new, begin_own=begin_own)
    opened.refresh.start()
    start_duties(opened)
    start_refining(opened)
    TidyUp(opened.background, opened.window)
    code = app.exec()
    opened.close()
    opened.window.deleteLater()
    return code, bool(again)


def greet(opened: OpenWindow, *, new: bool, begin_own: Callable[[], None]) -> None:
    """The first sentence in the strip: what this shop is, and what to do first.

    Args:
        begin_own: what leads from the demo shop to an own one.
    """
    with opened.standing.shop.read() as uow:
        settings = uow.settings.one()
    if settings is None:
        return
    if settings.is_demo:
        own = Answer("Begin our own shop", begin_own)
        opened.window.strip.say("This is the demo shop: nothing in it is real.", own, icon="handbook")
    elif new:
        go = Answer("Go to Requests", lambda: opened.window.open_place("requests"), icon="requests")
        opened.window.strip.say(f"{settings.name} is set up. Raise the first request.", go)


def application(memory: Memory | None = None) -> QApplication:
    """The one Qt application of this process.

    Args:
        memory: where the scale wanted by the screen is kept; it counts only for a new application.
    """
    found = QApplication.instance()
    if isinstance(found, QApplication):
        return found
    if memory is not None:
        put_scale_in_force(memory)
    app = QApplication(sys.argv[:1])
    app.setApplicationName("printcrib")
    return app


def put_scale_in_force(memory: Memory) -> None:
    """Be as large as the screen wanted it last time, unless somebody told another scale."""
    scale = kept_scale(memory)
    if SCALE not in os.environ and scale > 1:
        os.environ[SCALE] = f"{scale:g}"
