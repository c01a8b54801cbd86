"""Supports laid out as lines: their room is what the upright columns see; key layers stand for others."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from printcrib.core.estimating.columns import Spans, pixel_for, spans_of
from printcrib.core.estimating.layers import gap_layers
from printcrib.core.estimating.outline import Levels
from printcrib.core.estimating.paths.kernels import PathKernels
from printcrib.core.estimating.paths.key_layers import ALIKE, keys_among
from printcrib.core.estimating.paths.layout import FILL_ANGLE_RAD, Filling, moved, zigzag
from printcrib.core.estimating.paths.moves import SUPPORT, Ends, Head, LayerMoves, moves_of
from printcrib.core.estimating.paths.regions import Area, pieces_of
from printcrib.core.estimating.paths.timing import seconds_of
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.estimating.supports import Supports, rooms_of, supports_of
from printcrib.core.shapes import Floats, Indices, Mesh


@dataclass(frozen=True, eq=False)
class SupportLines:
    """Supports of every layer: seconds with the way there and back, length of their lines, their room."""

    seconds: Floats
    printed_mm: Floats
    area_mm2: Floats


def supports_laid_out(
    mesh: Mesh,
    levels: Levels,
    settings: PrintSettings,
    ends: Sequence[Ends | None],
    kernel: PathKernels,
) -> SupportLines:
    """Lay out the supports of a model.

    Args:
        mesh: the model, its low corner at the origin. levels: its layer planes.
        settings: supports or none, their fill and speed.
        ends: where the nozzle may begin and where it ends the model itself in every layer; None where
            nothing of it is.
        kernel: compiled twins.
    """
    laid = SupportLines(*np.zeros((3, levels.count)))
    if not settings.supports or settings.support_fill <= 0:
        return laid
    spans = spans_of(mesh, levels, pixel_for(mesh, levels, settings.line_width_mm), 1)
    gap = gap_layers(settings)
    seen, rooms = supports_of(spans, levels.count, gap), rooms_of(spans, gap)
    laid.area_mm2[:] = seen.area_mm2
    wanted = np.flatnonzero(seen.area_mm2 > 0)
    key = np.zeros(levels.count, dtype=np.int64)
    key[wanted] = _keys(seen, wanted)
    lines_mm2 = np.maximum(0, seen.area_mm2 - seen.outline_mm * settings.line_width_mm / 2)
    for layer in np.unique(key[wanted]).tolist():
        alike = wanted[key[wanted] == layer]
        area = moved(_room(spans, rooms, layer), -settings.line_width_mm / 2)
        if pieces_of(area):
            # Stairs of columns lose more than half a line along slanted outlines.
            share = lines_mm2[alike] / area.area
            moves = _moves(area, layer, settings, ends[layer], kernel)
            seconds = seconds_of(moves, settings, first=layer == 0, kernel=kernel.planner)
            laid.seconds[alike], laid.printed_mm[alike] = seconds * share, moves.printed_mm * share
    return laid


def _keys(seen: Supports, wanted: Indices) -> Indices:
    """For each layer with supports the one it goes by: the same direction of lines, nearly the same room."""
    key = np.zeros(len(wanted), dtype=np.int64)
    near = np.column_stack((seen.area_mm2, seen.outline_mm))[wanted]
    for group in (wanted == 0, (wanted > 0) & (wanted % 2 == 0), wanted % 2 == 1):
        members = np.flatnonzero(group)
        key[members] = wanted[members[keys_among(near[members], ALIKE * near[members])]]
    return key


def _room(spans: Spans, rooms: tuple[Indices, Indices], layer: int) -> Area:
    """The room for supports in one layer: runs of columns side by side, put together."""
    column, (low, high) = rooms
    standing = np.zeros((spans.rows, spans.wide + 1), dtype=bool)
    row, place = np.divmod(column[(low <= layer) & (layer < high)], spans.wide)
    standing[row, place + 1] = True
    change = np.diff(standing.astype(np.int8), axis=1, append=0)
    (row, begin), (_, end) = np.nonzero(change == 1), np.nonzero(change == -1)
    boxes = shapely.box(begin, row, end, row + 1)
    return shapely.transform(shapely.union_all(boxes), lambda at: (at - 1) * spans.pixel_mm)


def _moves(
    area: Area, layer: int, settings: PrintSettings, ends: Ends | None, kernel: PathKernels
) -> LayerMoves:
    """From where the model's own lines end over all supports, the nearest piece next, and on to the model."""
    head = Head(kernel=kernel.nearest)
    if ends is not None:
        head.print_along(ends[1][None], SUPPORT)
    angle = -FILL_ANGLE_RAD if layer % 2 else FILL_ANGLE_RAD
    width = settings.line_width_mm
    how = Filling(SUPPORT, width, width / settings.support_fill, angle)
    pieces = pieces_of(area)
    while pieces:
        nearest = int(np.argmin(shapely.distance(pieces, shapely.Point(head.here))))
        zigzag(head, pieces.pop(nearest), how)
    if ends is not None:
        begins = ends[0]
        nearest = int(((begins - head.here) ** 2).sum(axis=1).argmin())
        head.print_along(begins[nearest : nearest + 1], SUPPORT)
    return moves_of(head)
