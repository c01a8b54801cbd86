"""The type scale: Inter with figures of one width, emphasis by weight 600 only, nothing under 16 pt."""

from functools import lru_cache
from typing import Literal

from PySide6.QtGui import QFont, QFontMetrics

Weight = Literal["regular", "medium", "strong"]

TEXT_PT = 16
CELL_PT = 18
CARD_PT = 20
MAIN_PT = 20
TITLE_PT = 26
TITLE_WIDE_PT = 28
DESK_PT = 34
DESK_NARROW_PT = 26
COUNT_PT = 72
COUNT_NARROW_PT = 40

FAMILY = "Inter"
DISPLAY_FAMILY = "Inter Display"
FALLBACKS = ("Noto Sans", "Segoe UI", "Helvetica Neue", "DejaVu Sans", "sans-serif")

_WEIGHTS = {"regular": QFont.Weight.Normal, "medium": QFont.Weight.Medium, "strong": QFont.Weight.DemiBold}


@lru_cache(maxsize=64)
def _made(points: float, weight: Weight) -> QFont:
    display = weight == "strong" and points >= CARD_PT
    font = QFont([DISPLAY_FAMILY if display else FAMILY, FAMILY, *FALLBACKS])
    font.setPointSizeF(points)
    font.setWeight(_WEIGHTS[weight])
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    font.setFeature(QFont.Tag("tnum"), 1)
    return font


def font(points: float = TEXT_PT, weight: Weight = "regular") -> QFont:
    """A font of the scale; `strong` from 20 pt on is the display cut."""
    return QFont(_made(points, weight))


@lru_cache(maxsize=64)
def metrics(points: float = TEXT_PT, weight: Weight = "regular") -> QFontMetrics:
    """Measures of a font of the scale, for laying out painted words."""
    return QFontMetrics(_made(points, weight))
