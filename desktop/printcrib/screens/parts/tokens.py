"""The one table of colours, light and dark, and the sizes hands in gloves need.

Paper, ink, one accent (the deep blue of marking-out fluid) and one signal colour (oxide red).
Nothing is told by colour alone: every red mark has its word beside it.
"""

from dataclasses import dataclass, fields
from typing import Literal, get_args

from PySide6.QtGui import QColor, QGuiApplication, QPalette

Tone = Literal["ink", "second", "accent", "signal", "on_accent"]
TONES: tuple[Tone, ...] = get_args(Tone)

MAIN_PX = 76
"""Height of the one main button of a page: 20.1 mm at 96 dots an inch."""
CONTROL_PX = 58
"""Height of every other control: 15.3 mm at 96 dots an inch."""
COUNT_PX = 88
SMALL_PX = 50
"""Least side of anything that is pressed."""
GAP_PX = 12
"""Between two controls: 3.2 mm."""
FAR_GAP_PX = 50
"""Around buttons that end something (worn, broken): 13 mm."""
STRIP_PX = 68
SIDE_NARROW_PX = 172
SIDE_WIDE_PX = 256
WIDE_FROM_PX = 1600
"""Windows at least this wide get the roomy layout."""
RADIUS = 6
RADIUS_RUN = 4
RADIUS_BAR = 3
RADIUS_TAB = 8
RING_PX = 3


@dataclass(frozen=True, eq=False)
class Tokens:
    """The colours of one theme, each with one use.

    Attributes:
        paper, side, sheet: window, side list, cards with tables and fields.
        well, closed: bar tracks and disabled controls; hours in which nobody is in.
        line, edge: hairlines; borders of controls and the wear-out hatch.
        ink, ink2: text; second text.
        accent, pressed, on_accent: main button, bars and what is chosen; held down; text on it.
        tint, mid: ground of what is chosen; border of a planned run (never under text).
        signal, on_signal, signal_tint: late, short, past its life.
    """

    dark: bool
    paper: QColor
    side: QColor
    sheet: QColor
    well: QColor
    closed: QColor
    line: QColor
    edge: QColor
    ink: QColor
    ink2: QColor
    accent: QColor
    pressed: QColor
    on_accent: QColor
    tint: QColor
    mid: QColor
    signal: QColor
    on_signal: QColor
    signal_tint: QColor

    def of(self, tone: Tone) -> QColor:
        """The colour of text in this tone."""
        return {
            "ink": self.ink,
            "second": self.ink2,
            "accent": self.accent,
            "signal": self.signal,
            "on_accent": self.on_accent,
        }[tone]

    def named(self) -> dict[str, QColor]:
        """Every colour by its name, in the order of the table."""
        return {f.name: getattr(self, f.name) for f in fields(self) if f.name != "dark"}


def _tokens(dark: bool, hexes: str) -> Tokens:
    names = [f.name for f in fields(Tokens) if f.name != "dark"]
    colours = dict(zip(names, (QColor(h) for h in hexes.split()), strict=True))
    return Tokens(dark=dark, **colours)


LIGHT = _tokens(
    False,
    "#F3F0E8 #E7E2D6 #FDFCF9 #E9E5DB #E9E5DB #D8D2C5 #857F71 #1C2029 #535863 "
    "#2B3C8A #1F2C68 #FFFFFF #E0E4F3 #6F7EBE #98301D #FFFFFF #F6E3DB",
)
DARK = _tokens(
    True,
    "#15171C #0F1115 #1E2128 #2B2F39 #111318 #363B46 #858B99 #EEEBE4 #B4B7BF "
    "#A9B5F3 #D3DAFB #141829 #2C3352 #7F8CCB #F3AD98 #32110A #472A23",
)


def current_tokens() -> Tokens:
    """The colours in force now, told from the application's palette."""
    dark = QGuiApplication.palette().color(QPalette.ColorRole.Window).lightness() < 128
    return DARK if dark else LIGHT


def contrast(one: QColor, other: QColor) -> float:
    """Contrast of two colours, 1 to 21 (relative luminance of WCAG 2.2, section 1.4.3)."""
    lights = sorted((_luminance(one), _luminance(other)))
    return (lights[1] + 0.05) / (lights[0] + 0.05)


def _luminance(colour: QColor) -> float:
    def linear(part: float) -> float:
        return part / 12.92 if part <= 0.04045 else float(((part + 0.055) / 1.055) ** 2.4)

    red, green, blue = (linear(c) for c in (colour.redF(), colour.greenF(), colour.blueF()))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
