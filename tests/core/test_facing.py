"""Triangles turned to agree with their neighbours: any closed surface comes back as it was."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.estimating.solids import box, cylinder, sphere, together, torus, without

from printcrib.core.facing import turned_alike
from printcrib.core.shapes import Mesh, edge_faults, signed_volume_mm3, turned_outside_out

HOLLOW = together(box(20, 20, 20), turned_outside_out(box(8, 8, 8, at=(6, 6, 6))), sphere(5, 8, 6))


def some_turned(mesh: Mesh, seed: int, share: float) -> Mesh:
    faces = mesh.faces.copy()
    turned = np.random.default_rng(seed).random(len(faces)) < share
    faces[turned] = faces[turned, ::-1]
    return Mesh(mesh.vertices, faces)


def test_what_agrees_stays_as_it_is() -> None:
    for mesh in (HOLLOW, without(box(), 2, 3)):
        assert turned_alike(mesh) is mesh


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from([torus(20, 6, 24, 12), cylinder(10, 20, 24), sphere(9, 16, 9)]),
    st.integers(0, 9999),
    st.floats(0, 1),
)
def test_whatever_is_turned_neighbours_agree_again(mesh: Mesh, seed: int, share: float) -> None:
    back = turned_alike(some_turned(mesh, seed, share))
    assert edge_faults(back).same_direction == 0
    assert abs(signed_volume_mm3(back)) == pytest.approx(signed_volume_mm3(mesh), rel=1e-9)


def test_a_hollow_stays_a_hollow() -> None:
    faces = HOLLOW.faces.copy()
    faces[[1, 14, 30]] = faces[[1, 14, 30], ::-1]  # one of each body
    back = turned_alike(Mesh(HOLLOW.vertices, faces))
    assert signed_volume_mm3(back) == pytest.approx(signed_volume_mm3(HOLLOW), rel=1e-12)


def test_a_band_with_half_a_twist_comes_to_an_end() -> None:
    """Nothing can make its triangles agree; it is left with as few that do not as came of it."""
    turn = np.linspace(0, 2 * np.pi, 13)[:-1]
    radius = 10 + np.outer([-2, 2], np.cos(turn / 2))
    height = np.outer([-2, 2], np.sin(turn / 2))
    points = np.stack((radius * np.cos(turn), radius * np.sin(turn), height), axis=-1).reshape(-1, 3)
    faces = []
    for at in range(12):
        low, high = (at, at + 12)
        next_low, next_high = (at + 1, at + 13) if at < 11 else (12, 0)
        faces += [(low, next_low, high), (next_low, next_high, high)]
    band = Mesh(points, np.array(faces))
    assert len(turned_alike(some_turned(band, 3, 0.4)).faces) == 24
