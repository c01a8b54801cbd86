"""Which triangles of a model hang together."""

import numpy as np

from printcrib.core.shapes import Indices, Mesh


def body_of_face(mesh: Mesh) -> Indices:
    """The number of the body each triangle belongs to, from 0; triangles of a body share corners."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    one, other = mesh.faces[:, (0, 1)].ravel(), mesh.faces[:, (1, 2)].ravel()
    size = len(mesh.vertices)
    joins = coo_array((np.ones(len(one), dtype=np.int8), (one, other)), shape=(size, size))
    _, number = connected_components(joins, directed=False)
    return np.asarray(number[mesh.faces[:, 0]], dtype=np.int64)
