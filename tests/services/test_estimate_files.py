"""Files in nobody's books: minutes, grams and cost on the default printer and on the shop's own."""

from dataclasses import replace

import pytest
from tests.core.estimating.solids import without
from tests.services.fake import FakeMeshReader
from tests.services.own_shop import own_shop

from printcrib.core.errors import ShopError
from printcrib.core.materials import Material
from printcrib.core.patterns import Fineness
from printcrib.core.shapes import ReadModel, facts_of
from printcrib.services.estimate_files import (
    DEFAULT_BORES_UM,
    Wishes,
    default_nozzles,
    estimate_file,
    material_named,
    shop_nozzles,
)
from printcrib.services.interfaces import Shop

BOX = b"box 40 30 20"


def test_the_default_printer_answers_for_each_of_its_nozzles() -> None:
    answer = estimate_file(FakeMeshReader(), BOX, "box.stl", default_nozzles(), Fineness.NORMAL)
    assert [each.bore_um for each in answer.nozzles] == list(DEFAULT_BORES_UM)
    minutes = [each.minutes for each in answer.nozzles]
    assert minutes == sorted(minutes, reverse=True)
    assert [each.allowed for each in answer.nozzles] == [True, True, False, False]
    assert {each.cost_thousandths for each in answer.nozzles} == {None}
    assert answer.facts.extents_mm == (40.0, 30.0, 20.0)
    assert answer.findings == ()
    assert [(each.lost_percent, each.lost) for each in answer.nozzles] == [(0, "")] * 4
    assert answer.recommended is not None
    assert answer.recommended.bore_um == 600
    assert {each.minutes_range or each.grams_range for each in answer.nozzles} == {None}


class OpenBoxReader(FakeMeshReader):
    """Every box lacks its lid."""

    def read(self, content: bytes, name: str) -> ReadModel:
        model = super().read(content, name)
        mesh = without(model.mesh, 2, 3)
        return replace(model, mesh=mesh, facts=facts_of(mesh, name))


def test_a_model_not_to_be_trusted_gets_a_range() -> None:
    answer = estimate_file(OpenBoxReader(), BOX, "box.stl", default_nozzles(), Fineness.NORMAL)
    assert [code for code, _ in answer.findings] == ["open_surface"]
    wide = 1 + answer.facts.doubt
    assert 1 < wide <= 2
    for nozzle in answer.nozzles:
        assert nozzle.minutes_range == pytest.approx((nozzle.minutes / wide, nozzle.minutes_at_most))
        assert nozzle.grams_range == pytest.approx((nozzle.grams / wide, nozzle.grams_at_most))
        assert nozzle.minutes_at_most > nozzle.minutes * wide


def test_a_file_no_platform_takes_says_so_once() -> None:
    answer = estimate_file(FakeMeshReader(), b"box 900 30 20", "rail.stl", default_nozzles(), Fineness.ROUGH)
    assert [code for code, _ in answer.findings] == ["does_not_fit"]
    assert not any(each.allowed for each in answer.nozzles)


def test_no_nozzle_gives_no_answer_but_the_facts() -> None:
    answer = estimate_file(FakeMeshReader(), BOX, "box.stl", (), Fineness.FINE)
    assert (answer.nozzles, answer.findings, answer.recommended) == ((), (), None)


def test_what_a_thin_model_loses_is_told() -> None:
    thin = b"box 40 0.5 20"
    answer = estimate_file(FakeMeshReader(), thin, "thin.stl", default_nozzles(), Fineness.ROUGH)
    assert [each.lost_percent for each in answer.nozzles] == [0, 100, 100, 100]
    assert answer.nozzles[2].lost == "loses 100 % of the section at z = 9.9"
    assert answer.recommended is not None
    assert answer.recommended.words == "0.6 mm loses 100 % of the section at z = 9.9: use 0.4."


def test_the_shops_own_printers_answer_with_prices(shop: Shop) -> None:
    own = own_shop(shop)
    with own.shop.read() as uow:
        nozzles = shop_nozzles(uow)
    answer = estimate_file(FakeMeshReader(), BOX, "box.stl", nozzles, Fineness.FINE)
    assert {each.printer for each in answer.nozzles} == {each.printer for each in nozzles}
    assert all(each.cost_thousandths for each in answer.nozzles)


def test_a_refused_file_is_refused() -> None:
    with pytest.raises(ShopError):
        estimate_file(FakeMeshReader(), b"nothing", "nothing.stl", default_nozzles(), Fineness.NORMAL)


def test_other_nozzles_fill_and_material_may_be_wished() -> None:
    heavy = Material(name="Heavy", density=2.48)
    wishes = Wishes((500,), heavy, {"fill": 1, "walls": 4})
    (asked,) = default_nozzles(wishes)
    assert (asked.bore_um, asked.settings.fill, asked.settings.walls) == (500, 1.0, 4)
    assert asked.settings.density_g_cm3 == 2.48
    assert asked.owned_um == (400, 500, 600, 800, 1000)
    answer = estimate_file(FakeMeshReader(), BOX, "box.stl", (asked,), Fineness.NORMAL)
    assert answer.nozzles[0].grams == pytest.approx(24 * 2.48 + 0.8, rel=0.01)


def test_only_the_nozzles_asked_for_and_in_the_material_asked_for(shop: Shop) -> None:
    own = own_shop(shop)
    with own.shop.read() as uow:
        petg = material_named(uow.materials.find(), " petg ")
        asked = shop_nozzles(uow, Wishes((600,), petg, {"supports": True}))
        with pytest.raises(ShopError, match="No printer has such a nozzle"):
            shop_nozzles(uow, Wishes((550,)))
        with pytest.raises(ShopError, match="There is no material called wood"):
            material_named(uow.materials.find(), "wood")
    assert {each.bore_um for each in asked} == {600}
    assert all(each.settings.supports == 1 for each in asked)
    assert {each.settings.density_g_cm3 for each in asked} == {petg.density}


@pytest.mark.parametrize("tier", [1, 2])
def test_at_most_is_more_than_likely_in_both_tiers(tier: int) -> None:
    (asked,) = default_nozzles(Wishes((800,)))
    (told,) = estimate_file(FakeMeshReader(), BOX, "box.stl", (asked,), Fineness.ROUGH, tier).nozzles
    assert told.tier == tier
    assert told.minutes_at_most > told.minutes
    assert told.grams_at_most > told.grams
    assert told.support_grams == 0
