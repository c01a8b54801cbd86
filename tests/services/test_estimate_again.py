"""Open work is estimated again when the shop's print settings change."""

from dataclasses import replace

import pytest
from tests.services.own_shop import Own, own_shop

from printcrib.core.errors import ShopError
from printcrib.services import estimate_again as again
from printcrib.services.accept_request import accept_request
from printcrib.services.edit_printers import set_profile
from printcrib.services.estimate_again import estimate_again
from printcrib.services.interfaces import Done, Shop
from printcrib.services.read_model import ModelFile


@pytest.fixture
def own(shop: Shop) -> Own:
    """A shop with two accepted requests and one that is only raised."""
    own = own_shop(shop)
    for depth in (20, 30):
        file = ModelFile(content=f"box 40 30 {depth}".encode(), name="box.stl")
        request = own.ask("Max", file=file, safety_answers=(), material_id=own.material())
        accept_request(own.shop, own.press(), request.id)
    own.ask("Max", file=None, words="x")
    return own


def run_minutes(own: Own) -> float:
    with own.shop.read() as uow:
        return sum(run.estimated_minutes for run in uow.runs.find())


def test_slower_settings_reach_the_plan(own: Own) -> None:
    before = run_minutes(own)
    assert estimate_again(own.shop, own.press()) == Done(())
    for printer in ("Left", "Right"):
        for bore in (400, 600, 800):
            values = {"fill_speed_mm_s": 5.0, "inner_wall_speed_mm_s": 5.0, "outer_wall_speed_mm_s": 5.0}
            set_profile(own.shop, own.press(), own.printer(printer).id, bore, values)
    told: list[float] = []
    done = estimate_again(own.shop, own.press(), told.append)
    assert (done.value, told) == ((), [0.0, 0.5])
    assert done.changed >= {"estimates", "runs"}
    assert run_minutes(own) > before


def test_cancelling_leaves_the_rest_as_it_is(own: Own) -> None:
    set_profile(own.shop, own.press(), own.printer().id, 400, {"walls": 5})
    asked: list[bool] = []

    def cancelled() -> bool:
        asked.append(True)
        return len(asked) > 1

    estimate_again(own.shop, own.press(), cancelled=cancelled)
    with own.shop.read() as uow:
        assert uow.estimates.count() == 10
        assert len(uow.estimates.find(with_void=True)) == 11  # only the first model's was replaced
    assert len(asked) == 2


def test_what_cannot_be_estimated_is_said(own: Own, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> Done[tuple[()]]:
        raise ShopError("The file is gone", "Look for it.")

    monkeypatch.setattr(again, "estimate_model", broken)
    shop = replace(own.shop, worker=None)
    assert estimate_again(shop, own.press()).value == ("The file is gone. Look for it.",) * 2
