"""The moves of one layer, laid out nozzle by nozzle: what is printed, and the jumps between."""

from dataclasses import dataclass, field

import numpy as np

from printcrib.core.estimating.paths.kernels import NearestKernel
from printcrib.core.shapes import Floats, Indices

OUTER, INNER, SKIN, FILL = range(4)
TRAVEL = 4
SUPPORT = 5
Ends = tuple[Floats, Floats]
"""Places a layer may be begun at (corners of its outlines), and the one it ends at."""

LOW_CORNER = np.zeros(2)
SHORTEST_MM = 1e-9  # of a straight; less is noise of the offsets


@dataclass
class Head:
    """Where the nozzle is in a layer, and the paths it has printed.

    Attributes:
        at: the place it stopped at, None before its first path.
        paths: points of every path, in order.
        kinds: ``OUTER``, ``INNER``, ``SKIN``, ``FILL`` or ``SUPPORT`` of each.
        bridged_mm2: area of the skin it printed over air.
        kernel: what orders its lines, where compiled code is loaded.
    """

    at: Floats | None = None
    paths: list[Floats] = field(default_factory=list)
    kinds: list[int] = field(default_factory=list)
    bridged_mm2: float = 0.0
    kernel: NearestKernel | None = None

    @property
    def here(self) -> Floats:
        """Where it is; before its first path the low corner, whatever order the facets are in."""
        return LOW_CORNER if self.at is None else self.at

    def print_along(self, points: Floats, kind: int) -> None:
        """Go to the first point and print to the last."""
        self.paths.append(points)
        self.kinds.append(kind)
        self.at = points[-1]


@dataclass(frozen=True, eq=False)
class LayerMoves:
    """All straights of a layer in order.

    Attributes:
        length_mm: of each.
        kind: kind of line, ``TRAVEL`` for a jump.
        turn_rad: turn at the beginning of each; pi where the nozzle stops, as at both ends of a jump.
    """

    length_mm: Floats
    kind: Indices
    turn_rad: Floats

    @property
    def printed_mm(self) -> float:
        """Length of all lines."""
        return float(self.length_mm[self.kind != TRAVEL].sum())


def moves_of(head: Head) -> LayerMoves:
    """The straights a nozzle made, paths and the jumps between them."""
    if not head.paths:
        return LayerMoves(np.zeros(0), np.zeros(0, dtype=np.int64), np.zeros(0))
    sizes = np.array([len(path) for path in head.paths])
    points = np.vstack(head.paths)
    owner = np.repeat(np.arange(len(sizes)), sizes)
    step = np.diff(points, axis=0)
    length = np.hypot(*step.T)
    kind = np.where(owner[1:] == owner[:-1], np.array(head.kinds)[owner[1:]], TRAVEL)
    stretch = owner[1:] + owner[:-1]  # even along a path, odd between two
    moved = length > SHORTEST_MM
    step, length, kind, stretch = step[moved], length[moved], kind[moved], stretch[moved]
    along = step / length[:, None]
    turn = np.full(len(length), np.pi)
    cosine = (along[1:] * along[:-1]).sum(axis=1).clip(-1, 1)
    turn[1:] = np.where(stretch[1:] != stretch[:-1], np.pi, np.arccos(cosine))
    return LayerMoves(length, kind, turn)


def ends_of(head: Head) -> Ends:
    """Where a layer that was laid out may be begun, and where it ended."""
    first = head.kinds[0]
    begins = [path for path, kind in zip(head.paths, head.kinds, strict=True) if kind == first]
    return np.vstack(begins), head.paths[-1][-1]
