"""What one model's layers hold for one set of settings: walls, skin and fill, in mm and mm2."""

from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.columns import Zones, pixel_for, spans_of, zones_of
from printcrib.core.estimating.sections import AreaKernel, Sections, levels_of, sections
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.shapes import Floats, Mesh

COLUMN_NOISE = 0.15  # columns see an area to about this part of a pixel along its outline
OVERLAP_SEEN = 1.02  # bodies overlap when the layers sum to this much more than the columns see


@dataclass(frozen=True, eq=False)
class LayerParts:
    """Every layer taken apart. Arrays have one entry (or column) a layer.

    Attributes:
        cut: the sections themselves.
        wall_mm: length of each wall, shape (walls, layers), outermost first.
        wall_share: part of each wall that thin places leave, 0 to 1, same shape.
        skin_mm2: solid area inside the walls.
        fill_mm2: the rest inside the walls.
        skin_across_mm: outline of the skin projected across lines at 45 degrees.
        fill_across_mm: the same for the fill.
        footprint_mm: width and depth of the model.
        overlapping: bodies overlap and were counted once.
    """

    cut: Sections
    wall_mm: Floats
    wall_share: Floats
    skin_mm2: Floats
    fill_mm2: Floats
    skin_across_mm: Floats
    fill_across_mm: Floats
    footprint_mm: tuple[float, float]
    overlapping: bool


def layer_parts(mesh: Mesh, settings: PrintSettings, kernel: AreaKernel | None = None) -> LayerParts:
    """Take a model apart into walls, skin and fill.

    Wall k runs at (k + 1/2) line widths inwards. Moving an outline of area A, length P and corner sum K
    inwards by t leaves A - P t + K t^2; where the columns see more than that, thin places have closed up
    and the columns are believed.

    Args:
        mesh: the model, outside out, standing as it will be printed.
        settings: line width, layer height, walls and skins.
        kernel: compiled section kernel for worker processes.
    """
    cut = sections(mesh, settings.layer_height_mm, kernel)
    depths = [settings.line_width_mm * (count + 1) for count in range(settings.walls)]
    zones, pixel = _zones(mesh, settings, depths)
    overlapping = bool(cut.area_mm2.sum() > OVERLAP_SEEN * zones.solid.sum() + pixel * cut.perimeter_mm.sum())
    left = _areas_left(cut, zones, depths, pixel, overlapping)
    wall_mm = -np.diff(left, axis=0) / settings.line_width_mm
    inside = zones.inside[-1] if depths else zones.solid
    skin_share = np.divide(zones.skin, inside, out=np.zeros_like(inside), where=inside > 0)
    width, depth = (mesh.vertices.max(axis=0) - mesh.vertices.min(axis=0))[:2].tolist()
    return LayerParts(
        cut=cut,
        wall_mm=wall_mm,
        wall_share=_share(cut, wall_mm, settings.line_width_mm),
        skin_mm2=left[-1] * skin_share,
        fill_mm2=left[-1] * (1 - skin_share),
        skin_across_mm=zones.skin_across,
        fill_across_mm=zones.fill_across,
        footprint_mm=(width, depth),
        overlapping=overlapping,
    )


def _zones(mesh: Mesh, settings: PrintSettings, depths: list[float]) -> tuple[Zones, float]:
    levels = levels_of(mesh, settings.layer_height_mm)
    pixel = pixel_for(mesh, levels, settings.line_width_mm)
    margin = int(np.ceil((depths[-1] if depths else 0) / pixel)) + 2
    spans = spans_of(mesh, levels, pixel, margin)
    return zones_of(spans, levels.count, depths, settings.top_skins, settings.bottom_skins), pixel


def _areas_left(cut: Sections, zones: Zones, depths: list[float], pixel: float, overlapping: bool) -> Floats:
    """Area left after each wall, shape (walls + 1, layers), never rising and never negative."""
    noise = COLUMN_NOISE * pixel * cut.perimeter_mm
    start = zones.solid if overlapping else np.maximum(cut.area_mm2, 0)
    left = [start]
    for depth, seen in zip(depths, zones.inside, strict=True):
        moved = cut.area_mm2 - cut.perimeter_mm * depth + cut.corner_sum * depth**2
        believed = seen if overlapping else moved + np.maximum(0, seen - noise - moved)
        left.append(np.minimum(left[-1], np.maximum(0, believed)))
    return np.array(left)


def _share(cut: Sections, wall_mm: Floats, line_width_mm: float) -> Floats:
    """Which part of its full length each wall has."""
    middle = (np.arange(len(wall_mm)) + 0.5)[:, None] * line_width_mm
    full = np.maximum(cut.perimeter_mm - 2 * middle * cut.corner_sum, 1e-9)
    return np.minimum(1, wall_mm / full)
