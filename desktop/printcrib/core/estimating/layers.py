"""What one model's layers hold for one set of settings: walls, skin and fill, in mm and mm2."""

from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.columns import SkinRule, Spans, Zones, pixel_for, spans_of, zones_of
from printcrib.core.estimating.outline import Levels
from printcrib.core.estimating.sections import AreaKernel, Sections, levels_of, sections
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.estimating.supports import Supports, supports_of
from printcrib.core.estimating.thickness import thinness_of
from printcrib.core.shapes import Floats, Mesh

COLUMN_NOISE = 0.5  # columns see a zone inside to about this part of a pixel along the outline
OVERLAP_SEEN = 1.02  # bodies overlap when the layers sum to this much more than the columns see


@dataclass(frozen=True, eq=False)
class LayerParts:
    """Every layer taken apart. Arrays have one entry (or column) a layer.

    Attributes:
        cut: the sections themselves.
        wall_mm: length of each wall, shape (walls, layers), outermost first.
        wall_share: part of each wall that thin places leave, 0 to 1, same shape.
        skin_mm2: where the middles of solid lines run, half a line inside the walls.
        fill_mm2: the same for sparse lines.
        bridge_mm2: part of the skin that is printed over air.
        skin_across_mm: outline of the skin projected across lines at 45 degrees.
        fill_across_mm: the same for the fill.
        supports: room for supports; None where none are printed.
        footprint_mm: width and depth of the model.
        overlapping: bodies overlap and were counted once.
    """

    cut: Sections
    wall_mm: Floats
    wall_share: Floats
    skin_mm2: Floats
    fill_mm2: Floats
    bridge_mm2: Floats
    skin_across_mm: Floats
    fill_across_mm: Floats
    supports: Supports | None
    footprint_mm: tuple[float, float]
    overlapping: bool


def layer_parts(mesh: Mesh, settings: PrintSettings, kernel: AreaKernel | None = None) -> LayerParts:
    """Take a model apart into walls, skin and fill.

    Args:
        mesh: the model, outside out, standing as it will be printed.
        settings: line width, layer height, walls and skins.
        kernel: compiled section kernel for worker processes.
    """
    cut, width = sections(mesh, settings.layer_height_mm, kernel), settings.line_width_mm
    levels = levels_of(mesh, settings.layer_height_mm)
    spans, zones = _columns(mesh, levels, settings)
    overlapping = _overlap(cut, zones.solid, spans.pixel_mm)
    measured = _by_columns if overlapping else _by_outline
    wall_mm, inside = measured(mesh, levels, cut, spans, zones.inside[0], settings)
    seen = zones.inside[0]
    skin_share, bridge_share = (
        np.divide(zone, seen, out=np.zeros_like(seen), where=seen > 0) for zone in (zones.skin, zones.bridged)
    )
    border = _border_mm2(cut, zones, width) if settings.fill < 1 else np.zeros(cut.layers)
    supports = supports_of(spans, cut.layers, gap_layers(settings)) if settings.supports else None
    footprint = (mesh.vertices.max(axis=0) - mesh.vertices.min(axis=0))[:2].tolist()
    return LayerParts(
        cut=cut,
        wall_mm=wall_mm,
        wall_share=np.minimum(1, wall_mm / np.maximum(_full_walls(cut, width, settings.walls), 1e-9)),
        skin_mm2=np.maximum(0, inside * skin_share - border),
        fill_mm2=np.maximum(0, inside * (1 - skin_share) - border),
        bridge_mm2=inside * np.minimum(bridge_share, skin_share) * (supports is None),
        skin_across_mm=zones.skin_across,
        fill_across_mm=zones.fill_across,
        supports=supports,
        footprint_mm=(footprint[0], footprint[1]),
        overlapping=overlapping,
    )


def gap_layers(settings: PrintSettings) -> int:
    """Layers left free between supports and what they carry."""
    return int(np.floor(settings.support_gap_mm / settings.layer_height_mm + 0.5))


def _columns(mesh: Mesh, levels: Levels, settings: PrintSettings) -> tuple[Spans, Zones]:
    """The columns, and what they see where the middles of skin and fill lines run."""
    depth = (settings.walls + 0.5) * settings.line_width_mm
    pixel = pixel_for(mesh, levels, settings.line_width_mm)
    spans = spans_of(mesh, levels, pixel, int(np.ceil(depth / pixel)) + 2)
    rule = SkinRule(settings.top_skins, settings.bottom_skins, 1)
    return spans, zones_of(spans, levels.count, [depth], rule)


