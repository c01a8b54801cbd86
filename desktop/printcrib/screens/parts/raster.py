"""A model as a grey picture: a depth buffer in numpy, which needs no graphics driver.

Triangles are grouped by the size of their box on the picture, so that each group is tried against
its pixels in one array operation; edges are found where depth or direction jumps between pixels.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_CLASSES = (2, 4, 8, 16, 32, 64)
_AT_ONCE = 2_000_000
_LIGHT = (-0.45, -0.55, 0.70)
_SHARP_COS = 0.82
_JUMP_SHARE = 0.012
_ROOM = 1.04
"""Share of the picture the model's enclosing ball takes; its corners are seldom seen edge on."""


@dataclass(frozen=True)
class View:
    """From where a model is looked at.

    Attributes:
        turn, tilt: degrees about the upright axis, and from the side (0) to above (90).
        zoom: 1 fits the whole model.
    """

    turn: float = -35.0
    tilt: float = 28.0
    zoom: float = 1.0


@dataclass(frozen=True)
class Seen:
    """A model seen on a picture of given size.

    Attributes:
        face: number of the face at each pixel, -1 for none. depth: towards the viewer, mm.
        normals: unit normal of each face, in the viewer's axes (x right, y down, z to the viewer).
        top_y, bottom_y, right_x: where the model's axis begins and ends and its right edge, pixels.
    """

    face: Ints
    depth: Floats
    normals: Floats
    top_y: float
    bottom_y: float
    right_x: float


def turned(view: View) -> Floats:
    """The 3 x 3 matrix from the model's axes (z up) to the viewer's (x right, y down, z to the viewer)."""
    a, b = np.radians(view.turn), np.radians(view.tilt)
    across = np.array([np.cos(a), -np.sin(a), 0.0])
    to_viewer = np.array([-np.cos(b) * np.sin(a), -np.cos(b) * np.cos(a), np.sin(b)])
    up = np.cross(to_viewer, across)
    return np.stack([across, -up, to_viewer])


def see(vertices: Floats, faces: Ints, view: View, width: int, height: int) -> Seen:
    """Which face is seen at each pixel.

    Args:
        vertices: (n, 3) mm. faces: (m, 3) numbers of vertices. width, height: pixels of the picture.
    """
    middle = (vertices.min(axis=0) + vertices.max(axis=0)) / 2
    points = (vertices - middle) @ turned(view).T
    reach = float(np.linalg.norm(vertices.max(axis=0) - vertices.min(axis=0))) / 2 or 1.0
    scale = view.zoom * _ROOM * min(width, height) / 2 / reach
    points = points * [scale, scale, scale] + [width / 2, height / 2, 0.0]
    corners = points[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normals, axis=1)
    normals /= np.where(length > 0, length, 1.0)[:, None]
    normals[normals[:, 2] < 0] *= -1.0  # inside-out or cut-away faces are lit from the viewer's side
    face = np.full(width * height, -1, dtype=np.int64)
    depth = np.full(width * height, -np.inf)
    _fill(corners, face, depth, width, height)
    axis_top = turned(view) @ [0, 0, (vertices[:, 2].max() - vertices[:, 2].min()) / 2] * scale
    return Seen(
        face.reshape(height, width),
        depth.reshape(height, width),
        normals,
        height / 2 + float(axis_top[1]),
        height / 2 - float(axis_top[1]),
        float(points[:, 0].max()),
    )


