"""Printers, nozzles, print settings and what may run when nobody is in."""

from dataclasses import replace

import pytest
from tests.services.own_shop import Own, own_shop

from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.printers import Printer, PrintProfile
from printcrib.services.edit_printers import (
    NewNozzle,
    add_nozzles,
    add_printer,
    answer_unattended,
    change_nozzle,
    change_printer,
    nozzle_words,
    set_profile,
)
from printcrib.services.interfaces import Shop


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def test_a_printer_is_added_and_changed_but_not_what_is_on_it(own: Own) -> None:
    third = add_printer(own.shop, own.press(), Printer(name=" Third ", platform_mm=(250.0, 210.0))).value
    assert (third.name, third.platform_mm) == ("Third", (250.0, 210.0))
    left = own.printer("Left")
    edited = replace(left, name="Near", out_of_service=True, mounted_spool_id=None, fitted_nozzle_id=None)
    changed = change_printer(own.shop, own.press(), edited).value
    assert (changed.name, changed.out_of_service) == ("Near", True)
    assert (changed.mounted_spool_id, changed.fitted_nozzle_id) == (
        left.mounted_spool_id,
        left.fitted_nozzle_id,
    )
    with pytest.raises(StaleEdit) as caught:
        change_printer(own.shop, own.press(), replace(left, name="Far"))
    assert isinstance(caught.value.typed, Printer)
    assert caught.value.typed.name == "Far"


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"name": ""}, "The printer has no name"),
        ({"platform_mm": (10.0, 200.0)}, "10 mm is no size"),
        ({"height_mm": 5000.0}, "5000 mm is no size"),
        ({"rate_thousandths": -1}, "below nothing"),
    ],
)
def test_a_printer_makes_sense(own: Own, fields: dict[str, object], words: str) -> None:
    new: Printer = replace(Printer(name="Third"), **fields)  # type: ignore[arg-type]
    with pytest.raises(ShopError, match=words):
        add_printer(own.shop, own.press(), new)
    with pytest.raises(ShopError, match="Only the desk may add printers"):
        add_printer(own.shop, own.press("Max"), Printer(name="Third"))


def test_nozzles_are_things_with_numbers(own: Own) -> None:
    new = NewNozzle(bore_um=600, hardened=True)
    one, two = add_nozzles(own.shop, own.press(), new, count=2).value
    assert (one.number, two.number) == (5, 6)
    assert nozzle_words(one) == "0.6 hardened (N-5)"
    assert nozzle_words(replace(one, hardened=False, bore_um=1000)) == "1.0 (N-5)"
    with pytest.raises(ShopError, match="0 nozzles make no sense"):
        add_nozzles(own.shop, own.press(), new, count=0)
    with pytest.raises(ShopError, match="is no nozzle bore"):
        add_nozzles(own.shop, own.press(), NewNozzle(bore_um=4))


def test_a_nozzle_is_kept_for_a_printer_or_retired_once_it_is_off(own: Own) -> None:
    (loose,) = add_nozzles(own.shop, own.press(), NewNozzle(bore_um=400)).value
    edited = replace(loose, printer_id=own.printer("Left").id, hardened=True, bore_um=999, mg_used=5)
    kept = change_nozzle(own.shop, own.press(), edited).value
    assert (kept.printer_id, kept.hardened, kept.bore_um, kept.mg_used) == (edited.printer_id, True, 400, 0)
    assert change_nozzle(own.shop, own.press(), replace(kept, retired=True)).value.retired
    with own.shop.read() as uow:
        fitted = uow.nozzles.get(own.printer("Left").fitted_nozzle_id or 0)
    with pytest.raises(ShopError, match="N-1 is fitted on Left"):
        change_nozzle(own.shop, own.press(), replace(fitted, retired=True))
    with pytest.raises(ShopError, match="N-1 is fitted on Left"):
        change_nozzle(own.shop, own.press(), replace(fitted, printer_id=own.printer("Right").id))
    assert change_nozzle(own.shop, own.press(), replace(fitted, printer_id=None)).value.printer_id is None


def test_print_settings_are_kept_within_sane_limits(own: Own) -> None:
    left = own.printer("Left").id
    made = set_profile(own.shop, own.press(), left, 400, {"acceleration_mm_s2": 6000.0}).value
    assert made.values == {"acceleration_mm_s2": 6000.0}
    changed = set_profile(own.shop, own.press(), left, 400, {"walls": 4}).value
    assert (changed.id, changed.values) == (made.id, {"walls": 4})
    other = set_profile(own.shop, own.press(), left, 400, {"walls": 5}, material_id=own.material()).value
    assert other.id != made.id
    with pytest.raises(ShopError, match="acceleration is 5"):
        set_profile(own.shop, own.press(), left, 400, {"acceleration_mm_s2": 5.0})
    with pytest.raises(ShopError, match="no setting called speed"):
        set_profile(own.shop, own.press(), left, 400, {"speed": 5.0})
    with pytest.raises(StaleEdit) as caught:
        set_profile(own.shop, own.press(), left, 400, {"walls": 6}, version=made.version)
    assert isinstance(caught.value.typed, PrintProfile)
    assert caught.value.typed.values == {"walls": 6}
    with pytest.raises(StaleEdit):
        set_profile(own.shop, own.press(), left, 400, {"walls": 6}, version=0)
    assert set_profile(own.shop, own.press(), left, 800, {"walls": 6}, version=0).value.version == 1


def test_only_the_lead_answers_whether_prints_run_when_nobody_is_in(own: Own) -> None:
    right, pla = own.printer("Right").id, own.material()
    with pytest.raises(ShopError, match="Only the lead may answer whether prints run"):
        answer_unattended(own.shop, own.press("Dora"), right, pla, True)
    yes = answer_unattended(own.shop, own.press("Lea"), right, pla, True).value
    assert (yes.allowed, yes.answered_by_id) == (True, own.who("Lea"))
    no = answer_unattended(own.shop, own.press("Lea"), right, pla, False).value
    assert (no.id, no.allowed) == (yes.id, False)
