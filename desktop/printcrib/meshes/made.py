"""Shop aids our own code makes, for the demo shop and for tests: closed solids of real size.

Every function gives one aid standing as it is printed, lowest point at height 0. Lengths in mm.
"""

from collections.abc import Callable, Iterable
from math import cos, pi, sin
from typing import TYPE_CHECKING

import numpy as np

from printcrib.core.shapes import Mesh, turned

if TYPE_CHECKING:
    from manifold3d import CrossSection, Manifold

FINE = 96  # sides of a large circle
SMALL = 40  # sides of a screw hole


def made_patterns() -> dict[str, Callable[..., Mesh]]:
    """The twelve aids by the name they have in the pattern book."""
    return {
        "caliper rest": caliper_rest,
        "collet tray": collet_tray,
        "hose clip": hose_clip,
        "deburring nest": deburring_nest,
        "thread cap": thread_cap,
        "funnel": funnel,
        "jaw pad": jaw_pad,
        "length stop": length_stop,
        "rail cover": rail_cover,
        "drill template": drill_template,
        "numbered tag": numbered_tag,
        "cable comb": cable_comb,
    }


def caliper_rest(length_mm: float = 165.0, beam_mm: float = 16.5, posts: int = 2) -> Mesh:
    """A base with slotted posts that a caliper lies in."""
    body = _block(length_mm, 62, 6, 8)
    spacing = (length_mm - 40) / max(1, posts - 1)
    for number in range(posts):
        post = _upright([(0, 0), (54, 0), (46, 40), (8, 40)], 12).translate((14 + number * spacing, 4, 5.9))
        slot = _box(20, beam_mm, 40).translate((10 + number * spacing, 31 - beam_mm / 2, 28))
        body = body + (post - slot)
    pocket = _block(length_mm - 80, 36, 4, 4).translate((40, 13, 3))
    return _mesh(body - pocket)


def collet_tray(collet_mm: float = 33.0, columns: int = 5, rows: int = 2) -> Mesh:
    """A tray with one tapered seat a collet (8 degrees a side) and a rim that keeps chips out."""
    pitch = collet_mm + 8
    width, depth = columns * pitch + 8, rows * pitch + 8
    seat = _cylinder(30, collet_mm / 2 - 30 * 0.1405, collet_mm / 2).translate((0, 0, 4))
    through = _cylinder(40, collet_mm / 4, collet_mm / 4, SMALL).translate((0, 0, -1))
    seats = [
        (seat + through).translate((4 + pitch * (column + 0.5), 4 + pitch * (row + 0.5), 0))
        for column in range(columns)
        for row in range(rows)
    ]
    rim = _block(width - 5, depth - 5, 10, 5).translate((2.5, 2.5, 27))
    return _mesh(_block(width, depth, 30, 7) - rim - _all(seats))


def hose_clip(hose_mm: float = 20.0, width_mm: float = 18.0, wall_mm: float = 3.2) -> Mesh:
    """An open ring on a screw foot that a coolant hose snaps into."""
    outer = hose_mm / 2 + wall_mm
    rise = outer + 4
    ring = _cylinder(width_mm, outer, outer).translate((0, rise, 0))
    foot = _box(2 * outer + 36, 5, width_mm).translate((-outer - 18, 0, 0))
    neck = _box(14, rise, width_mm).translate((-7, 0, 0))
    bore = _cylinder(width_mm + 2, hose_mm / 2, hose_mm / 2).translate((0, rise, -1))
    mouth = _extruded(
        [(0, rise), (outer + 4, rise + 1.5 * outer), (-outer - 4, rise + 1.5 * outer)], width_mm + 2
    )
    body = ring + foot + neck - bore - mouth.translate((0, 0, -1))
    for side in (-1, 1):
        hole = (
            _cylinder(20, 2.7, 2.7, SMALL)
            .rotate((90, 0, 0))
            .translate((side * (outer + 9), 10, width_mm / 2))
        )
        body = body - hole
    return _mesh(body)


