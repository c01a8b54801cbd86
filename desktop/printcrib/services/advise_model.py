"""Look a model over for the nozzles of the shop: what is lost, threads, how it best lies. Keep the answer."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from printcrib.core.advice import Advice, NozzleFit, Rest
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.holes import estimable
from printcrib.core.patterns import Estimate
from printcrib.core.printers import Printer
from printcrib.core.shapes import Extents
from printcrib.services.estimate_task import asked_for, in_process, material_for
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.press import Press
from printcrib.services.read_model import mesh_of


@dataclass(frozen=True)
class LookedOver:
    """New advice on a model and the places of what is lost, not stored yet."""

    advice: Advice
    places: bytes


def look_over(shop: Shop, model_id: int, material_id: int | None = None) -> LookedOver | None:
    """Look a model over for the nozzles of the shop; None where what is kept still holds.

    It writes nothing and may take seconds, in the shop's worker process where it has one: call it where
    nobody waits to press.

    Args:
        material_id: None for the pattern's material, else the one asked for most.
    """
    from printcrib.core.estimating.advising import advise_mesh, made_for

    with shop.read() as uow:
        model = uow.models.get(model_id)
        asked = asked_for(uow, model, material_for(uow, model.size_id, material_id))
        kept = advice_of(uow, model.id)
        rooms = tuple({_room(printer): None for printer in uow.printers.find(is_("active", True))})
    wanted = tuple({settings: None for _, _, settings in asked})
    if not wanted or (kept is not None and kept.made_for == made_for(model.turn, wanted, rooms)):
        return None
    mesh = estimable(mesh_of(shop, model), model.findings)
    if shop.worker is None:
        advice, places = advise_mesh(mesh, model.turn, wanted, rooms)
    else:
        advice, places = in_process(shop.worker, advise_mesh, mesh, model.turn, wanted, rooms)
    return LookedOver(replace(advice, model_id=model.id), places)


def keep_advice(shop: Shop, press: Press, looked: LookedOver) -> Done[Advice]:
    """Store new advice in place of what was said before, and the outlines of what is lost as a file."""
    places = shop.files.put(looked.places, "json") if looked.places else ""
    new = replace(looked.advice, places=places)
    with shop.write(press, "advise on model") as uow:
        kept = advice_of(uow, new.model_id)
        if kept is None:
            stored = uow.advice.add(new)
        else:
            stored = uow.advice.save(
                replace(
                    kept,
                    made_for=new.made_for,
                    nozzles=new.nozzles,
                    threads=new.threads,
                    rests=new.rests,
                    places=new.places,
                )
            )
        uow.commit()
        return Done(stored, uow.changed, uow.press_number)


def advice_of(uow: UnitOfWork, model_id: int) -> Advice | None:
    """What was said on a model; None while nobody looked."""
    return uow.advice.one(is_("model_id", model_id))


def fits_of(
    advice: Advice, estimates: Sequence[Estimate], settings: Callable[[Estimate], PrintSettings]
) -> dict[int, NozzleFit]:
    """What each bore loses, on the printer where it is quickest."""
    found: dict[int, NozzleFit] = {}
    for estimate in sorted(estimates, key=lambda each: (each.likely_minutes, each.printer_id)):
        now = settings(estimate)
        fit = advice.fit_of(estimate.bore_um, now.line_width_mm, now.layer_height_mm)
        if fit is not None:
            found.setdefault(estimate.bore_um, fit)
    return found


def present_rest(advice: Advice, turn: int) -> Rest | None:
    """How the model lies now, of the ways looked at; a quarter turn about the upright makes no difference."""
    return next((r for r in advice.rests if r.turn is not None and r.turn // 4 == turn // 4), None)


def turn_words(advice: Advice, turn: int) -> str:
    """How it best lies: "It lies best as it is", or what the best way saves."""
    if not advice.rests:
        return ""
    best, now = advice.rests[0], present_rest(advice, turn)
    if best == now:
        return f"It lies best as it is: {best.reason}."
    instead = ""
    if now is not None and now.minutes is not None:
        instead = f", instead of {now.support_cm3:.1f} cm3 and {now.minutes:.0f} min as it is"
    return f"It lies best {best.words}: {best.reason}{instead}."


def _room(printer: Printer) -> Extents:
    return (*printer.platform_mm, printer.height_mm)
