"""Joins triangles at their common corners, which most model files give once a triangle."""

import numpy as np
import numpy.typing as npt

from printcrib.core.shapes import Floats, Indices, Mesh, edge_faults

NEARLY = 1e-5  # corners closer than this part of the model's size are the same corner
MULTIPLIERS = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9], dtype=np.uint64)


def welded(vertices: Floats, faces: Indices) -> Mesh:
    """One vertex a place, no vertex unused, no triangle without area between its corner numbers.

    Where edges stay open, corners that nearly meet are joined as well if that closes any of them.

    Args:
        vertices: corner points in mm; must be finite.
        faces: vertex numbers.
    """
    vertices = vertices + 0.0  # makes -0.0 and 0.0 the same bits
    mesh = _joined(vertices, faces, vertices.view(np.uint64).reshape(-1, 3))
    if not len(mesh.faces):
        return mesh
    least = edge_faults(mesh).open_edges
    step = NEARLY * float((mesh.vertices.max(axis=0) - mesh.vertices.min(axis=0)).max())
    for shift in (0.0, 0.5):
        if not least or step <= 0:
            break
        cells = np.floor((mesh.vertices - mesh.vertices.min(axis=0)) / step + shift).astype(np.uint64)
        nearer = _joined(mesh.vertices, mesh.faces, cells)
        still_open = edge_faults(nearer).open_edges if len(nearer.faces) else least
        if still_open < least:
            mesh, least = nearer, still_open
    return mesh


def _joined(vertices: Floats, faces: Indices, cells: npt.NDArray[np.uint64]) -> Mesh:
    """Join vertices whose cells are equal, then drop collapsed triangles and unused vertices."""
    mixed = cells * MULTIPLIERS
    key = (
        mixed[:, 0]
        ^ (mixed[:, 1] >> np.uint64(29))
        ^ mixed[:, 1]
        ^ (mixed[:, 2] >> np.uint64(31))
        ^ mixed[:, 2]
    )
    key *= MULTIPLIERS[0]
    order = np.argsort(key)
    ranked = cells[order]
    fresh = np.ones(len(order), dtype=bool)
    fresh[1:] = (ranked[1:] != ranked[:-1]).any(axis=1)
    number = np.empty(len(order), dtype=np.int64)
    number[order] = np.cumsum(fresh) - 1
    return _compact(vertices[order[fresh]], number[faces])


def _compact(vertices: Floats, faces: Indices) -> Mesh:
    a, b, c = faces.T
    faces = faces[(a != b) & (b != c) & (c != a)]
    used = np.zeros(len(vertices), dtype=bool)
    used[faces.ravel()] = True
    place = np.cumsum(used) - 1
    return Mesh(vertices[used], place[faces])