def deburring_nest(length_mm: float = 110.0, depth_mm: float = 80.0, pocket_mm: float = 14.0) -> Mesh:
    """A block with the outline of a bracket sunk into it, finger room and two holes for screws."""
    height = pocket_mm + 8
    outline = [
        (14, 14),
        (length_mm - 14, 14),
        (length_mm - 14, 34),
        (42, 34),
        (42, depth_mm - 14),
        (14, depth_mm - 14),
    ]
    pocket = _section([outline]).offset(1.5, _round(), circular_segments=32).extrude(pocket_mm + 1)
    body = _block(length_mm, depth_mm, height, 6) - pocket.translate((0, 0, height - pocket_mm))
    body = body - _cylinder(pocket_mm + 1, 13, 14).translate((44, 36, height - pocket_mm))
    body = body - _cylinder(pocket_mm + 1, 10, 11).translate((14, depth_mm / 2, height - pocket_mm))
    return _mesh(
        body - _screw_holes([(length_mm - 14, depth_mm - 14), (length_mm - 40, depth_mm - 14)], height)
    )


def thread_cap(thread_mm: float = 30.0, pitch_mm: float = 3.0, depth_mm: float = 18.0) -> Mesh:
    """A cap with an inside thread and grip flutes that keeps a threaded end clean."""
    radius = thread_mm / 2
    outer = radius + 4.5
    body = _cylinder(depth_mm + 4, outer, outer) - _all(
        _cylinder(depth_mm + 6, 1.6, 1.6, 20).translate((outer * cos(at), outer * sin(at), -1))
        for at in np.linspace(0, 2 * pi, 16, endpoint=False)
    )
    turns = (depth_mm + 1) / pitch_mm
    core = _circle(radius - pitch_mm * 0.3, FINE).translate((pitch_mm * 0.3, 0))
    thread = core.extrude(depth_mm + 1, n_divisions=int(24 * turns), twist_degrees=360 * turns)
    lead = _cylinder(3, radius - 1, radius + 1).translate((0, 0, depth_mm + 1.2))
    return _mesh(body - thread.translate((0, 0, 4)) - lead)


def funnel(mouth_mm: float = 90.0, stem_mm: float = 16.0, wall_mm: float = 2.0) -> Mesh:
    """A funnel printed mouth down, with a rib on the stem that lets air out."""
    mouth, stem = mouth_mm / 2, stem_mm / 2
    slope, top = (mouth - stem) * 0.9 + 8, (mouth - stem) * 0.9 + 45
    outside = [(mouth + 3, 0), (mouth + 3, 3), (mouth, 8), (stem, slope), (stem * 0.8, top)]
    inside = [
        (stem * 0.8 - wall_mm, top),
        (stem - wall_mm, slope),
        (mouth - wall_mm, 8),
        (mouth - wall_mm, 0),
    ]
    body = _section([outside + inside]).revolve(FINE)
    ribs = [
        _extruded([(stem * 0.7, -1), (stem + 2, -1), (stem + 2, 1), (stem * 0.7, 1)], top - slope - 4)
        .rotate((0, 0, 120.0 * number))
        .translate((0, 0, slope))
        for number in range(3)
    ]
    air = _section([[(0, -1), (stem * 0.8 - wall_mm, -1), (stem * 0.8 - wall_mm, top + 1), (0, top + 1)]])
    return _mesh(body + (_all(ribs) - air.revolve(FINE)))


def jaw_pad(length_mm: float = 100.0, height_mm: float = 40.0, step_mm: float = 6.0) -> Mesh:
    """A soft pad for a vice jaw with a step and a vee for round work; printed on its back."""
    thick = 16.0
    step = _box(length_mm + 2, step_mm + 1, step_mm).translate((-1, height_mm - step_mm, thick - step_mm))
    vee = _extruded([(-9, 0.01), (9, 0.01), (0, -9)], height_mm + 2).rotate((-90, 0, 0))
    vee = vee.mirror((0, 0, 1)).translate((length_mm / 2, -1, thick))
    holes = _screw_holes([(20, height_mm / 2), (length_mm - 20, height_mm / 2)], thick, 8.5, 14)
    return _mesh(_block(length_mm, height_mm, thick, 2) - step - _upward(vee, thick) - holes)


