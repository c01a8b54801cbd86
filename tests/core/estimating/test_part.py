"""One copy's minutes and grams: what each setting does to them."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as trials
from hypothesis import strategies as st
from tests.core.estimating.solids import box, cone, cylinder, sphere, together, tube

from printcrib.core.estimating.layers import layer_parts
from printcrib.core.estimating.motion import corner_loss_s, corner_speed_mm_s, straight_s
from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.settings import settings_hash, typical_settings
from printcrib.core.shapes import Mesh

BLOCK = box(60, 40, 25)
TYPICAL = typical_settings(400)


def test_walls_are_what_offsets_are() -> None:
    parts = layer_parts(cylinder(15, 4, 128), TYPICAL)
    for number, length in enumerate(parts.wall_mm):
        radius = 15 - (number + 0.5) * 0.44
        assert length == pytest.approx(np.full(20, 2 * np.pi * radius), rel=2e-3)
    assert parts.wall_share.min() > 0.99


def test_a_block_is_walls_skin_and_fill() -> None:
    parts = layer_parts(BLOCK, TYPICAL)
    inside = (60 - 7 * 0.44) * (40 - 7 * 0.44)  # middles of lines, half a line inside three walls
    assert parts.skin_mm2[:4] == pytest.approx(np.full(4, inside), rel=1e-6)
    assert parts.skin_mm2[4:-4].max() == 0
    assert parts.fill_mm2[4:-4] == pytest.approx(np.full(117, inside), rel=1e-6)
    assert not parts.overlapping


def test_thin_ribs_get_no_third_wall_and_no_fill() -> None:
    ribs = together(*(box(1.0, 40, 10, at=(5.0 * place, 0, 0)) for place in range(6)))
    parts = layer_parts(ribs, TYPICAL)
    assert parts.wall_mm[0] == pytest.approx(np.full(50, 6 * 2 * 41 - 6 * 4 * 0.44), rel=1e-6)
    assert parts.wall_mm[1:].sum() < 0.05 * parts.wall_mm[0].sum()  # a second wall needs 1.54 mm
    assert parts.fill_mm2.max() == pytest.approx(0, abs=1e-9)


def test_overlapping_bodies_are_counted_once() -> None:
    cubes = together(box(20, 20, 20), box(20, 20, 20, at=(10, 0, 0)))
    part = estimate_part(cubes, replace(TYPICAL, fill=1.0))
    assert part.overlapping
    assert part.grams == pytest.approx(12 * 1.24, rel=0.02)


def test_without_walls_or_fill_little_is_left() -> None:
    bare = replace(TYPICAL, walls=0, fill=0.0, top_skins=0, bottom_skins=0)
    part = estimate_part(BLOCK, bare)
    assert part.grams == 0
    assert part.part_minutes == pytest.approx(125 * (8 + 0.3) / 60)  # only the least layer time


def test_only_skins() -> None:
    shell = replace(TYPICAL, walls=0, fill=0.0)
    assert estimate_part(BLOCK, shell).grams == pytest.approx(8 * 2400 * 0.2 * 1.24 / 1000, rel=0.01)


def test_the_first_layer_is_slow() -> None:
    slow = estimate_part(BLOCK, TYPICAL)
    fast = estimate_part(BLOCK, replace(TYPICAL, first_layer_speed_mm_s=80.0))
    assert slow.layer_seconds[0] > fast.layer_seconds[0]
    assert slow.layer_seconds[1:] == fast.layer_seconds[1:]


def test_what_an_estimate_carries() -> None:
    part = estimate_part(BLOCK, TYPICAL)
    assert part.layers == 125
    assert len(part.layer_seconds) == 125
    assert part.footprint_mm == (60.0, 40.0)
    assert part.settings_hash == settings_hash(TYPICAL)
    assert part.path_metres * 1000 * 0.44 * 0.2 * 1.24 / 1000 == pytest.approx(part.grams)


def test_every_nozzle_keeps_its_order_on_common_parts() -> None:
    for mesh in (BLOCK, sphere(20, 64, 64), tube(25, 22, 30), cone(20, 30, 64)):
        minutes = [estimate_part(mesh, typical_settings(bore)).part_minutes for bore in (400, 600, 800, 1000)]
        assert minutes == sorted(minutes, reverse=True)


def test_figures_like_those_of_common_practice() -> None:
    """A 60 x 40 x 25 block with typical settings: about 1 1/2, 3/4, 1/2 hour for 0.4, 0.6, 0.8 mm."""
    minutes = [estimate_part(BLOCK, typical_settings(bore)).part_minutes for bore in (400, 600, 800)]
    assert minutes == pytest.approx([78, 37, 25], rel=0.15)


@trials(max_examples=20, deadline=None)
@given(
    name=st.sampled_from(
        [
            "outer_wall_speed_mm_s",
            "inner_wall_speed_mm_s",
            "skin_speed_mm_s",
            "fill_speed_mm_s",
            "travel_speed_mm_s",
            "acceleration_mm_s2",
            "flow_limit_mm3_s",
            "corner_allowance_mm",
        ]
    ),
    factor=st.floats(1.0, 3.0),
)
def test_a_faster_machine_never_takes_longer(name: str, factor: float) -> None:
    faster = replace(TYPICAL, **{name: getattr(TYPICAL, name) * factor})
    mesh = tube(12, 8, 4, 24)
    quick, usual = estimate_part(mesh, faster).layer_seconds, estimate_part(mesh, TYPICAL).layer_seconds
    assert sum(quick) <= sum(usual) * (1 + 1e-9)


@given(
    length=st.floats(0.01, 500),
    cap=st.floats(5, 300),
    share=st.floats(0, 1),
    acceleration=st.floats(100, 9000),
)
def test_no_line_is_faster_than_its_speed(
    length: float, cap: float, share: float, acceleration: float
) -> None:
    ends = cap * share
    seconds = float(straight_s(np.array([length]), cap, ends, acceleration)[0])
    assert seconds >= length / cap * (1 - 1e-9)
    halves = 2 * float(straight_s(np.array([length / 2]), cap, ends, acceleration)[0])
    assert halves >= seconds * (1 - 1e-9)


def test_corners_cost_nothing_when_straight_and_a_stop_when_turning_back() -> None:
    speeds = corner_speed_mm_s(np.array([0.0, np.pi]), 1500, 0.03)
    assert speeds[0] == np.inf
    assert speeds[1] == pytest.approx(0, abs=1e-6)
    losses = corner_loss_s(speeds, 60, 1500, np.array([1000.0]))
    assert losses[0] == 0
    assert losses[1] == pytest.approx(60 / 1500)


def test_close_corners_cost_no_more_than_crawling() -> None:
    loss = corner_loss_s(np.array([10.0]), 60, 1500, np.array([0.1]))
    assert loss[0] == pytest.approx(0.1 * (1 / 10 - 1 / 60))


def test_an_inverted_body_inside_is_a_hole() -> None:
    inner = box(20, 20, 25, at=(10, 10, 0))
    frame = together(box(40, 40, 25), Mesh(inner.vertices, inner.faces[:, ::-1]))
    solid = estimate_part(frame, replace(TYPICAL, fill=1.0))
    assert solid.grams == pytest.approx((1600 - 400) * 25 / 1000 * 1.24, rel=0.01)


def test_thicker_ribs_have_all_their_walls() -> None:
    """3 mm holds three 0.44 mm walls on each side; 2 mm two; 1.3 mm one."""
    walls = [layer_parts(box(thick, 60, 4), TYPICAL).wall_mm.mean(axis=1) for thick in (3.0, 2.0, 1.3)]
    for lengths, wanted in zip(walls, ([1, 1, 1], [1, 1, 0], [1, 0, 0]), strict=True):
        assert (lengths / 120).round(1) == pytest.approx(wanted, abs=0.11)
