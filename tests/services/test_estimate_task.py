"""Estimates on every printer and nozzle the shop owns, kept once and found again."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from tests.services.fake import DoneTask
from tests.services.own_shop import BOX, GLASS, TALL, TOMORROW, Own, own_shop

from printcrib.core.errors import ShopError
from printcrib.core.estimating.learning import NO_PRINTS
from printcrib.core.estimating.part import estimate_part
from printcrib.core.patterns import Estimate, Fineness
from printcrib.core.printers import Nozzle
from printcrib.services.edit_printers import change_printer, set_profile
from printcrib.services.edit_shop import change_material
from printcrib.services.estimate_task import (
    bores_allowed,
    bores_of,
    estimate_model,
    estimate_request,
    kept_estimates,
    material_for,
    settings_for,
)
from printcrib.services.interfaces import Shop
from printcrib.services.read_model import ModelFile, mesh_of
from printcrib.services.take_request import NewRequest, keep_draft


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def model_id(own: Own, **fields: object) -> int:
    """A model raised with a request."""
    request = own.ask("Max", **fields)
    with own.shop.read() as uow:
        return uow.sizes.get(request.size_id or 0).model_id or 0


def places(estimates: tuple[Estimate, ...]) -> list[tuple[int, int]]:
    return [(estimate.printer_id, estimate.bore_um) for estimate in estimates]


def test_every_printer_and_bore_has_its_figures(own: Own) -> None:
    made = estimate_model(own.shop, own.press(), model_id(own), own.material()).value
    left, right = own.printer("Left").id, own.printer("Right").id
    assert places(made) == [(left, 400), (right, 400), (left, 600), (left, 800), (right, 800)]
    for estimate in made:
        assert estimate.likely_minutes == pytest.approx(estimate.part_minutes + estimate.start_minutes)
        assert estimate.at_most_minutes == NO_PRINTS.at_most(estimate.likely_minutes, estimate.start_minutes)
        assert estimate.mg - estimate.part_mg == 800  # first line 0.3 g and purge 0.5 g
    minutes = [estimate.likely_minutes for estimate in made if estimate.printer_id == left]
    assert minutes == sorted(minutes, reverse=True)


def test_the_figures_are_those_of_the_core(own: Own) -> None:
    key = model_id(own)
    made = estimate_model(own.shop, own.press(), key, own.material()).value
    with own.shop.read() as uow:
        settings = settings_for(uow, own.printer(), 600, own.made.materials["PLA"])
        mesh = mesh_of(own.shop, uow.models.get(key))
    part = estimate_part(mesh, settings)
    assert made[2].part_minutes == pytest.approx(part.part_minutes)
    assert made[2].part_mg == round(part.grams * 1000)
    assert made[2].settings_hash == part.settings_hash


def test_kept_figures_are_given_again(own: Own) -> None:
    key = model_id(own)
    first = estimate_model(own.shop, own.press(), key, own.material()).value
    again = estimate_model(own.shop, own.press(), key, own.material())
    assert again.value == first
    assert again.changed == frozenset()
    with own.shop.read() as uow:
        assert uow.estimates.count() == len(first)
        assert kept_estimates(uow, key, own.material()) == first


def test_changed_settings_make_new_figures_and_the_old_ones_come_back(own: Own) -> None:
    key = model_id(own)
    first = estimate_model(own.shop, own.press(), key, own.material()).value
    left = own.printer("Left").id
    slow = set_profile(own.shop, own.press(), left, 600, {"fill_speed_mm_s": 20.0}).value
    second = estimate_model(own.shop, own.press(), key, own.material()).value
    assert second[2].likely_minutes > first[2].likely_minutes
    assert [a.id == b.id for a, b in zip(first, second, strict=True)] == [True, True, False, True, True]
    with own.shop.read() as uow:
        assert kept_estimates(uow, key, own.material()) == second
    set_profile(own.shop, own.press(), left, 600, {}, version=slow.version)
    third = estimate_model(own.shop, own.press(), key, own.material()).value
    assert [estimate.id for estimate in third] == [estimate.id for estimate in first]
    assert estimate_model(own.shop, own.press(), key, own.material()).value == third
    with own.shop.read() as uow:
        assert uow.estimates.count() == len(third)


def test_what_was_changed_for_one_material_wins(own: Own) -> None:
    left = own.printer("Left")
    set_profile(own.shop, own.press(), left.id, 600, {"walls": 5}, material_id=own.material())
    set_profile(own.shop, own.press(), left.id, 600, {"walls": 4, "fill": 0.5})
    with own.shop.read() as uow:
        pla = settings_for(uow, left, 600, own.made.materials["PLA"])
        petg = settings_for(uow, left, 600, own.made.materials["PETG"])
    assert (pla.walls, pla.fill, pla.density_g_cm3) == (5, 0.5, 1.24)
    assert (petg.walls, petg.fill, petg.density_g_cm3) == (4, 0.5, 1.27)


def test_cost_is_material_and_machine_or_nothing(own: Own) -> None:
    key = model_id(own)
    made = estimate_model(own.shop, own.press(), key, own.material()).value
    for estimate in made:
        rate = 2000 if estimate.printer_id == own.printer("Left").id else 0
        cost = estimate.mg / 1e6 * 20_000 + estimate.likely_minutes / 60 * rate
        assert estimate.cost_thousandths == round(cost)
    change_printer(own.shop, own.press(), replace(own.printer("Left"), rate_thousandths=None))
    material = replace(own.made.materials["PLA"], price_per_kg_thousandths=None)
    change_material(own.shop, own.press(), material)
    free = estimate_model(own.shop, own.press(), key, own.material()).value
    assert {estimate.cost_thousandths for estimate in free} == {None}
    assert [estimate.id for estimate in free] == [estimate.id for estimate in made]


def test_a_printer_the_model_does_not_stand_on_is_left_out(own: Own) -> None:
    made = estimate_model(own.shop, own.press(), model_id(own, file=TALL), own.material()).value
    assert {estimate.printer_id for estimate in made} == {own.printer("Right").id}
    huge = ModelFile(content=b"box 500 500 300", name="huge.stl")
    assert estimate_model(own.shop, own.press(), model_id(own, file=huge), own.material()).value == ()


def test_printers_off_and_materials_not_printed_are_left_out(own: Own) -> None:
    petg = estimate_model(own.shop, own.press(), model_id(own), own.material("PETG")).value
    assert {estimate.printer_id for estimate in petg} == {own.printer("Left").id}
    change_printer(own.shop, own.press(), replace(own.printer("Left"), active=False))
    assert estimate_model(own.shop, own.press(), model_id(own), own.material("PETG")).value == ()


def test_abrasive_material_wants_hardened_nozzles(own: Own) -> None:
    made = estimate_model(own.shop, own.press(), model_id(own), own.material("PA + 30 % glass")).value
    assert {estimate.bore_um for estimate in made} == {600}


def test_the_material_asked_for_most_stands_in(own: Own) -> None:
    size = own.size(own.pattern(material_id=own.material("PETG")))
    with own.shop.read() as uow:
        assert material_for(uow, size.id).name == "PETG"
        assert material_for(uow, None).name == "PLA"
        assert material_for(uow, size.id, own.material()).name == "PLA"
    own.ask(material_id=own.material("PETG"), quantity=3)
    own.ask(material_id=own.material(), quantity=2)
    one_off = own.ask()
    with own.shop.read() as uow:
        assert material_for(uow, one_off.size_id).name == "PETG"
    done = estimate_request(own.shop, own.press(), one_off)
    assert {estimate.material_id for estimate in done.value} == {own.material("PETG")}


def test_a_shop_without_material_says_so(shop: Shop) -> None:
    with shop.read() as uow, pytest.raises(ShopError, match="no material yet"):
        material_for(uow, None)


def test_words_have_no_estimate(own: Own) -> None:
    words = own.ask(file=None, words="x")
    assert estimate_request(own.shop, own.press(), words).value == ()
    bare = own.size(own.pattern(), file=None)
    ask = NewRequest(size_id=bare.id, needed_by=TOMORROW)
    assert estimate_request(own.shop, own.press(), keep_draft(own.shop, own.press(), ask).value).value == ()


def test_geometry_may_run_in_the_worker(own: Own) -> None:
    inline = estimate_model(own.shop, own.press(), model_id(own), own.material()).value
    worker = estimate_model(own.shop, own.press(), model_id(own), own.material(), in_worker=True).value
    assert [e.likely_minutes for e in worker] == [e.likely_minutes for e in inline]
    alone = replace(own.shop, worker=None)
    made = estimate_model(alone, own.press(), model_id(own), own.material(), in_worker=True).value
    assert [e.mg for e in made] == [e.mg for e in inline]


def test_what_fails_in_the_worker_is_told(own: Own) -> None:
    class Broken:
        def submit(self, work: Callable[..., Any], *args: Any, **told: Any) -> DoneTask:
            told["on_error"](ShopError("The worker stopped", "Press again."))
            return DoneTask()

    broken = replace(own.shop, worker=Broken())
    with pytest.raises(ShopError, match="The worker stopped"):
        estimate_model(broken, own.press(), model_id(own), own.material(), in_worker=True)


def test_how_fine_narrows_the_nozzles_and_wear_narrows_them_further() -> None:
    nozzles = [
        Nozzle(id=1, number=1, bore_um=400),
        Nozzle(id=2, number=2, bore_um=600, hardened=True, printer_id=2),
        Nozzle(id=3, number=3, bore_um=800),
        Nozzle(id=4, number=4, bore_um=250, retired=True),
    ]
    glass = GLASS
    assert bores_allowed(Fineness.FINE, nozzles) == (400,)
    assert bores_allowed(Fineness.NORMAL, nozzles) == (400, 600)
    assert bores_allowed(Fineness.ROUGH, nozzles) == (400, 600, 800)
    assert bores_allowed(Fineness.ROUGH, nozzles, glass) == (600,)
    assert bores_of(nozzles, 1) == (400, 800)
    assert bores_of(nozzles, 2, abrasive=True) == (600,)


def test_a_model_in_inches_is_read_again_at_its_scale(own: Own) -> None:
    inches = replace(BOX, content=b"box 2 1 1", unit_scale=25.4)
    key = model_id(own, file=inches)
    with own.shop.read() as uow:
        mesh = mesh_of(own.shop, uow.models.get(key))
    assert mesh.vertices.max(axis=0).tolist() == pytest.approx([50.8, 25.4, 25.4])