def length_stop(bar_mm: float = 20.0, reach_mm: float = 60.0) -> Mesh:
    """A split clamp for a bar with an arm and a domed nose that sets the length of work."""
    ring, height = bar_mm / 2 + 8, 24.0
    arm = _box(reach_mm, 16, height).translate((ring - 4, -8, 0))
    ears = _box(16, 14, height).translate((-ring - 10, -7, 0))
    nose = _cylinder(height * 0.75, 9, 9).translate((ring + reach_mm - 4, 0, 0))
    dome = _cylinder(height * 0.25, 9, 5).translate((ring + reach_mm - 4, 0, height * 0.75))
    body = _cylinder(height, ring, ring) + arm + ears + nose + dome
    bore = _cylinder(height + 2, bar_mm / 2, bar_mm / 2).translate((0, 0, -1))
    split = _box(ring + 12, 2.4, height + 2).translate((-ring - 12, -1.2, -1))
    clamp = _cylinder(40, 2.75, 2.75, SMALL).rotate((90, 0, 0)).translate((-ring - 5, 20, height / 2))
    lighten = _block(reach_mm - 26, 8, height, 3).translate((ring + 4, -4, 5))
    return _mesh(body - bore - split - clamp - lighten)


def rail_cover(length_mm: float = 140.0, rail_mm: float = 23.0, height_mm: float = 26.0) -> Mesh:
    """A snap-on hood for a guide rail, printed on its end wall's side: walls, lips and one closed end."""
    wall, half = 2.4, rail_mm / 2 + 0.4
    lip = 1.2
    profile = [
        (-half - wall, 0),
        (-half + lip, 0),
        (-half + lip, 1.6),
        (-half, 3.2),
        (-half, height_mm - wall),
        (half, height_mm - wall),
        (half, 3.2),
        (half - lip, 1.6),
        (half - lip, 0),
        (half + wall, 0),
        (half + wall, height_mm - 3),
        (half + wall - 3, height_mm),
        (-half - wall + 3, height_mm),
        (-half - wall, height_mm - 3),
    ]
    hood = _extruded(profile, length_mm)
    end = _box(2 * half, height_mm - 1, wall).translate((-half, 0, 0))
    return turned(_mesh(hood + end), "-y/0")


def drill_template(holes: int = 12, drill_mm: float = 6.0, circle_mm: float = 90.0) -> Mesh:
    """A bolt-circle template with raised bushing seats, a locating spigot and a marked first hole."""
    plate = circle_mm / 2 + 14
    places = [
        (circle_mm / 2 * cos(at), circle_mm / 2 * sin(at)) for at in np.linspace(0, 2 * pi, holes, False)
    ]
    body = _cylinder(8, plate, plate)
    body = body + _all(
        _cylinder(14, drill_mm + 3, drill_mm + 2, SMALL).translate((x, y, 0)) for x, y in places
    )
    body = body + _cylinder(20, 16, 15)
    drilled = _all(_cylinder(30, drill_mm / 2, drill_mm / 2, SMALL).translate((x, y, -1)) for x, y in places)
    mark = _extruded([(plate + 1, -4), (plate + 1, 4), (plate - 6, 0)], 20).translate((0, 0, -1))
    return _mesh(body - drilled - mark - _cylinder(30, 10, 10).translate((0, 0, -1)))


def numbered_tag(number: int = 12, width_mm: float = 46.0, depth_mm: float = 24.0) -> Mesh:
    """A tag with a hole for a ring and its number raised."""
    body = _block(width_mm, depth_mm, 3, 5) - _cylinder(5, 2.5, 2.5, SMALL).translate((6.5, depth_mm / 2, -1))
    digits = [
        _digit(letter).translate((13 + 10.5 * place, 5, 2.9)) for place, letter in enumerate(str(number)[:3])
    ]
    return _mesh(body + _all(digits))


def cable_comb(cables: int = 6, cable_mm: float = 7.0) -> Mesh:
    """A comb that holds cables side by side, each in a seat with a narrower mouth."""
    pitch = cable_mm + 4
    width = cables * pitch + 28
    outline = [
        (0, 0),
        (width, 0),
        (width, 6),
        (width - 14, 6),
        (width - 14, cable_mm + 11),
        (14, cable_mm + 11),
        (14, 6),
        (0, 6),
    ]
    body = _extruded(outline, 12)
    for number in range(cables):
        x = 14 + pitch * (number + 0.5)
        mouth = _extruded(
            [(x - 2, 8), (x + 2, 8), (x + cable_mm / 2, cable_mm + 12), (x - cable_mm / 2, cable_mm + 12)], 14
        )
        seat = _cylinder(14, cable_mm / 2, cable_mm / 2, SMALL).translate((x, 4 + cable_mm / 2, 0))
        body = body - (mouth + seat).translate((0, 0, -1))
    for x in (7.0, width - 7):
        body = body - _cylinder(20, 2.25, 2.25, SMALL).rotate((90, 0, 0)).translate((x, 10, 6))
    return _mesh(body)


