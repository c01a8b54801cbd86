"""What looks wrong about a print file beside the run it is given for; that of another run is easily taken."""

from collections.abc import Iterator
from dataclasses import dataclass

from printcrib.core.estimating.moves import PrintFile
from printcrib.core.units import bore_text, duration_words, grams_words, mg_from_grams

TIMES_OFF = 2.0
HEIGHT_OFF_MM, HEIGHT_OFF_SHARE = 2.0, 0.1
LAYER_OF_BORE = (0.1, 0.85)
"""Lowest and highest layer beside the bore (common practice, no source)."""


@dataclass(frozen=True)
class Expected:
    """What the tool knows of the run; 0 for not known.

    Attributes:
        minutes, mg: as estimated.
        height_mm: of its tallest copy as it stands.
        bore_um: of its nozzle.
    """

    minutes: float
    mg: int
    height_mm: float
    bore_um: int


def doubts_of(file: PrintFile, expected: Expected) -> tuple[str, ...]:
    """Sentences on what does not fit, for somebody to look at before the press."""
    return tuple(_doubts(file, expected))


def _doubts(file: PrintFile, expected: Expected) -> Iterator[str]:
    if _far_off(file.minutes, expected.minutes):
        told, own = duration_words(round(file.minutes)), duration_words(round(expected.minutes))
        yield f"The file takes {told}, the run was estimated at {own}."
    mg = mg_from_grams(file.grams)
    if _far_off(mg, expected.mg):
        yield f"The file takes {grams_words(mg)}, the run was estimated at {grams_words(expected.mg)}."
    off_mm = abs(file.height_mm - expected.height_mm)
    if (
        file.height_mm
        and expected.height_mm
        and off_mm > HEIGHT_OFF_MM + HEIGHT_OFF_SHARE * expected.height_mm
    ):
        yield f"The file is {file.height_mm:.0f} mm high, the tallest copy {expected.height_mm:.0f} mm."
    bore_mm = expected.bore_um / 1000
    least, most = (share * bore_mm for share in LAYER_OF_BORE)
    if file.layer_mm and not least <= file.layer_mm <= most:
        nozzle = bore_text(expected.bore_um)
        yield f"Its layers are {file.layer_mm:.2f} mm high; that is odd for the {nozzle} nozzle of this run."


def _far_off(value: float, expected: float) -> bool:
    return expected > 0 and not expected / TIMES_OFF <= value <= expected * TIMES_OFF