def _overlap(cut: Sections, solid: Floats, pixel: float) -> bool:
    return bool(cut.area_mm2.sum() > OVERLAP_SEEN * solid.sum() + pixel * cut.perimeter_mm.sum())


def _border_mm2(cut: Sections, zones: Zones, width: float) -> Floats:
    """What skin and fill each leave free along each other: half a line."""
    across = np.maximum(0, zones.skin_across + zones.fill_across - zones.inside_across) / 2
    straight = np.divide(
        cut.perimeter_mm, cut.projected_mm, out=np.full(cut.layers, np.pi / 2), where=cut.projected_mm > 0
    )
    return np.asarray(across * straight * width / 2)


def _moved_in(cut: Sections, depth_mm: float) -> Floats:
    """Area left when an outline of area A, length P and corner sum K moves in by t: A - P t + K t^2."""
    return np.asarray(cut.area_mm2 - cut.perimeter_mm * depth_mm + cut.corner_sum * depth_mm**2)


def _full_walls(cut: Sections, width: float, walls: int) -> Floats:
    """Length of each wall were no place too thin for it; wall k runs (k + 1/2) lines inside."""
    middle = (np.arange(walls) + 0.5)[:, None] * width
    return np.asarray(np.maximum(cut.perimeter_mm - 2 * middle * cut.corner_sum, 0))


def _by_outline(
    mesh: Mesh, levels: Levels, cut: Sections, spans: Spans, seen: Floats, settings: PrintSettings
) -> tuple[Floats, Floats]:
    """Walls, and area inside them: the outline moved in, less what thin places take.

    Wall k is there only where the half-thickness is (k + 3/4) lines or more. The columns bound the area
    from both sides, for corners that meet.
    """
    width, walls = settings.line_width_mm, settings.walls
    depths = np.array([*(np.arange(walls) + 0.75), walls + 0.5]) * width
    thin = thinness_of(mesh, levels, cut, depths, width)
    wall_mm = np.maximum(0, _full_walls(cut, width, walls) - thin.lost_mm[:-1])
    left_mm = cut.perimeter_mm - 2 * depths[-1] * cut.corner_sum - thin.lost_mm[-1]
    inside = np.where(left_mm > 0, _moved_in(cut, depths[-1]) + thin.closed_mm2[-1], 0.0)
    noise = COLUMN_NOISE * spans.pixel_mm * cut.perimeter_mm
    return wall_mm, np.maximum(0, inside.clip(seen - noise, seen + noise))


def _by_columns(
    mesh: Mesh, levels: Levels, cut: Sections, spans: Spans, seen: Floats, settings: PrintSettings
) -> tuple[Floats, Floats]:
    """The same where bodies overlap: outlines are no guide there, so the columns alone are believed.

    What has closed up at a depth is what the columns see there less the outline moved in; its slope is the
    outline length lost by then. Within one line's depth it tells how much closes there (the slope after it)
    and how early (the slope in it over that).
    """
    width, walls = settings.line_width_mm, settings.walls
    depths = [width * count for count in range(1, walls + 2)]
    zones = zones_of(spans, cut.layers, depths, SkinRule(0, 0, 0))
    closed = [zones.solid - cut.area_mm2]
    closed += [found - _moved_in(cut, depth) for depth, found in zip(depths, zones.inside, strict=True)]
    slope = np.maximum(0, np.diff(np.array(closed), axis=0) / width)
    lost, full = np.zeros(cut.layers), _full_walls(cut, width, walls)
    lengths = []
    for number in range(walls):
        closing = np.maximum(0, slope[number + 1] - lost)
        early = np.divide(slope[number] - lost, closing, out=np.zeros_like(lost), where=closing > 1e-9)
        early = early.clip(0, 1)
        gone = lost + closing * ((early - 0.15) / 0.2).clip(0, 1)  # all when it closes before 3/4, none after
        lengths.append(np.maximum(0, full[number] - gone))
        lost = lost + closing * (early / 0.2).clip(0, 1)
    return np.array(lengths).reshape(walls, cut.layers), seen
