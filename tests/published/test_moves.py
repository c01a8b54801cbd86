"""Print files against closed forms.

Sources: RS-274/ISO 6983-1 for the words (from memory: inches by G20, feed a minute, I and J from the start of
the arc); elementary kinematics, l/v + v/a from rest to rest; the section of round filament, pi d^2/4.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from printcrib.core.estimating.moves import PrintFile, read_moves
from printcrib.core.estimating.settings import typical_settings

SETTINGS = replace(typical_settings(400, 1.24), acceleration_mm_s2=1000.0)


def read(text: str) -> PrintFile:
    return read_moves(text.encode(), "check.nc", SETTINGS)


def test_100_mm_at_100_mm_a_second() -> None:
    assert read("G1 X100 F6000").minutes * 60 == pytest.approx(1.1, rel=1e-12)


def test_4_inches_at_1_inch_a_second() -> None:
    # 4 s and the speeding up and slowing down of 25.4 mm/s
    assert read("G20\nG1 X4 F60").minutes * 60 == pytest.approx(4 + 25.4 / 1000, rel=1e-12)


def test_waits_in_milliseconds_and_seconds() -> None:
    assert read("G4 P500\nG4 S2").minutes * 60 == pytest.approx(2.5, rel=1e-12)
    assert read("G4 P500 S2").minutes * 60 == pytest.approx(2.5, rel=1e-12)


@pytest.mark.parametrize("text", ["G2 I20 J0 F3000", "G17 G3 X0 Y0 J-20 F3000"])
def test_full_circle(text: str) -> None:
    assert read(text).minutes * 60 == pytest.approx(2 * np.pi * 20 / 50 + 50 / 1000, rel=3e-4)


def test_a_circle_in_straights_is_the_circle() -> None:
    angles = 2 * np.pi * np.arange(1, 721) / 720
    path = "".join(f"G1 X{20 * np.cos(a) - 20:.5f} Y{20 * np.sin(a):.5f}\n" for a in angles)
    assert read(f"F3000\n{path}").minutes == pytest.approx(read("G3 I-20 F3000").minutes, rel=3e-4)


def test_a_metre_of_filament() -> None:
    file = read("M83\nG1 X100 E600 F6000\nG1 X0 E400")
    assert file.metres == pytest.approx(1.0, rel=1e-12)
    assert file.grams == pytest.approx(np.pi * 1.75**2 / 4 * 1.24, rel=1e-12)  # g/cm3 x mm2 = g/m


def test_half_as_thick_a_filament_weighs_a_quarter() -> None:
    text = b"M83\nG1 X100 E600 F6000"
    thin, thick = (read_moves(text, "a.nc", replace(SETTINGS, filament_mm=d)).grams for d in (1.425, 2.85))
    assert thick == pytest.approx(4 * thin, rel=1e-12)


STEP = st.tuples(st.integers(-3000, 3000), st.integers(-3000, 3000), st.integers(0, 500), st.integers(5, 120))
"""A straight in hundredths of a mm: x, y, filament; and its speed in mm/s."""
PATHS = st.lists(STEP.filter(lambda step: step[:2] != (0, 0)), min_size=1, max_size=12)


def straights(
    path: list[tuple[int, int, int, int]], relative: bool, scale: float = 1.0, parts: int = 1
) -> str:
    """The path in words: from where it is or by places, in units of `scale` mm, each straight in parts."""
    lines, x, y, e = ["G91\nM83" if relative else "G90\nM82"], 0.0, 0.0, 0.0
    for dx, dy, de, speed in path:
        for _ in range(parts):
            step = [each / 100 / parts / scale for each in (dx, dy, de)]
            x, y, e = x + step[0], y + step[1], e + step[2]
            a, b, c = step if relative else (x, y, e)
            lines.append(f"G1 X{a:.12f} Y{b:.12f} E{c:.12f} F{speed * 60 / scale:.12f}")
    return "\n".join(lines)


def alike(one: PrintFile, other: PrintFile) -> None:
    assert other.minutes == pytest.approx(one.minutes, rel=1e-6)
    assert other.metres == pytest.approx(one.metres, rel=1e-6, abs=1e-9)


@given(PATHS)
def test_places_and_steps_are_the_same_print(path: list[tuple[int, int, int, int]]) -> None:
    alike(read(straights(path, relative=False)), read(straights(path, relative=True)))


@given(PATHS)
def test_inches_and_millimetres_are_the_same_print(path: list[tuple[int, int, int, int]]) -> None:
    alike(read(straights(path, False)), read("G20\n" + straights(path, False, 25.4)))


@given(PATHS, st.integers(2, 7))
def test_splitting_straights_changes_nothing(path: list[tuple[int, int, int, int]], parts: int) -> None:
    alike(read(straights(path, True)), read(straights(path, True, parts=parts)))


@given(PATHS)
def test_no_faster_than_every_length_at_its_speed(path: list[tuple[int, int, int, int]]) -> None:
    least = sum(np.hypot(dx, dy) / 100 / speed for dx, dy, _, speed in path)
    assert read(straights(path, True)).minutes * 60 >= least * (1 - 1e-9)


@given(PATHS, st.floats(1.1, 5))
def test_more_acceleration_is_never_slower(path: list[tuple[int, int, int, int]], times: float) -> None:
    text = straights(path, True).encode()
    brisk = replace(SETTINGS, acceleration_mm_s2=SETTINGS.acceleration_mm_s2 * times)
    assert read_moves(text, "a.nc", brisk).minutes <= read_moves(text, "a.nc", SETTINGS).minutes + 1e-12
