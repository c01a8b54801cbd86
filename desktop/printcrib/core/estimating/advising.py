"""All the tool has to say on one model beside minutes and grams: features lost, threads, how it best lies."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import replace

from printcrib.core.advice import Advice, NozzleFit, Rest, recommend
from printcrib.core.estimating.features import feature_losses, places_as_json, threads_in
from printcrib.core.estimating.fineness import allowed_nozzles
from printcrib.core.estimating.orientation import rank_rests
from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.settings import PrintSettings, settings_with
from printcrib.core.shapes import TURNS, Extents, Mesh

METHOD = 2  # goes up when the same model would be told something else
MOST_TRIANGLES = 400_000  # ways to lie are not tried on larger models; it would take minutes


def made_for(turn: int, wanted: Sequence[PrintSettings], rooms: Sequence[Extents]) -> str:
    """A fingerprint of everything advice depends on besides the file; another one means it is made anew."""
    lines = sorted({(each.bore_um, each.line_width_mm, each.layer_height_mm) for each in wanted})
    text = json.dumps([METHOD, turn, lines, sorted(rooms)])
    return hashlib.sha256(text.encode()).hexdigest()


def advise_mesh(
    mesh: Mesh, turn: int, wanted: Sequence[PrintSettings], rooms: Sequence[Extents]
) -> tuple[Advice, bytes]:
    """Look at a model for the nozzles of the shop; the second answer is the places of what is lost.

    Args:
        mesh: the model, outside out, standing as it will be printed.
        turn: index of the right-angled turn it stands in.
        wanted: how each printer prints with each nozzle.
        rooms: width, depth and height of each printer.
    """
    by_lines = {(each.bore_um, each.line_width_mm, each.layer_height_mm): each for each in wanted}
    losses = feature_losses(mesh, [NozzleFit(*lines) for lines in sorted(by_lines)])
    fits = tuple(loss.fit for loss in losses)
    finest = min((fit.layer_height_mm for fit in fits), default=0.2)
    threads = threads_in(mesh, finest)
    told = recommend(fits, threads, allowed=allowed_nozzles("normal", [fit.bore_um for fit in fits]))
    best = next((each for each in wanted if told is not None and each.bore_um == told.bore_um), None)
    advice = Advice(
        model_id=0,
        made_for=made_for(turn, wanted, rooms),
        nozzles=fits,
        threads=threads,
        rests=() if best is None else ranked(mesh, turn, best, rooms),
    )
    return advice, places_as_json(losses)


def ranked(mesh: Mesh, turn: int, settings: PrintSettings, rooms: Sequence[Extents]) -> tuple[Rest, ...]:
    """Ways for a model to lie, the best first, timed with one nozzle.

    Args:
        mesh: as it stands now. turn: index of that turn.
        settings: of the nozzle; supports are counted whether it prints them or not.
        rooms: width, depth and height of each printer.
    """
    if len(mesh.faces) > MOST_TRIANGLES:
        return ()
    with_supports = settings_with(settings, {"supports": 1})
    given = Mesh(mesh.vertices @ list(TURNS.values())[turn], mesh.faces)

    def trial(standing: Mesh) -> tuple[float, float]:
        part = estimate_part(standing, with_supports)
        return part.part_minutes, part.support_mm3

    def goes_on(width: float, depth: float, height: float) -> bool:
        lying = sorted((width, depth))
        return any(
            height <= room[2] and all(a <= b for a, b in zip(lying, sorted(room[:2]), strict=True))
            for room in rooms
        )

    rests = rank_rests(given, trial, goes_on, turn)
    return tuple(rest if rest.minutes is None else replace(rest, bore_um=settings.bore_um) for rest in rests)
