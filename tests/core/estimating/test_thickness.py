"""Thin places: half the distance to the wall opposite, along the outline."""

import numpy as np
import pytest
from tests.core.estimating.solids import box, cone, cylinder, lathe, moved, together, tube

from printcrib.core.estimating.layers import layer_parts
from printcrib.core.estimating.sections import Sections, levels_of, sections, segments_at
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.estimating.thickness import MOST_KEYS, Thinness, key_layers, thinness_of
from printcrib.core.shapes import Mesh, turned_outside_out


def thin(mesh: Mesh, depths: list[float], step: float = 0.2) -> tuple[Thinness, Sections]:
    cut = sections(mesh, step)
    return thinness_of(mesh, levels_of(mesh, step), cut, np.array(depths), 0.3), cut


def test_segments_go_round_with_the_model_to_their_left() -> None:
    block = box(40, 30, 2)
    start, end = segments_at(block, levels_of(block, 0.2), 3)
    assert np.hypot(*(end - start).T).sum() == pytest.approx(140)
    twice = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
    assert twice.sum() / 2 == pytest.approx(1200)


def test_a_rib_is_thin_from_half_its_width_on() -> None:
    found, _ = thin(box(2.0, 60, 2), [0.99, 1.01, 1.5])
    assert found.lost_mm[0].max() == 0
    assert found.lost_mm[1] == pytest.approx(np.full(10, 120.0))
    # All 120 mm of long sides would have moved 0.5 mm too far.
    assert found.closed_mm2[2] == pytest.approx(np.full(10, 60.0), rel=0.02)


def test_a_ring_is_thin_all_round() -> None:
    found, cut = thin(tube(20, 18.4, 2, 128), [0.75, 0.85])
    assert found.lost_mm[0].max() == 0
    assert found.lost_mm[1] == pytest.approx(cut.perimeter_mm)


def test_of_a_crowded_outline_some_pieces_stand_for_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("printcrib.core.estimating.thickness.MOST_PAIRS", 500)
    found, cut = thin(tube(20, 18.4, 2, 128), [0.75, 0.85])
    assert found.lost_mm[0].max() == 0
    assert found.lost_mm[1] == pytest.approx(cut.perimeter_mm)


def test_a_hole_near_an_edge_leaves_a_neck() -> None:
    """A hole of 10 mm radius, 1 mm from the edge: thin where the edge is nearer than 2 mm.

    Where a circle of 1 mm radius touches edge and hole, (11 - 1)^2 + x^2 = (10 + 1)^2.
    """
    hole = turned_outside_out(cylinder(10, 2, 256))
    found, _ = thin(together(box(60, 60, 2), moved(hole, 11, 30)), [1.0])
    edge = np.sqrt(11**2 - 10**2)
    angle = np.arctan2(edge, 10)
    assert found.lost_mm[0] == pytest.approx(np.full(10, 2 * edge + 2 * 10 * angle), rel=0.05)


def test_a_thick_block_is_nowhere_thin() -> None:
    found, _ = thin(box(40, 30, 4), [0.5, 1.5])
    assert found.lost_mm.max() == 0
    assert found.closed_mm2.max() == 0


def test_nothing_is_thin_where_there_is_nothing() -> None:
    found, _ = thin(together(box(1, 20, 1), box(1, 20, 1, at=(0, 0, 3))), [1.0])
    assert found.lost_mm[0, 5:15].max() == 0
    assert found.lost_mm[0, :5].min() == pytest.approx(40)


def test_like_layers_are_measured_once_and_very_many_spread_over_the_height() -> None:
    starts, ends = key_layers(sections(together(box(10, 10, 2), box(4, 4, 2, at=(3, 3, 2))), 0.2), 24)
    assert (starts.tolist(), ends.tolist()) == ([0, 10], [9, 19])
    starts, ends = key_layers(sections(cone(20, 40), 0.2), 256)
    assert len(starts) <= MOST_KEYS
    assert (starts[0], ends[-1]) == (0, 199)
    starts, _ = key_layers(sections(cone(20, 40), 0.2), 2_000_000)
    assert len(starts) <= 4


def test_between_key_layers_thinness_changes_evenly() -> None:
    """A vessel whose wall grows from 1 mm to 5 mm: thin for a depth of 1 mm over the first quarter."""
    wedge = lathe([(20, 0), (24, 40)], 96)
    inner = turned_outside_out(lathe([(19, 0), (19, 40)], 96))
    found, cut = thin(together(wedge, inner), [1.0])
    share = found.lost_mm[0] / cut.perimeter_mm
    assert share[:30] == pytest.approx(np.ones(30), abs=0.01)
    assert share[75:].max() == pytest.approx(0, abs=0.01)
    assert share.sum() / len(share) == pytest.approx(0.25, abs=0.04)


@pytest.mark.parametrize(("width", "second"), [(1.52, 0.0), (1.56, 1.0)])
def test_a_wall_that_just_fits_is_told_from_one_that_just_does_not(width: float, second: float) -> None:
    """The second wall of 0.44 mm needs 2 x 1.75 x 0.44 = 1.54 mm."""
    lengths = layer_parts(box(width, 80, 2), typical_settings(400)).wall_mm.mean(axis=1)
    assert lengths[1] / 160 == pytest.approx(second, abs=0.03)
