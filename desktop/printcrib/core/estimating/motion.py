"""How long a move takes a printer that must speed up, slow down and take corners.

Constant acceleration; a corner is rounded by the arc tangent to both straights that stays within the
corner allowance (plane geometry, own derivation).
"""

import numpy as np

from printcrib.core.shapes import Floats


def corner_speed_mm_s(angle_rad: Floats, acceleration_mm_s2: float, allowance_mm: float) -> Floats:
    """Speed at which a corner of a turn can be taken.

    The arc within distance d of the corner has radius r = d cos(phi/2) / (1 - cos(phi/2)); v = sqrt(a r).
    A straight line (turn 0) has no limit; turning back (pi) means stopping.
    """
    half = np.cos(np.minimum(np.abs(angle_rad), np.pi) / 2)
    with np.errstate(divide="ignore"):
        radius = allowance_mm * half / (1 - half)
    return np.asarray(np.sqrt(acceleration_mm_s2 * np.maximum(radius, 0)))


def straight_s(length_mm: Floats, cap_mm_s: float, end_mm_s: float, acceleration_mm_s2: float) -> Floats:
    """Seconds for a straight line entered and left at one speed.

    Args:
        length_mm: lengths.
        cap_mm_s: speed the line is printed at when long enough.
        end_mm_s: speed at both ends, at most the cap.
        acceleration_mm_s2: of the machine.
    """
    ramp = (cap_mm_s**2 - end_mm_s**2) / acceleration_mm_s2
    long_enough = 2 * (cap_mm_s - end_mm_s) / acceleration_mm_s2 + (length_mm - ramp) / cap_mm_s
    peak = np.sqrt(end_mm_s**2 + acceleration_mm_s2 * np.maximum(length_mm, 0))
    too_short = 2 * (peak - end_mm_s) / acceleration_mm_s2
    return np.where(length_mm >= ramp, long_enough, too_short)


def corner_loss_s(
    corner_mm_s: Floats, cap_mm_s: float, acceleration_mm_s2: float, spacing_mm: Floats
) -> Floats:
    """Seconds one corner costs over passing it at full speed.

    Slowing to v_j and speeding up again costs (v - v_j)^2 / (a v); where corners follow so closely that
    full speed is never reached, no more than crawling from one to the next does.

    Args:
        corner_mm_s: speeds at which the corners can be taken.
        cap_mm_s: full speed.
        acceleration_mm_s2: of the machine.
        spacing_mm: mean distance between corners.
    """
    slow = np.minimum(corner_mm_s, cap_mm_s)
    braking = (cap_mm_s - slow) ** 2 / (acceleration_mm_s2 * cap_mm_s)
    crawling = spacing_mm * (1 / np.maximum(slow, 1e-9) - 1 / cap_mm_s)
    return np.minimum(braking, crawling)
