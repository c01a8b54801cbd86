"""Seconds of one layer's moves: speeds by kind of line and the planner that looks ahead."""

import numpy as np

from printcrib.core.estimating.motion import corner_speed_mm_s
from printcrib.core.estimating.paths.moves import LayerMoves
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.shapes import Floats


def speeds_mm_s(settings: PrintSettings, first: bool) -> Floats:
    """Speed of every kind of move, capped by flow and in the first layer; jumps are not."""
    asked = (
        settings.outer_wall_speed_mm_s,
        settings.inner_wall_speed_mm_s,
        settings.skin_speed_mm_s,
        settings.fill_speed_mm_s,
    )
    most = settings.first_layer_speed_mm_s if first else np.inf
    printed = [settings.capped_speed_mm_s(min(speed, most)) for speed in asked]
    return np.array([*printed, settings.travel_speed_mm_s])


def seconds_of(moves: LayerMoves, settings: PrintSettings, first: bool) -> float:
    """How long a layer's moves take, from rest to rest.

    Args:
        moves: of the layer.
        settings: speeds, acceleration and corner allowance.
        first: it is the first layer.
    """
    rate = settings.acceleration_mm_s2
    cap = speeds_mm_s(settings, first)[moves.kind]
    corner = corner_speed_mm_s(moves.turn_rad, rate, settings.corner_allowance_mm)
    limit = np.append(np.minimum(corner, cap), 0.0) ** 2
    limit[1:-1] = np.minimum(limit[1:-1], cap[:-1] ** 2)
    reach = np.concatenate(([0.0], np.cumsum(2 * rate * moves.length_mm)))
    limit = reach + np.minimum.accumulate(limit - reach)
    limit = np.minimum.accumulate((limit + reach)[::-1])[::-1] - reach
    begin, end = limit[:-1].clip(0), limit[1:].clip(0)
    peak = np.minimum(cap, np.sqrt(rate * moves.length_mm + (begin + end) / 2))
    level = np.maximum(0, moves.length_mm - (2 * peak**2 - begin - end) / (2 * rate))
    return float(((2 * peak - np.sqrt(begin) - np.sqrt(end)) / rate + level / peak).sum())


def bridge_seconds(bridged_mm2: float, settings: PrintSettings) -> float:
    """What printing skin over air takes longer than printing it on something."""
    usual = settings.capped_speed_mm_s(settings.skin_speed_mm_s)
    slow = min(usual, settings.bridge_speed_mm_s)
    return bridged_mm2 / settings.line_width_mm * (1 / slow - 1 / usual)
