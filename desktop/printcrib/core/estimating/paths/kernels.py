"""What of an estimate by paths may be done by compiled code; without it plain numpy does the same."""

from collections.abc import Callable
from dataclasses import dataclass

from printcrib.core.estimating.planner import PlannerKernel
from printcrib.core.estimating.sections import AreaKernel
from printcrib.core.shapes import Floats, Indices

NearestKernel = Callable[[Floats, Floats, float], tuple[Indices, Indices]]


@dataclass(frozen=True)
class PathKernels:
    """Compiled twins, loaded in worker processes only.

    Attributes:
        areas: of ``sections.areas_and_outlines``.
        planner: of ``planner.planned_seconds``.
        nearest: of ``lines.nearest_next``.
    """

    areas: AreaKernel | None = None
    planner: PlannerKernel | None = None
    nearest: NearestKernel | None = None
