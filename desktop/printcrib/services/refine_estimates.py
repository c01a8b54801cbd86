"""Estimate what is asked for by its paths, once the quick figures have answered and are kept.

The quick figures stay where a model is faulty or very large.
"""

from collections.abc import Callable
from dataclasses import dataclass

from printcrib.core.estimating.part import PartEstimate
from printcrib.core.estimating.paths.estimate import estimate_by_paths
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.holes import estimable
from printcrib.core.patterns import Estimate, Model
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import RequestState
from printcrib.core.shapes import Mesh
from printcrib.services.estimate_again import open_models
from printcrib.services.estimate_task import in_process, keep_parts, settings_asked
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press
from printcrib.services.read_model import mesh_of

MOST_TRIANGLES = 400_000
"""A model of more would keep the worker for many seconds; its quick figures stay (own bench)."""


@dataclass(frozen=True)
class Waiting:
    """A model and material whose kept estimates are quick ones; those estimates tell it from later ones."""

    model_id: int
    material_id: int
    estimate_ids: tuple[int, ...]


@dataclass(frozen=True)
class Refined:
    """Estimates of one model and material by paths, not yet kept; `parts` by the hash of their settings."""

    model_id: int
    material_id: int
    parts: dict[str, PartEstimate]


def part_by_paths(
    mesh: Mesh,
    settings: PrintSettings,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> PartEstimate:
    """One copy by its paths, with compiled code; for a worker process."""
    from printcrib.core.compiled.paths import PATH_KERNELS

    return estimate_by_paths(mesh, settings, PATH_KERNELS, progress, cancelled)


def waiting_for_paths(shop: Shop) -> tuple[Waiting, ...]:
    """What open requests ask for whose kept estimates are quick ones and may become better."""
    with shop.read() as uow:
        wanted = open_models(uow, RequestState.RAISED, RequestState.ACCEPTED)
        sound = (each for each in wanted if _sound(uow.models.get(each[0])))
        return tuple(Waiting(*each, quick) for each in sound if (quick := _quick(uow, *each)))


def refine(
    shop: Shop,
    wanted: Waiting,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Refined:
    """Lay out one model on every printer and nozzle; in the shop's worker process where there is one.

    Args:
        progress: told the part done, 0 to 1. cancelled: asked often; the quick figures then stay.

    Raises:
        ShopError: the file cannot be read any more, or it was cancelled.
    """
    with shop.read() as uow:
        model = uow.models.get(wanted.model_id)
        asked = settings_asked(uow, model, uow.materials.get(wanted.material_id))
    mesh = estimable(mesh_of(shop, model), model.findings)
    parts: dict[str, PartEstimate] = {}
    for key, settings in asked.items():
        told = None if progress is None else _shared(progress, len(parts), len(asked))
        if shop.worker is None:
            parts[key] = estimate_by_paths(mesh, settings, progress=told, cancelled=cancelled)
        else:
            parts[key] = in_process(
                shop.worker, part_by_paths, mesh, settings, progress=told, cancelled=cancelled
            )
    return Refined(wanted.model_id, wanted.material_id, parts)


def keep_refined(shop: Shop, press: Press, refined: Refined) -> Done[tuple[Estimate, ...]]:
    """Keep estimates by paths in place of the quick ones, and mend the plan by them."""
    by_the_tool = Press(who_id=THE_TOOL, station=press.station)
    done = keep_parts(shop, by_the_tool, refined.model_id, refined.material_id, refined.parts)
    return repair_after(shop, press, done) if done.changed else done


def _quick(uow: UnitOfWork, model_id: int, material_id: int) -> tuple[int, ...]:
    found = uow.estimates.find(is_("model_id", model_id), is_("material_id", material_id), is_("tier", 1))
    return tuple(sorted(estimate.id for estimate in found))


def _sound(model: Model) -> bool:
    return model.trustworthy and model.triangles <= MOST_TRIANGLES


def _shared(progress: Callable[[float], None], done: int, of: int) -> Callable[[float], None]:
    return lambda share: progress((done + share) / of)
