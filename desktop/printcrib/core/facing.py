"""Triangles that face the wrong way, turned to agree with their neighbours, so that estimates can be made."""

import numpy as np

from printcrib.core.shapes import Floats, Indices, Mesh


def turned_alike(mesh: Mesh) -> Mesh:
    """The surface with neighbours facing the same way.

    Each connected piece is turned the way the larger part of its area faces already, so that a hollow stays
    a hollow. Edges of one triangle, or of more than two, bind nothing.
    """
    one, other, disagree = _neighbours(mesh)
    if not disagree.any():
        return mesh
    piece, against = np.divmod(_agreed(len(mesh.faces), one, other, disagree), 2)
    area = _areas(mesh)
    for_it = np.bincount(piece, np.where(against == 0, area, -area), len(mesh.faces))
    turned = (against == 1) == (for_it[piece] >= 0)
    return Mesh(mesh.vertices, np.where(turned[:, None], mesh.faces[:, ::-1], mesh.faces))


def _neighbours(mesh: Mesh) -> tuple[Indices, Indices, Indices]:
    """Triangles on both sides of every edge of two, and 1 where they run along it the same way."""
    start, end = mesh.faces.ravel(), mesh.faces[:, (1, 2, 0)].ravel()
    key = np.minimum(start, end) * len(mesh.vertices) + np.maximum(start, end)
    order = np.argsort(key, kind="stable")
    first = np.flatnonzero(np.concatenate(([True], np.diff(key[order]) != 0)))
    two = first[np.diff(np.append(first, len(order))) == 2]
    a, b = order[two], order[two + 1]
    forward = start < end
    return a // 3, b // 3, (forward[a] == forward[b]).astype(np.int64)


def _agreed(count: int, one: Indices, other: Indices, disagree: Indices) -> Indices:
    """Twice the first triangle of each one's piece, and 1 more where it must be turned to agree with that.

    Every triangle takes the least its neighbours know, then what that triangle itself has come to know, until
    nothing changes.
    """
    known = 2 * np.arange(count)
    while True:
        told = known.copy()
        np.minimum.at(told, one, known[other] ^ disagree)
        np.minimum.at(told, other, known[one] ^ disagree)
        told = told[told >> 1] ^ (told & 1)
        if np.array_equal(told, known):
            return known
        known = told


def _areas(mesh: Mesh) -> Floats:
    a, b, c = (mesh.vertices[mesh.faces[:, corner]] for corner in range(3))
    return np.asarray(np.linalg.norm(np.cross(b - a, c - a), axis=1))
