"""Estimate all open work again after print settings, nozzles, printers or materials changed."""

from collections.abc import Callable

from printcrib.core.errors import ShopError
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import RequestState
from printcrib.services.estimate_task import estimate_model
from printcrib.services.interfaces import Done, Shop, UnitOfWork, among
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press


def estimate_again(
    shop: Shop,
    press: Press,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    *,
    in_worker: bool = False,
) -> Done[tuple[str, ...]]:
    """Bring the estimates of accepted requests to the present settings and mend the plan; gives the troubles.

    What holds already is not computed again, so calling it once too often costs little.

    Args:
        progress: told the part done, 0 to 1. cancelled: asked before each model; the rest is left as it is.
    """
    with shop.read() as uow:
        wanted = open_models(uow, RequestState.ACCEPTED)
    changed: frozenset[str] = frozenset()
    troubles = []
    for at, (model_id, material_id) in enumerate(wanted):
        if cancelled is not None and cancelled():
            break
        if progress is not None:
            progress(at / len(wanted))
        by_the_tool = Press(who_id=THE_TOOL, station=press.station)
        try:
            changed |= estimate_model(shop, by_the_tool, model_id, material_id, in_worker=in_worker).changed
        except ShopError as error:
            troubles.append(str(error))
    done = Done(tuple(troubles), changed)
    return repair_after(shop, press, done) if changed else done


def open_models(uow: UnitOfWork, *states: RequestState) -> list[tuple[int, int]]:
    """Model and material of every request in one of the states, each pair once."""
    requests = uow.requests.find(among("state", states))
    keys = {request.size_id for request in requests if request.size_id is not None}
    models = {size.id: size.model_id for size in uow.sizes.find(among("id", keys))}
    pairs = {(models.get(request.size_id or 0), request.material_id) for request in requests}
    return sorted((model, material) for model, material in pairs if model and material)
