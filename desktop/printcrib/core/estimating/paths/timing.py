"""Seconds of one layer's moves: speeds by kind of line and the planner that looks ahead."""

import numpy as np

from printcrib.core.estimating.paths.moves import LayerMoves
from printcrib.core.estimating.planner import PlannerKernel, path_seconds
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.shapes import Floats


def speeds_mm_s(settings: PrintSettings, first: bool) -> Floats:
    """Speed of every kind of move, capped by flow and in the first layer; jumps are not."""
    asked = (
        settings.outer_wall_speed_mm_s,
        settings.inner_wall_speed_mm_s,
        settings.skin_speed_mm_s,
        settings.fill_speed_mm_s,
        settings.support_speed_mm_s,
    )
    most = settings.first_layer_speed_mm_s if first else np.inf
    *part, support = (settings.capped_speed_mm_s(min(speed, most)) for speed in asked)
    return np.array([*part, settings.travel_speed_mm_s, support])


def seconds_of(
    moves: LayerMoves, settings: PrintSettings, first: bool, kernel: PlannerKernel | None = None
) -> float:
    """How long a layer's moves take, from rest to rest.

    Args:
        moves: of the layer.
        settings: speeds, acceleration and corner allowance.
        first: it is the first layer.
        kernel: compiled planner, where one is loaded.
    """
    seconds = path_seconds(
        moves.length_mm,
        moves.turn_rad,
        speeds_mm_s(settings, first)[moves.kind],
        settings.acceleration_mm_s2,
        settings.corner_allowance_mm,
        kernel,
    )
    return float(seconds.sum())


def bridge_seconds(bridged_mm2: float, settings: PrintSettings) -> float:
    """What printing skin over air takes longer than printing it on something."""
    usual = settings.capped_speed_mm_s(settings.skin_speed_mm_s)
    slow = min(usual, settings.bridge_speed_mm_s)
    return bridged_mm2 / settings.line_width_mm * (1 / slow - 1 / usual)
