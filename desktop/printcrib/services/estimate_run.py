"""Minutes and grams of a whole run: one start, then all its copies."""

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from printcrib.core.patterns import Estimate
from printcrib.core.requests import Copy
from printcrib.services.interfaces import UnitOfWork, among, is_
from printcrib.services.learn_times import NOTHING, Taught, read_taught

TRAVEL_MINUTES = 1
"""Added for every further copy on the platform: the way between copies, on the long side."""
HOP_MINUTES = 0.5 / 60
"""From one copy to the next in a layer: 60 mm at 150 mm/s and 1500 mm/s2 (common practice, no source)."""


@dataclass(frozen=True)
class RunEstimate:
    """What a run with these copies takes, start included.

    Attributes:
        minutes, at_most_minutes: likely and at most as on screens. mg: filament with its start.
        computed_minutes, computed_start_minutes, computed_mg: the same before what was learned.
        weights: mg of each copy by its key, without the start; what a failure loses goes by it.
        whole: False when a copy has no estimate and is left out of the sums.
    """

    minutes: float = 0.0
    at_most_minutes: float = 0.0
    mg: int = 0
    computed_minutes: float = 0.0
    computed_start_minutes: float = 0.0
    computed_mg: int = 0
    weights: Mapping[int, int] = field(default_factory=dict)
    whole: bool = True


def start_mg(estimate: Estimate) -> int:
    """Filament of the first line and purge of a run."""
    return max(estimate.mg - estimate.part_mg, 0)


def latest(estimates: Iterable[Estimate]) -> dict[tuple[int, int, int, int], Estimate]:
    """The newest estimate by model, printer, bore and material."""
    found: dict[tuple[int, int, int, int], Estimate] = {}
    for estimate in sorted(estimates, key=lambda each: each.id):
        key = (estimate.model_id, estimate.printer_id, estimate.bore_um, estimate.material_id)
        found[key] = estimate
    return found


NO_DOUBT: Mapping[int, float] = {}


def together(
    estimates: Iterable[Estimate], taught: Taught = NOTHING, doubts: Mapping[int, float] = NO_DOUBT
) -> RunEstimate:
    """Estimates of single copies put on one platform (one estimate for each copy).

    Args:
        taught: what was learned of the printer and nozzle.
        doubts: of models by key (see ``ModelFacts``), 0 where left out; at most reaches as far as their
            range, each copy's doubt counting for its part of the time.
    """
    parts = tuple(estimates)
    if not parts:
        return RunEstimate()
    start = max(part.start_minutes for part in parts)
    minutes = start + printing_minutes(parts)
    mg = max(start_mg(part) for part in parts) + sum(part.part_mg for part in parts)
    return RunEstimate(
        minutes=taught.minutes.likely(minutes, start),
        at_most_minutes=taught.minutes.at_most(minutes, start) * (1 + _doubt(parts, doubts)),
        mg=round(taught.grams.likely(mg)),
        computed_minutes=minutes,
        computed_start_minutes=start,
        computed_mg=mg,
    )


def printing_minutes(parts: Sequence[Estimate]) -> float:
    """Minutes of copies printed together, without the start.

    Layers of a copy count as alike. A layer takes what the copies in it and the ways between them take, or
    the longest that one of them must wait in it to cool; it is changed once for all. That is never more than
    one copy after the other and the ways between them.
    """
    if len(parts) < 2 or not all(part.busy_minutes and part.layers for part in parts):
        return sum(part.part_minutes for part in parts) + TRAVEL_MINUTES * (len(parts) - 1)
    count = Counter(parts)
    minutes, done = 0.0, 0
    for height in sorted({part.layers for part in count}):
        here = [part for part in count if part.layers >= height]
        copies = sum(count[part] for part in here)
        busy = sum(count[part] * part.busy_minutes / part.layers for part in here)
        cool = max((part.busy_minutes + part.cooling_minutes) / part.layers for part in here)
        ways = copies * HOP_MINUTES if copies > 1 else 0.0
        minutes += (height - done) * max(busy + ways, cool)
        done = height
    return minutes + max(part.part_minutes - part.busy_minutes - part.cooling_minutes for part in count)


def _doubt(parts: tuple[Estimate, ...], doubts: Mapping[int, float]) -> float:
    whole = sum(part.part_minutes for part in parts)
    doubtful = sum(part.part_minutes * doubts.get(part.model_id, 0.0) for part in parts)
    return doubtful / whole if whole > 0 else 0.0


def estimate_run(
    uow: UnitOfWork, printer_id: int, bore_um: int, material_id: int | None, copies: Iterable[Copy]
) -> RunEstimate:
    """The whole run estimated again from what is known of each copy's model."""
    models = {copy.id: model_of(uow, copy) for copy in copies}
    known = {
        estimate.model_id: estimate
        for estimate in latest(
            uow.estimates.find(
                among("model_id", tuple({model for model in models.values() if model is not None})),
                is_("printer_id", printer_id),
                is_("bore_um", bore_um),
                is_("material_id", material_id),
            )
        ).values()
    }
    counts = Counter(model for model in models.values() if model in known)
    parts = [known[model] for model, count in counts.items() for _ in range(count) if model is not None]
    doubts = {model.id: model.doubt for model in uow.models.find(among("id", tuple(known)))}
    whole = together(parts, read_taught(uow, (printer_id,)).of(printer_id, bore_um), doubts)
    weights = {key: known[model].part_mg for key, model in models.items() if model in known}
    return replace(
        whole,
        minutes=math.ceil(whole.minutes),
        at_most_minutes=math.ceil(whole.at_most_minutes),
        weights=weights,
        whole=len(weights) == len(models),
    )


def model_of(uow: UnitOfWork, copy: Copy) -> int | None:
    """The model revision a copy is printed from: fixed when printing starts, else its size's current."""
    if copy.model_id is not None:
        return copy.model_id
    request = uow.requests.get(copy.request_id)
    return None if request.size_id is None else uow.sizes.get(request.size_id).model_id
