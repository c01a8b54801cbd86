"""Quick estimates of open requests are worked out by their paths afterwards."""

import math
from collections.abc import Callable
from concurrent.futures import CancelledError
from dataclasses import replace
from typing import Any

import pytest
from tests.services.own_shop import Own, own_shop

from printcrib.core.errors import ShopError
from printcrib.core.estimating.paths.estimate import estimate_by_paths
from printcrib.core.patterns import Estimate
from printcrib.core.requests import Request
from printcrib.services import refine_estimates as module
from printcrib.services.accept_request import accept_request
from printcrib.services.edit_printers import set_profile
from printcrib.services.estimate_again import estimate_again
from printcrib.services.estimate_task import estimate_model, settings_for
from printcrib.services.interfaces import Shop
from printcrib.services.read_model import ModelFile, mesh_of
from printcrib.services.refine_estimates import Waiting, keep_refined, refine, waiting_for_paths


@pytest.fixture
def own(shop: Shop) -> Own:
    """A shop with one accepted request whose estimates are quick ones."""
    own = own_shop(shop)
    accept_request(own.shop, own.press(), asked(own).id)
    return own


def asked(own: Own, **fields: Any) -> Request:
    file = ModelFile(content=b"box 40 30 6", name="box.stl")
    return own.ask("Max", **{"file": file, "safety_answers": (), "material_id": own.material(), **fields})


def only(own: Own) -> Waiting:
    (waiting,) = waiting_for_paths(own.shop)
    return waiting


def kept(own: Own) -> tuple[Estimate, ...]:
    with own.shop.read() as uow:
        return tuple(uow.estimates.find())


def test_an_accepted_request_waits_for_its_paths(own: Own) -> None:
    waiting = only(own)
    assert waiting.material_id == own.material()
    assert set(waiting.estimate_ids) == {each.id for each in kept(own)}
    assert {each.tier for each in kept(own)} == {1}


def test_the_figures_by_paths_take_the_place_of_the_quick_ones(own: Own) -> None:
    before = {each.id: each for each in kept(own)}
    done = keep_refined(own.shop, own.press(), refine(own.shop, only(own)))
    assert "estimates" in done.changed
    after = kept(own)
    assert {each.id for each in after} == set(before)
    assert {each.tier for each in after} == {2}
    assert waiting_for_paths(own.shop) == ()
    with own.shop.read() as uow:
        made = next(each for each in after if (each.printer_id, each.bore_um) == (own.printer().id, 600))
        settings = settings_for(uow, own.printer(), 600, own.made.materials["PLA"])
        part = estimate_by_paths(mesh_of(own.shop, uow.models.get(made.model_id)), settings)
    assert made.part_minutes == pytest.approx(part.part_minutes)
    assert made.part_mg == round(part.grams * 1000)
    assert made.likely_minutes == pytest.approx(made.part_minutes + made.start_minutes)
    assert made.part_minutes != before[made.id].part_minutes
    assert made.cost_thousandths is not None


def test_the_plan_goes_by_them(own: Own) -> None:
    keep_refined(own.shop, own.press(), refine(own.shop, only(own)))
    with own.shop.read() as uow:
        (run,) = uow.runs.find()
        (estimate,) = (
            each
            for each in uow.estimates.find()
            if (each.printer_id, each.bore_um) == (run.printer_id, run.bore_um)
        )
    assert run.estimated_minutes == math.ceil(estimate.likely_minutes)


def test_without_a_worker_they_are_computed_here(own: Own) -> None:
    waiting, told = only(own), list[float]()
    inline = refine(replace(own.shop, worker=None), waiting, told.append)
    assert inline == refine(own.shop, waiting)
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_progress_goes_through_all_nozzles(own: Own) -> None:
    told: list[float] = []
    refine(own.shop, only(own), told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_cancelling_stops_the_worker(own: Own) -> None:
    class Held:
        """Work that goes on until it is cancelled."""

        def submit(self, work: Callable[..., Any], *args: Any, **told: Any) -> "Held":
            self.stop = told["on_error"]
            return self

        def cancel(self) -> None:
            self.stop(CancelledError())

    asked_so_far: list[bool] = []

    def cancelled() -> bool:
        asked_so_far.append(True)
        return len(asked_so_far) > 1

    with pytest.raises(CancelledError):
        refine(replace(own.shop, worker=Held()), only(own), cancelled=cancelled)
    with pytest.raises(ShopError, match="cancelled"):
        refine(replace(own.shop, worker=None), only(own), cancelled=lambda: True)
    assert {each.tier for each in kept(own)} == {1}


def test_nothing_is_kept_when_settings_changed_meanwhile(own: Own) -> None:
    refined = refine(own.shop, only(own))
    set_profile(own.shop, own.press(), own.printer().id, 600, {"walls": 5})
    done = keep_refined(own.shop, own.press(), refined)
    assert (done.value, done.changed) == ((), frozenset())
    assert {each.tier for each in kept(own)} == {1}


def test_changed_settings_are_answered_quickly_and_wait_again(own: Own) -> None:
    keep_refined(own.shop, own.press(), refine(own.shop, only(own)))
    set_profile(own.shop, own.press(), own.printer().id, 600, {"walls": 5})
    estimate_again(own.shop, own.press())
    assert sorted(each.tier for each in kept(own)) == [1, 2, 2, 2, 2]
    keep_refined(own.shop, own.press(), refine(own.shop, only(own)))
    assert {each.tier for each in kept(own)} == {2}


def test_faulty_and_very_large_models_keep_their_quick_figures(
    own: Own, monkeypatch: pytest.MonkeyPatch
) -> None:
    waiting = only(own)
    with monkeypatch.context() as patch:
        patch.setattr(module, "MOST_TRIANGLES", 11)
        assert waiting_for_paths(own.shop) == ()
    with own.shop.write(own.press(), "spoil") as uow:
        uow.models.save(replace(uow.models.get(waiting.model_id), trustworthy=False))
        uow.commit()
    assert waiting_for_paths(own.shop) == ()


def test_a_raised_request_waits_once_it_was_estimated(own: Own) -> None:
    raised = asked(own, file=ModelFile(content=b"box 20 20 4", name="small.stl"))
    assert len(waiting_for_paths(own.shop)) == 1
    with own.shop.read() as uow:
        model_id = uow.sizes.get(raised.size_id or 0).model_id or 0
    estimate_model(own.shop, own.press(), model_id, own.material())
    assert len(waiting_for_paths(own.shop)) == 2
