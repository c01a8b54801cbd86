"""Edit the people of the shop: names, badges, roles, PINs; people who left are switched off."""

from dataclasses import dataclass, replace
from typing import Protocol

from printcrib.core.errors import ShopError
from printcrib.core.people import Person, Role
from printcrib.services.check_role import presser, require
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.press import Press
from printcrib.services.save_edit import refuse_blank, save_edit

SHORTEST_PIN, LONGEST_PIN = 4, 12


class PinHasher(Protocol):
    """Turns a PIN into what may be stored, and checks one against it."""

    def hash(self, pin: str) -> str:
        """The text to store."""
        ...

    def verify(self, stored: str, pin: str) -> bool:
        """Whether the PIN is the one stored."""
        ...


class Argon2Hasher:
    """Argon2id with the parameters of the library (RFC 9106, low memory)."""

    def hash(self, pin: str) -> str:
        """The text to store, with a salt of its own."""
        from argon2 import PasswordHasher

        return PasswordHasher().hash(pin)

    def verify(self, stored: str, pin: str) -> bool:
        """Whether the PIN is the one stored; unreadable text never is."""
        from argon2 import PasswordHasher
        from argon2.exceptions import InvalidHashError, VerificationError

        try:
            return PasswordHasher().verify(stored, pin)
        except (VerificationError, InvalidHashError):
            return False


ARGON2 = Argon2Hasher()


@dataclass(frozen=True, kw_only=True)
class NewPerson:
    """Somebody new; the PIN may come later."""

    name: str
    badge: str = ""
    roles: tuple[Role, ...] = (Role.MACHINIST,)
    pin: str = ""


def add_person(shop: Shop, press: Press, new: NewPerson, hasher: PinHasher = ARGON2) -> Done[Person]:
    """The lead adds a person; so does anybody while the shop has nobody."""
    pin_hash = hashed(new.pin, hasher)
    with shop.write(press, "add person") as uow:
        if uow.people.count():
            require(uow, "add people", Role.LEAD)
        person = person_in(uow, new, pin_hash)
        uow.commit()
        return Done(person, uow.changed, uow.press_number)


def person_in(uow: UnitOfWork, new: NewPerson, pin_hash: str = "") -> Person:
    """Add a person within an open unit; the PIN was hashed before."""
    refuse_blank(new.name, "The person")
    if not new.roles:
        raise ShopError(f"{new.name.strip()} has no role", "Choose at least one.")
    person = Person(name=new.name.strip(), badge=new.badge.strip(), roles=new.roles, pin_hash=pin_hash)
    return uow.people.add(person)


def change_person(shop: Shop, press: Press, edited: Person) -> Done[Person]:
    """The lead changes name, badge, roles or switches somebody off; the last lead stays one.

    Raises:
        StaleEdit: somebody else changed the person since.
    """
    with shop.write(press, "change person") as uow:
        require(uow, "change people", Role.LEAD)
        before = uow.people.get(edited.id)
        refuse_blank(edited.name, "The person")
        if not edited.roles:
            raise ShopError(f"{edited.name} has no role", "Choose at least one.")
        if before.may(Role.LEAD) and not edited.may(Role.LEAD):
            _refuse_last_lead(uow, before)
        person = save_edit(uow.people, replace(edited, pin_hash=before.pin_hash))
        uow.commit()
        return Done(person, uow.changed, uow.press_number)


def _refuse_last_lead(uow: UnitOfWork, person: Person) -> None:
    others = uow.people.find(is_("active", True))
    if not any(other.may(Role.LEAD) for other in others if other.id != person.id):
        raise ShopError(f"{person.name} is the only lead", "Make somebody else lead first.")


def set_pin(shop: Shop, press: Press, person_id: int, pin: str, hasher: PinHasher = ARGON2) -> Done[Person]:
    """A person sets the own PIN; the lead may for anybody. An empty one takes it away."""
    pin_hash = hashed(pin, hasher)
    with shop.write(press, "set PIN") as uow:
        if presser(uow).id != person_id:
            require(uow, "set the PIN of others", Role.LEAD)
        person = uow.people.save(replace(uow.people.get(person_id), pin_hash=pin_hash))
        uow.commit()
        return Done(person, uow.changed, uow.press_number)


def check_pin(shop: Shop, who: str, pin: str, hasher: PinHasher = ARGON2) -> Person:
    """The active person of that name or badge, whose PIN this is.

    Raises:
        ShopError: nobody of that name or badge has that PIN; it does not say which of the two is wrong.
    """
    with shop.read() as uow:
        people = uow.people.find(is_("active", True))
    wanted = who.strip().casefold()
    for person in people:
        called = wanted and wanted in (person.name.casefold(), person.badge.casefold())
        if called and person.pin_hash and hasher.verify(person.pin_hash, pin):
            return person
    raise ShopError("Name or PIN is wrong", "Try again, or ask the lead for a new PIN.")


def check_own_pin(shop: Shop, person_id: int, pin: str, hasher: PinHasher = ARGON2) -> Person:
    """The person picked from the list, as they are now; whoever has a PIN must give it.

    Raises:
        ShopError: the PIN is wrong, or the person is switched off.
    """
    with shop.read() as uow:
        person = uow.people.get(person_id)
    if not person.active:
        raise ShopError(f"{person.name} is switched off", "Choose another name.")
    if person.pin_hash and not hasher.verify(person.pin_hash, pin):
        raise ShopError("That is not the PIN", "Try again, or ask the lead for a new one.")
    return person


def hashed(pin: str, hasher: PinHasher = ARGON2) -> str:
    """What is stored for a PIN; "" for none.

    Raises:
        ShopError: it is not 4 to 12 digits.
    """
    if not pin:
        return ""
    if not (pin.isascii() and pin.isdigit() and SHORTEST_PIN <= len(pin) <= LONGEST_PIN):
        raise ShopError("That is not a PIN", f"Choose {SHORTEST_PIN} to {LONGEST_PIN} digits.")
    return hasher.hash(pin)
