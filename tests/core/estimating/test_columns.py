"""Upright columns: what is solid, inside, skin; bodies that overlap count once."""

import numpy as np
import pytest
from tests.core.estimating.solids import box, cylinder, sphere, together, without

from printcrib.core.estimating.columns import (
    SkinRule,
    Zones,
    count_by_bit,
    pixel_for,
    ring_offsets,
    spans_of,
    zones_of,
)
from printcrib.core.estimating.sections import levels_of
from printcrib.core.shapes import Mesh


def zones(mesh: Mesh, depths: list[float], skins: int = 4, step: float = 0.2, pixel: float = 0.2) -> Zones:
    levels = levels_of(mesh, step)
    margin = int(max([*depths, 0]) / pixel) + 2
    rule = SkinRule(skins, skins, len(depths))
    return zones_of(spans_of(mesh, levels, pixel, margin), levels.count, depths, rule)


def test_a_block_from_outside_in() -> None:
    found = zones(box(40, 30, 20), [0.4, 0.8, 1.2])
    assert found.solid == pytest.approx(np.full(100, 1200.0), rel=0.01)
    for depth, seen in zip((0.4, 0.8, 1.2), found.inside, strict=True):
        assert seen == pytest.approx(np.full(100, (40 - 2 * depth) * (30 - 2 * depth)), rel=0.01)
    assert found.skin[[0, 3, 96, 99]] == pytest.approx(found.inside[-1][[0, 3, 96, 99]])
    assert found.skin[4:96].max() == 0


def test_lines_across_see_the_outline() -> None:
    found = zones(box(40, 30, 20), [0.4])
    outline = 2 * (39.2 + 29.2)
    assert found.skin_across[0] == pytest.approx(outline / np.sqrt(2), rel=0.02)
    assert found.fill_across[50] == pytest.approx(outline / np.sqrt(2), rel=0.02)
    assert found.fill_across[0] == 0


def test_overlapping_cubes_count_once() -> None:
    """Two cubes of 20 mm, one moved by 10 mm: 12,000 mm3 together, 16,000 if each is counted."""
    cubes = together(box(20, 20, 20), box(20, 20, 20, at=(10, 0, 0)))
    assert zones(cubes, []).solid.sum() * 0.2 == pytest.approx(12000, rel=0.01)


def test_a_void_inside_stays_empty() -> None:
    ball = sphere(6, 48, 48)
    hollow = together(box(30, 30, 30), Mesh(ball.vertices + 15, ball.faces[:, ::-1]))
    found = zones(hollow, [0.4])
    assert found.solid.sum() * 0.2 == pytest.approx(27000 - 4 / 3 * np.pi * 216, rel=0.01)
    assert found.skin[44] > 0  # the void's floor needs skin


def test_thin_ribs_have_no_inside() -> None:
    ribs = together(*(box(1.0, 40, 10, at=(5.0 * place, 0, 0)) for place in range(6)))
    found = zones(ribs, [0.4, 0.8])
    assert found.inside[0] == pytest.approx(np.full(50, 6 * 0.2 * 39.2), rel=0.2)
    assert found.inside[1].max() == 0


def test_a_faulty_surface_gives_what_it_can() -> None:
    found = zones(without(box(40, 30, 20), 2), [0.4])
    assert found.solid.max() <= 1212
    assert found.solid.min() >= 500


def test_columns_get_coarser_for_large_and_tall_models() -> None:
    assert pixel_for(box(40, 30, 20), levels_of(box(40, 30, 20), 0.2), 0.44) == pytest.approx(0.22)
    large = box(400, 400, 20)
    assert pixel_for(large, levels_of(large, 0.2), 0.44) == pytest.approx(400 / np.sqrt(300_000))
    tall = box(100, 100, 400)
    assert pixel_for(tall, levels_of(tall, 0.2), 0.44) > 0.22


def test_layers_beyond_one_word_are_counted() -> None:
    found = zones(sphere(12, 48, 96), [0.4], step=0.1)
    radius = np.sqrt(np.maximum(0, 144 - ((np.arange(240) + 0.5) * 0.1 - 12) ** 2))
    assert found.solid[20:220] == pytest.approx(np.pi * radius[20:220] ** 2, rel=0.03)


def test_bits_are_counted_without_spreading_them_all() -> None:
    chance = np.random.default_rng(5)
    words = chance.integers(0, 2**63, 5000, dtype=np.uint64) * np.uint64(2) + np.uint64(1)
    expected = [int(((words >> np.uint64(bit)) & np.uint64(1)).sum()) for bit in range(64)]
    assert count_by_bit(words).tolist() == expected
    assert count_by_bit(words[:0]).tolist() == [0] * 64


def test_a_ring_goes_all_round() -> None:
    assert set(ring_offsets(0.4)) == set()
    ring = set(ring_offsets(6))
    assert {(6, 0), (0, 6), (-6, 0), (0, -6), (4, 4)} <= ring
    assert all(5.3 <= np.hypot(*step) <= 6.7 for step in ring)


def test_skin_stops_where_the_part_is_thin() -> None:
    thin = zones(cylinder(10, 1.0, 64), [0.4], skins=4)
    assert thin.skin == pytest.approx(thin.inside[-1])


def test_bodies_that_touch_or_overlap_have_no_skin_between_them() -> None:
    stacked = together(box(20, 20, 10), box(20, 20, 10, at=(0, 0, 10)), box(10, 10, 10, at=(5, 5, 4)))
    found = zones(stacked, [0.4])
    assert found.skin[[0, 99]] == pytest.approx(found.inside[-1][[0, 99]])
    assert found.skin[4:96].max() == 0


def test_columns_that_miss_everything() -> None:
    needle = box(0.05, 0.05, 10, at=(0.02, 0.02, 0))
    found = zones(needle, [0.4])
    assert found.solid.max() == 0
