"""Minutes and grams of one copy from its layers: the estimate that answers at once.

Tier 1: per layer, walls, skin and fill are lengths and counts; no path is laid out. Left out, as told in
the handbook: supports and bridges.
"""

from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.layers import LayerParts, layer_parts
from printcrib.core.estimating.motion import corner_loss_s, corner_speed_mm_s, straight_s
from printcrib.core.estimating.outline import CORNER_BINS
from printcrib.core.estimating.sections import AreaKernel
from printcrib.core.estimating.settings import PrintSettings, settings_hash
from printcrib.core.shapes import Floats, Mesh

ZIGZAG_TURNS = np.deg2rad([45.0, 135.0])  # onto that wall and off it again


@dataclass(frozen=True)
class PartEstimate:
    """One copy, without the start of a run.

    Attributes:
        part_minutes: printing time of this copy alone on the platform.
        grams: plastic in the copy.
        path_metres: length of all extruded lines.
        layers: number of layers.
        layer_seconds: time of every layer before the least layer time.
        footprint_mm: width and depth.
        settings_hash: fingerprint of the settings used.
        overlapping: bodies overlap and were counted once.
    """

    part_minutes: float
    grams: float
    path_metres: float
    layers: int
    layer_seconds: tuple[float, ...]
    footprint_mm: tuple[float, float]
    settings_hash: str
    overlapping: bool


def estimate_part(mesh: Mesh, settings: PrintSettings, kernel: AreaKernel | None = None) -> PartEstimate:
    """Estimate one copy of a model.

    Args:
        mesh: the model, outside out, standing as it will be printed.
        settings: printer, nozzle and material.
        kernel: compiled section kernel; given in worker processes only.

    Raises:
        ShopError: the model is too tall to be meant in mm.
    """
    parts = layer_parts(mesh, settings, kernel)
    fill_mm, fill_s = _filled(parts, settings, parts.fill_mm2, parts.fill_across_mm, settings.fill)
    skin_mm, skin_s = _filled(parts, settings, parts.skin_mm2, parts.skin_across_mm, 1.0)
    wall_s = _wall_seconds(parts, settings)
    length = float(parts.wall_mm.sum() + skin_mm.sum() + fill_mm.sum())
    seconds = wall_s + skin_s + fill_s + _hop_seconds(parts, settings)
    alone = np.maximum(seconds, settings.least_layer_s) + settings.layer_change_s
    return PartEstimate(
        part_minutes=float(alone.sum()) / 60,
        grams=length * settings.line_mm2 * settings.density_g_cm3 / 1000,
        path_metres=length / 1000,
        layers=parts.cut.layers,
        layer_seconds=tuple(seconds.tolist()),
        footprint_mm=parts.footprint_mm,
        settings_hash=settings_hash(settings),
        overlapping=parts.overlapping,
    )


def _speeds(settings: PrintSettings, set_speed_mm_s: float, layers: int) -> tuple[tuple[slice, float], ...]:
    """Speed of the first layer and of all others, each capped by the flow."""
    first = settings.capped_speed_mm_s(min(set_speed_mm_s, settings.first_layer_speed_mm_s))
    return (slice(0, 1), first), (slice(1, layers), settings.capped_speed_mm_s(set_speed_mm_s))


def _wall_seconds(parts: LayerParts, settings: PrintSettings) -> Floats:
    seconds = np.zeros(parts.cut.layers)
    for number, (length, share) in enumerate(zip(parts.wall_mm, parts.wall_share, strict=True)):
        set_speed = settings.inner_wall_speed_mm_s if number else settings.outer_wall_speed_mm_s
        for layers, speed in _speeds(settings, set_speed, parts.cut.layers):
            stops = parts.cut.loops[layers] * speed / settings.acceleration_mm_s2
            corners = _corner_seconds(parts, settings, layers, speed)
            seconds[layers] += length[layers] / speed + share[layers] * (corners + stops)
    return seconds


