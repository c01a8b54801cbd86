"""Layer areas, outlines and loop counts against closed forms.

Source: elementary geometry (area and perimeter of a circle, of similar sections of a cone, of a sphere's
and a torus's horizontal sections; Euler's count of outer loops less holes). An N-sided model of a circle
has area (N/2) sin(2 pi/N) r^2 and outline 2 N sin(pi/N) r, which is exact; the tolerance against the
round shape is that deviation (0.05 % at N = 128).
"""

import numpy as np
import pytest
from tests.core.estimating.solids import box, cone, cylinder, moved, sphere, together, torus, tube

from printcrib.core.estimating.sections import sections
from printcrib.core.shapes import Floats, Mesh

SIDES = 128
AREA = SIDES / 2 * np.sin(2 * np.pi / SIDES)
OUTLINE = 2 * SIDES * np.sin(np.pi / SIDES)


def middles(height: float, step: float) -> Floats:
    return np.asarray((np.arange(round(height / step)) + 0.5) * step)


def test_cylinder() -> None:
    cut = sections(cylinder(15, 30, SIDES), 0.2)
    assert cut.layers == 150
    assert cut.area_mm2 == pytest.approx(np.full(150, AREA * 225), rel=1e-12)
    assert cut.perimeter_mm == pytest.approx(np.full(150, OUTLINE * 15), rel=1e-12)
    assert cut.area_mm2 == pytest.approx(np.full(150, np.pi * 225), rel=5e-4)
    assert cut.perimeter_mm == pytest.approx(np.full(150, 2 * np.pi * 15), rel=2e-4)


def test_cone() -> None:
    cut = sections(cone(20, 40, SIDES), 0.2)
    radius = 20 * (1 - middles(40, 0.2) / 40)
    assert cut.area_mm2 == pytest.approx(AREA * radius**2, rel=1e-9)
    assert cut.perimeter_mm == pytest.approx(OUTLINE * radius, rel=1e-9)
    assert cut.area_mm2.sum() * 0.2 == pytest.approx(np.pi * 400 * 40 / 3, rel=1e-3)


def test_sphere() -> None:
    cut = sections(sphere(25, 256, 256), 0.2)
    height = middles(50, 0.2) - 25
    radius = np.sqrt(625 - height**2)
    inner = slice(5, -5)  # the caps are flats of the facets, not of the sphere
    assert cut.area_mm2[inner] == pytest.approx((np.pi * radius**2)[inner], rel=2e-3)
    assert cut.perimeter_mm[inner] == pytest.approx((2 * np.pi * radius)[inner], rel=1e-3)
    assert cut.area_mm2.sum() * 0.2 == pytest.approx(4 / 3 * np.pi * 25**3, rel=1e-3)


def test_torus() -> None:
    cut = sections(torus(30, 8, 256, 256), 0.2)
    height = middles(16, 0.2) - 8
    half = np.sqrt(64 - height**2)
    inner = slice(4, -4)
    assert cut.area_mm2[inner] == pytest.approx((4 * np.pi * 30 * half)[inner], rel=2e-3)
    assert cut.perimeter_mm[inner] == pytest.approx(np.full(80, 4 * np.pi * 30)[inner], rel=1e-3)
    assert (cut.euler == 0).all()
    assert (cut.loops == 2).all()


def test_box_of_whole_layers() -> None:
    cut = sections(box(40, 30, 20), 0.2)
    assert cut.area_mm2 == pytest.approx(np.full(100, 1200.0))
    assert cut.perimeter_mm == pytest.approx(np.full(100, 140.0))
    assert cut.projected_mm == pytest.approx(np.full(100, 140 / np.sqrt(2)))
    assert cut.corner_sum == pytest.approx(np.full(100, 4.0))
    assert (cut.vertices == 4).all()


def test_loops_less_holes() -> None:
    assert (sections(cylinder(15, 30), 0.3).euler == 1).all()
    assert (sections(tube(15, 9, 30), 0.3).euler == 0).all()
    rows = [tube(4, 2, 12, 16) for _ in range(60)]
    plate = together(
        *(moved(each, 10.0 * (place % 10), 10.0 * (place // 10)) for place, each in enumerate(rows))
    )
    cut = sections(plate, 0.3)
    assert (cut.euler == 0).all()
    assert (cut.loops == 120).all()


def test_sixty_holes_in_a_plate() -> None:
    holes = [moved(tube(2, 1.99999, 12, 16), 10.0 * (i % 10), 10.0 * (i // 10)) for i in range(60)]
    inner_walls = [Mesh(hole.vertices, hole.faces[64:96]) for hole in holes]  # the inward side alone
    plate = together(moved(box(120, 80, 12), -10, -10), *inner_walls)
    cut = sections(plate, 0.3)
    assert (cut.euler == -59).all()
    assert (cut.loops == 61).all()
