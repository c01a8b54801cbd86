"""Minutes and grams from paths laid out on every layer: slow, sharing no geometry with the estimator.

Sections come from manifold3d, walls from shapely's offsets, fill from clipped lines joined to their nearest
neighbour, times from a planner that looks ahead along every path. Its rules are those of the estimate: wall k
where the half-thickness is (k + 3/4) lines, lines at 45 degrees half a line inside the walls, links up to 2.2
spacings, everything of an island before the next, skin lines over air at the bridge speed. Supports stand
under every underside flatter than 45 degrees down to what is below, and are printed last in a layer, lines
half a line inside their room; the way back to the part begins the next layer.
"""

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from manifold3d import Manifold
from manifold3d import Mesh as Solid
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon

from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.shapes import Mesh

Place = tuple[float, float]
LINK_UP_TO = 2.2
SHORTEST_MM = 1e-3


@dataclass
class Head:
    """The print head in one layer: where it is, and what it has printed.

    Attributes:
        air: what of the layer has nothing below it.
        begun_at: where it was when the layer began, where that costs a jump.
        paths: points and kind of every path, in order.
    """

    settings: PrintSettings
    air: Any = None
    at: Place | None = None
    begun_at: Place | None = None
    paths: list[tuple[list[Place], str]] = field(default_factory=list)

    def print_along(self, points: list[Place], kind: str) -> None:
        """Go to the first point and print to the last."""
        self.paths.append((points, kind))
        self.at = points[-1]


def timed(head: Head, settings: PrintSettings, first: bool) -> tuple[float, float]:
    """Seconds and printed mm of one layer."""
    caps, at = speeds(settings, first), head.begun_at
    seconds = printed = 0.0
    for points, kind in head.paths:
        seconds += 0.0 if at is None else travel_s(math.dist(at, points[0]), settings)
        path_s, length = planned(points, caps[kind], settings)
        if kind == "skin" and not head.air.is_empty and len(points) > 1:
            over_air = LineString(points).intersection(head.air).length
            seconds += over_air * max(0.0, 1 / settings.bridge_speed_mm_s - 1 / caps[kind])
        seconds, printed, at = seconds + path_s, printed + length, points[-1]
    return seconds, printed


def travel_s(length: float, settings: PrintSettings) -> float:
    """Seconds of a jump from rest to rest."""
    speed, rate = settings.travel_speed_mm_s, settings.acceleration_mm_s2
    return length / speed + speed / rate if length > speed**2 / rate else 2 * math.sqrt(length / rate)


def planned(points: list[Place], cap: float, settings: PrintSettings) -> tuple[float, float]:
    """Seconds and mm of a path from rest to rest, every corner at the speed its allowance permits."""
    rate, allowance = settings.acceleration_mm_s2, settings.corner_allowance_mm
    steps = np.diff(np.array(points), axis=0)
    length = np.hypot(*steps.T)
    steps, length = steps[length > 1e-9], length[length > 1e-9]
    if not len(length):
        return 0.0, 0.0
    along = steps / length[:, None]
    half = np.cos(np.arccos(np.clip((along[1:] * along[:-1]).sum(axis=1), -1, 1)) / 2)
    corner = np.sqrt(rate * allowance * half / np.maximum(1 - half, 1e-12))
    limit = np.concatenate(([0.0], np.minimum(corner, cap), [0.0]))
    for place in range(len(length)):
        limit[place + 1] = min(limit[place + 1], math.sqrt(limit[place] ** 2 + 2 * rate * length[place]))
    for place in reversed(range(len(length))):
        limit[place] = min(limit[place], math.sqrt(limit[place + 1] ** 2 + 2 * rate * length[place]))
    begin, end = limit[:-1], limit[1:]
    peak = np.minimum(cap, np.sqrt(rate * length + (begin**2 + end**2) / 2))
    level = np.maximum(0, length - (2 * peak**2 - begin**2 - end**2) / (2 * rate))
    return float(((2 * peak - begin - end) / rate + level / peak).sum()), float(length.sum())


def reference(mesh: Mesh, settings: PrintSettings) -> tuple[float, float]:
    """Minutes (without the start) and grams of one copy."""
    return timed_whole(laid_out(mesh, settings), settings)


