"""Reads STEP files (ISO 10303-21) with the Open CASCADE that cascadio brings; in the limited child only."""

import io
from typing import TYPE_CHECKING

import numpy as np

from printcrib.core.errors import ShopError
from printcrib.core.shapes import MM_PER_METRE, Floats, Indices
from printcrib.meshes.limits import EXPORT_AGAIN, MOST_TRIANGLES, SIMPLIFY, damaged

if TYPE_CHECKING:
    from trimesh import Scene

CHORD_MM = 0.01
"""How far a flat triangle may leave a curved face: a tenth of the finest step a printer takes."""
CHORD_RAD = 0.3
"""How far one triangle may turn from the next; keeps small round things round."""


def read_step(content: bytes, name: str) -> tuple[Floats, Indices]:
    """Corner points in mm and triangles of every body of a STEP file, put in place.

    The file says its own unit. Bodies come as one triangle soup per face and in metres; corners are
    not joined here.

    Raises:
        ShopError: damaged, without a body, or too many triangles.
    """
    import cascadio

    meshed = cascadio.load(
        content, "step", tol_linear=CHORD_MM, tol_angular=CHORD_RAD, merge_primitives=True, use_parallel=False
    )
    if not meshed:
        raise damaged(name)
    return _assembled(_opened(meshed), name)


def _opened(meshed: bytes) -> "Scene":
    import trimesh

    return trimesh.load_scene(io.BytesIO(meshed), file_type="glb", process=False)


def _assembled(scene: "Scene", name: str) -> tuple[Floats, Indices]:
    vertices, faces = [], []
    points = triangles = 0
    for node in scene.graph.nodes_geometry:
        frame, key = scene.graph[node]
        body = scene.geometry[key]
        if not len(getattr(body, "faces", ())):
            continue
        triangles += len(body.faces)
        if triangles > MOST_TRIANGLES:
            raise ShopError(f"{name} unfolds to more than {MOST_TRIANGLES:,} triangles", SIMPLIFY)
        frame = np.asarray(frame, dtype=np.float64)
        mirrored = np.linalg.det(frame[:3, :3]) < 0
        vertices.append(np.asarray(body.vertices, dtype=np.float64) @ frame[:3, :3].T + frame[:3, 3])
        own = np.asarray(body.faces, dtype=np.int64)
        faces.append((own[:, ::-1] if mirrored else own) + points)
        points += len(body.vertices)
    if not faces:
        raise ShopError(f"{name} holds no body", EXPORT_AGAIN)
    return np.concatenate(vertices) * MM_PER_METRE, np.concatenate(faces)
