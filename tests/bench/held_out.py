"""Parts made for measuring alone: no rule of the estimate was looked at on the first six of them.

``held_out`` measures the estimate on parts it has never seen; ``overhanging`` are printed with supports.
Every function gives one part standing on the platform. Lengths in mm.
"""

from collections.abc import Callable, Iterable
from math import cos, pi, sin

import numpy as np
from manifold3d import CrossSection, FillRule, Manifold, OpType

from printcrib.core.shapes import Mesh

ROUND = 72


def held_out() -> dict[str, Callable[[], Mesh]]:
    """Parts nobody looked at while the rules were made."""
    return {
        "vee block": vee_block,
        "lobed knob": lobed_knob,
        "vent cover": vent_cover,
        "spoked wheel": spoked_wheel,
        "corner bracket": corner_bracket,
        "pin rack": pin_rack,
    }


def overhanging() -> dict[str, Callable[[], Mesh]]:
    """Parts with undersides flatter than 45 degrees."""
    return {
        "bobbin": bobbin,
        "table": table,
        "arch": arch,
        "leaning plate": leaning_plate,
        "ball handle": ball_handle,
    }


def vee_block() -> Mesh:
    """A block with a vee along it, a slot under the vee and two holes across."""
    body = _box(64, 44, 36)
    vee = _along([(0, 14), (20, 37), (-20, 37)], 66).translate((-1, 22, 0))
    slot = _box(66, 3, 12).translate((-1, 20.5, 8))
    holes = [_rod(4, 46).rotate((90, 0, 0)).translate((x, 45, 9)) for x in (14, 50)]
    return _mesh(body - vee - slot - _all(holes))


def lobed_knob() -> Mesh:
    """A knob with seven lobes, a blind hole for a nut below and a domed top in steps of a cone."""
    turn = np.arange(7 * 24) * 2 * pi / (7 * 24)
    outline = [((21 + 2.5 * cos(7 * a)) * cos(a), (21 + 2.5 * cos(7 * a)) * sin(a)) for a in turn]
    body = _extruded(outline, 14) + Manifold.cylinder(9, 17, 8, ROUND).translate((0, 0, 13.9))
    nut = Manifold.cylinder(7.5, 7.6, 7.6, 6).translate((0, 0, -1))
    return _mesh(body - nut - _rod(4.2, 30).translate((0, 0, -1)))


def vent_cover() -> Mesh:
    """A thin open shell, bottom up, with slots through its floor and posts in its corners."""
    body = _box(84, 52, 18) - _box(84 - 3.2, 52 - 3.2, 18).translate((1.6, 1.6, 1.6))
    slots = [_box(3, 34, 6).translate((12 + 6.5 * place, 9, -1)) for place in range(10)]
    posts = [_rod(3.4, 15).translate((x, y, 1.5)) for x in (5, 79) for y in (5, 47)]
    holes = [_rod(1.3, 20).translate((x, y, 3)) for x in (5, 79) for y in (5, 47)]
    return _mesh(body - _all(slots) + _all(posts) - _all(holes))


def spoked_wheel() -> Mesh:
    """A rim, five spokes narrowing outwards and a hub with a keyway."""
    rim = _rod(38, 11) - _rod(32.5, 13).translate((0, 0, -1))
    spoke = _extruded([(0, -4), (34, -2), (34, 2), (0, 4)], 7)
    spokes = _all(spoke.rotate((0, 0, 72 * place)) for place in range(5))
    key = _box(4, 3, 20).translate((-2, 5.5, -1))
    return _mesh(rim + spokes + _rod(11, 16) - _rod(6, 20).translate((0, 0, -1)) - key)


def corner_bracket() -> Mesh:
    """Two flanges at a right angle with two gussets and screw holes."""
    body = _box(58, 46, 5) + _box(5, 46, 50)
    gusset = _extruded([(4, 4), (40, 4), (4, 38)], 4).rotate((90, 0, 0))
    body = body + gusset.translate((0, 8, 0)) + gusset.translate((0, 42, 0))
    flat = [_rod(2.75, 8).translate((x, y, -1)) for x in (22, 46) for y in (15, 31)]
    upright = [_rod(2.75, 8).rotate((0, 90, 0)).translate((-1, y, 42)) for y in (15, 31)]
    return _mesh(body - _all(flat) - _all(upright))


def pin_rack() -> Mesh:
    """A plate with rows of tapered pins and a number of small through holes between them."""
    pins = [
        Manifold.cylinder(22, 3.2, 2.1, 28).translate((9 + 13 * i, 9 + 13 * j, 3.9))
        for i in range(5)
        for j in range(3)
    ]
    holes = [_rod(1.6, 8).translate((15.5 + 13 * i, 15.5 + 13 * j, -1)) for i in range(4) for j in range(2)]
    return _mesh(_box(70, 44, 4) + _all(pins) - _all(holes))


def bobbin() -> Mesh:
    """Two flanges on a core: the upper one hangs out all round."""
    return _mesh(_rod(24, 4) + _rod(11, 30) + _rod(24, 4).translate((0, 0, 24)) - _rod(5, 40, -1))


def table() -> Mesh:
    """A plate on four legs."""
    legs = [_box(6, 6, 26).translate((x, y, 0)) for x in (0, 54) for y in (0, 34)]
    return _mesh(_all(legs) + _box(60, 40, 5).translate((0, 0, 25)))


def arch() -> Mesh:
    """A block with a round tunnel and an arm over a step: supports on the platform and on the part."""
    tunnel = Manifold.cylinder(32, 15, 15, ROUND).rotate((90, 0, 0)).translate((24, 31, 2))
    arm = _box(22, 12, 6).translate((50, 9, 28))
    return _mesh(_box(52, 30, 34) - tunnel + arm + _box(74, 30, 5))


def leaning_plate() -> Mesh:
    """A plate that leans 60 degrees out of the upright on a foot."""
    plate = _along([(0, 0), (46, 26.56), (46, 33.49), (-12, 0)], 34)
    return _mesh(plate + _box(34, 26, 3).translate((0, -14, 0)))


def ball_handle() -> Mesh:
    """A ball on a stem with a collar."""
    ball = Manifold.sphere(15, ROUND).translate((0, 0, 38))
    return _mesh(ball + _rod(6, 40) + _rod(16, 4) + _rod(12, 3).translate((0, 0, 12)))


def _mesh(body: Manifold) -> Mesh:
    held = body.to_mesh64()
    vertices = np.asarray(held.vert_properties, dtype=np.float64)[:, :3]
    return Mesh(vertices - vertices.min(axis=0), np.asarray(held.tri_verts, dtype=np.int64))


def _all(bodies: Iterable[Manifold]) -> Manifold:
    return Manifold.batch_boolean(list(bodies), OpType.Add)


def _box(width: float, depth: float, height: float) -> Manifold:
    return Manifold.cube((width, depth, height))


def _rod(radius: float, height: float, low: float = 0.0) -> Manifold:
    return Manifold.cylinder(height, radius, radius, ROUND).translate((0, 0, low))


def _extruded(outline: list[tuple[float, float]], height: float) -> Manifold:
    return CrossSection([np.array(outline)], FillRule.EvenOdd).extrude(height)


def _along(outline: list[tuple[float, float]], length: float) -> Manifold:
    """An outline in y and z, pulled along x."""
    return _extruded(outline, length).rotate((90, 0, 90))