def timed_whole(heads: list[Head], settings: PrintSettings) -> tuple[float, float]:
    """Minutes and grams of layers laid out; speeds may differ from those they were laid out with."""
    layers = [timed(head, settings, number == 0) for number, head in enumerate(heads)]
    seconds = sum(max(settings.least_layer_s, each) + settings.layer_change_s for each, _ in layers)
    printed = sum(length for _, length in layers)
    return seconds / 60, printed * settings.line_mm2 * settings.density_g_cm3 / 1000


def laid_out(mesh: Mesh, settings: PrintSettings) -> list[Head]:
    """Every layer's paths."""
    layers = sliced(mesh, settings.layer_height_mm)
    rooms = support_rooms(layers, settings) if settings.supports else [Polygon()] * len(layers)
    heads: list[Head] = []
    for number, layer in enumerate(layers):
        bare = number > 0 and not settings.supports
        head = Head(settings, layer.difference(layers[number - 1]) if bare else Polygon())
        if number and not rooms[number - 1].is_empty:
            head.begun_at = head.at = heads[-1].at
        cover, islands = covered(layers, number, settings), polygons(layer)
        while islands:
            places = range(len(islands))
            here = head.at
            nearest = 0 if here is None else min(places, key=lambda i: islands[i].distance(Point(here)))
            print_island(head, islands.pop(nearest), cover, 45.0 if number % 2 == 0 else -45.0)
        print_supports(head, rooms[number], 45.0 if number % 2 == 0 else -45.0)
        heads.append(head)
    return heads


def support_rooms(layers: list[Any], settings: PrintSettings) -> list[Any]:
    """Where supports stand in every layer, from the top down.

    An underside is flatter than 45 degrees where a layer reaches out over the one below by more than the
    layer height; all of that step is carried then.
    """
    step, gap = settings.layer_height_mm, int(settings.support_gap_mm / settings.layer_height_mm + 0.5)
    carried: list[Any] = [Polygon()] * (len(layers) + gap + 1)
    for number in range(1, len(layers)):
        out = layers[number].difference(layers[number - 1])
        flat = out.difference(layers[number - 1].buffer(1.001 * step))
        carried[number] = out.intersection(flat.buffer(1.01 * step)) if not flat.is_empty else Polygon()
    rooms: list[Any] = [Polygon()] * len(layers)
    above: Any = Polygon()
    for number in reversed(range(len(layers))):
        above = above.union(carried[number + 1 + gap]).difference(layers[number])
        above = rooms[number] = joined(above)
    return rooms


def joined(area: Any, gap: float = 1e-3) -> Any:
    """An area without the hair-thin gaps and slivers that steps laid side by side leave."""
    for move in (gap, -2 * gap, gap):
        area = area.buffer(move, join_style="mitre")
    return area


def print_supports(head: Head, room: Any, angle: float) -> None:
    """Lines over the supports of a layer, the nearest piece next."""
    pieces, width = polygons(room), head.settings.line_width_mm
    while pieces:
        here = Point(head.at or (0.0, 0.0))
        piece = pieces.pop(min(range(len(pieces)), key=lambda i: pieces[i].distance(here)))
        inside = piece.buffer(-width / 2, join_style="mitre")
        print_zigzag(head, inside, width / head.settings.support_fill, angle, "support")


def sliced(mesh: Mesh, step: float) -> list[Any]:
    """The section in the middle of every layer."""
    solid = Manifold(Solid(mesh.vertices.astype(np.float32), mesh.faces.astype(np.uint32)))
    low, high = float(mesh.vertices[:, 2].min()), float(mesh.vertices[:, 2].max())
    return [section(solid, low + (i + 0.5) * step) for i in range(max(1, int((high - low) / step + 0.5)))]


def section(solid: Manifold, height: float) -> Any:
    """One section as polygons with holes."""
    found: Any = Polygon()
    for contour in solid.slice(height).to_polygons():
        found = found.symmetric_difference(Polygon(contour).buffer(0))
    return found


def polygons(area: Any) -> list[Polygon]:
    """The pieces of an area."""
    pieces = getattr(area, "geoms", [area])
    return [piece for piece in pieces if isinstance(piece, Polygon) and piece.area > 1e-6]


