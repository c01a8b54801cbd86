"""Which layers are laid out, and which are near enough to one of those to be timed by it."""

from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.outline import Levels
from printcrib.core.estimating.sections import Sections
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.shapes import Floats, Indices, Mesh

ALIKE = 0.02  # area and outline may differ by this much
SKIN_ALIKE = 0.005  # and the exposed part of the area by this; skin takes several times as long as fill


@dataclass(frozen=True, eq=False)
class KeyLayers:
    """The layer each layer goes by.

    Attributes:
        key: number of the layer that is laid out for each; its own where it is one of those.
        ratio: printed length over that of its key, from areas and outlines alone.
    """

    key: Indices
    ratio: Floats


def key_layers(mesh: Mesh, levels: Levels, cut: Sections, settings: PrintSettings) -> KeyLayers:
    """Pick the layers to lay out.

    A layer goes by another when loops, direction of the lines and the state of its skin (none, all or some)
    are the same, and area, outline and what is exposed over and under it nearly so.

    Args:
        mesh: the model. levels: its layer planes. cut: area, outline and loops of its layers.
        settings: line width, walls, skins and fill.
    """
    exposed, bridged = exposed_mm2(mesh, levels, settings)
    ends = np.arange(cut.layers)
    bare = (ends < settings.bottom_skins) | (ends >= cut.layers - settings.top_skins)
    state = np.where(bare, 2, exposed > SKIN_ALIKE / 4 * cut.area_mm2)
    same = np.column_stack((ends % 2, cut.loops, np.round(cut.euler), state, ends == 0))
    _, group = np.unique(same, axis=0, return_inverse=True)
    near = np.column_stack((cut.area_mm2, cut.perimeter_mm, np.where(bare, 0, exposed), bridged))
    skin = SKIN_ALIKE * cut.area_mm2
    limit = np.column_stack((ALIKE * cut.area_mm2, ALIKE * cut.perimeter_mm, skin, skin))
    key = np.full(cut.layers, -1, dtype=np.int64)
    for number in range(int(group.max()) + 1):
        members = np.flatnonzero(group == number)
        key[members] = members[keys_among(near[members], limit[members])]
    length = _lengths_mm(cut, np.where(bare, cut.area_mm2, exposed), settings)
    ratio = np.divide(length, length[key], out=np.ones_like(length), where=length[key] > 0)
    return KeyLayers(key, ratio.clip(1 - 2 * ALIKE, 1 + 2 * ALIKE))


def keys_among(near: Floats, limit: Floats) -> Indices:
    """For each layer of one kind the one it goes by: each key lies in the middle of those that go by it."""
    key = np.full(len(near), -1, dtype=np.int64)
    for layer in range(len(near)):
        if key[layer] < 0:
            free = key < 0
            alike = free & (np.abs(near - near[layer]) <= limit).all(axis=1)
            stretch = np.flatnonzero(~alike[layer:])
            middle = layer + (int(stretch[0]) if len(stretch) else len(near) - layer) - 1
            key[free & (np.abs(near - near[middle]) <= limit[middle]).all(axis=1)] = middle
            key[[layer, middle]] = middle
    return key


def exposed_mm2(mesh: Mesh, levels: Levels, settings: PrintSettings) -> tuple[Floats, Floats]:
    """How much of each layer has a face of the model within its skins over or under it, or just under it.

    Faces seen from above are summed over the layers they lie in and those the top skins reach down to,
    faces seen from below likewise upwards.
    """
    a, b, c = (mesh.vertices[mesh.faces[:, i], :2] for i in range(3))
    flat = ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) / 2
    above = levels.above[mesh.faces]
    low, high = above.min(axis=1), above.max(axis=1)
    over, under = flat > 0, flat < 0
    # Gap g lies under plane g: a face in it is the roof of layer g - 1 or the floor of layer g.
    roofs = _spread(flat[over], low[over], high[over], levels.count)
    floors = _spread(-flat[under], low[under], high[under], levels.count)
    top, bottom = settings.top_skins, settings.bottom_skins
    count = levels.count
    sum_of_roofs = np.concatenate((np.cumsum(roofs), np.full(top, roofs.sum())))
    sum_of_floors = np.concatenate((np.zeros(bottom), np.cumsum(floors)))
    roofed = sum_of_roofs[top : top + count] - sum_of_roofs[:count]
    floored = sum_of_floors[bottom : bottom + count] - sum_of_floors[:count]
    return np.asarray(roofed + floored), floors[:count]


def _spread(area: Floats, low: Indices, high: Indices, layers: int) -> Floats:
    """Areas spread evenly over the gaps between planes they reach through."""
    share = area / (high - low + 1)
    changes = np.bincount(low, share, layers + 2) - np.bincount(high + 1, share, layers + 2)
    return np.asarray(np.cumsum(changes)[: layers + 1])


def _lengths_mm(cut: Sections, exposed: Floats, settings: PrintSettings) -> Floats:
    """Length of every layer's lines without links, from areas and outlines alone."""
    width = settings.line_width_mm
    area = np.maximum(cut.area_mm2, 0)
    walls = np.minimum(settings.walls * cut.perimeter_mm, area / width)
    inside = area - walls * width
    skin = np.minimum(exposed, area) * np.divide(inside, area, out=np.zeros_like(area), where=area > 0)
    return np.asarray(walls + (skin + (inside - skin) * settings.fill) / width)
