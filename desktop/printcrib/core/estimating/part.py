"""Minutes and grams of one copy from its layers: the estimate that answers at once.

Tier 1: per layer, walls, skin, fill and supports are lengths and counts; no path is laid out. What is
printed over air goes at the bridge speed; where supports are printed it lies on them.
"""

from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.layers import LayerParts, layer_parts
from printcrib.core.estimating.motion import corner_loss_s, corner_speed_mm_s, straight_s
from printcrib.core.estimating.outline import CORNER_BINS
from printcrib.core.estimating.sections import LINKED_FROM, AreaKernel
from printcrib.core.estimating.settings import PrintSettings, settings_hash
from printcrib.core.shapes import Floats, Mesh

ZIGZAG_TURNS = np.deg2rad([45.0, 135.0])  # onto that wall and off it again


@dataclass(frozen=True)
class PartEstimate:
    """One copy, without the start of a run.

    Attributes:
        part_minutes: printing time of this copy alone on the platform.
        grams: plastic in the copy and its supports.
        path_metres: length of all extruded lines.
        layers: number of layers.
        layer_seconds: time of every layer before the least layer time.
        footprint_mm: width and depth.
        settings_hash: fingerprint of the settings used.
        overlapping: bodies overlap and were counted once.
        support_mm3: room the supports stand in.
        support_grams: plastic in the supports.
        tier: 1 from layers alone, 2 from paths.
    """

    part_minutes: float
    grams: float
    path_metres: float
    layers: int
    layer_seconds: tuple[float, ...]
    footprint_mm: tuple[float, float]
    settings_hash: str
    overlapping: bool
    support_mm3: float = 0.0
    support_grams: float = 0.0
    tier: int = 1


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
    fill_mm, fill_s = _filled(_fill_zone(parts, settings), settings)
    skin_mm, skin_s = _filled(_skin_zone(parts, settings), settings)
    support_mm, support_s = supported(parts, settings)
    wall_s = _wall_seconds(parts, settings) + _bridge_seconds(parts, settings)
    length = float(parts.wall_mm.sum() + skin_mm.sum() + fill_mm.sum() + support_mm.sum())
    seconds = wall_s + skin_s + fill_s + support_s + _hop_seconds(parts, settings)
    grams_a_mm = settings.line_mm2 * settings.density_g_cm3 / 1000
    alone = np.maximum(seconds, settings.least_layer_s) + settings.layer_change_s
    return PartEstimate(
        part_minutes=float(alone.sum()) / 60,
        grams=length * grams_a_mm,
        path_metres=length / 1000,
        layers=parts.cut.layers,
        layer_seconds=tuple(seconds.tolist()),
        footprint_mm=parts.footprint_mm,
        settings_hash=settings_hash(settings),
        overlapping=parts.overlapping,
        support_mm3=float(parts.supports.area_mm2.sum()) * settings.layer_height_mm
        if parts.supports
        else 0.0,
        support_grams=float(support_mm.sum()) * grams_a_mm,
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


@dataclass(frozen=True, eq=False)
class _Zone:
    """What zigzag lines fill in every layer.

    Attributes:
        area_mm2: where the middles of lines run. across_mm: its outline across the lines.
        density: share of the area that lines cover. speed_mm_s: set speed of the lines.
        link_factor: length from line to line along the wall, in line spacings.
        chains: separate zigzags, which are not linked.
    """

    area_mm2: Floats
    across_mm: Floats
    density: float
    speed_mm_s: float
    link_factor: Floats
    chains: Floats


def _skin_zone(parts: LayerParts, settings: PrintSettings) -> _Zone:
    """A solid zigzag fills its area to the wall, so all of the wall counts."""
    link = _link_factor(parts, parts.cut.perimeter_mm)
    chains = _chains(parts, settings.line_width_mm)
    return _Zone(parts.skin_mm2, parts.skin_across_mm, 1.0, settings.skin_speed_mm_s, link, chains)


def _fill_zone(parts: LayerParts, settings: PrintSettings) -> _Zone:
    """A sparse zigzag jumps where the wall runs along its lines."""
    solid = settings.fill == 1.0
    link = _link_factor(parts, parts.cut.perimeter_mm if solid else parts.cut.linked_mm)
    chains = _chains(parts, settings.line_width_mm / max(settings.fill, 1e-9))
    speed = settings.fill_speed_mm_s
    return _Zone(parts.fill_mm2, parts.fill_across_mm, settings.fill, speed, link, chains)


def supported(parts: LayerParts, settings: PrintSettings) -> tuple[Floats, Floats]:
    """Length and seconds of the supports of every layer, with the way there and back.

    Their lines end half a line inside their room.
    """
    nothing = np.zeros(parts.cut.layers)
    if parts.supports is None:
        return nothing, nothing
    room = parts.supports
    area = np.maximum(0, room.area_mm2 - room.outline_mm * settings.line_width_mm / 2)
    link = np.divide(room.linked_mm, room.across_mm, out=np.ones_like(area), where=room.across_mm > 0)
    zone = _Zone(area, room.across_mm, settings.support_fill, settings.support_speed_mm_s, link, nothing + 1)
    length, seconds = _filled(zone, settings)
    reach = 0.9 * np.array([parts.footprint_mm[0] * parts.footprint_mm[1]]) ** 0.5
    hop = straight_s(reach, settings.travel_speed_mm_s, 0.0, settings.acceleration_mm_s2)[0]
    return length, seconds + np.where(length > 0, 2 * hop, 0.0)


def _bridge_seconds(parts: LayerParts, settings: PrintSettings) -> Floats:
    """What printing skin over air takes longer than printing it on something."""
    usual = settings.capped_speed_mm_s(settings.skin_speed_mm_s)
    slow = min(usual, settings.bridge_speed_mm_s)
    return parts.bridge_mm2 / settings.line_width_mm * (1 / slow - 1 / usual)


def _filled(zone: _Zone, settings: PrintSettings) -> tuple[Floats, Floats]:
    """Length in mm and seconds of zigzag lines with their links along the wall; jumps count as hops."""
    layers = len(zone.area_mm2)
    if zone.density <= 0:
        return np.zeros(layers), np.zeros(layers)
    spacing = settings.line_width_mm / zone.density
    lines = zone.across_mm / (2 * spacing)
    link = spacing * zone.link_factor
    linked = np.maximum(0, lines - zone.chains)
    straights = zone.area_mm2 / spacing
    length, seconds = straights + linked * link, np.zeros(layers)
    each_mm = np.divide(straights, lines, out=np.zeros(layers), where=lines > 0)
    turning = corner_speed_mm_s(ZIGZAG_TURNS, settings.acceleration_mm_s2, settings.corner_allowance_mm)
    for part, speed in _speeds(settings, zone.speed_mm_s, layers):
        # One speed at both ends that costs as much as the two unlike turns.
        ends = speed - float(np.sqrt(np.mean((speed - np.minimum(turning, speed)) ** 2)))
        each = straight_s(each_mm[part], speed, ends, settings.acceleration_mm_s2)
        links = straight_s(link[part], speed, ends, settings.acceleration_mm_s2)
        least = length[part] / speed
        seconds[part] = np.maximum(least, lines[part] * each + linked[part] * links)
    return length, seconds


def _link_factor(parts: LayerParts, along_mm: Floats) -> Floats:
    """Mean length from line to line along the wall, in line spacings, jumps counting nothing."""
    across = parts.cut.projected_mm
    return np.divide(along_mm, across, out=np.ones_like(along_mm), where=across > 0).clip(0, np.pi / 2)


def _chains(parts: LayerParts, spacing_mm: float) -> Floats:
    """Zigzags it takes to fill every layer: one for every 2 pi that its outlines turn, to and fro alike.

    Lines end a zigzag where the outline runs along them, twice in 2 pi (own derivation). A zigzag
    steps over features as fine as a link reaches; at twice that size it never does.
    """
    turns = np.maximum(parts.cut.corner_angle.sum(axis=1) / (2 * np.pi), 1)
    across = parts.cut.perimeter_mm / (np.pi * turns)
    islands = _islands(parts)
    broken = (across / spacing_mm * LINKED_FROM - 1).clip(0, 1)
    return np.asarray(islands + broken * np.maximum(turns - islands, 0))


def _islands(parts: LayerParts) -> Floats:
    """Separate pieces of every layer, at least one."""
    return np.asarray(np.maximum((parts.cut.loops + parts.cut.euler) / 2, 1))


def _jumps(zone: _Zone, settings: PrintSettings) -> Floats:
    """Moves to the beginning of every zigzag, no more than it has lines."""
    if zone.density <= 0:
        return np.zeros(len(zone.area_mm2))
    lines = zone.across_mm * zone.density / (2 * settings.line_width_mm)
    return np.where(zone.area_mm2 > 0, np.minimum(zone.chains, np.maximum(lines, 1)), 0.0)


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
    zones = (_skin_zone(parts, settings), _fill_zone(parts, settings))
    within = np.maximum(loops - islands, 0) + sum(_jumps(zone, settings) for zone in zones)
    walls_further = np.maximum(parts.wall_share[1:].sum(axis=0), 0)
    return np.asarray(np.where(islands > 1, islands * far, 0) + within * near + loops * walls_further * step)
