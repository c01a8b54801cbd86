"""Makes one body of several that overlap, with exact Boolean operations; in the limited child only."""

from typing import TYPE_CHECKING

import numpy as np

from printcrib.core.bodies import Bodies, bodies_of, winding_at
from printcrib.core.errors import ShopError
from printcrib.core.shapes import Indices, Mesh, ReadModel, edge_faults, facts_of
from printcrib.meshes.bodies import body_of_face
from printcrib.meshes.welding import welded

if TYPE_CHECKING:
    from manifold3d import Manifold

BY_HAND = "Merge them in the drawing program and export it again."


def merged_model(model: ReadModel, name: str) -> ReadModel:
    """The model with all its bodies made one; hollows stay hollow.

    Raises:
        ShopError: the bodies are not closed, or leave nothing.
    """
    faults = edge_faults(model.mesh)
    if faults.open_edges or faults.same_direction:
        raise _cannot(name, "the surface is not closed")
    bodies = bodies_of(model.mesh, body_of_face(model.mesh))
    whole = _joined([_solid(model.mesh, faces, name) for faces in _solids(model.mesh, bodies)])
    held = whole.to_mesh64()
    vertices = np.asarray(held.vert_properties, dtype=np.float64)[:, :3]
    mesh, left = welded(vertices, np.asarray(held.tri_verts, dtype=np.int64))
    if not len(mesh.faces) or left.open_edges:
        raise _cannot(name, "the result does not close")
    return ReadModel(mesh, facts_of(mesh, name, faults=left), model.kind)


def _cannot(name: str, why: str) -> ShopError:
    return ShopError(f"The bodies of {name} cannot be merged: {why}", BY_HAND)


def _solids(mesh: Mesh, bodies: Bodies) -> list[Indices]:
    """The triangles of each body, its hollows with it."""
    inward = bodies.volume_mm3 < 0
    owner = np.arange(bodies.count)
    for hollow in np.flatnonzero(inward):
        owner[hollow] = _around(mesh, bodies, int(hollow))
    of_face = owner[bodies.of_face]
    return [mesh.faces[of_face == body] for body in np.unique(of_face)]


def _around(mesh: Mesh, bodies: Bodies, hollow: int) -> int:
    """The smallest body around a hollow."""
    point = mesh.vertices[mesh.faces[np.argmax(bodies.of_face == hollow), 0]]
    around = (bodies.low <= point).all(axis=1) & (point <= bodies.high).all(axis=1) & (bodies.volume_mm3 > 0)
    inside = [
        int(body)
        for body in np.flatnonzero(around)
        if winding_at(mesh, mesh.faces[bodies.of_face == body], point) > 0.5
    ]
    return min(inside, key=lambda body: bodies.volume_mm3[body], default=hollow)


def _solid(mesh: Mesh, faces: Indices, name: str) -> "Manifold":
    from manifold3d import Error, Manifold, Mesh64

    used, place = np.unique(faces, return_inverse=True)
    corners = np.ascontiguousarray(mesh.vertices[used])
    solid = Manifold(Mesh64(corners, np.ascontiguousarray(place.reshape(-1, 3), dtype=np.uint64)))
    if solid.status() != Error.NoError:
        raise _cannot(name, "one of them touches itself")
    return solid


def _joined(solids: list["Manifold"]) -> "Manifold":
    from manifold3d import Manifold, OpType

    return Manifold.batch_boolean(solids, OpType.Add)
