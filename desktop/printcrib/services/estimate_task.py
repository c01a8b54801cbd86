"""Estimate a model on every printer and nozzle the shop owns, and keep the figures."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from threading import Event
from typing import Any, TypeVar

from printcrib.core.errors import ShopError
from printcrib.core.estimating.fineness import allowed_nozzles
from printcrib.core.estimating.learning import NO_PRINTS
from printcrib.core.estimating.part import PartEstimate, estimate_part
from printcrib.core.estimating.run import cost_of, estimate_run
from printcrib.core.estimating.settings import PrintSettings, settings_hash, settings_with, typical_settings
from printcrib.core.holes import estimable
from printcrib.core.materials import Material
from printcrib.core.patterns import Estimate, Fineness, Model
from printcrib.core.printers import Nozzle, Printer
from printcrib.core.requests import Request
from printcrib.core.running import standing_mm
from printcrib.core.shapes import Mesh
from printcrib.core.units import mg_from_grams
from printcrib.services.interfaces import Done, Shop, UnitOfWork, Worker, is_
from printcrib.services.press import Press
from printcrib.services.read_model import mesh_of, stands

T = TypeVar("T")

ASK_EVERY_S = 0.1
FIGURES = (
    "part_minutes",
    "start_minutes",
    "likely_minutes",
    "at_most_minutes",
    "part_mg",
    "mg",
    "layers",
    "tier",
    "busy_minutes",
    "cooling_minutes",
)
"""What an estimate worked out again says anew."""

Asked = tuple[Printer, int, PrintSettings]
"""One printer, nozzle bore and settings an estimate is asked for."""


def settings_for(uow: UnitOfWork, printer: Printer, bore_um: int, material: Material) -> PrintSettings:
    """How a printer prints a material with a bore: typical values under what the shop changed.

    What was changed for this one material wins over what was changed for every material.
    """
    settings = typical_settings(bore_um, material.density)
    profiles = uow.print_profiles.find(is_("printer_id", printer.id), is_("bore_um", bore_um))
    for wanted in (None, material.id):
        for profile in profiles:
            if profile.material_id == wanted:
                settings = settings_with(settings, profile.values)
    return settings


def bores_of(nozzles: Iterable[Nozzle], printer_id: int, abrasive: bool = False) -> tuple[int, ...]:
    """Bores the shop owns for a printer, smallest first; for abrasive material only hardened ones."""
    return tuple(
        sorted(
            {
                nozzle.bore_um
                for nozzle in nozzles
                if not nozzle.retired
                and nozzle.printer_id in (None, printer_id)
                and (nozzle.hardened or not abrasive)
            }
        )
    )


def bores_allowed(
    how_fine: Fineness, nozzles: Iterable[Nozzle], material: Material | None = None
) -> tuple[int, ...]:
    """Bores that may print a request, of those the shop owns: by how fine it is asked, then by wear."""
    abrasive = material is not None and material.abrasive
    owned = [nozzle.bore_um for nozzle in nozzles if not nozzle.retired and (nozzle.hardened or not abrasive)]
    return allowed_nozzles(how_fine.value, owned)


def stands_on(model: Model, printer: Printer) -> bool:
    """Whether the model, turned as it is printed, goes on the printer's platform."""
    return stands(standing_mm(model.extents_mm, model.turn), printer)


def material_for(uow: UnitOfWork, size_id: int | None, wished_id: int | None = None) -> Material:
    """The material an estimate is made for: the wish, else the pattern's, else the one asked for most.

    Raises:
        ShopError: the shop has no material.
    """
    material_id = wished_id
    if material_id is None and size_id is not None:
        material_id = uow.patterns.get(uow.sizes.get(size_id).pattern_id).material_id
    if material_id is None:
        asked = uow.requests.totals("quantity", "material_id")
        counts = {key: total for key, total in asked.items() if key is not None}
        material_id = max(counts, key=lambda key: (counts[key], -key), default=None)
    if material_id is not None:
        return uow.materials.get(material_id)
    first = uow.materials.one(is_("active", True))
    if first is None:
        raise ShopError("The shop has no material yet", "Enter one in Shop settings.")
    return first


def part_estimates(mesh: Mesh, wanted: tuple[PrintSettings, ...]) -> tuple[PartEstimate, ...]:
    """One copy with each of the settings; geometry only, so that a worker process can do it."""
    return tuple(estimate_part(mesh, settings) for settings in wanted)