def speeds(settings: PrintSettings, first: bool) -> dict[str, float]:
    """Speeds by kind of line, capped by flow and in the first layer."""
    asked = {
        "outer": settings.outer_wall_speed_mm_s,
        "inner": settings.inner_wall_speed_mm_s,
        "skin": settings.skin_speed_mm_s,
        "fill": settings.fill_speed_mm_s,
        "support": settings.support_speed_mm_s,
    }
    most = settings.first_layer_speed_mm_s if first else math.inf
    return {kind: settings.capped_speed_mm_s(min(speed, most)) for kind, speed in asked.items()}


def covered(layers: list[Any], number: int, settings: PrintSettings) -> Any:
    """What has enough layers above and below it; nothing has near the top and bottom."""
    over = layers[number + 1 : number + 1 + settings.top_skins]
    under = layers[max(0, number - settings.bottom_skins) : number]
    if len(over) < settings.top_skins or len(under) < settings.bottom_skins:
        return Polygon()
    both = layers[number]
    for other in over + under:
        both = both.intersection(other)
    return both


def print_island(head: Head, island: Polygon, cover: Any, angle: float) -> None:
    """Walls, then skin, then fill of one island."""
    width, walls, fill = head.settings.line_width_mm, head.settings.walls, head.settings.fill
    for number in range(walls):
        core = island.buffer(-(number + 0.75) * width, join_style="mitre")
        print_loops(
            head, core.buffer(0.25 * width + 1e-6, join_style="mitre"), "inner" if number else "outer"
        )
    inside = island.buffer(-walls * width, join_style="mitre")
    skin = inside.difference(cover).buffer(-0.05 * width).buffer(0.05 * width)
    for kind, region, spacing in (("skin", skin, width), ("fill", inside.difference(skin), width / fill)):
        for piece in polygons(region.buffer(0)):
            print_zigzag(head, piece.buffer(-width / 2, join_style="mitre"), spacing, angle, kind)


def print_loops(head: Head, area: Any, kind: str) -> None:
    """All outlines of an area, the nearest next, each begun at its nearest corner."""
    waiting = [list(ring.coords) for piece in polygons(area) for ring in (piece.exterior, *piece.interiors)]
    while waiting:
        here = head.at or waiting[0][0]
        nearest = min(range(len(waiting)), key=lambda i: min(math.dist(here, p) for p in waiting[i]))
        loop = waiting.pop(nearest)
        begin = min(range(len(loop) - 1), key=lambda i: math.dist(here, loop[i]))
        head.print_along(loop[begin:-1] + loop[: begin + 1], kind)


def print_zigzag(head: Head, region: Any, spacing: float, angle: float, kind: str) -> None:
    """Parallel lines over a region, each followed by the nearest next, linked where near enough."""
    ends = lines_across(affinity.rotate(region, -angle, origin=(0, 0)), spacing)
    if not len(ends):
        return
    cosine, sine = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    ends = ends @ np.array([[cosine, sine], [-sine, cosine]])
    waiting = np.ones(len(ends), dtype=bool)
    chain: list[Place] = []
    at = np.array(head.at or ends[0, 0])
    while waiting.any():
        far = np.where(waiting[:, None], np.hypot(*(ends - at).transpose(2, 0, 1)), np.inf)
        line, side = divmod(int(far.argmin()), 2)
        if chain and far[line, side] > LINK_UP_TO * spacing:
            head.print_along(chain, kind)
            chain = []
        waiting[line] = False
        chain += [tuple(ends[line, side]), tuple(ends[line, 1 - side])]
        at = ends[line, 1 - side]
    head.print_along(chain, kind)


def lines_across(region: Any, spacing: float) -> Any:
    """Both ends of every level line inside a region, shape (lines, 2, 2)."""
    if region.is_empty:
        return np.zeros((0, 2, 2))
    left, low, right, high = region.bounds
    found = []
    for height in np.arange(math.floor(low / spacing) * spacing + spacing / 2, high, spacing):
        cut = region.intersection(LineString([(left - 1, height), (right + 1, height)]))
        pieces = [piece for piece in getattr(cut, "geoms", [cut]) if isinstance(piece, LineString)]
        found += [(piece.coords[0], piece.coords[-1]) for piece in pieces if piece.length > SHORTEST_MM]
    return np.array(found).reshape(-1, 2, 2)
