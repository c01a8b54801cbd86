"""How a model best lies on the platform: the six right-angled sides and its flat faces, ranked.

All are judged quickly first: undersides flatter than 45 degrees times their height over the platform, what
stands under them of the model itself not taken off. The best few are then estimated with their supports.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from printcrib.core.advice import Rest
from printcrib.core.shapes import TURNS, Floats, Mesh, turned

SIDES = {
    "+z/0": "as drawn",
    "-z/0": "upside down",
    "+y/0": "front down",
    "-y/0": "back down",
    "+x/0": "left side down",
    "-x/0": "right side down",
}
"""The turns that lay a model on another side; turning it about the upright changes only where it fits."""

FLATTEST_FREE = np.cos(np.deg2rad(45.0)) * (1 + 1e-9)
SAME_FACE = np.cos(np.deg2rad(1.0))  # facets within a degree belong to one flat face
LEAST_FACE = 0.01  # of the surface; a smaller face is not stood on
MOST_FACES = 8
TRIED = 3  # of the best by the quick judgement are estimated
LEAST_FOOT_CM2 = 0.25
TOUCHING_MM = 0.05
SLENDER = 6.0  # taller than so many times the side of its foot, a part may be knocked over
SUPPORT_MINUTES_A_CM3 = 2.0  # breaking off and cleaning up where supports stood
CLEARING_MINUTES = 5.0  # once, where there are any
UNSTEADY_MINUTES = 60.0  # what a small foot may cost
MINUTES_A_MM = 0.5  # of height, before anything is estimated; these five: common practice, no source
ALIKE = 0.005


Trial = Callable[[Mesh], tuple[float, float]]
"""Likely minutes of a model as it stands, supports included, and the mm3 of room they take."""


@dataclass(frozen=True, eq=False)
class Facets:
    """Direction and size of every triangle.

    Attributes:
        normal: unit vector outwards, not a number for a triangle without area. area_mm2: of each.
        middle: its centre.
    """

    normal: Floats
    area_mm2: Floats
    middle: Floats


def rank_rests(
    mesh: Mesh,
    trial: Trial,
    fits: Callable[[float, float, float], bool] = lambda width, depth, height: True,
    current: int = 0,
) -> tuple[Rest, ...]:
    """Ways to lie on the platform, best first; none that fits no printer.

    Args:
        mesh: the model as given, outside out.
        trial: likely minutes and mm3 of supports of a model as it stands.
        fits: whether a printer takes this width, depth and height.
        current: the turn it has now; kept in the list and timed whatever its rank.
    """
    facets = facets_of(mesh)
    side = list(TURNS)[current // 4 * 4]
    found = [
        _measured(mesh, facets, TURNS[turn][2] * -1, SIDES[turn], list(TURNS).index(turn)) for turn in SIDES
    ]
    for down in flat_faces(facets):
        rest = _measured(mesh, facets, down, "", None)
        if rest.foot_cm2 >= LEAST_FOOT_CM2:
            found.append(replace(rest, words=f"on a flat face of {rest.foot_cm2:.1f} cm2"))
    kept = _different([rest for rest in found if _goes_on(mesh, rest, fits)], SIDES[side])
    kept.sort(key=effort)
    tried = [
        _tried(mesh, rest, trial) if place < TRIED or rest.words == SIDES[side] else rest
        for place, rest in enumerate(kept)
    ]
    return tuple(sorted(tried, key=lambda rest: (rest.minutes is None, effort(rest))))


def effort(rest: Rest) -> float:
    """What lying this way costs in minutes: printing, taking supports off, the risk of a small foot."""
    minutes = MINUTES_A_MM * rest.height_mm if rest.minutes is None else rest.minutes
    supports = SUPPORT_MINUTES_A_CM3 * rest.support_cm3 + CLEARING_MINUTES * rest.needs_support
    return minutes + supports + (0.0 if rest.steady else UNSTEADY_MINUTES)


def facets_of(mesh: Mesh) -> Facets:
    """Direction, area and centre of every triangle."""
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    cross = np.cross(b - a, c - a)
    length = np.linalg.norm(cross, axis=1)
    normal = np.divide(cross, length[:, None], out=np.zeros_like(cross), where=length[:, None] > 0)
    return Facets(normal, length / 2, (a + b + c) / 3)


def flat_faces(facets: Facets) -> list[Floats]:
    """Directions of the largest flat faces that are askew to the axes, largest first.

    Facets are gathered by direction, the largest gathering first, each with all within a degree of it.
    """
    rough = np.round(facets.normal * 40).astype(np.int64) + 64
    _, group = np.unique(rough @ np.array([1, 256, 65536]), return_inverse=True)
    area = np.bincount(group, facets.area_mm2)
    whole = float(facets.area_mm2.sum())
    found: list[Floats] = []
    for number in np.argsort(-area):
        if area[number] < LEAST_FACE * whole / 4 or len(found) >= MOST_FACES:
            break
        members = group == number
        down = (facets.normal[members] * facets.area_mm2[members, None]).sum(axis=0)
        down /= np.linalg.norm(down)
        near = facets.normal @ down > SAME_FACE
        known = any(down @ other > SAME_FACE for other in found) or np.abs(down).max() > SAME_FACE
        if not known and float(facets.area_mm2[near].sum()) >= LEAST_FACE * whole:
            found.append(down)
    return found


def standing(mesh: Mesh, rest: Rest) -> Mesh:
    """The model as it lies that way, lowest point at height 0."""
    if rest.turn is not None:
        return turned(mesh, list(TURNS)[rest.turn])
    return laid_on(mesh, rest.down)


def laid_on(mesh: Mesh, down: tuple[float, float, float]) -> Mesh:
    """The model with one direction of it down, lowest point at height 0, its corner over the origin."""
    vertices = mesh.vertices @ rotation_to(np.array(down), mesh).T
    return Mesh(vertices - vertices.min(axis=0), mesh.faces)


def rotation_to(down: Floats, mesh: Mesh) -> Floats:
    """The rotation that brings a direction of the model to the platform, turned to the smallest rectangle."""
    across = np.cross(down, np.eye(3)[int(np.abs(down).argmin())])
    across /= np.linalg.norm(across)
    laid = np.array([across, np.cross(-down, across), -down])
    outline = shapely.MultiPoint((mesh.vertices @ laid.T)[:, :2]).minimum_rotated_rectangle
    corner, after, *_ = shapely.get_coordinates(outline)
    along = (after - corner) / np.linalg.norm(after - corner)
    about = np.array([[along[0], along[1], 0], [-along[1], along[0], 0], [0, 0, 1.0]])
    return np.asarray(about @ laid)


def _tried(mesh: Mesh, rest: Rest, trial: Trial) -> Rest:
    minutes, support_mm3 = trial(standing(mesh, rest))
    return replace(rest, minutes=round(minutes, 1), support_cm3=round(support_mm3 / 1000, 3))


def _measured(mesh: Mesh, facets: Facets, down: Floats, words: str, turn: int | None) -> Rest:
    level = mesh.vertices @ -down
    bottom = level.min()
    above = facets.middle @ -down - bottom
    facing = facets.normal @ down
    foot = float(facets.area_mm2[(facing > SAME_FACE) & (above <= TOUCHING_MM)].sum())
    height = float(level.max() - bottom)
    hangs = (facing > FLATTEST_FREE) & (above > TOUCHING_MM)
    support = float((facets.area_mm2 * facing * above)[hangs].sum())
    x, y, z = (float(part) for part in down)
    return Rest(
        words=words,
        turn=turn,
        down=(x, y, z),
        support_cm3=round(support / 1000, 3),
        foot_cm2=round(foot / 100, 3),
        height_mm=round(height, 2),
        steady=height <= SLENDER * np.sqrt(foot),
    )


def _goes_on(mesh: Mesh, rest: Rest, fits: Callable[[float, float, float], bool]) -> bool:
    vertices = standing(mesh, rest).vertices
    width, depth, height = (vertices.max(axis=0) - vertices.min(axis=0)).tolist()
    return fits(width, depth, height)


def _different(rests: Sequence[Rest], current: str) -> list[Rest]:
    """One of each kind: ways with the same supports, foot and height are one; the present one comes first."""
    kept: list[Rest] = []
    for rest in sorted(rests, key=lambda rest: rest.words != current):
        if not any(_alike(rest, other) for other in kept):
            kept.append(rest)
    return kept


def _alike(one: Rest, other: Rest) -> bool:
    pairs = (
        (one.support_cm3, other.support_cm3),
        (one.foot_cm2, other.foot_cm2),
        (one.height_mm, other.height_mm),
    )
    return all(abs(a - b) <= ALIKE * max(abs(a), abs(b)) + 0.01 for a, b in pairs)
