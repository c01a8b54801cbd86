"""Who stands at this station: picked from the shop's people, with the PIN of whoever has one."""

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from printcrib.core.errors import ShopError
from printcrib.core.people import Person
from printcrib.screens.parts.pick import Pick, PickPanel
from printcrib.screens.parts.pin_pad import PinPanel
from printcrib.screens.shell.messages import Answer
from printcrib.screens.shell.standing import Standing
from printcrib.services.edit_people import check_own_pin
from printcrib.services.interfaces import Shop, is_


def people_here(shop: Shop) -> tuple[Person, ...]:
    """Everybody who may stand at a station."""
    with shop.read() as uow:
        return uow.people.find(is_("active", True), order_by="name")


def _person(shop: Shop, person_id: int) -> Person:
    with shop.read() as uow:
        return uow.people.get(person_id)


class WhoHere:
    """Asks who stands here, over the page it is told.

    Args:
        standing: gets the new person.
        page: gives the widget to stand over.
    """

    def __init__(self, standing: Standing, page: Callable[[], QWidget]) -> None:
        self._standing, self._page = standing, page
        self.panel: PickPanel | PinPanel | None = None

    def ask(self) -> None:
        """Show everybody; whoever is picked stands here, after the PIN if there is one."""
        self._standing.look(people_here, self._show)

    def _show(self, people: tuple[Person, ...]) -> None:
        self._put_away()
        by_key = {str(person.id): person for person in people}
        panel = PickPanel(
            "Who stands here?",
            [Pick(key, person.name, _second(person)) for key, person in by_key.items()],
            confirm="I stand here",
            sentence="Every press at this station is signed by this person.",
            chosen=str(self._standing.person.id),
            empty="Nobody is entered yet.",
        )
        panel.picked.connect(lambda key: self._on_picked(by_key[key]))
        self.panel = panel
        panel.open_over(self._page())

    def refresh(self, things: frozenset[str]) -> None:
        """A record changed: whoever is here may have a new name or other roles, or be switched off."""
        if "people" in things:
            key = self._standing.person.id
            self._standing.look(lambda shop: _person(shop, key), self._on_read)

    def _on_read(self, person: Person) -> None:
        if person.id != self._standing.person.id or person == self._standing.person:
            return
        self._standing.stand_here(person)
        if not person.active:
            gone = ShopError(f"{person.name} is switched off", "Choose who stands here.")
            self._standing.messages.problem(gone, Answer("Choose", self.ask, icon="person"))

    def _on_picked(self, person: Person) -> None:
        if person.id == self._standing.person.id:
            self._put_away()
            return
        if not person.pin_hash:
            self._check(person, "")
            return
        panel = PinPanel(f"The PIN of {person.name}", confirm="I stand here")
        panel.given.connect(lambda pin: self._check(person, pin))
        self._put_away()
        self.panel = panel
        panel.open_over(self._page())

    def _check(self, person: Person, pin: str) -> None:
        def check(shop: Shop) -> Person:
            return check_own_pin(shop, person.id, pin)

        self._standing.look(check, self._on_right, failed=self._on_refused)

    def _on_right(self, person: Person) -> None:
        self._put_away()
        self._standing.stand_here(person)
        self._standing.messages.say(f"{person.name} stands here now.", icon="person")

    def _on_refused(self, error: ShopError) -> None:
        if isinstance(self.panel, PinPanel):
            self.panel.refuse(str(error))
        else:
            self._standing.messages.problem(error)

    def _put_away(self) -> None:
        if self.panel is not None:
            self.panel.lay_down()
            self.panel.deleteLater()
            self.panel = None


def _second(person: Person) -> str:
    roles = ", ".join(role.value for role in person.roles)
    return f"{roles}; asks for a PIN" if person.pin_hash else roles
