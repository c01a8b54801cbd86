"""What one model's layers hold for one set of settings: walls, skin and fill, in mm and mm2."""

from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.columns import SkinRule, Spans, Zones, pixel_for, spans_of, zones_of
from printcrib.core.estimating.sections import AreaKernel, Sections, levels_of, sections
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.estimating.supports import Supports, supports_of
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
    cut = sections(mesh, settings.layer_height_mm, kernel)
    width, walls = settings.line_width_mm, settings.walls
    depths = [width * count for count in (*range(1, walls + 1), walls + 0.5, walls + 1)]
    spans, zones = _columns(mesh, settings, depths)
    pixel = spans.pixel_mm
    overlapping = bool(cut.area_mm2.sum() > OVERLAP_SEEN * zones.solid.sum() + pixel * cut.perimeter_mm.sum())
    closed = _closed_up(cut, zones, depths, pixel, overlapping)
    wall_mm = _walls(cut, closed, width, walls)
    inside, seen = np.maximum(0, _moved_in(cut, depths[walls]) + closed[walls + 1]), zones.inside[walls]
    skin_share, bridge_share = (
        np.divide(zone, seen, out=np.zeros_like(seen), where=seen > 0) for zone in (zones.skin, zones.bridged)
    )
    supports = supports_of(spans, cut.layers, _gap_layers(settings)) if settings.supports else None
    footprint = (mesh.vertices.max(axis=0) - mesh.vertices.min(axis=0))[:2].tolist()
    return LayerParts(
        cut=cut,
        wall_mm=wall_mm,
        wall_share=np.minimum(1, wall_mm / np.maximum(_full_walls(cut, width, walls), 1e-9)),
        skin_mm2=inside * skin_share,
        fill_mm2=inside * (1 - skin_share),
        bridge_mm2=inside * np.minimum(bridge_share, skin_share) * (supports is None),
        skin_across_mm=zones.skin_across,
        fill_across_mm=zones.fill_across,
        supports=supports,
        footprint_mm=(footprint[0], footprint[1]),
        overlapping=overlapping,
    )


def _gap_layers(settings: PrintSettings) -> int:
    return int(np.floor(settings.support_gap_mm / settings.layer_height_mm + 0.5))


def _columns(mesh: Mesh, settings: PrintSettings, depths: list[float]) -> tuple[Spans, Zones]:
    levels = levels_of(mesh, settings.layer_height_mm)
    pixel = pixel_for(mesh, levels, settings.line_width_mm)
    spans = spans_of(mesh, levels, pixel, int(np.ceil(depths[-1] / pixel)) + 2)
    skins = SkinRule(settings.top_skins, settings.bottom_skins, settings.walls + 1)
    return spans, zones_of(spans, levels.count, depths, skins)


def _moved_in(cut: Sections, depth_mm: float) -> Floats:
    """Area left when an outline of area A, length P and corner sum K moves in by t: A - P t + K t^2."""
    return np.asarray(cut.area_mm2 - cut.perimeter_mm * depth_mm + cut.corner_sum * depth_mm**2)


def _closed_up(cut: Sections, zones: Zones, depths: list[float], pixel: float, overlapping: bool) -> Floats:
    """How much more area the columns see at each depth than the moved outline leaves, first row 0.

    An outline of length l round a place of half-thickness h, moved in by t > h, counts l (t - h) too
    little: the place has closed up. Where bodies overlap the columns alone are believed.
    """
    noise = 0.0 if overlapping else COLUMN_NOISE * pixel * cut.perimeter_mm
    rows = [zones.solid - cut.area_mm2 if overlapping else np.zeros(cut.layers)]
    for depth, seen in zip(depths, zones.inside, strict=True):
        moved = _moved_in(cut, depth)
        rows.append(seen - moved if overlapping else np.maximum(0, np.maximum(0, seen - noise) - moved))
    return np.array(rows)


def _full_walls(cut: Sections, width: float, walls: int) -> Floats:
    """Length of each wall were no place too thin for it; wall k runs (k + 1/2) lines inside."""
    middle = (np.arange(walls) + 0.5)[:, None] * width
    return np.asarray(np.maximum(cut.perimeter_mm - 2 * middle * cut.corner_sum, 0))


def _walls(cut: Sections, closed: Floats, width: float, walls: int) -> Floats:
    """Length of each wall: wall k is there only where the half-thickness is (k + 3/4) lines or more.

    The slope of what has closed up is the outline length lost by then. Within one line's depth it tells
    how much closes there (the slope after it) and how early (the slope in it over that).
    """
    slope = np.maximum(0, np.diff(np.delete(closed, walls + 1, axis=0), axis=0) / width)
    lost, full = np.zeros(cut.layers), _full_walls(cut, width, walls)
    lengths = []
    for number in range(walls):
        closing = np.maximum(0, slope[number + 1] - lost)
        early = np.divide(slope[number] - lost, closing, out=np.zeros_like(lost), where=closing > 1e-9)
        early = early.clip(0, 1)
        gone = lost + closing * ((early - 0.15) / 0.2).clip(0, 1)  # all when it closes before 3/4, none after
        lengths.append(np.maximum(0, full[number] - gone))
        lost = lost + closing * (early / 0.2).clip(0, 1)
    return np.array(lengths).reshape(walls, cut.layers)
