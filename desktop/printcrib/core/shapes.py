"""What a model file holds once it is read: its surface, its size, and what is wrong with it in words."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt

from printcrib.core.errors import ShopError

Floats = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]
Extents = tuple[float, float, float]
ModelKind = Literal["stl", "3mf", "obj", "step"]

MM_PER_INCH = 25.4
MM_PER_METRE = 1000.0
SMALLEST_USUAL_MM = 10.0  # a shop aid smaller than this is more often a wrong unit than a small aid
LARGEST_MM = 1e9
SIZE_CODES = frozenset({"units_small", "does_not_fit"})
FEW_OPEN_AREA = (
    0.01  # holes up to this part of the surface leave the estimate good (common practice, no source)
)
FEW_OPEN_EDGES = 400
FEW_WRONG_EDGES = 0.01
MOST_DOUBT = 1.0  # from half to double: nothing better can be said (common practice, no source)


@dataclass(frozen=True, eq=False)
class Mesh:
    """The surface of one model, as triangles.

    Attributes:
        vertices: corner points in mm, shape (n, 3), float64.
        faces: three vertex numbers a triangle, shape (m, 3), counter-clockwise seen from outside.
    """

    vertices: Floats
    faces: Indices

    def __post_init__(self) -> None:
        """Bring lists and narrower arrays to the two types everything else counts on."""
        vertices = np.ascontiguousarray(self.vertices, dtype=np.float64).reshape(-1, 3)
        object.__setattr__(self, "vertices", vertices)
        faces = np.ascontiguousarray(self.faces, dtype=np.int64).reshape(-1, 3)
        object.__setattr__(self, "faces", faces)


@dataclass(frozen=True)
class Finding:
    """One thing found in a model that a person should read.

    Attributes:
        code: short stable name for programs, such as ``small_holes``.
        words: one or two plain sentences.
    """

    code: str
    words: str


@dataclass(frozen=True)
class ModelFacts:
    """Size and soundness of a model.

    Attributes:
        triangles: number of triangles.
        volume_cm3: enclosed volume, never negative.
        extents_mm: width, depth and height of the model as given.
        findings: what was found, most important first.
        trustworthy: False where an estimate can only be a range.
        doubt: how wide that range is: from 1/(1 + doubt) to (1 + doubt) times the estimate; 0 when sound.
    """

    triangles: int
    volume_cm3: float
    extents_mm: Extents
    findings: tuple[Finding, ...]
    trustworthy: bool
    doubt: float = 0.0


@dataclass(frozen=True, eq=False)
class ReadModel:
    """A model file as read: the welded surface, turned outside out, and the facts about the file."""

    mesh: Mesh
    facts: ModelFacts
    kind: ModelKind


@dataclass(frozen=True)
class EdgeFaults:
    """How the triangles hang together.

    Attributes:
        edges: number of different edges.
        open_edges: edges with an odd number of triangles.
        open_mm: their length together.
        holes: separate chains of them.
        same_direction: edges whose triangles run the same way along them.
    """

    edges: int
    open_edges: int
    open_mm: float
    same_direction: int
    holes: int = 0


def extents_of(mesh: Mesh) -> Extents:
    """Width, depth and height in mm."""
    width, depth, height = (mesh.vertices.max(axis=0) - mesh.vertices.min(axis=0)).tolist()
    return (width, depth, height)


def signed_volume_mm3(mesh: Mesh) -> float:
    """Enclosed volume; negative where the triangles face inwards (divergence theorem)."""
    centre = (mesh.vertices.max(axis=0) + mesh.vertices.min(axis=0)) / 2
    a, b, c = ((mesh.vertices - centre)[mesh.faces[:, i]] for i in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6


def surface_mm2(mesh: Mesh) -> float:
    """Area of all triangles."""
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()) / 2


def turned_outside_out(mesh: Mesh) -> Mesh:
    """The same surface with every triangle facing the other way."""
    return Mesh(mesh.vertices, mesh.faces[:, ::-1])


def edge_faults(mesh: Mesh) -> EdgeFaults:
    """Count open edges and edges whose triangles disagree."""
    start, end = mesh.faces.ravel(), mesh.faces[:, (1, 2, 0)].ravel()
    points = len(mesh.vertices)
    sides = (np.minimum(start, end) * points + np.maximum(start, end)) * 2 + (start < end)
    sides.sort()
    keys = sides >> 1
    first = np.flatnonzero(np.concatenate(([True], keys[1:] != keys[:-1])))
    count = np.diff(np.append(first, len(keys)))
    forward = np.add.reduceat(sides & 1, first)
    odd = count % 2 == 1
    low, high = np.divmod(keys[first[odd]], points)
    return EdgeFaults(
        edges=len(first),
        open_edges=int(odd.sum()),
        open_mm=float(np.linalg.norm(mesh.vertices[low] - mesh.vertices[high], axis=1).sum()),
        same_direction=int((~odd & (2 * forward != count)).sum()),
        holes=int(chains_of(low, high).max(initial=-1)) + 1,
    )


def chains_of(one: Indices, other: Indices) -> Indices:
    """The number of the chain each edge belongs to, from 0; edges are given by the numbers of their ends."""
    ends, place = np.unique(np.concatenate((one, other)), return_inverse=True)
    first, second = place.reshape(2, -1)
    leader = np.arange(len(ends))
    while True:
        least = np.minimum(leader[first], leader[second])
        joined = leader.copy()
        np.minimum.at(joined, leader[first], least)
        np.minimum.at(joined, leader[second], least)
        joined = joined[joined]
        if np.array_equal(joined, leader):
            return np.unique(leader[first], return_inverse=True)[1]
        leader = joined


def facts_of(
    mesh: Mesh,
    name: str = "the model",
    platform_mm: Extents | None = None,
    faults: EdgeFaults | None = None,
    volume_mm3: float | None = None,
) -> ModelFacts:
    """Say what a model is and what is wrong with it, in words.

    Args:
        mesh: the welded surface.
        name: the file's name, for the sentence of a refusal.
        platform_mm: width, depth and height a printer can print; left out, fit is not judged.
        faults: of this mesh, where they are known already.
        volume_mm3: signed, of the surface closed up where it is open; left out, of the triangles there are.

    Raises:
        ShopError: nothing can be estimated (empty, not-a-number, flat).
    """
    refuse_unusable(mesh.vertices, mesh.faces, name)
    extents = extents_of(mesh)
    volume = signed_volume_mm3(mesh) if volume_mm3 is None else volume_mm3
    faults = faults or edge_faults(mesh)
    nothing_inside = abs(volume) <= 1e-9 * extents[0] * extents[1] * extents[2]
    found = [_small_finding(extents), fit_finding(extents, platform_mm) if platform_mm else None]
    if nothing_inside:
        found.append(Finding("no_volume", "The surface encloses nothing. Export a solid body."))
    elif volume < 0:
        found.append(Finding("inside_out", "The faces point inwards; it was turned round for the estimate."))
    holes, bad_holes = _hole_finding(mesh, faults)
    wrong, bad_edges = _direction_finding(faults)
    found += [holes, wrong]
    doubt = _hole_doubt(mesh, faults, volume) if bad_holes else 0.0
    if nothing_inside or bad_edges:
        doubt = MOST_DOUBT
    return ModelFacts(
        triangles=len(mesh.faces),
        volume_cm3=abs(volume) / 1000,
        extents_mm=extents,
        findings=tuple(finding for finding in found if finding),
        trustworthy=not doubt,
        doubt=doubt,
    )


def scaled_facts(facts: ModelFacts, factor: float) -> ModelFacts:
    """What is known of a model once it is scaled; only what is said of its size changes."""
    extents = _scaled(facts.extents_mm, factor)
    small = _small_finding(extents)
    others = tuple(finding for finding in facts.findings if finding.code not in SIZE_CODES)
    return replace(
        facts,
        volume_cm3=facts.volume_cm3 * factor**3,
        extents_mm=extents,
        findings=((small,) if small else ()) + others,
    )


def refuse_unusable(vertices: Floats, faces: Indices, name: str) -> None:
    """Turn away a surface nothing can be said about.

    Raises:
        ShopError: no triangles, points that are not numbers, beyond any size, or flat.
    """
    if not len(faces):
        raise ShopError(f"{name} holds no triangles", "Export it again from the model.")
    named = np.zeros(len(vertices), dtype=bool)
    named[faces.ravel()] = True
    used = vertices if named.all() else vertices[named]
    if not np.isfinite(used).all():
        raise ShopError(f"{name} holds points that are not numbers", "Export it again from the model.")
    if np.abs(used).max() > LARGEST_MM:
        raise ShopError(f"{name} is larger than any workshop", "Check the units and export it again.")
    span = used.max(axis=0) - used.min(axis=0)
    if span.min() <= 1e-6 * span.max():
        axis = ("width", "depth", "height")[int(span.argmin())]
        raise ShopError(
            f"{name} is flat, its {axis} is 0 mm", "Export the solid body, not a sketch or a sheet."
        )


def _small_finding(extents: Extents) -> Finding | None:
    if max(extents) >= SMALLEST_USUAL_MM:
        return None
    words = (
        f"Only {size_words(extents)}. If inches: {size_words(_scaled(extents, MM_PER_INCH))}. Scale x 25.4?"
    )
    if max(extents) < SMALLEST_USUAL_MM / 10:
        words += f" If metres: {size_words(_scaled(extents, MM_PER_METRE))}. Scale x 1000?"
    return Finding("units_small", words)


def fit_finding(extents: Extents, platform_mm: Extents) -> Finding | None:
    """Say so when a model fits a platform in no right-angled turn, and whether inches explain it."""
    if fits(extents, platform_mm):
        return None
    words = f"{size_words(extents)} does not fit the platform in any right-angled turn."
    for factor, why, name in (
        (MM_PER_INCH, "it was scaled to inches twice", "25.4"),
        (MM_PER_METRE, "millimetres were taken for metres", "1000"),
    ):
        smaller = _scaled(extents, 1 / factor)
        if fits(smaller, platform_mm) and max(smaller) >= SMALLEST_USUAL_MM:
            words += f" If {why}: {size_words(smaller)}. Scale / {name}?"
    return Finding("does_not_fit", words)


def _hole_finding(mesh: Mesh, faults: EdgeFaults) -> tuple[Finding | None, bool]:
    """Judge open edges by the largest area they can bound (the circle of that perimeter)."""
    if not faults.open_edges:
        return None, False
    bounded = faults.open_mm**2 / (4 * np.pi)
    if faults.open_edges <= FEW_OPEN_EDGES and bounded <= FEW_OPEN_AREA * surface_mm2(mesh):
        count = "One small hole" if faults.holes == 1 else f"{faults.holes} small holes"
        words = f"{count} ({faults.open_edges} open edges); the estimate is still good."
        return Finding("small_holes", words), False
    words = (
        f"Open surface ({faults.open_edges} open edges); the estimate is only a range. Ask for a new export."
    )
    return Finding("open_surface", words), True


def _hole_doubt(mesh: Mesh, faults: EdgeFaults, volume: float) -> float:
    """How far an estimate may be off for what the holes leave open.

    The missing surface is taken as the largest its rim can bound, a flat patch as far out as the model
    reaches; by the divergence theorem it adds at most a third of area times distance to the volume.
    """
    bounded = faults.open_mm**2 / (4 * np.pi)
    reach = float(np.linalg.norm(extents_of(mesh))) / 2
    of_volume = bounded * reach / 3 / max(abs(volume), 1e-12)
    return float(min(MOST_DOUBT, max(of_volume, bounded / surface_mm2(mesh))))


def _direction_finding(faults: EdgeFaults) -> tuple[Finding | None, bool]:
    if not faults.same_direction:
        return None, False
    if faults.same_direction <= FEW_WRONG_EDGES * faults.edges:
        words = (
            f"A few faces point the wrong way ({faults.same_direction} edges); the estimate is still good."
        )
        return Finding("few_wrong_faces", words), False
    words = (
        f"Faces point both ways ({faults.same_direction} edges); do not trust the estimate. "
        "Ask for a new export."
    )
    return Finding("wrong_faces", words), True


def size_words(extents: Extents) -> str:
    """A size as people write it: ``150 x 90 x 12.5 mm``."""
    return " x ".join(_short(extent) for extent in extents) + " mm"


def _short(value: float) -> str:
    digits = 0 if value >= 100 else 1 if value >= 10 else 2
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _scaled(extents: Extents, factor: float) -> Extents:
    return (extents[0] * factor, extents[1] * factor, extents[2] * factor)


def fits(extents: Extents, platform_mm: Extents) -> bool:
    """Whether the model goes on the platform in any right-angled turn."""
    height_limit = platform_mm[2]
    floor = sorted(platform_mm[:2])
    for upright in range(3):
        lying = sorted(extents[:upright] + extents[upright + 1 :])
        if extents[upright] <= height_limit and lying[0] <= floor[0] and lying[1] <= floor[1]:
            return True
    return False


def _turns() -> Mapping[str, Floats]:
    """The 24 right-angled turns, by the model direction that ends up on top and a quarter turn about it."""
    tops: dict[str, list[list[int]]] = {
        "+z": [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
        "-z": [[1, 0, 0], [0, -1, 0], [0, 0, -1]],
        "+y": [[1, 0, 0], [0, 0, -1], [0, 1, 0]],
        "-y": [[1, 0, 0], [0, 0, 1], [0, -1, 0]],
        "+x": [[0, 0, -1], [0, 1, 0], [1, 0, 0]],
        "-x": [[0, 0, 1], [0, 1, 0], [-1, 0, 0]],
    }
    quarter = np.array([[0.0, -1, 0], [1, 0, 0], [0, 0, 1]])
    return {
        f"{top}/{90 * count}": np.linalg.matrix_power(quarter, count) @ np.array(rows, dtype=np.float64)
        for top, rows in tops.items()
        for count in range(4)
    }


TURNS = _turns()
AS_GIVEN = "+z/0"


def turned(mesh: Mesh, turn: str = AS_GIVEN) -> Mesh:
    """The model in a right-angled turn, standing on the platform (lowest point at height 0).

    Args:
        mesh: the model.
        turn: a key of ``TURNS``, such as ``"-y/90"``: model direction on top, degrees about the vertical.
    """
    vertices = mesh.vertices @ TURNS[turn].T
    vertices[:, 2] -= vertices[:, 2].min()
    return Mesh(vertices, mesh.faces)


def scaled(mesh: Mesh, factor: float) -> Mesh:
    """The model at another size (25.4 for a file drawn in inches)."""
    return Mesh(mesh.vertices * factor, mesh.faces)
