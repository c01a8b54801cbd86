"""The form: kept as text, edited, checked, and turned into a shop."""

import json
from dataclasses import replace

import pytest
from tests.screens.set_up.conftest import CARBON, PETG, PLA, TAKEN
from tests.services.fake import fake_shop

from printcrib.core.materials import SpoolState
from printcrib.core.people import Role
from printcrib.core.records import THE_TOOL
from printcrib.screens.set_up import edits
from printcrib.screens.set_up.faults import ALONE, HOURS, PEOPLE, PRINTERS, SHOP, SPOOLS, Faults, faults_of
from printcrib.screens.set_up.form import (
    NOT_FITTED,
    Form,
    PersonRow,
    PrinterRow,
    ShiftRow,
    SpoolRow,
    from_text,
    materials_at_hand,
    set_up_of,
    to_text,
)
from printcrib.services.press import Press
from printcrib.services.set_up_shop import set_up_shop

MATERIALS = (PLA, PETG, CARBON)


def faults(step: int, form: Form) -> Faults:
    return faults_of(step, form, lambda place: "There is a shop already." if place == TAKEN else "")


def test_a_form_is_kept_as_text(filled: Form) -> None:
    assert from_text(to_text(filled)) == filled
    assert from_text(to_text(Form())) == Form()


@pytest.mark.parametrize("field", ["name", "people", "printers", "spools", "shifts", "alone_on"])
def test_a_form_that_is_not_understood_counts_as_none(filled: Form, field: str) -> None:
    values = json.loads(to_text(filled))
    for odd in (7, [{"name": 3}], [["x"]]):
        assert from_text(json.dumps({**values, field: odd})) is None
    del values[field]
    assert from_text(json.dumps(values)) is None
    for odd_text in ("", "{", "[]", "3"):
        assert from_text(odd_text) is None


def test_the_filled_form_makes_a_shop(filled: Form) -> None:
    shop = fake_shop()
    done = set_up_shop(shop, Press(who_id=THE_TOOL), set_up_of(filled, MATERIALS)).value
    assert done.settings.name == "Miller Tooling"
    assert done.settings.zone == "Europe/Berlin"
    assert set(done.machines) == {"Lathe 1", "Mill 1"}
    assert done.people["Petra"].roles == (Role.REVIEWER, Role.MACHINIST)
    with shop.read() as uow:
        shifts = uow.shifts.find()
        alone = uow.unattended.find()
        south = uow.printers.get(done.printers["South"].id)
        north = uow.printers.get(done.printers["North"].id)
        assert south.fitted_nozzle_id is not None
        fitted = uow.nozzles.get(south.fitted_nozzle_id)
        nozzles = sorted((nozzle.bore_um, nozzle.hardened) for nozzle in uow.nozzles.find())
    assert nozzles == [(400, False), (400, False), (600, True)]
    assert (fitted.bore_um, fitted.hardened) == (600, True)
    assert south.height_mm == 330
    assert south.mounted_spool_id == done.spools[0].id
    assert north.mounted_spool_id is None
    assert [spool.state for spool in done.spools] == [SpoolState.ON_PRINTER, SpoolState.SEALED]
    assert [(shift.weekday, shift.opens, shift.closes) for shift in shifts] == [
        (day, "07:00", "15:30") for day in range(5)
    ]
    # carbon is on no spool and printer 7 does not exist: neither is asked about any more
    assert [(each.printer_id, each.material_id) for each in alone] == [(south.id, done.materials["PETG"].id)]


def test_no_means_no_whatever_was_ticked_before(filled: Form) -> None:
    assert set_up_of(replace(filled, alone="no"), MATERIALS).unattended == ()


def test_a_printer_may_begin_without_a_nozzle_on_it(filled: Form) -> None:
    bare = replace(filled, printers=(PrinterRow(name="North", fitted_um=NOT_FITTED),), spools=())
    assert set_up_of(bare, MATERIALS).printers[0].fitted is None


def test_materials_asked_about_are_those_on_the_rack(filled: Form) -> None:
    assert materials_at_hand(filled, MATERIALS) == ("PLA", "PETG")
    assert materials_at_hand(replace(filled, spools=()), MATERIALS) == ("PLA", "PETG", "PA + short carbon")


def test_a_filled_form_has_no_faults(filled: Form) -> None:
    assert [faults(step, filled) for step in range(6)] == [{}] * 6


