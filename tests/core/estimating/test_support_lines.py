"""Supports laid out as lines: their length, the way there and on, layers that go by another."""

from dataclasses import replace

import numpy as np
import pytest
from tests.core.estimating.solids import box, t_bridge, together

from printcrib.core.estimating.paths.kernels import PathKernels
from printcrib.core.estimating.paths.moves import Ends
from printcrib.core.estimating.paths.support_lines import SupportLines, supports_laid_out
from printcrib.core.estimating.sections import levels_of
from printcrib.core.estimating.settings import PrintSettings, typical_settings
from printcrib.core.shapes import Mesh

ON = replace(typical_settings(400), supports=1, support_gap_mm=0.0)
DECK = together(box(8, 8, 10), box(8, 8, 10, at=(52, 0, 0)), box(60, 40, 4, at=(0, 0, 10)))
AT_CORNER: Ends = (np.array([(0.0, 0.0), (60.0, 0.0)]), np.array([60.0, 8.0]))


def laid_out(mesh: Mesh, settings: PrintSettings = ON, ends: Ends | None = None) -> SupportLines:
    levels = levels_of(mesh, settings.layer_height_mm)
    mesh = Mesh(mesh.vertices - mesh.vertices.min(axis=0), mesh.faces)
    return supports_laid_out(mesh, levels, settings, [ends] * levels.count, PathKernels())


def test_lines_cover_their_share_of_the_room_within_half_a_line() -> None:
    found = laid_out(t_bridge())
    room = 2 * (10 - 0.44) * (20 - 0.44)
    assert found.area_mm2[:50] == pytest.approx(np.full(50, 400.0))
    straights = room * ON.support_fill / ON.line_width_mm
    assert (found.printed_mm[:50] > 0.95 * straights).all()
    assert (found.printed_mm[:50] < 1.6 * straights).all()  # links come to it
    assert not found.printed_mm[50:].any()


def test_their_time_is_not_under_length_over_speed() -> None:
    found = laid_out(t_bridge())
    assert (found.seconds[1:50] > found.printed_mm[1:50] / ON.support_speed_mm_s).all()
    assert found.seconds[0] > 1.5 * found.seconds[2]  # the first layer is slow


def test_the_way_from_the_model_and_back_to_it_counts() -> None:
    alone, visited = laid_out(DECK), laid_out(DECK, ends=AT_CORNER)
    assert visited.printed_mm[10] == pytest.approx(alone.printed_mm[10], rel=0.1)
    assert visited.seconds[10] > alone.seconds[10] + 0.1


def test_the_nearer_of_two_rooms_comes_first() -> None:
    near, far = (laid_out(t_bridge(), ends=(np.array([[x, 10.0]]), np.array([0.0, 10.0]))) for x in (30, 0))
    assert near.printed_mm[10] == pytest.approx(far.printed_mm[10], rel=1e-9)
    assert near.seconds[10] < far.seconds[10]  # after the far room the model goes on beside it


def test_none_where_none_are_wanted_or_nothing_hangs() -> None:
    for settings in (replace(ON, supports=0), replace(ON, support_fill=0.0)):
        assert not laid_out(DECK, settings).seconds.any()
    assert not laid_out(box()).printed_mm.any()


def test_a_room_thinner_than_a_line_holds_none() -> None:
    ledge = together(box(20, 20, 10), box(20.4, 20, 4, at=(0, 0, 10)))
    found = laid_out(ledge)
    assert found.area_mm2[10] > 0
    assert not found.printed_mm.any()


def test_layers_in_between_go_by_a_key_layer() -> None:
    found = laid_out(DECK)
    assert len(np.unique(found.printed_mm[1:50].round(6))) == 2  # one for each direction of the lines
