"""Solids for tests, built point by point so that nothing of the project makes what it is tested on."""

from itertools import pairwise

import numpy as np

from printcrib.core.shapes import Mesh

FACES_OF_BOX = [
    (0, 2, 1), (0, 3, 2), (4, 5, 6), (4, 6, 7), (0, 1, 5), (0, 5, 4),
    (1, 2, 6), (1, 6, 5), (2, 3, 7), (2, 7, 6), (3, 0, 4), (3, 4, 7),
]  # fmt: skip


def box(
    width: float = 40, depth: float = 30, height: float = 20, at: tuple[float, float, float] = (0, 0, 0)
) -> Mesh:
    """A box with its low corner at a place."""
    base = [(0, 0), (width, 0), (width, depth), (0, depth)]
    points = [(x, y, z) for z in (0, height) for x, y in base]
    return Mesh(np.array(points, dtype=float) + at, np.array(FACES_OF_BOX))


def lathe(rings: list[tuple[float, float]], sides: int) -> Mesh:
    """A solid of revolution about the vertical from (radius, height) upwards; ends at radius 0 or flat."""
    points: list[tuple[float, float, float]] = []
    starts: list[tuple[int, int]] = []
    for radius, height in rings:
        around = 1 if radius == 0 else sides
        starts.append((len(points), around))
        for place in range(around):
            at = 2 * np.pi * place / sides
            points.append((radius * float(np.cos(at)), radius * float(np.sin(at)), height))
    faces = [face for low, high in pairwise(starts) for face in _band(low, high, sides)]
    for end, (first, around) in ((0, starts[0]), (1, starts[-1])):
        if around > 1:
            for place in range(1, sides - 1):
                corner = (first, first + place + 1, first + place)
                faces.append(corner if end == 0 else corner[::-1])
    return Mesh(np.array(points), np.array(faces))


def _band(low: tuple[int, int], high: tuple[int, int], sides: int) -> list[tuple[int, ...]]:
    faces: list[tuple[int, ...]] = []
    for place in range(sides):
        after = (place + 1) % sides
        a, b = low[0] + (place if low[1] > 1 else 0), low[0] + (after if low[1] > 1 else 0)
        c, d = high[0] + (place if high[1] > 1 else 0), high[0] + (after if high[1] > 1 else 0)
        if a != b:
            faces.append((a, b, d))
        if c != d:
            faces.append((a, d, c))
    return faces


def cylinder(radius: float, height: float, sides: int = 128) -> Mesh:
    """An upright cylinder."""
    return lathe([(radius, 0), (radius, height)], sides)


def cone(radius: float, height: float, sides: int = 128) -> Mesh:
    """An upright cone, point up."""
    return lathe([(radius, 0), (0, height)], sides)


def sphere(radius: float, sides: int = 128, bands: int = 128) -> Mesh:
    """A sphere about the origin."""
    at = np.linspace(-np.pi / 2, np.pi / 2, bands + 1)[1:-1]
    rings = [
        (0.0, -radius),
        *((radius * float(np.cos(a)), radius * float(np.sin(a))) for a in at),
        (0.0, radius),
    ]
    return lathe(rings, sides)


def torus(large: float, small: float, sides: int = 96, around: int = 48) -> Mesh:
    """A ring lying flat about the origin."""
    points, faces = [], []
    for i in range(sides):
        u = 2 * np.pi * i / sides
        for j in range(around):
            v = 2 * np.pi * j / around
            reach = large + small * np.cos(v)
            points.append((reach * np.cos(u), reach * np.sin(u), small * np.sin(v)))
            a, b = i * around + j, (i + 1) % sides * around + j
            c, d = (i + 1) % sides * around + (j + 1) % around, i * around + (j + 1) % around
            faces += [(a, b, c), (a, c, d)]
    return Mesh(np.array(points), np.array(faces))


def tube(outer: float, inner: float, height: float, sides: int = 64) -> Mesh:
    """An upright tube: outer wall, inner wall, two flat rings."""
    rings = [(outer, 0.0), (outer, height), (inner, height), (inner, 0.0)]
    points = [
        (r * np.cos(2 * np.pi * i / sides), r * np.sin(2 * np.pi * i / sides), z)
        for r, z in rings
        for i in range(sides)
    ]
    faces = []
    for ring in range(4):
        for i in range(sides):
            a, b = ring * sides + i, ring * sides + (i + 1) % sides
            c, d = (ring + 1) % 4 * sides + i, (ring + 1) % 4 * sides + (i + 1) % sides
            faces += [(a, b, d), (a, d, c)]
    return Mesh(np.array(points), np.array(faces))


def together(*meshes: Mesh) -> Mesh:
    """Several bodies in one model."""
    count = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])
    return Mesh(
        np.concatenate([mesh.vertices for mesh in meshes]),
        np.concatenate([mesh.faces + start for mesh, start in zip(meshes, count, strict=False)]),
    )


def without(mesh: Mesh, *faces: int) -> Mesh:
    """The model with some triangles missing."""
    return Mesh(mesh.vertices, np.delete(mesh.faces, faces, axis=0))


def moved(mesh: Mesh, x: float, y: float, z: float = 0) -> Mesh:
    """The model elsewhere."""
    return Mesh(mesh.vertices + np.array([x, y, z]), mesh.faces)


def prism(outline: list[tuple[float, float]], triangles: list[tuple[int, int, int]], depth: float) -> Mesh:
    """An upright outline (x, z), counter-clockwise seen from the front, drawn backwards along y."""
    count = len(outline)
    points = [(x, y, z) for y in (0.0, depth) for x, z in outline]
    faces = [*triangles, *((c + count, b + count, a + count) for a, b, c in triangles)]
    for here in range(count):
        after = (here + 1) % count
        faces += [(here, here + count, after), (after, here + count, after + count)]
    return Mesh(np.array(points), np.array(faces))


def t_bridge(
    stem: float = 10, height: float = 10, bar: float = 30, thick: float = 5, depth: float = 20
) -> Mesh:
    """A T of one body, standing on its stem."""
    left, right = (bar - stem) / 2, (bar + stem) / 2
    top = height + thick
    outline = [
        (left, 0), (right, 0), (right, height), (bar, height),
        (bar, top), (0, top), (0, height), (left, height),
    ]  # fmt: skip
    triangles = [(0, 1, 2), (0, 2, 7), (2, 3, 4), (7, 5, 6), (7, 2, 4), (7, 4, 5)]
    return prism(outline, triangles, depth)
