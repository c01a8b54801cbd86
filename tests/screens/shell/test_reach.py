"""Sizes in millimetres on the real screen."""

import pytest
from PySide6.QtWidgets import QApplication

from printcrib.screens.parts.tokens import CONTROL_PX, GAP_PX, MAIN_PX, SMALL_PX
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.reach import fitting, keep_scale, kept_scale, scale_wanted
from printcrib.screens.shell.theme import Theme

MM = 25.4


@pytest.mark.parametrize(
    ("dots", "now", "wanted"),
    [
        (92, 1.0, 1.0),  # 24 inch, 1920 x 1080
        (100, 1.0, 1.0),
        (163, 1.0, 1.7),  # 27 inch, 3840 x 2160, system does not scale
        (96, 1.7, 1.7),  # the same, already scaled
        (500, 1.0, 1.0),  # nonsense is left alone
        (0, 1.25, 1.25),
        (300, 1.0, 2.0),
        (70, 1.0, 1.0),  # never smaller
    ],
)
def test_scale(dots: float, now: float, wanted: float) -> None:
    assert scale_wanted(dots, now) == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("width", "height", "most"),
    [(1280, 720, 1.0), (1920, 1040, 1.4), (3840, 2120, 2.9), (1024, 600, 1.0)],
)
def test_the_window_still_fits_the_screen(width: int, height: int, most: float) -> None:
    assert fitting(width, height) == pytest.approx(most)


@pytest.mark.parametrize("dots", [92, 100, 110, 125, 140, 163, 185])
def test_buttons_keep_their_millimetres(dots: float) -> None:
    scale = scale_wanted(dots)
    assert MAIN_PX * scale / dots * MM >= 17.5
    assert CONTROL_PX * scale / dots * MM >= 13.3
    assert SMALL_PX * scale / dots * MM >= 9
    assert GAP_PX * scale / dots * MM >= 2.7


def test_at_96_dots_an_inch_sizes_are_exact() -> None:
    assert MAIN_PX / 96 * MM >= 20
    assert CONTROL_PX / 96 * MM >= 15
    assert GAP_PX / 96 * MM >= 3


def test_is_remembered_for_the_next_start(theme: Theme, memory: Memory) -> None:
    assert kept_scale(memory) == 1.0
    keep_scale(memory, QApplication.primaryScreen())
    assert kept_scale(memory) == 1.0
    memory.put("screen/scale", "1.5")
    assert kept_scale(memory) == 1.5
    memory.put("screen/scale", "large")
    assert kept_scale(memory) == 1.0