def estimate_model(
    shop: Shop, press: Press, model_id: int, material_id: int | None = None, *, in_worker: bool = False
) -> Done[tuple[Estimate, ...]]:
    """Estimates of a model for every active printer and bore it can be printed with, smallest bore first.

    Figures already kept for the same settings are given again; only what is missing is computed.

    Args:
        material_id: None for the pattern's material, else the one asked for most.
        in_worker: compute in the shop's worker process; call it off the window's thread.

    Raises:
        ShopError: the shop has no material, or the file cannot be read any more.
    """
    with shop.read() as uow:
        model = uow.models.get(model_id)
        material = material_for(uow, model.size_id, material_id)
        asked = asked_for(uow, model, material)
        kept = _kept(uow, model, material)
    missing = tuple(each for each in asked if _key(*each) not in kept)
    parts = _computed(shop, model, tuple(each[2] for each in missing), in_worker)
    with shop.write(press, "estimate model") as uow:
        fresh = {_key(*each): _figures(each, part) for each, part in zip(missing, parts, strict=True)}
        stored = _store(uow, model, material, asked, fresh)
        uow.commit()
        return Done(stored, uow.changed, uow.press_number)


def settings_asked(uow: UnitOfWork, model: Model, material: Material) -> dict[str, PrintSettings]:
    """The different settings a model is estimated with, by their hash."""
    return {settings_hash(each[2]): each[2] for each in asked_for(uow, model, material)}


def keep_parts(
    shop: Shop, press: Press, model_id: int, material_id: int, parts: Mapping[str, PartEstimate]
) -> Done[tuple[Estimate, ...]]:
    """Keep better figures in place of those of the same settings.

    Where settings, printers or nozzles changed meanwhile, nothing is kept: they are estimated again.

    Args:
        parts: one copy by the hash of its settings.
    """
    with shop.write(press, "estimate model") as uow:
        model, material = uow.models.get(model_id), uow.materials.get(material_id)
        asked = asked_for(uow, model, material)
        if any(settings_hash(each[2]) not in parts for each in asked):
            return Done(())
        fresh = {_key(*each): _figures(each, parts[settings_hash(each[2])]) for each in asked}
        stored = _store(uow, model, material, asked, fresh)
        uow.commit()
        return Done(stored, uow.changed, uow.press_number)


