"""The shop's habits, hours, closed days, materials and machines; setting one up."""

import tomllib
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from tests.services.own_shop import PETG, PLA, Own, PlainHasher, own_shop

from printcrib.core.aids import Machine
from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.materials import Material, SpoolState
from printcrib.core.people import Role
from printcrib.core.records import THE_TOOL
from printcrib.core.shop import Shift, ShopSettings
from printcrib.services.edit_people import NewPerson
from printcrib.services.edit_shop import (
    add_machine,
    add_material,
    change_machine,
    change_material,
    change_settings,
    close_on,
    close_on_days,
    open_on,
    set_shifts,
)
from printcrib.services.interfaces import Shop, is_
from printcrib.services.press import Press
from printcrib.services.set_up_shop import NewPrinter, NewSpool, SetUp, materials_from, set_up_shop

LEAD = (NewPerson(name="Lea", roles=(Role.LEAD,)),)
MATERIALS = Path(__file__).parents[2] / "resources" / "materials.toml"


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def test_the_lead_changes_the_shops_habits(own: Own) -> None:
    settings = own.made.settings
    edited = replace(settings, zone="Europe/Berlin", purge_mg=900, name=" Shop ")
    changed = change_settings(own.shop, own.press("Lea"), edited).value
    assert (changed.zone, changed.purge_mg, changed.name) == ("Europe/Berlin", 900, "Shop")
    with pytest.raises(ShopError, match="Only the lead may change the shop's settings"):
        change_settings(own.shop, own.press("Dora"), changed)
    with pytest.raises(StaleEdit) as caught:
        change_settings(own.shop, own.press("Lea"), replace(settings, currency="CHF"))
    assert isinstance(caught.value.typed, ShopSettings)
    assert caught.value.typed.currency == "CHF"


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"name": " "}, "The shop has no name"),
        ({"zone": "Mars/Base"}, "is not a time zone"),
        ({"nozzle_minutes": -1}, "0 to 600 minutes"),
        ({"safety_minutes": 601}, "0 to 600 minutes"),
        ({"fill_limit": 0.0}, "more than nothing"),
        ({"gap_mm": -0.1}, "below nothing"),
        ({"persons": 0}, "Somebody has to run"),
        ({"setup_cost": -1}, "A cost below nothing"),
    ],
)
def test_habits_make_sense(own: Own, fields: dict[str, object], words: str) -> None:
    edited: ShopSettings = replace(own.made.settings, **fields)  # type: ignore[arg-type]
    with pytest.raises(ShopError, match=words):
        change_settings(own.shop, own.press("Lea"), edited)


def test_the_weeks_shifts_are_set_together(own: Own) -> None:
    wanted = (Shift(weekday=0, opens="6:00", closes="14:00"), Shift(weekday=0, opens="22:00", closes="06:00"))
    kept = set_shifts(own.shop, own.press("Lea"), wanted).value
    assert [(shift.opens, shift.closes) for shift in kept] == [("06:00", "14:00"), ("22:00", "06:00")]
    with own.shop.read() as uow:
        assert uow.shifts.count() == 2


def test_a_week_that_somebody_else_changed_is_not_written_over(own: Own) -> None:
    with own.shop.read() as uow:
        seen = uow.shifts.find()
    mine = (Shift(weekday=0, opens="06:00", closes="14:00"),)
    (first,) = set_shifts(own.shop, own.press("Lea"), mine, seen).value
    with pytest.raises(StaleEdit, match="Lea changed this shift") as caught:
        set_shifts(own.shop, own.press("Lea"), mine, seen)
    assert caught.value.typed == mine
    with pytest.raises(StaleEdit, match="Lea changed this shift"):
        set_shifts(own.shop, own.press("Lea"), mine, ())
    with own.shop.read() as uow:
        assert uow.shifts.find() == (first,)
    assert set_shifts(own.shop, own.press("Lea"), (), (first,)).value == ()
    assert len(set_shifts(own.shop, own.press("Lea"), mine, ()).value) == 1


@pytest.mark.parametrize(
    ("shift", "words"),
    [
        (Shift(weekday=7, opens="07:00", closes="16:00"), "A week has seven days"),
        (Shift(weekday=0, opens="7", closes="16:00"), "is not a time of day"),
        (Shift(weekday=0, opens="07:00", closes="25:00"), "is not a time of day"),
        (Shift(weekday=0, opens="07:00", closes="07:00"), "has no time in it"),
    ],
)
def test_a_shift_makes_sense(own: Own, shift: Shift, words: str) -> None:
    with pytest.raises(ShopError, match=words):
        set_shifts(own.shop, own.press("Lea"), (shift,))


def test_days_are_closed_and_opened_again(own: Own) -> None:
    closed = close_on(own.shop, own.press("Lea"), date(2026, 12, 25), " Christmas ").value
    assert (closed.day, closed.words) == ("2026-12-25", "Christmas")
    with pytest.raises(ShopError, match="closed already"):
        close_on(own.shop, own.press("Lea"), date(2026, 12, 25))
    open_on(own.shop, own.press("Lea"), closed.id)
    with own.shop.read() as uow:
        assert uow.closed_days.count() == 0
    close_on(own.shop, own.press("Lea"), date(2026, 12, 25))


def test_the_works_holidays_are_closed_at_once(own: Own) -> None:
    eve, day = date(2026, 12, 24), date(2026, 12, 25)
    closed = close_on_days(own.shop, own.press("Lea"), [day, eve, day], "Christmas").value
    assert [each.day for each in closed] == ["2026-12-24", "2026-12-25"]
    with pytest.raises(ShopError, match="closed already"):
        close_on_days(own.shop, own.press("Lea"), [date(2026, 12, 23), eve])
    with own.shop.read() as uow:
        assert uow.closed_days.count() == 2, "all of them or none"
    with pytest.raises(ShopError, match="No day is chosen"):
        close_on_days(own.shop, own.press("Lea"), ())


