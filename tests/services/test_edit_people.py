"""People, roles and PINs."""

from dataclasses import replace

import pytest
from tests.services.own_shop import Own, PlainHasher, own_shop

from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.people import Person, Role
from printcrib.core.records import THE_TOOL
from printcrib.services.edit_people import (
    ARGON2,
    NewPerson,
    add_person,
    change_person,
    check_own_pin,
    check_pin,
    set_pin,
)
from printcrib.services.interfaces import Shop
from printcrib.services.press import Press

PLAIN = PlainHasher()


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def test_the_first_person_is_added_by_anybody_then_by_the_lead(shop: Shop) -> None:
    lea = add_person(shop, Press(who_id=THE_TOOL), NewPerson(name=" Lea ", roles=(Role.LEAD,))).value
    assert (lea.name, lea.pin_hash) == ("Lea", "")
    with pytest.raises(ShopError, match="Only the lead may add people"):
        add_person(shop, Press(who_id=THE_TOOL), NewPerson(name="Max"))
    new = NewPerson(name="Max", badge=" B1 ", pin="2468")
    max_ = add_person(shop, Press(who_id=lea.id), new, PLAIN).value
    assert (max_.badge, max_.roles, max_.pin_hash) == ("B1", (Role.MACHINIST,), "hash of 2468")


def test_a_name_and_a_role_are_needed(own: Own) -> None:
    with pytest.raises(ShopError, match="The person has no name"):
        add_person(own.shop, own.press("Lea"), NewPerson(name=" "))
    with pytest.raises(ShopError, match="Nora has no role"):
        add_person(own.shop, own.press("Lea"), NewPerson(name="Nora", roles=()))
    with pytest.raises(ShopError, match="Max has no role"):
        change_person(own.shop, own.press("Lea"), replace(own.made.people["Max"], roles=()))
    with pytest.raises(ShopError, match="has that badge"):
        add_person(own.shop, own.press("Lea"), NewPerson(name="Nora", badge="B7"))


def test_people_are_switched_off_never_deleted_and_one_lead_stays(own: Own) -> None:
    lea = own.made.people["Lea"]
    for edited in (replace(lea, active=False), replace(lea, roles=(Role.DESK,))):
        with pytest.raises(ShopError, match="Lea is the only lead"):
            change_person(own.shop, own.press("Lea"), edited)
    dora = own.made.people["Dora"]
    change_person(own.shop, own.press("Lea"), replace(dora, roles=(Role.LEAD,)))
    gone = change_person(own.shop, own.press("Dora"), replace(lea, active=False, pin_hash="stolen")).value
    assert (gone.active, gone.pin_hash) == (False, lea.pin_hash)


def test_only_the_lead_edits_and_a_stale_edit_keeps_what_was_typed(own: Own) -> None:
    max_ = own.made.people["Max"]
    with pytest.raises(ShopError, match="Only the lead may change people"):
        change_person(own.shop, own.press("Dora"), replace(max_, name="Maxi"))
    change_person(own.shop, own.press("Lea"), replace(max_, name="Maxi"))
    with pytest.raises(StaleEdit, match="Lea changed person") as caught:
        change_person(own.shop, own.press("Lea"), replace(max_, name="Maximilian"))
    assert isinstance(caught.value.typed, Person)
    assert caught.value.typed.name == "Maximilian"


def test_pins_are_set_by_oneself_or_the_lead_and_checked(own: Own) -> None:
    dora = own.who("Dora")
    set_pin(own.shop, own.press("Dora"), dora, "4711", PLAIN)
    for who in ("dora", "B7", " Dora "):
        assert check_pin(own.shop, who, "4711", PLAIN).id == dora
    for who, pin in (("Dora", "4712"), ("", "4711"), ("Max", "4711"), ("Nobody", "4711")):
        with pytest.raises(ShopError, match="Name or PIN is wrong"):
            check_pin(own.shop, who, pin, PLAIN)
    with pytest.raises(ShopError, match="Only the lead may set the PIN of others"):
        set_pin(own.shop, own.press("Max"), dora, "0000", PLAIN)
    assert set_pin(own.shop, own.press("Lea"), dora, "", PLAIN).value.pin_hash == ""


def test_who_is_picked_gives_the_pin_there_is(own: Own) -> None:
    assert check_own_pin(own.shop, own.who("Max"), "", PLAIN).name == "Max"
    assert check_own_pin(own.shop, own.who("Lea"), "1234", PLAIN).name == "Lea"
    for pin in ("", "4321"):
        with pytest.raises(ShopError, match="That is not the PIN"):
            check_own_pin(own.shop, own.who("Lea"), pin, PLAIN)
    otto = own.made.people["Otto"]
    change_person(own.shop, own.press("Lea"), replace(otto, active=False))
    with pytest.raises(ShopError, match="Otto is switched off"):
        check_own_pin(own.shop, otto.id, "", PLAIN)


@pytest.mark.parametrize("pin", ["123", "1234567890123", "12a4", "१२३४"])
def test_a_pin_is_four_to_twelve_digits(own: Own, pin: str) -> None:
    with pytest.raises(ShopError, match="That is not a PIN"):
        set_pin(own.shop, own.press("Max"), own.who("Max"), pin, PLAIN)


def test_stored_pins_are_argon2id() -> None:
    stored = ARGON2.hash("1234")
    assert stored.startswith("$argon2id$")
    assert ARGON2.verify(stored, "1234")
    assert not ARGON2.verify(stored, "1235")
    assert not ARGON2.verify("no hash", "1234")