def estimate_unkept(
    shop: Shop,
    model: Model,
    mesh: Mesh,
    material: Material,
    *,
    in_worker: bool = False,
    tell: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> tuple[Estimate, ...]:
    """Estimates of a model that is in nobody's books yet, as a form shows them; nothing is kept.

    Args:
        model: its size and turn; any key. mesh: as it stands on the platform.
        tell: called with how many nozzles are computed, and of how many.
        cancelled: asked before each nozzle; what is computed so far is dropped.
    """
    with shop.read() as uow:
        asked = asked_for(uow, model, material)
    different = {settings_hash(each[2]): each[2] for each in asked}
    mesh = estimable(mesh, model.findings)
    parts: dict[str, PartEstimate] = {}
    for key, settings in different.items():
        if cancelled is not None and cancelled():
            return ()
        if tell is not None:
            tell(len(parts), len(different))
        parts[key] = _parts_of(shop, mesh, (settings,), in_worker)[0]
    return tuple(
        replace(_figures(each, parts[settings_hash(each[2])]), model_id=model.id, material_id=material.id)
        for each in asked
    )


def estimate_request(shop: Shop, press: Press, request: Request) -> Done[tuple[Estimate, ...]]:
    """Estimates of what a request asks for; none while it has no model."""
    with shop.read() as uow:
        model_id = None if request.size_id is None else uow.sizes.get(request.size_id).model_id
    if model_id is None:
        return Done(())
    return estimate_model(shop, press, model_id, request.material_id)


def kept_estimates(uow: UnitOfWork, model_id: int, material_id: int) -> tuple[Estimate, ...]:
    """The figures that hold now for a model and material, smallest bore first."""
    found = uow.estimates.find(is_("model_id", model_id), is_("material_id", material_id))
    return tuple(sorted(found, key=lambda estimate: (estimate.bore_um, estimate.printer_id)))


def asked_for(uow: UnitOfWork, model: Model, material: Material) -> tuple[Asked, ...]:
    """Every active printer and bore a model can be printed with, and how; smallest bore first."""
    nozzles = uow.nozzles.find(is_("retired", False))
    asked = [
        (printer, bore, settings_for(uow, printer, bore, material))
        for printer in uow.printers.find(is_("active", True))
        if stands_on(model, printer) and material.id in (printer.material_ids or (material.id,))
        for bore in bores_of(nozzles, printer.id, material.abrasive)
    ]
    return tuple(sorted(asked, key=lambda each: (each[1], each[0].id)))


def _key(printer: Printer, bore_um: int, settings: PrintSettings) -> tuple[int, int, str]:
    return printer.id, bore_um, settings_hash(settings)


def _kept(uow: UnitOfWork, model: Model, material: Material) -> dict[tuple[int, int, str], Estimate]:
    found = uow.estimates.find(is_("model_id", model.id), is_("material_id", material.id), with_void=True)
    return {(each.printer_id, each.bore_um, each.settings_hash): each for each in found}


def _computed(
    shop: Shop, model: Model, wanted: tuple[PrintSettings, ...], in_worker: bool
) -> tuple[PartEstimate, ...]:
    if not wanted:
        return ()
    mesh = estimable(mesh_of(shop, model), model.findings)
    different = {settings_hash(each): each for each in wanted}  # printers alike are computed once
    computed = _parts_of(shop, mesh, tuple(different.values()), in_worker)
    by_hash = dict(zip(different, computed, strict=True))
    return tuple(by_hash[settings_hash(each)] for each in wanted)


def _parts_of(
    shop: Shop, mesh: Mesh, wanted: tuple[PrintSettings, ...], in_worker: bool
) -> tuple[PartEstimate, ...]:
    if not in_worker or shop.worker is None:
        return part_estimates(mesh, wanted)
    return in_process(shop.worker, part_estimates, mesh, wanted)


def in_process(
    worker: Worker,
    work: Callable[..., T],
    *args: Any,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> T:
    """Compute in the worker's process and wait for it; call it off the window's thread.

    Args:
        progress: told the part done. cancelled: asked every tenth of a second; the work is then stopped.

    Raises:
        Whatever the work raised; CancelledError once it was stopped.
    """
    done, answers, errors = Event(), [], []

    def keep(answer: T) -> None:
        answers.append(answer)
        done.set()

    def fail(error: BaseException) -> None:
        errors.append(error)
        done.set()

    task = worker.submit(work, *args, on_done=keep, on_error=fail, on_progress=progress, process=True)
    while not done.wait(ASK_EVERY_S):
        if cancelled is not None and cancelled():
            task.cancel()
    if errors:
        raise errors[0]
    return answers[0]


def _figures(asked: Asked, part: PartEstimate) -> Estimate:
    """The record of one estimate, its model, material and cost still open."""
    printer, bore_um, settings = asked
    run = estimate_run((part,), settings)
    busy = sum(part.layer_seconds) / 60
    return Estimate(
        model_id=0,
        printer_id=printer.id,
        bore_um=bore_um,
        material_id=0,
        settings_hash=part.settings_hash,
        part_minutes=part.part_minutes,
        start_minutes=run.start_minutes,
        likely_minutes=run.minutes,
        at_most_minutes=NO_PRINTS.at_most(run.minutes, run.start_minutes),
        part_mg=mg_from_grams(part.grams),
        mg=mg_from_grams(run.grams),
        layers=part.layers,
        tier=part.tier,
        busy_minutes=busy,
        cooling_minutes=max(0.0, part.part_minutes - busy - part.layers * settings.layer_change_s / 60),
    )


def _store(
    uow: UnitOfWork,
    model: Model,
    material: Material,
    asked: tuple[Asked, ...],
    fresh: dict[tuple[int, int, str], Estimate],
) -> tuple[Estimate, ...]:
    """Keep exactly the figures of the present settings; those of others no longer count."""
    kept = _kept(uow, model, material)
    stored = []
    for each in asked:
        key = _key(*each)
        before = kept.pop(key, None)
        known = before or replace(fresh[key], model_id=model.id, material_id=material.id)
        if before is not None and key in fresh:
            known = replace(before, **{name: getattr(fresh[key], name) for name in FIGURES})
        cost = cost_of(
            known.mg / 1000, known.likely_minutes, material.price_per_kg_thousandths, each[0].rate_thousandths
        )
        right = replace(known, cost_thousandths=cost, void=False)
        if not right.id:
            right = uow.estimates.add(right)
        elif right != before:
            right = uow.estimates.save(right)
        stored.append(right)
    for old in kept.values():
        if not old.void:
            uow.estimates.save(replace(old, void=True))
    return tuple(stored)
