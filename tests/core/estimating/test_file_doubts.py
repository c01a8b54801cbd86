"""A print file beside the run it is given for."""

from dataclasses import replace
from typing import Any

import pytest

from printcrib.core.estimating.file_doubts import Expected, doubts_of
from printcrib.core.estimating.moves import PrintFile, read_moves
from printcrib.core.estimating.settings import typical_settings

RUN = Expected(minutes=60.0, mg=30_000, height_mm=20.0, bore_um=400)


FITS = PrintFile(
    minutes=62.0,
    grams=31.0,
    metres=10.0,
    layers=99,
    moves=1000,
    heat_minutes=0.0,
    wait_minutes=0.0,
    height_mm=19.8,
    layer_mm=0.2,
)


def file(**told: Any) -> PrintFile:
    return replace(FITS, **told)


def test_a_file_that_fits_leaves_no_doubt() -> None:
    assert doubts_of(file(), RUN) == ()
    assert doubts_of(file(minutes=119.0, grams=15.5, height_mm=23.9, layer_mm=0.32), RUN) == ()


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"minutes": 121.0}, "The file takes 2 h 01, the run was estimated at 1 h."),
        ({"minutes": 29.0}, "The file takes 29 min, the run was estimated at 1 h."),
        ({"grams": 61.0}, "The file takes 61 g, the run was estimated at 30 g."),
        ({"grams": 2.0}, "The file takes 2.0 g, the run was estimated at 30 g."),
        ({"height_mm": 12.0}, "The file is 12 mm high, the tallest copy 20 mm."),
        ({"layer_mm": 0.4}, "Its layers are 0.40 mm high; that is odd for the 0.4 nozzle of this run."),
        ({"layer_mm": 0.03}, "Its layers are 0.03 mm high; that is odd for the 0.4 nozzle of this run."),
    ],
)
def test_what_does_not_fit_is_said(told: dict[str, float], words: str) -> None:
    assert doubts_of(file(**told), RUN) == (words,)


def test_what_is_not_known_is_not_doubted() -> None:
    unknown = Expected(minutes=0.0, mg=0, height_mm=0.0, bore_um=400)
    assert doubts_of(file(minutes=999.0, grams=999.0, height_mm=99.0), unknown) == ()
    assert doubts_of(file(layers=0, height_mm=0.0, layer_mm=0.0), RUN) == ()


def test_height_and_usual_layer_of_a_file() -> None:
    layers = "".join(f"G1 Z{z} F600\nG1 X{x} E1\n" for z, x in ((0.3, 9), (0.5, 0), (0.7, 9), (0.9, 0)))
    read = read_moves(f"M83\n{layers}G1 Z40\n".encode(), "a.nc", typical_settings(400))
    assert (read.height_mm, read.layer_mm) == pytest.approx((0.9, 0.2))
    flat = read_moves(b"M83\nG1 Z0.3 F600\nG1 X9 E1", "a.nc", typical_settings(400))
    assert (flat.height_mm, flat.layer_mm) == pytest.approx((0.3, 0.0))
    assert read_moves(b"G1 X9 F600", "a.nc", typical_settings(400)).height_mm == 0


def test_a_print_that_rises_all_the_while() -> None:
    turns = "".join(f"G3 I-5 Z{turn / 5:.1f} E9\n" for turn in range(1, 41))
    read = read_moves(f"M83\nG1 X5 F1200\n{turns}".encode(), "a.nc", typical_settings(400))
    assert (read.height_mm, read.layers) == (8.0, 0)
    assert read.notes == ("It rises while it prints: its layers cannot be counted.",)
    tall = Expected(minutes=read.minutes, mg=round(read.grams * 1000), height_mm=40.0, bore_um=400)
    assert doubts_of(read, tall) == ("The file is 8 mm high, the tallest copy 40 mm.",)
