"""Files in nobody's books: minutes, grams and cost on the default printer and on the shop's own."""

import pytest
from tests.services.fake import FakeMeshReader
from tests.services.own_shop import own_shop

from printcrib.core.errors import ShopError
from printcrib.core.patterns import Fineness
from printcrib.services.estimate_files import DEFAULT_BORES_UM, default_nozzles, estimate_file, shop_nozzles
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


def test_a_file_no_platform_takes_says_so_once() -> None:
    answer = estimate_file(FakeMeshReader(), b"box 900 30 20", "rail.stl", default_nozzles(), Fineness.ROUGH)
    assert [code for code, _ in answer.findings] == ["does_not_fit"]
    assert not any(each.allowed for each in answer.nozzles)


def test_no_nozzle_gives_no_answer_but_the_facts() -> None:
    answer = estimate_file(FakeMeshReader(), BOX, "box.stl", (), Fineness.FINE)
    assert (answer.nozzles, answer.findings) == ((), ())


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
