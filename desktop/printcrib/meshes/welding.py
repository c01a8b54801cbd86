"""Joins triangles at their common corners, which most model files give once a triangle."""

import numpy as np
import numpy.typing as npt

from printcrib.core.shapes import EdgeFaults, Floats, Indices, Mesh, edge_faults

Words = npt.NDArray[np.uint64]
NEARLY = 1e-5  # corners closer than this part of the model's size are the same corner
MIXERS = tuple(np.uint64(odd) for odd in (0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9))
NO_EDGES = EdgeFaults(0, 0, 0.0, 0)


def welded(vertices: Floats, faces: Indices) -> tuple[Mesh, EdgeFaults]:
    """One vertex a place, no vertex unused, no triangle without area between its corner numbers.

    Where edges stay open, corners that nearly meet are joined as well if that closes any of them.

    Args:
        vertices: corner points in mm; must be finite.
        faces: vertex numbers.
    """
    vertices = np.ascontiguousarray(vertices) + 0.0  # makes -0.0 and 0.0 the same bits
    mesh = _joined(vertices, faces, vertices.view(np.uint64).reshape(-1, 3))
    if not len(mesh.faces):
        return mesh, NO_EDGES
    faults = edge_faults(mesh)
    step = NEARLY * float((mesh.vertices.max(axis=0) - mesh.vertices.min(axis=0)).max())
    for shift in (0.0, 0.5):
        if not faults.open_edges or step <= 0:
            break
        cells = np.floor((mesh.vertices - mesh.vertices.min(axis=0)) / step + shift).astype(np.uint64)
        nearer = _joined(mesh.vertices, mesh.faces, cells)
        if len(nearer.faces):
            left = edge_faults(nearer)
            if left.open_edges < faults.open_edges:
                mesh, faults = nearer, left
    return mesh, faults


def _joined(vertices: Floats, faces: Indices, cells: Words) -> Mesh:
    """Join vertices whose cells are equal, then drop collapsed triangles and unused vertices.

    Cells are told apart by a 64-bit mix of their three numbers: with six million corners two different
    ones share a mix about once in a million files. Vertices keep the order in which the file names them,
    so that neighbours stay neighbours in memory.
    """
    key = _mixed(cells)
    order = np.argsort(key)
    key = key[order]
    fresh = np.ones(len(order), dtype=bool)
    fresh[1:] = key[1:] != key[:-1]
    earliest = np.minimum.reduceat(order, np.flatnonzero(fresh))
    by_file = np.argsort(earliest)
    place = np.empty(len(by_file), dtype=np.int64)
    place[by_file] = np.arange(len(by_file))
    number = np.empty(len(order), dtype=np.int64)
    number[order] = place[np.cumsum(fresh) - 1]
    return _compact(vertices[earliest[by_file]], number[faces])


def _mixed(cells: Words) -> Words:
    """A 64-bit mix of three numbers, in which every bit of each counts."""
    key = np.zeros(len(cells), dtype=np.uint64)
    for column, odd in enumerate(MIXERS):
        key += cells[:, column]
        key *= odd
        key ^= key >> np.uint64(29 + column)
    return key * MIXERS[0]


def _compact(vertices: Floats, faces: Indices) -> Mesh:
    a, b, c = faces.T
    whole = (a != b) & (b != c) & (c != a)
    if not whole.all():
        faces = faces[whole]
    used = np.zeros(len(vertices), dtype=bool)
    used[faces.ravel()] = True
    if used.all():
        return Mesh(vertices, faces)
    place = np.cumsum(used) - 1
    return Mesh(vertices[used], place[faces])