def test_the_shop_needs_a_name_a_zone_and_a_free_place() -> None:
    assert set(faults(SHOP, Form())) == {"name", "zone", "place"}
    assert faults(SHOP, Form(name="Miller", zone="Europe/Berlin", place=TAKEN)) == {
        "place": "There is a shop already."
    }


@pytest.mark.parametrize(
    ("people", "field", "words"),
    [
        ([("Karl", ["lead"])], "people", "nobody releases their own request"),
        ([("Karl", ["lead", "reviewer"]), ("Ilse", ["desk"])], "people", "besides the lead"),
        ([("Karl", ["desk"]), ("Petra", ["reviewer"])], "people", "role of lead"),
        ([("Karl", ["lead"]), ("", ["reviewer"])], "person 1", "Type a name"),
        ([("Karl", ["lead"]), ("karl ", ["reviewer"])], "person 1", "taken"),
        ([("Karl", ["lead"]), ("Petra", ["reviewer"]), ("Ilse", [])], "person 2", "at least one role"),
    ],
)
def test_a_lead_and_somebody_else_for_releases(
    people: list[tuple[str, list[str]]], field: str, words: str
) -> None:
    rows = tuple(PersonRow(name=name, roles=tuple(roles)) for name, roles in people)
    found = faults(PEOPLE, Form(people=rows))
    assert set(found) == {field}
    assert words in found[field]


def test_odd_printers_spools_and_hours_are_said_beside_their_fields() -> None:
    odd = Form(
        printers=(
            PrinterRow(name="North", bores_um=()),
            PrinterRow(name="North", width_mm=0),
            PrinterRow(name=""),
        ),
        spools=(SpoolRow(full_g=0), SpoolRow(left_g=0), SpoolRow(left_g=1001), SpoolRow()),
        shifts=(ShiftRow(days=()), ShiftRow(opens=60, closes=60), ShiftRow()),
    )
    assert set(faults(PRINTERS, odd)) == {"nozzles 0", "printer 1", "size 1", "printer 2"}
    assert set(faults(SPOOLS, odd)) == {"grams 0", "grams 1", "grams 2"}
    assert set(faults(HOURS, odd)) == {"shift 0", "shift 1"}
    assert set(faults(PRINTERS, Form(printers=()))) == {"printers"}
    assert set(faults(HOURS, Form(shifts=()))) == {"hours"}


def test_nobody_in_must_be_answered() -> None:
    assert "alone" in faults(ALONE, Form())
    assert "alone" in faults(ALONE, Form(alone="yes"))
    assert faults(ALONE, Form(alone="no")) == {}


def test_taking_a_printer_out_takes_its_answers_along(filled: Form) -> None:
    left = edits.take_out_printer(filled, 0)
    assert [row.name for row in left.printers] == ["South"]
    assert [row.on_printer for row in left.spools] == [0, -1]
    assert (0, "PETG") in left.alone_on
    assert "PA + short carbon" not in {material for _, material in left.alone_on}
    alone = edits.take_out_printer(filled, 1)
    assert [row.on_printer for row in alone.spools] == [-1, -1]


def test_more_rows_of_each_kind(filled: Form) -> None:
    named = edits.add_printer(edits.add_printer(filled))
    assert [row.name for row in named.printers[2:]] == ["Printer 1", "Printer 2"]
    assert named.printers[2].height_mm == 330
    assert edits.add_printer(Form(printers=())).printers[0].name == "Printer 1"
    assert edits.add_spool(filled, filled.spools[0]).spools[2] == replace(filled.spools[0], on_printer=-1)
    late = edits.add_shift(Form()).shifts[1]
    assert (late.opens, late.closes) == (930, 1410)
    assert edits.add_shift(Form(shifts=())).shifts == (ShiftRow(),)
    assert edits.add_person(filled).people[2] == PersonRow()


def test_a_printer_carries_one_spool(filled: Form) -> None:
    moved = edits.set_spool(filled, 1, SpoolRow(material="PLA", on_printer=1))
    assert [row.on_printer for row in moved.spools] == [-1, 1]
    shelved = edits.set_spool(filled, 1, SpoolRow(material="PLA"))
    assert [row.on_printer for row in shelved.spools] == [1, -1]


def test_the_fitted_nozzle_is_one_of_those_there_are() -> None:
    row = PrinterRow(bores_um=(400, 600), hardened_um=(600,), fitted_um=600)
    assert edits.set_bores(row, [400, 600, 800]).fitted_um == 600
    fewer = edits.set_bores(row, [400])
    assert (fewer.fitted_um, fewer.hardened_um) == (400, ())
    assert edits.set_bores(row, []).fitted_um == NOT_FITTED