def test_materials_are_added_and_changed_with_their_sources(own: Own) -> None:
    pp = add_material(own.shop, own.press(), Material(name=" PP ", density=0.9)).value
    assert pp.name == "PP"
    changed = change_material(own.shop, own.press(), replace(pp, density=0.91, source="maker's sheet")).value
    assert (changed.density, changed.source) == (0.91, "maker's sheet")
    with pytest.raises(StaleEdit) as caught:
        change_material(own.shop, own.press(), replace(pp, density=0.92))
    assert isinstance(caught.value.typed, Material)
    for new, words in (
        (Material(name="PP", density=0.9), "There is a material PP already"),
        (Material(name="", density=0.9), "The material has no name"),
        (Material(name="X", density=90.0), "is no density of filament"),
        (Material(name="X", density=1.0, price_per_kg_thousandths=-1), "A price below nothing"),
    ):
        with pytest.raises(ShopError, match=words):
            add_material(own.shop, own.press(), new)


def test_machines_are_added_renamed_and_switched_off(own: Own) -> None:
    saw = add_machine(own.shop, own.press(), " Saw ").value
    off = change_machine(own.shop, own.press(), replace(saw, name=" Band saw ", active=False)).value
    assert (off.name, off.active) == ("Band saw", False)
    with pytest.raises(StaleEdit) as caught:
        change_machine(own.shop, own.press(), replace(saw, name="Circular saw"))
    assert isinstance(caught.value.typed, Machine)
    with pytest.raises(ShopError, match="The machine has no name"):
        add_machine(own.shop, own.press(), "")
    with pytest.raises(ShopError, match="Only the desk may add machines"):
        add_machine(own.shop, own.press("Max"), "Saw")


def test_a_whole_shop_is_set_up_in_one_press(own: Own) -> None:
    made, shop = own.made, own.shop
    with shop.read() as uow:
        assert uow.patterns.one(is_("name", "one-off")) is not None
        left, right = uow.printers.find(order_by="name")
        assert uow.nozzles.get(left.fitted_nozzle_id or 0).bore_um == 400
        assert right.material_ids == (own.material(),)
        mounted, opened, sealed = uow.spools.find(order_by="number")
        assert (mounted.state, left.mounted_spool_id) == (SpoolState.ON_PRINTER, mounted.id)
        assert (opened.state, sealed.state) == (SpoolState.SHELF, SpoolState.SEALED)
        assert (opened.tare_mg, opened.tare_guessed, mounted.tare_guessed) == (200_000, False, True)
        assert uow.spool_entries.totals("mg", "spool_id") == {1: 1_000_000, 2: 400_000, 3: 1_000_000}
        (answer,) = uow.unattended.find()
        assert (answer.allowed, answer.answered_by_id) == (True, own.who("Lea"))
        assert uow.people.get(own.who("Lea")).pin_hash == "hash of 1234"
        assert uow.shifts.count() == 5
        assert len({change.press_number for change in uow.changes.since(0)}) == 1
    assert set(made.machines) == {"Lathe 1", "Mill 2"}
    with pytest.raises(ShopError, match="set up already"):
        set_up_shop(
            shop, Press(who_id=THE_TOOL), SetUp(settings=ShopSettings(name="x"), people=LEAD, materials=())
        )


def test_a_set_up_that_does_not_match_leaves_nothing(shop: Shop) -> None:
    good = SetUp(settings=ShopSettings(name="x"), people=LEAD, materials=(PLA, PETG))
    for bad, words in (
        (replace(good, people=(NewPerson(name="Max"),)), "Nobody is lead"),
        (replace(good, spools=(NewSpool(material="ABS"),)), "There is no material ABS"),
        (replace(good, spools=(NewSpool(material="PLA", on_printer="Left"),)), "There is no printer Left"),
        (replace(good, materials=(), spools=(NewSpool(material="PLA"),)), "Name one of: none yet"),
    ):
        with pytest.raises(ShopError, match=words):
            set_up_shop(shop, Press(who_id=THE_TOOL), bad, PlainHasher())
    with shop.read() as uow:
        assert uow.changes.last_number() == 0


def test_a_shop_may_begin_with_closed_days_and_an_unfitted_printer(shop: Shop) -> None:
    set_up = SetUp(
        settings=ShopSettings(name="x"),
        people=LEAD,
        materials=(PLA,),
        printers=(NewPrinter(name="Left", fitted=None), NewPrinter(name="Right", nozzles=())),
        closed_days=((date(2026, 12, 24), "Christmas Eve"),),
    )
    made = set_up_shop(shop, Press(who_id=THE_TOOL), set_up).value
    assert [printer.fitted_nozzle_id for printer in made.printers.values()] == [None, None]
    with shop.read() as uow:
        assert uow.closed_days.count() == 1


def test_the_shipped_materials_keep_a_source_beside_every_figure() -> None:
    materials = {each.name: each for each in materials_from(tomllib.loads(MATERIALS.read_text())["material"])}
    assert len(materials) == 11
    assert materials["PLA"].keep_below_c == 45
    assert materials["PLA"].density_source == (
        "1.22 to 1.26 g/cm3; typical, no source; see the spool maker's sheet"
    )
    assert {name for name, each in materials.items() if each.abrasive} == {
        "PA + 30 % glass",
        "PA + short carbon",
    }
    assert all(each.source and each.density_source for each in materials.values())
    (bare,) = materials_from([{"name": "X", "density": 1.0}])
    assert bare.density_source == "typical, no source; see the spool maker's sheet"
