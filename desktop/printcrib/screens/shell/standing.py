"""Where a presenter stands: the shop, who is at the station, the strip and the background.

Plain Python without Qt, so that a presenter can be tested with `StandingAlone` doing all at once.
"""

from collections.abc import Callable
from datetime import datetime
from typing import Any, Protocol, TypeVar
from zoneinfo import ZoneInfo

from printcrib.core.errors import ShopError
from printcrib.core.people import Person
from printcrib.screens.shell.keepers import Keepers
from printcrib.screens.shell.messages import Answer, Messages
from printcrib.services.interfaces import AlreadyBooked, Done, Shop
from printcrib.services.press import Press

T = TypeVar("T")


class BackgroundWork(Protocol):
    """What a presenter needs of the background; `shell.background.Background` is one."""

    def read(
        self,
        work: Callable[..., T],
        *args: Any,
        done: Callable[[T], None] | None = None,
        failed: Callable[[ShopError], None] | None = None,
        words: str = "",
        process: bool = False,
    ) -> Any:
        """Read or compute; `done` comes back in the window's thread."""
        ...

    def change(
        self,
        work: Callable[..., Done[T]],
        *args: Any,
        done: Callable[[Done[T]], None] | None = None,
        failed: Callable[[ShopError], None] | None = None,
        words: str = "",
    ) -> Any:
        """Change data in the one writer thread."""
        ...


class Standing:
    """One person standing at one station of the shop.

    Attributes:
        shop: the use cases' way out. messages: the strip. background: where work goes.
        station: how this PC signs its bookings. person: who stands here now.
        zone: the shop's zone, for showing times.
        keepers: what keeps the books and the look, for Shop settings; None where nothing does.
    """

    def __init__(
        self,
        shop: Shop,
        background: BackgroundWork,
        messages: Messages,
        *,
        station: str,
        person: Person,
        zone: ZoneInfo,
        open_place: Callable[[str, int | None], None],
        raise_request: Callable[[int | None], None] | None = None,
        keepers: Keepers | None = None,
        person_stood: Callable[[Person], None] | None = None,
    ) -> None:
        self.shop = shop
        self.background = background
        self.messages = messages
        self.station = station
        self.person = person
        self.zone = zone
        self._open_place = open_place
        self._raise_request = raise_request
        self.keepers = keepers
        self._person_stood = person_stood

    def open_place(self, place_id: str, key: int | None = None) -> None:
        """Go to another place, at one of its records when a key is given."""
        self._open_place(place_id, key)

    def raise_request(self, size_id: int | None = None) -> None:
        """Go to the form of Requests, begun for a size of the book when one is told."""
        if self._raise_request is not None:
            self._raise_request(size_id)

    def stand_here(self, person: Person) -> None:
        """From now on every press at this station is signed by this person."""
        self.person = person
        if self._person_stood is not None:
            self._person_stood(person)

    def now(self) -> datetime:
        """Aware UTC now, by the shop's clock."""
        return self.shop.clock.now()

    def local(self, moment: datetime) -> datetime:
        """A moment in the shop's own time, for showing."""
        return moment.astimezone(self.zone)

    def press(self, really_at: datetime | None = None) -> Press:
        """A press of the person who stands here; `really_at` is the person's own time."""
        return Press(who_id=self.person.id, station=self.station, happened_at=really_at)

    def look(
        self,
        work: Callable[[Shop], T],
        then: Callable[[T], None],
        *,
        failed: Callable[[ShopError], None] | None = None,
        words: str = "",
    ) -> None:
        """Read in the background and show; `words` are shown when it takes long."""
        self.background.read(work, self.shop, done=then, failed=failed, words=words)

    def act(
        self,
        work: Callable[[Shop, Press], Done[T]],
        said: str | Callable[[T], str],
        *,
        then: Callable[[T], None] | None = None,
        failed: Callable[[ShopError], None] | None = None,
        really_at: datetime | None = None,
        undoable: bool = True,
        undone: Callable[[], None] | None = None,
        words: str = "",
    ) -> None:
        """Change data as the person who stands here, then say so with an Undo beside it.

        Args:
            work: the use case, called with the shop and the press.
            said: one sentence on what was done, or a function of the result.
            then: called with the result in the window's thread.
            failed: what to do on a refusal instead of the strip's sentence (typed text stays).
            really_at: "really at" of the person, when it was earlier.
            undone: called when it was taken back again by the Undo beside the sentence.
        """
        press = self.press(really_at)

        def done(answer: Done[T]) -> None:
            sentence = said if isinstance(said, str) else said(answer.value)
            back = Answer("Undo", lambda: self.undo(answer.press_number, undone), icon="undo")
            self.messages.say(sentence, back if undoable and answer.press_number else None)
            if then is not None:
                then(answer.value)

        def refused(error: ShopError) -> None:
            if isinstance(error, AlreadyBooked) or failed is None:
                self.messages.problem(error)
            else:
                failed(error)

        self.background.change(work, self.shop, press, done=done, failed=refused, words=words)

    def undo(self, press_number: int, undone: Callable[[], None] | None = None) -> None:
        """Take a press back by an opposing booking."""
        from printcrib.services.undo_press import undo  # needed at the first Undo, not at the first paint

        self.act(
            lambda shop, press: undo(shop, press, press_number),
            lambda back: f'Taken back: "{back.verb}".',
            then=None if undone is None else lambda _back: undone(),
            undoable=False,
        )


class StandingAlone:
    """A background that does everything at once, for presenters' tests and the command line."""

    def __init__(self, messages: Messages) -> None:
        self._messages = messages

    def read(
        self,
        work: Callable[..., T],
        *args: Any,
        done: Callable[[T], None] | None = None,
        failed: Callable[[ShopError], None] | None = None,
        words: str = "",
        process: bool = False,
    ) -> None:
        """Read now."""
        self._run(work, args, done, failed)

    def change(
        self,
        work: Callable[..., Done[T]],
        *args: Any,
        done: Callable[[Done[T]], None] | None = None,
        failed: Callable[[ShopError], None] | None = None,
        words: str = "",
    ) -> None:
        """Change now."""
        self._run(work, args, done, failed)

    def _run(
        self,
        work: Callable[..., Any],
        args: tuple[Any, ...],
        done: Callable[[Any], None] | None,
        failed: Callable[[ShopError], None] | None,
    ) -> None:
        try:
            result = work(*args)
        except ShopError as error:
            (failed or self._messages.problem)(error)
            return
        if done is not None:
            done(result)
