"""The outlines of single layers as closed loops, chained from the triangles a layer plane passes through.

Which side of the plane a corner lies on is told by its whole plane number alone, never by comparing heights,
so every triangle passed through has exactly one side where the outline comes in and one where it goes out.
"""

from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.outline import Levels
from printcrib.core.shapes import Floats, Indices, Mesh

MOST_OPEN = 60  # ends a layer of a faulty model may have; more cannot be joined in any sensible order
STRAIGHT = 1e-9  # a corner turning less than this (as a sine) is the middle of a straight

# By which corners lie over the plane (1 for the first, 2 for the second, 4 for the third): the side the
# outline comes in over, which falls, and the side it goes out over, which rises. Side i is corner i to i + 1.
COMES_IN = np.array([-1, 0, 1, 1, 2, 0, 2, -1])
GOES_OUT = np.array([-1, 2, 0, 2, 1, 1, 0, -1])


@dataclass(frozen=True, eq=False)
class Strands:
    """How the outline of one layer runs from triangle to triangle.

    Attributes:
        enter: lower and higher vertex of the side each triangle is entered over.
        leave: the same for the side it is left over.
        closed: rows of the triangles along every closed loop.
        broken: the same along open chains, which only faulty models have.
    """

    enter: Indices
    leave: Indices
    closed: list[list[int]]
    broken: list[list[int]]


class Chains:
    """Cuts a model at any one layer.

    Args:
        mesh: the model, outside out.
        levels: its layer planes.
    """

    def __init__(self, mesh: Mesh, levels: Levels) -> None:
        """Note for every triangle which planes pass through it."""
        self._mesh, self._levels = mesh, levels
        above = levels.above[mesh.faces]
        self._bottom, self._top = above.min(axis=1), above.max(axis=1)
        self._passed: Indices = np.zeros(0, dtype=np.int64)
        self._strands: Strands | None = None

    def loops(self, plane: int) -> list[Floats]:
        """Closed outlines of a layer as points in mm, solid on the left, first point not repeated.

        Open chains of a faulty model are joined end to nearest start; what is left is closed straight.
        """
        strands = self._strands_at(plane)
        points = self._places(strands.leave, plane)
        closed = [points[chain] for chain in strands.closed]
        if strands.broken:
            starts = self._places(strands.enter, plane)
            closed += _joined([np.vstack((starts[chain[:1]], points[chain])) for chain in strands.broken])
        return [loop for loop in map(without_straights, closed) if len(loop) >= 3]

    def _strands_at(self, plane: int) -> "Strands":
        """How the outline runs; planes in a row that pass the same corners the same way share it."""
        passed = np.flatnonzero((self._bottom <= plane) & (plane < self._top))
        faces = self._mesh.faces[passed]
        code = (self._levels.above[faces] > plane) @ np.array([1, 2, 4])
        passed = passed * 8 + code
        if self._strands is None or not np.array_equal(passed, self._passed):
            enter, leave = self._side(faces, COMES_IN[code]), self._side(faces, GOES_OUT[code])
            chains, whole = _chains(_following(enter, leave, len(self._mesh.vertices)))
            self._strands = Strands(enter, leave, chains[:whole], chains[whole:])
            self._passed = passed
        return self._strands

    def _side(self, faces: Indices, side: Indices) -> Indices:
        """Lower and higher vertex of one side of every triangle."""
        rows = np.arange(len(faces))
        ends = np.column_stack((faces[rows, side], faces[rows, (side + 1) % 3]))
        over = self._levels.above[ends]
        return np.where((over[:, 0] > over[:, 1])[:, None], ends[:, ::-1], ends)

    def _places(self, side: Indices, plane: int) -> Floats:
        """Where sides pass the plane."""
        low, high = self._mesh.vertices[side[:, 0]], self._mesh.vertices[side[:, 1]]
        height = self._levels.first_mm + plane * self._levels.step_mm
        share = ((height - low[:, 2]) / (high[:, 2] - low[:, 2])).clip(0, 1)
        return np.asarray(low[:, :2] + share[:, None] * (high - low)[:, :2])


def _following(enter: Indices, leave: Indices, vertices: int) -> Indices:
    """For every triangle the one the outline goes on to, -1 where the model is open there."""
    goes, comes = leave[:, 0] * vertices + leave[:, 1], enter[:, 0] * vertices + enter[:, 1]
    by_goes, by_comes = np.argsort(goes, kind="stable"), np.argsort(comes, kind="stable")
    following = np.full(len(goes), -1, dtype=np.int64)
    if np.array_equal(goes[by_goes], comes[by_comes]):
        following[by_goes] = by_comes
        return following
    rank = _rank(goes[by_goes])
    begin = np.searchsorted(comes[by_comes], goes[by_goes])
    place = begin + rank
    there = place < len(comes)
    there[there] = comes[by_comes[place[there]]] == goes[by_goes[there]]
    following[by_goes[there]] = by_comes[place[there]]
    return following


def _rank(ordered: Indices) -> Indices:
    """How many equal keys stand before each, so that four triangles on one edge make two pairs."""
    return np.asarray(np.arange(len(ordered)) - np.searchsorted(ordered, ordered))


def _chains(following: Indices) -> tuple[list[list[int]], int]:
    """Triangles in the order of the outline: closed loops first, then open chains; how many are closed."""
    after = following.tolist()
    entered = np.zeros(len(after), dtype=bool)
    entered[following[following >= 0]] = True
    seen = [False] * len(after)
    broken = [_walk(after, seen, int(start)) for start in np.flatnonzero(~entered)]
    whole = [_walk(after, seen, start) for start in range(len(after)) if not seen[start]]
    return whole + broken, len(whole)


def _walk(after: list[int], seen: list[bool], at: int) -> list[int]:
    chain = []
    while at >= 0 and not seen[at]:
        seen[at] = True
        chain.append(at)
        at = after[at]
    return chain


def _joined(chains: list[Floats]) -> list[Floats]:
    """Closed loops from open chains: each goes on with the chain whose start is nearest.

    Its own start counts too where the gap is under half the chain, so that no straight closes alone.
    """
    waiting = sorted(chains, key=len, reverse=True)[:MOST_OPEN]
    closed = []
    while waiting:
        chain = waiting.pop(0)
        while waiting:
            gaps = np.hypot(*(np.array([other[0] for other in waiting]) - chain[-1]).T)
            own, length = np.hypot(*(chain[0] - chain[-1])), np.hypot(*np.diff(chain, axis=0).T).sum()
            if own <= min(gaps.min(), length / 2):
                break
            chain = np.vstack((chain, waiting.pop(int(gaps.argmin()))))
        closed.append(chain)
    return closed


def without_straights(loop: Floats) -> Floats:
    """The loop without repeated points and points in the middle of a straight."""
    step = _after(loop) - loop
    length = np.hypot(step[:, 0], step[:, 1])
    apart = length > STRAIGHT
    if not apart.all():
        loop, step, length = loop[apart], step[apart], length[apart]
    along = step / length[:, None]
    on = _after(along)
    turn = along[:, 0] * on[:, 1] - along[:, 1] * on[:, 0]
    back = (along * on).sum(axis=1) < 0
    return np.asarray(_after(loop)[(np.abs(turn) > STRAIGHT) | back])


def _after(rows: Floats) -> Floats:
    """Every row's next, the first after the last."""
    return np.concatenate((rows[1:], rows[:1]))
