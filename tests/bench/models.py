"""Models made for measuring."""

import numpy as np

from printcrib.core.shapes import Mesh


def rippled_sphere(triangles: int) -> Mesh:
    """A closed sphere of about so many triangles, 60 mm across, with ripples as a real surface has."""
    rings = max(4, round((triangles / 4) ** 0.5))
    around = 2 * rings
    polar = np.linspace(0, np.pi, rings + 1)[1:-1]
    turn = np.arange(around) * 2 * np.pi / around
    radius = 30 + 0.4 * np.sin(9 * polar)[:, None] * np.cos(7 * turn)[None, :]
    points = np.stack(
        [
            radius * np.sin(polar)[:, None] * np.cos(turn)[None, :],
            radius * np.sin(polar)[:, None] * np.sin(turn)[None, :],
            radius * np.cos(polar)[:, None] * np.ones(around)[None, :],
        ],
        axis=-1,
    ).reshape(-1, 3)
    top, bottom = len(points), len(points) + 1
    points = np.vstack([points, [0, 0, 30], [0, 0, -30]])
    at = np.arange(around)
    after = (at + 1) % around
    faces = [np.stack([np.full(around, top), at, after], axis=1)]
    for ring in range(rings - 2):
        low, high = ring * around, (ring + 1) * around
        faces.append(np.stack([low + at, high + at, high + after], axis=1))
        faces.append(np.stack([low + at, high + after, low + after], axis=1))
    last = (rings - 2) * around
    faces.append(np.stack([np.full(around, bottom), last + after, last + at], axis=1))
    return Mesh(points, np.vstack(faces))
