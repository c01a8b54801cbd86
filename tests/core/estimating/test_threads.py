"""Threads are found with their pitch; grooves, steps and smooth shapes are not threads."""

import numpy as np
import pytest
from tests.core.estimating.solids import box, cylinder, lathe, moved, together

from printcrib.core.advice import NozzleFit
from printcrib.core.estimating.features import threads_in
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.estimating.threads import axes_of, find_threads, profile
from printcrib.core.shapes import Mesh


def screw(
    pitch: float, radius: float = 8.0, depth: float = 1.0, height: float = 24.0, starts: int = 1
) -> Mesh:
    """A rod whose radius falls and rises along a helix; no starts: rings."""
    sides, heights = 72, np.arange(0, height + 1e-9, pitch / 8)
    around = np.arange(sides) / sides
    wave = np.abs(2 * ((heights[:, None] / pitch - starts * around) % 1) - 1)
    reach = radius - depth * wave
    angle = 2 * np.pi * around
    rows = len(heights)
    points = np.stack(
        (reach * np.cos(angle), reach * np.sin(angle), np.broadcast_to(heights[:, None], reach.shape)), 2
    )
    here = np.arange(rows * sides).reshape(rows, sides)
    right = np.roll(here, -1, axis=1)
    a, b, c, d = here[:-1].ravel(), right[:-1].ravel(), here[1:].ravel(), right[1:].ravel()
    low, high = rows * sides, rows * sides + 1
    ends = [
        np.column_stack((np.full(sides, low), right[0], here[0])),
        np.column_stack((np.full(sides, high), here[-1], right[-1])),
    ]
    faces = np.concatenate((np.column_stack((a, b, d)), np.column_stack((a, d, c)), *ends))
    return Mesh(np.concatenate((points.reshape(-1, 3), [[0, 0, 0], [0, 0, heights[-1]]])), faces)


@pytest.mark.parametrize("pitch", [1.0, 1.5, 2.0, 3.0, 5.0])
def test_the_pitch_of_a_screw_is_found_within_half_a_percent(pitch: float) -> None:
    (thread,) = find_threads(screw(pitch), [(0.0, 0.0)])
    assert thread.pitch_mm == pytest.approx(pitch, rel=0.005)
    assert thread.diameter_mm == pytest.approx(15, abs=0.2)
    assert [thread.from_mm, thread.to_mm] == pytest.approx([0, 24], abs=0.5)
    assert not thread.inside


def test_two_starts_are_a_thread_of_their_own_pitch() -> None:
    (thread,) = find_threads(screw(4.0, starts=2), [(0.0, 0.0)])
    assert thread.pitch_mm == pytest.approx(4.0, rel=0.005)


@pytest.mark.parametrize(
    "model",
    [
        screw(2.0, starts=0),
        cylinder(8, 24),
        box(),
        lathe([(8, 0), (8, 8), (12, 8.5), (12, 16), (5, 16.5), (5, 24)], 64),
        together(box(40, 40, 5), moved(cylinder(5, 20), 20, 20, 5)),
        cylinder(3, 1),
    ],
    ids=["grooves", "rod", "box", "steps", "boss", "washer"],
)
def test_what_has_no_thread(model: Mesh) -> None:
    assert threads_in(model, 0.2) == ()


def test_a_thread_must_go_all_the_way_round() -> None:
    """Half a screw: the other half-planes through its axis meet nothing."""
    whole = screw(2.0)
    half = Mesh(np.where(whole.vertices[:, :1] < 0, whole.vertices * [0, 1, 1], whole.vertices), whole.faces)
    assert find_threads(half, [(0.0, 0.0)]) == ()


def test_a_thread_is_found_away_from_the_middle() -> None:
    """A screw standing on a plate to one side; its axis is read off the round outlines."""
    model = together(box(80, 40, 4), moved(screw(2.0, radius=6), 20, 20, 4))
    (thread,) = threads_in(model, 0.2)
    assert thread.pitch_mm == pytest.approx(2.0, rel=0.01)
    assert thread.from_mm == pytest.approx(4, abs=1.5)


def test_axes_are_the_middle_and_the_round_outlines() -> None:
    at = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    ring = np.column_stack((30 + 5 * np.cos(at), 10 + 5 * np.sin(at)))
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]])
    flat = np.column_stack((20 * np.cos(at), np.sin(at)))
    axes = np.array(axes_of(box(40, 30, 20), [ring, ring + 0.1, square, flat]))
    assert axes == pytest.approx(np.array([[20, 15], [30.05, 10.05]]))


def test_a_profile_is_the_radius_of_a_rod() -> None:
    side = profile(cylinder(8, 24, 360), (0.0, 0.0), 0.3)
    assert side.outer == pytest.approx(np.full(len(side.outer), 8.0), abs=1e-3)
    assert side.inner == pytest.approx(side.outer)


def test_which_nozzles_are_too_coarse_for_a_thread() -> None:
    """Five layers a pitch and two lines in half of it: a pitch of 2 mm is for 0.4, not for 0.6."""
    (thread,) = find_threads(screw(2.0), [(0.0, 0.0)])
    fits = {}
    for bore in (400, 600, 800):
        settings = typical_settings(bore)
        fits[bore] = NozzleFit(bore, settings.line_width_mm, settings.layer_height_mm)
    assert [thread.too_fine_for(fits[bore]) for bore in (400, 600, 800)] == [False, True, True]
