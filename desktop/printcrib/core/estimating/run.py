"""Minutes, grams and cost of a whole run: its start once, its copies together on the platform."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from printcrib.core.errors import ShopError
from printcrib.core.estimating.motion import straight_s
from printcrib.core.estimating.part import PartEstimate
from printcrib.core.estimating.settings import PrintSettings

GAP_MM = 5.0  # room between copies on the platform (common practice, no source)


@dataclass(frozen=True)
class RunEstimate:
    """A run from its start to the end of printing.

    Attributes:
        minutes: all of it.
        grams: all of it, purge and first line included.
        start_minutes: heat-up, first line and purge in it.
        travel_minutes: moves between copies in it.
        start_grams: purge and first line in it.
        layers: layers of the tallest copy.
    """

    minutes: float
    grams: float
    start_minutes: float
    travel_minutes: float
    start_grams: float
    layers: int


def estimate_run(parts: Sequence[PartEstimate], settings: PrintSettings) -> RunEstimate:
    """Estimate a run from its copies, each given as often as it is printed.

    The least layer time holds for a whole layer: copies printed together cool while the others print.

    Raises:
        ShopError: no copies.
    """
    if not parts:
        raise ShopError("the run has no copies", "Put a copy on it first.")
    layers = max(part.layers for part in parts)
    seconds, present = np.zeros(layers), np.zeros(layers)
    for part in parts:
        seconds[: part.layers] += part.layer_seconds
        present[: part.layers] += 1
    reach = max(max(part.footprint_mm) for part in parts) + GAP_MM
    hop = float(
        straight_s(np.array([reach]), settings.travel_speed_mm_s, 0.0, settings.acceleration_mm_s2)[0]
    )
    travel = np.where(present > 1, present * hop, 0.0)
    layer = np.maximum(seconds + travel, settings.least_layer_s) + settings.layer_change_s
    start_grams = settings.purge_grams + settings.first_line_grams
    return RunEstimate(
        minutes=(settings.start_s + float(layer.sum())) / 60,
        grams=start_grams + sum(part.grams for part in parts),
        start_minutes=settings.start_s / 60,
        travel_minutes=float(travel.sum()) / 60,
        start_grams=start_grams,
        layers=layers,
    )


def cost_of(
    grams: float, minutes: float, price_a_kg: int | None = None, rate_an_hour: int | None = None
) -> int | None:
    """What a run costs in thousandths of the shop's currency; None without any price.

    Args:
        grams: plastic used.
        minutes: printer time.
        price_a_kg: material price in thousandths; None is not known and counts nothing.
        rate_an_hour: printer rate in thousandths; likewise.
    """
    if price_a_kg is None and rate_an_hour is None:
        return None
    return round(grams / 1000 * (price_a_kg or 0) + minutes / 60 * (rate_an_hour or 0))
