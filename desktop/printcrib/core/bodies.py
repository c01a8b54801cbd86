"""Several bodies in one model: hollows, bodies that face inwards, bodies that overlap."""

from dataclasses import dataclass, replace

import numpy as np

from printcrib.core.estimating.columns import spans_of
from printcrib.core.estimating.sections import levels_of
from printcrib.core.shapes import Finding, Floats, Indices, Mesh, ModelFacts, signed_volume_mm3

OVERLAP_SEEN = 0.01
"""Bodies count as overlapping when more than this part of their volume is there twice."""
GRID_COLUMNS = 40_000
GRID_LAYERS = 256
MOST_INWARD = 50
"""So many bodies facing inwards are looked at one by one; a lattice of more hollows is believed."""
MOST_COMPARED = 2000


@dataclass(frozen=True, eq=False)
class Bodies:
    """The bodies of a model.

    Attributes:
        of_face: number of the body each triangle belongs to, from 0.
        volume_mm3: enclosed by each; negative where it faces inwards.
        low, high: corners of their bounding boxes in mm, shape (bodies, 3).
    """

    of_face: Indices
    volume_mm3: Floats
    low: Floats
    high: Floats

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.volume_mm3)


def bodies_of(mesh: Mesh, of_face: Indices) -> Bodies:
    """Measure the bodies of a closed model.

    Args:
        mesh: the welded surface.
        of_face: number of the body each triangle belongs to, from 0, none left out.
    """
    centre = (mesh.vertices.max(axis=0) + mesh.vertices.min(axis=0)) / 2
    corners = (mesh.vertices - centre)[mesh.faces]
    under = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
    order = np.argsort(of_face, kind="stable")
    starts = np.searchsorted(of_face[order], np.arange(int(of_face.max()) + 1))
    return Bodies(
        of_face=of_face,
        volume_mm3=np.asarray(np.bincount(of_face, under), dtype=np.float64),
        low=np.minimum.reduceat(corners.min(axis=1)[order], starts) + centre,
        high=np.maximum.reduceat(corners.max(axis=1)[order], starts) + centre,
    )


def judge_bodies(mesh: Mesh, facts: ModelFacts, of_face: Indices) -> tuple[Mesh, ModelFacts]:
    """Say what several bodies do to each other, and turn those round that face inwards.

    A body facing inwards is a hollow when another one is around it, and correct as it is; standing
    free it was exported inside out.

    Args:
        mesh: closed, its triangles agreeing, outside out as a whole.
        facts: what is known of it so far.
        of_face: number of the body each triangle belongs to.
    """
    bodies = bodies_of(mesh, of_face)
    if bodies.count < 2:
        return mesh, facts
    hollow, free = _facing_inwards(mesh, bodies)
    found = []
    if free:
        mesh = _turned_round(mesh, bodies, free)
        bodies = bodies_of(mesh, of_face)
        facts = replace(facts, volume_cm3=abs(signed_volume_mm3(mesh)) / 1000)
        face = "face" if len(free) > 1 else "faces"
        words = f"{len(free)} of {bodies.count} bodies {face} inwards; turned round for the estimate."
        found.append(Finding("inside_out", words))
    whole = float(bodies.volume_mm3.sum())
    union = union_mm3(mesh) if _may_overlap(bodies) else whole
    if whole > (1 + OVERLAP_SEEN) * union:
        facts = replace(facts, volume_cm3=union / 1000)
        twice = f"{100 * (whole - union) / whole:.0f} %"
        words = f"Bodies overlap ({twice} of their volume is there twice); they are counted as merged."
        found.append(Finding("overlapping", words))
    if hollow:
        what = "A closed hollow" if hollow == 1 else f"{hollow} closed hollows"
        found.append(Finding("hollow", f"{what} inside, printed empty. Correct as it is."))
    return mesh, replace(facts, findings=(*facts.findings, *found))


def _facing_inwards(mesh: Mesh, bodies: Bodies) -> tuple[int, list[int]]:
    """How many hollows there are, and which bodies face inwards without one around them."""
    inward = np.flatnonzero(bodies.volume_mm3 < 0)
    if len(inward) > MOST_INWARD:
        return len(inward), []
    free = [int(body) for body in inward if not _lies_inside(mesh, bodies, int(body))]
    return len(inward) - len(free), free


def _lies_inside(mesh: Mesh, bodies: Bodies, body: int) -> bool:
    """Whether the other bodies go round a point of this one."""
    point = mesh.vertices[mesh.faces[np.argmax(bodies.of_face == body), 0]]
    around = (bodies.low <= point).all(axis=1) & (point <= bodies.high).all(axis=1)
    around[body] = False
    return winding_at(mesh, mesh.faces[around[bodies.of_face]], point) > 0.5


def winding_at(mesh: Mesh, faces: Indices, point: Floats) -> float:
    """How often triangles go round a point: the solid angle they cover there over that of a sphere.

    Solid angle of a triangle: van Oosterom and Strackee 1983, 10.1109/TBME.1983.325207.
    """
    a, b, c = (mesh.vertices[faces[:, corner]] - point for corner in range(3))
    la, lb, lc = (np.linalg.norm(side, axis=1) for side in (a, b, c))
    box = np.einsum("ij,ij->i", a, np.cross(b, c))
    ab, bc, ca = (np.einsum("ij,ij->i", *pair) for pair in ((a, b), (b, c), (c, a)))
    angle = 2 * np.arctan2(box, la * lb * lc + ab * lc + bc * la + ca * lb)
    return float(angle.sum()) / (4 * np.pi)


def _turned_round(mesh: Mesh, bodies: Bodies, which: list[int]) -> Mesh:
    wrong = np.isin(bodies.of_face, which)
    return Mesh(mesh.vertices, np.where(wrong[:, None], mesh.faces[:, ::-1], mesh.faces))


def _may_overlap(bodies: Bodies) -> bool:
    """Whether the boxes of any two bodies have room in common; hollows are no bodies here."""
    solid = bodies.volume_mm3 > 0
    if solid.sum() > MOST_COMPARED:
        return True
    low, high = bodies.low[solid], bodies.high[solid]
    common = np.ones((len(low), len(low)), dtype=bool)
    for axis in range(3):
        common &= low[:, None, axis] < high[None, :, axis]
    np.fill_diagonal(common, val=False)
    return bool((common & common.T).any())


def union_mm3(mesh: Mesh) -> float:
    """Volume of a model with what bodies have in common counted once, by upright columns."""
    width, depth, height = (mesh.vertices.max(axis=0) - mesh.vertices.min(axis=0)).tolist()
    step, pixel = height / GRID_LAYERS, float(np.sqrt(width * depth / GRID_COLUMNS))
    spans = spans_of(mesh, levels_of(mesh, step), pixel, 1)
    return float(np.sum(spans.high - spans.low) * step * pixel**2)
