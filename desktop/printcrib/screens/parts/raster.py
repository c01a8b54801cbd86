"""A model as a grey picture: a depth buffer in numpy, which needs no graphics driver.

Triangles are grouped by the size of their box on the picture, so that each group is tried against
its pixels in one array operation; edges are found where depth or direction jumps between pixels.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_CLASSES = (2, 3, 4, 6, 8, 12, 16, 24, 32, 48, 64)
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
    a = corners[numbers, 0]
    ab, ac = corners[numbers, 1] - a, corners[numbers, 2] - a
    area = ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]
    whole = np.abs(area) > 1e-9  # a face seen edge on covers no pixel
    a, ab, ac, area, begin, numbers = (
        a[whole],
        ab[whole],
        ac[whole],
        area[whole],
        begin[whole],
        numbers[whole],
    )
    step_y, step_x = np.divmod(np.arange(wide * tall), wide)
    first = begin + 0.5 - a[:, :2]  # from corner a to the middle of the box's first pixel
    share_b = _share(first, ac, -area, step_x, step_y)
    share_c = _share(first, ab, area, step_x, step_y)
    hit = (share_b >= -1e-9) & (share_c >= -1e-9) & (share_b + share_c <= 1 + 1e-9)
    who, at = np.nonzero(hit)
    x, y = begin[who, 0] + step_x[at], begin[who, 1] + step_y[at]
    on = (x >= 0) & (x < width) & (y >= 0) & (y < height)
    who, at, pixel = who[on], at[on], y[on] * width + x[on]
    z = a[who, 2] + share_b[who, at] * ab[who, 2] + share_c[who, at] * ac[who, 2]
    np.maximum.at(depth, pixel, z)
    front = z >= depth[pixel]
    face[pixel[front]] = numbers[who[front]]


def _share(first: Floats, edge: Floats, area: Floats, step_x: Ints, step_y: Ints) -> Floats:
    """One corner's share at every pixel of the faces' boxes; it grows evenly in x and in y."""
    by_x, by_y = -edge[:, 1] / area, edge[:, 0] / area
    start = by_x * first[:, 0] + by_y * first[:, 1]
    return start[:, None] + by_x[:, None] * step_x[None, :] + by_y[:, None] * step_y[None, :]


def shade(seen: Seen, dark: float, light: float, edge: float) -> npt.NDArray[np.uint8]:
    """The picture as grey and alpha (height, width, 2), 0 to 255.

    Args:
        dark, light: greys of faces turned from and to the light. edge: grey of outlines.
    """
    towards = np.asarray(_LIGHT) / np.linalg.norm(_LIGHT)
    lit = np.clip(seen.normals @ towards, -1.0, 1.0) * 0.5 + 0.5
    greys = np.append(dark + (light - dark) * lit, 0.0).astype(np.uint8)  # the last one is for -1, no face
    lines = _edges(seen)
    picture = np.empty((*seen.face.shape, 2), dtype=np.uint8)
    picture[..., 0] = np.where(lines, np.uint8(edge), greys[seen.face])
    picture[..., 1] = np.where(lines | (seen.face >= 0), 255, 0)
    return picture


def _edges(seen: Seen) -> npt.NDArray[np.bool_]:
    """Pixels where silhouette, depth or direction jumps; looked for only where one face meets another."""
    lines = np.zeros(seen.face.shape, dtype=np.bool_)
    flat = lines.ravel()
    face, depth = seen.face.ravel(), seen.depth.ravel()
    width = seen.face.shape[1]
    limit = _JUMP_SHARE * max(seen.face.shape)
    for step, change in (
        (1, seen.face[:, :-1] != seen.face[:, 1:]),
        (width, seen.face[:-1] != seen.face[1:]),
    ):
        rows, columns = np.nonzero(change)
        one = rows * width + columns
        other = one + step
        outline = (face[one] < 0) | (face[other] < 0)
        a, b = seen.normals[face[one]], seen.normals[face[other]]
        sharp = np.einsum("ij,ij->i", a, b) < _SHARP_COS
        slope = np.minimum(np.abs(a[:, 2]), np.abs(b[:, 2]))
        with np.errstate(invalid="ignore"):
            jump = np.abs(depth[one] - depth[other]) > limit + 2.0 / np.maximum(slope, 0.05)
        found = outline | sharp | jump
        flat[one[found]] = True
        flat[other[found & (face[other] >= 0)]] = True
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