def _fill(corners: Floats, face: Ints, depth: Floats, width: int, height: int) -> None:
    low = np.floor(corners[:, :, :2].min(axis=1)).astype(np.int64)
    high = np.ceil(corners[:, :, :2].max(axis=1)).astype(np.int64)
    inside = (high >= 0).all(axis=1) & (low[:, 0] < width) & (low[:, 1] < height)
    size = (high - low + 1).max(axis=1)
    smaller = 0
    for side in _CLASSES:
        chosen = np.flatnonzero(inside & (size <= side) & (size > smaller))
        step = max(1, _AT_ONCE // (side * side))
        for start in range(0, len(chosen), step):
            part = chosen[start : start + step]
            _try(corners, part, low[part], side, side, face, depth, width, height)
        smaller = side
    for one in np.flatnonzero(inside & (size > smaller)):
        begin = np.maximum(low[one], 0)
        wide, tall = np.minimum(high[one], [width - 1, height - 1]) - begin + 1
        if wide > 0 and tall > 0:
            _try(corners, np.array([one]), begin[None], int(wide), int(tall), face, depth, width, height)


def _try(
    corners: Floats,
    numbers: Ints,
    begin: Ints,
    wide: int,
    tall: int,
    face: Ints,
    depth: Floats,
    width: int,
    height: int,
) -> None:
    """Try some faces against the pixels of their boxes, and keep those nearest to the viewer."""
    a, b, c = (corners[numbers, i, :] for i in range(3))
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    area = np.where(np.abs(area) < 1e-12, np.inf, area)[:, None]
    step_y, step_x = np.divmod(np.arange(wide * tall), wide)
    x = begin[:, 0, None] + step_x[None, :]
    y = begin[:, 1, None] + step_y[None, :]
    px, py = x + 0.5, y + 0.5
    w1 = ((px - a[:, 0, None]) * (c - a)[:, 1, None] - (py - a[:, 1, None]) * (c - a)[:, 0, None]) / area
    w2 = ((py - a[:, 1, None]) * (b - a)[:, 0, None] - (px - a[:, 0, None]) * (b - a)[:, 1, None]) / area
    hit = (w1 >= -1e-9) & (w2 >= -1e-9) & (w1 + w2 <= 1 + 1e-9)
    hit &= (x >= 0) & (x < width) & (y >= 0) & (y < height)
    who, at = np.nonzero(hit)
    z = a[who, 2] + w1[who, at] * (b - a)[who, 2] + w2[who, at] * (c - a)[who, 2]
    pixel = y[who, at] * width + x[who, at]
    np.maximum.at(depth, pixel, z)
    front = z >= depth[pixel]
    face[pixel[front]] = numbers[who[front]]


def shade(seen: Seen, dark: float, light: float, edge: float) -> npt.NDArray[np.uint8]:
    """The picture as grey and alpha (height, width, 2), 0 to 255.

    Args:
        dark, light: greys of faces turned from and to the light. edge: grey of outlines.
    """
    shown = seen.face >= 0
    normals = np.zeros((*seen.face.shape, 3))
    normals[shown] = seen.normals[seen.face[shown]]
    towards = np.asarray(_LIGHT) / np.linalg.norm(_LIGHT)
    lit = np.clip(normals @ towards, -1.0, 1.0) * 0.5 + 0.5
    grey = dark + (light - dark) * lit
    lines = _edges(seen, normals, shown)
    grey[lines] = edge
    alpha = np.where(shown | lines, 255, 0)
    return np.stack([np.where(shown | lines, grey, 0), alpha], axis=-1).astype(np.uint8)


def _edges(seen: Seen, normals: Floats, shown: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    lines = np.zeros_like(shown)
    depth = np.where(shown, seen.depth, -1e9)
    limit = _JUMP_SHARE * max(shown.shape)
    for axis in (0, 1):
        one = tuple(slice(None, -1) if i == axis else slice(None) for i in range(2))
        other = tuple(slice(1, None) if i == axis else slice(None) for i in range(2))
        jump = shown[one] ^ shown[other]
        both = shown[one] & shown[other]
        turn = (normals[one] * normals[other]).sum(axis=-1) < _SHARP_COS
        slope = np.minimum(np.abs(normals[one][..., 2]), np.abs(normals[other][..., 2]))
        step = np.abs(depth[one] - depth[other]) > limit + 2.0 / np.maximum(slope, 0.05)
        found = jump | (both & (turn | step))
        lines[one] |= found
        lines[other] |= found & shown[other]
    return lines


def coarser(vertices: Floats, faces: Ints, cells: int) -> tuple[Floats, Ints]:
    """The same model with vertices pulled together on a grid, to turn a large one smoothly."""
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    size = float((high - low).max()) / cells or 1.0
    grid = np.floor((vertices - low) / size).astype(np.int64)
    key = (grid[:, 0] * (cells + 2) + grid[:, 1]) * (cells + 2) + grid[:, 2]
    _unique, first, where = np.unique(key, return_index=True, return_inverse=True)
    fewer = where[faces]
    whole = (fewer[:, 0] != fewer[:, 1]) & (fewer[:, 1] != fewer[:, 2]) & (fewer[:, 0] != fewer[:, 2])
    return vertices[first], fewer[whole]