def _corner_seconds(parts: LayerParts, settings: PrintSettings, layers: slice, speed: float) -> Floats:
    """What the corners of one wall cost in each layer."""
    count, angle = parts.cut.corner_count[layers], parts.cut.corner_angle[layers]
    mean = np.divide(angle, count, out=np.broadcast_to(CORNER_BINS, count.shape).copy(), where=count > 0.5)
    taken = corner_speed_mm_s(mean, settings.acceleration_mm_s2, settings.corner_allowance_mm)
    spacing = parts.cut.perimeter_mm[layers] / np.maximum(parts.cut.vertices[layers], 1)
    loss = corner_loss_s(taken, speed, settings.acceleration_mm_s2, spacing[:, None])
    return np.asarray((np.maximum(count, 0) * loss).sum(axis=1))


def _filled(
    parts: LayerParts, settings: PrintSettings, area: Floats, across: Floats, density: float
) -> tuple[Floats, Floats]:
    """Length in mm and seconds of zigzag lines with their links along the wall; jumps count as hops."""
    length, seconds = np.zeros(len(area)), np.zeros(len(area))
    if density <= 0:
        return length, seconds
    spacing = settings.line_width_mm / density
    lines = across / (2 * spacing)
    link = spacing * _link_factor(parts, density)
    linked = np.maximum(0, lines - _islands(parts))
    straights = area / spacing
    length[:] = straights + linked * link
    each_mm = np.divide(straights, lines, out=np.zeros(len(area)), where=lines > 0)
    set_speed = settings.skin_speed_mm_s if density == 1.0 else settings.fill_speed_mm_s
    turning = corner_speed_mm_s(ZIGZAG_TURNS, settings.acceleration_mm_s2, settings.corner_allowance_mm)
    for layers, speed in _speeds(settings, set_speed, len(area)):
        # One speed at both ends that costs as much as the two unlike turns.
        ends = speed - float(np.sqrt(np.mean((speed - np.minimum(turning, speed)) ** 2)))
        each = straight_s(each_mm[layers], speed, ends, settings.acceleration_mm_s2)
        links = straight_s(link[layers], speed, ends, settings.acceleration_mm_s2)
        least = length[layers] / speed
        seconds[layers] = np.maximum(least, lines[layers] * each + linked[layers] * links)
    return length, seconds


def _link_factor(parts: LayerParts, density: float) -> Floats:
    """Mean length from line to line along the wall, in line spacings, jumps counting nothing.

    A solid zigzag fills its area to the wall, so all of the wall counts; a sparse one jumps where the
    wall runs along its lines.
    """
    along = parts.cut.perimeter_mm if density == 1.0 else parts.cut.linked_mm
    across = parts.cut.projected_mm
    return np.divide(along, across, out=np.ones_like(along), where=across > 0).clip(0, np.pi / 2)


def _islands(parts: LayerParts) -> Floats:
    """Separate pieces of every layer, at least one."""
    return np.asarray(np.maximum((parts.cut.loops + parts.cut.euler) / 2, 1))


def _hop_seconds(parts: LayerParts, settings: PrintSettings) -> Floats:
    """Moves between islands, between loops of one island, from wall to wall, and to skin and fill."""
    cut = parts.cut
    speed, acceleration = settings.travel_speed_mm_s, settings.acceleration_mm_s2
    loops = np.maximum(cut.loops, 1)
    islands = _islands(parts)
    box = parts.footprint_mm[0] * parts.footprint_mm[1]
    far = straight_s(0.9 * np.sqrt(box / islands), speed, 0.0, acceleration)
    area, length = np.maximum(cut.area_mm2, 0), np.maximum(cut.perimeter_mm, 1e-9)
    near = straight_s(np.minimum(0.9 * np.sqrt(area / loops), 2 * area / length), speed, 0.0, acceleration)
    step = straight_s(np.array([settings.line_width_mm]), speed, 0.0, acceleration)[0]
    kinds = (parts.skin_mm2 > 0).astype(float) + (parts.fill_mm2 > 0) * (settings.fill > 0)
    within = np.maximum(loops - islands, 0) + loops * kinds
    walls_further = np.maximum(parts.wall_share[1:].sum(axis=0), 0)
    return np.asarray(np.where(islands > 1, islands * far, 0) + within * near + loops * walls_further * step)
