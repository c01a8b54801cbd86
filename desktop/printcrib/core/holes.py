"""Closing a surface for its estimate: what the layers measure needs an inside and an outside."""

from collections.abc import Iterable

import numpy as np

from printcrib.core.facing import turned_alike
from printcrib.core.shapes import Finding, Indices, Mesh, chains_of

OPEN_CODES = frozenset({"small_holes", "open_surface", "few_wrong_faces", "wrong_faces"})
"""Findings of a surface that is not closed, or whose triangles disagree."""


def estimable(mesh: Mesh, findings: Iterable[Finding | tuple[str, str]]) -> Mesh:
    """The surface an estimate is made of: as it is where it is closed, else closed up.

    Args:
        mesh: as read.
        findings: what the reader said of it.
    """
    codes = {finding.code if isinstance(finding, Finding) else finding[0] for finding in findings}
    return closed_up(mesh) if codes & OPEN_CODES else mesh


def closed_up(mesh: Mesh) -> Mesh:
    """The surface with every hole closed by triangles from its rim to the middle of the rim.

    Triangles that face the wrong way are turned to agree with their neighbours first; what remains is filled.
    An edge that triangles run along more often one way than the other gets as many triangles the other
    way. These edges make whole rings, so that afterwards every edge is balanced: layer areas and the
    volume are defined, and a single triangle turned the wrong way counts as if it were right.
    """
    start, end = _unbalanced(mesh)
    if not len(start):
        return mesh
    mesh = turned_alike(mesh)
    start, end = _unbalanced(mesh)
    chain = chains_of(start, end)
    middle = (mesh.vertices[start] + mesh.vertices[end]) / 2
    weight = np.linalg.norm(mesh.vertices[start] - mesh.vertices[end], axis=1) + 1e-12
    whole = np.bincount(chain, weight)
    tips = np.stack([np.bincount(chain, weight * middle[:, axis]) / whole for axis in range(3)], axis=1)
    caps = np.stack([end, start, len(mesh.vertices) + chain], axis=1)
    return Mesh(np.concatenate((mesh.vertices, tips)), np.concatenate((mesh.faces, caps)))


def _unbalanced(mesh: Mesh) -> tuple[Indices, Indices]:
    """Ends of every edge as often as triangles run along it too often that way."""
    start, end = mesh.faces.ravel(), mesh.faces[:, (1, 2, 0)].ravel()
    points = len(mesh.vertices)
    key, place = np.unique(np.minimum(start, end) * points + np.maximum(start, end), return_inverse=True)
    surplus = np.bincount(place, np.where(start < end, 1.0, -1.0)).astype(np.int64)
    wrong = np.flatnonzero(surplus)
    low, high = np.divmod(np.repeat(key[wrong], np.abs(surplus[wrong])), points)
    forward = np.repeat(surplus[wrong] > 0, np.abs(surplus[wrong]))
    return np.where(forward, low, high), np.where(forward, high, low)
