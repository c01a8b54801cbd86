"""How much larger everything must be so that gloves hit it on the real screen.

The sizes of tokens.py are millimetres at 96 dots an inch. A screen with finer dots, whose system does not
scale, would make the main button of 20 mm much smaller. The wanted scale is remembered, and put into
force (QT_SCALE_FACTOR) at the next start, before the application exists.
"""

import math

from PySide6.QtGui import QScreen

from printcrib.screens.shell.memory import Memory

PLAIN_DPI = 96.0
_CREDIBLE_DPI = (60.0, 320.0)
_NEAR_ENOUGH = 0.12
_MOST = 2.0
_WINDOW_PX = (1280, 720)
_KEY = "screen/scale"


def scale_wanted(dots_an_inch: float, scale_now: float = 1.0) -> float:
    """The scale at which the sizes come out in millimetres.

    Args:
        dots_an_inch: as the screen tells it, with the scale in force taken in.
        scale_now: the scale in force.
    """
    if not _CREDIBLE_DPI[0] <= dots_an_inch <= _CREDIBLE_DPI[1]:
        return scale_now
    if abs(dots_an_inch / PLAIN_DPI - 1) <= _NEAR_ENOUGH:
        return scale_now
    return min(_MOST, max(1.0, round(20 * scale_now * dots_an_inch / PLAIN_DPI) / 20))


def fitting(width_px: float, height_px: float) -> float:
    """The largest scale at which the window still fits a screen; large buttons off the screen help nobody.

    Args:
        width_px, height_px: room on the screen when nothing is scaled.
    """
    fits = min(width_px / _WINDOW_PX[0], height_px / _WINDOW_PX[1])
    return max(1.0, math.floor(20 * fits) / 20)


def kept_scale(memory: Memory) -> float:
    """The scale to put into force at this start."""
    try:
        return min(_MOST, max(1.0, float(memory.text(_KEY, "1"))))
    except ValueError:
        return 1.0


def keep_scale(memory: Memory, screen: QScreen) -> float:
    """Remember the scale this screen wants for the next start."""
    now = kept_scale(memory)
    room = screen.availableSize()
    wanted = min(
        scale_wanted(screen.physicalDotsPerInch(), now), fitting(room.width() * now, room.height() * now)
    )
    memory.put(_KEY, f"{wanted:g}")
    return wanted