def _mesh(body: "Manifold") -> Mesh:
    """The finished solid on the platform."""
    held = body.to_mesh64()
    vertices = np.asarray(held.vert_properties, dtype=np.float64)[:, :3]
    return turned(Mesh(vertices, np.asarray(held.tri_verts, dtype=np.int64)))


def _all(bodies: Iterable["Manifold"]) -> "Manifold":
    from manifold3d import Manifold, OpType

    return Manifold.batch_boolean(list(bodies), OpType.Add)


def _round() -> object:
    from manifold3d import JoinType

    return JoinType.Round


def _section(contours: list[list[tuple[float, float]]]) -> "CrossSection":
    from manifold3d import CrossSection, FillRule

    return CrossSection([np.array(contour, dtype=np.float64) for contour in contours], FillRule.EvenOdd)


def _circle(radius_mm: float, sides: int) -> "CrossSection":
    from manifold3d import CrossSection

    return CrossSection.circle(radius_mm, sides)


def _extruded(outline: list[tuple[float, float]], height_mm: float) -> "Manifold":
    return _section([outline]).extrude(height_mm)


def _upright(outline: list[tuple[float, float]], thick_mm: float) -> "Manifold":
    """An outline in y and z, pulled along x."""
    return _extruded(outline, thick_mm).rotate((90, 0, 90))


def _upward(body: "Manifold", top_mm: float) -> "Manifold":
    """A cut that must reach above the top."""
    return body + body.translate((0, 0, top_mm / 100))


def _box(width_mm: float, depth_mm: float, height_mm: float) -> "Manifold":
    from manifold3d import Manifold

    return Manifold.cube((width_mm, depth_mm, height_mm))


def _cylinder(height_mm: float, low_mm: float, high_mm: float, sides: int = FINE) -> "Manifold":
    from manifold3d import Manifold

    return Manifold.cylinder(height_mm, low_mm, high_mm, sides)


def _block(width_mm: float, depth_mm: float, height_mm: float, corner_mm: float) -> "Manifold":
    """A block with round corners and a small chamfer above and below."""
    from manifold3d import CrossSection, Manifold

    def outline(inset: float) -> "CrossSection":
        square = CrossSection.square((width_mm - 2 * corner_mm, depth_mm - 2 * corner_mm))
        moved = square.translate((corner_mm, corner_mm))
        return moved.offset(corner_mm - inset, _round(), circular_segments=48)

    chamfer = min(0.8, height_mm / 4, corner_mm / 2)
    low = outline(chamfer).extrude(height_mm)
    middle = outline(0).extrude(height_mm - 2 * chamfer).translate((0, 0, chamfer))
    return Manifold.batch_hull([low, middle])


def _screw_holes(
    places: list[tuple[float, float]], height_mm: float, hole_mm: float = 5.5, head_mm: float = 10.0
) -> "Manifold":
    """Counterbored holes from above."""
    return _all(
        (
            _cylinder(height_mm + 2, hole_mm / 2, hole_mm / 2, SMALL)
            + _cylinder(height_mm, head_mm / 2, head_mm / 2, SMALL).translate((0, 0, height_mm * 0.6))
        ).translate((x, y, -1))
        for x, y in places
    )


# Strokes of a digit: top, upper left, upper right, middle, lower left, lower right, bottom.
STROKES = ((0, 12, 7, 2), (0, 6, 2, 8), (5, 6, 2, 8), (0, 6, 7, 2), (0, 0, 2, 8), (5, 0, 2, 8), (0, 0, 7, 2))
DIGITS = {
    "0": "1110111",
    "1": "0010010",
    "2": "1011101",
    "3": "1011011",
    "4": "0111010",
    "5": "1101011",
    "6": "1101111",
    "7": "1010010",
    "8": "1111111",
    "9": "1111011",
}


def _digit(letter: str) -> "Manifold":
    on = DIGITS.get(letter, "0001000")
    return _all(
        _box(width, depth, 1.3).translate((x, y, 0))
        for (x, y, width, depth), lit in zip(STROKES, on, strict=True)
        if lit == "1"
    )
