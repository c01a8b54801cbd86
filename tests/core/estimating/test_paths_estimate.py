"""Minutes and grams from paths: key layers, the whole estimate, models with faults."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import settings as trials
from hypothesis import strategies as st
from tests.core.estimating.solids import box, cylinder, lathe, moved, sphere, together, tube, without

from printcrib.core.errors import ShopError
from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.paths import key_layers as keys_module
from printcrib.core.estimating.paths import regions as regions_module
from printcrib.core.estimating.paths.estimate import estimate_by_paths
from printcrib.core.estimating.paths.key_layers import KeyLayers, exposed_mm2, key_layers
from printcrib.core.estimating.sections import levels_of, sections
from printcrib.core.estimating.settings import PrintSettings, settings_hash, typical_settings
from printcrib.core.shapes import Mesh

TYPICAL = typical_settings(800)
STEPPED = together(box(40, 30, 8), box(20, 20, 8, at=(5, 5, 8)))


def keys_of(mesh: Mesh, settings: PrintSettings = TYPICAL) -> KeyLayers:
    step = settings.layer_height_mm
    return key_layers(mesh, levels_of(mesh, step), sections(mesh, step), settings)


def test_a_block_is_laid_out_at_its_top_and_twice_between() -> None:
    keys = keys_of(box(40, 30, 20))  # 50 layers, two skins each way
    assert sorted(set(keys.key.tolist())) == [0, 46, 47, 48, 49]
    assert keys.key[2:48].tolist() == [46, 47] * 23
    assert keys.ratio == pytest.approx(np.ones(50))


def test_each_layer_goes_by_one_that_prints_the_same_way_and_is_near_in_size() -> None:
    mesh = lathe([(20, 0), (16, 40)], 64)
    keys, cut = keys_of(mesh), sections(mesh, TYPICAL.layer_height_mm)
    assert (keys.key % 2 == np.arange(cut.layers) % 2).all()
    assert cut.area_mm2 == pytest.approx(cut.area_mm2[keys.key], rel=0.03)
    assert cut.perimeter_mm == pytest.approx(cut.perimeter_mm[keys.key], rel=0.03)
    assert len(set(keys.key.tolist())) < cut.layers / 3


def test_layers_under_a_ledge_and_over_a_gap_are_exposed() -> None:
    bare, _ = exposed_mm2(STEPPED, levels_of(STEPPED, 0.4), TYPICAL)
    assert bare[[5, 17, 18, 19, 20, 21, 22]].tolist() == pytest.approx([0, 0, 1200, 1200, 400, 400, 0])
    overhung = together(box(20, 20, 8), box(40, 30, 8, at=(0, 0, 8)))
    bare, bridged = exposed_mm2(overhung, levels_of(overhung, 0.4), TYPICAL)
    assert np.flatnonzero(bridged).tolist() == [0, 20]
    assert bare[[17, 20, 21, 22]].tolist() == pytest.approx([0, 1200, 1200, 0])


def test_key_layers_give_what_all_layers_give(monkeypatch: pytest.MonkeyPatch) -> None:
    for mesh in (sphere(14), STEPPED, tube(12, 8, 10)):
        quick = estimate_by_paths(mesh, TYPICAL)
        with monkeypatch.context() as patch:
            patch.setattr(keys_module, "ALIKE", 0.0)
            patch.setattr(keys_module, "SKIN_ALIKE", 0.0)
            whole = estimate_by_paths(mesh, TYPICAL)
        assert quick.part_minutes == pytest.approx(whole.part_minutes, rel=5e-3)
        assert quick.grams == pytest.approx(whole.grams, rel=5e-3)


def test_an_estimate_says_everything_the_quick_one_says() -> None:
    paths, quick = estimate_by_paths(STEPPED, TYPICAL), estimate_part(STEPPED, TYPICAL)
    assert [each.tier for each in (paths, quick)] == [2, 1]
    assert {paths.layers, quick.layers} == {len(paths.layer_seconds)}
    assert paths.footprint_mm == pytest.approx(quick.footprint_mm)
    assert paths.settings_hash == settings_hash(TYPICAL)
    assert paths.part_minutes == pytest.approx(quick.part_minutes, rel=0.15)
    assert paths.grams == pytest.approx(quick.grams, rel=0.05)
    assert paths.grams == pytest.approx(paths.path_metres * TYPICAL.line_mm2 * TYPICAL.density_g_cm3)


def test_a_solid_block_weighs_its_volume_within_a_line() -> None:
    solid = replace(TYPICAL, top_skins=100, bottom_skins=100)
    weight = 40 * 30 * 20 * TYPICAL.density_g_cm3 / 1000
    assert estimate_by_paths(box(40, 30, 20), solid).grams == pytest.approx(weight, rel=0.03)


def test_the_least_layer_time_holds_for_every_layer() -> None:
    pin = cylinder(2, 10)
    part = estimate_by_paths(pin, TYPICAL)
    assert max(part.layer_seconds) < TYPICAL.least_layer_s
    assert part.part_minutes == pytest.approx(part.layers * (8.0 + 0.3) / 60)


def test_the_first_layer_is_slow() -> None:
    seconds = estimate_by_paths(box(60, 60, 10), TYPICAL).layer_seconds
    assert seconds[0] > 1.2 * seconds[1]


def test_what_hangs_over_is_bridged_or_supported() -> None:
    deck = together(box(30, 30, 8), box(80, 30, 8, at=(0, 0, 8)))
    bridge, free = (
        estimate_by_paths(deck, replace(TYPICAL, bridge_speed_mm_s=speed)) for speed in (10.0, 500.0)
    )
    slower = np.array(bridge.layer_seconds) - np.array(free.layer_seconds)
    assert np.flatnonzero(slower > 1).tolist() == [20]
    assert (bridge.support_mm3, bridge.support_grams) == (0, 0)
    held, quick = (each(deck, replace(TYPICAL, supports=1)) for each in (estimate_by_paths, estimate_part))
    assert held.support_mm3 == pytest.approx(quick.support_mm3)
    assert held.support_grams == pytest.approx(quick.support_grams, rel=0.05)
    assert held.grams == pytest.approx(free.grams + held.support_grams, rel=1e-3)
    assert held.part_minutes > free.part_minutes


def test_overlapping_bodies_count_once_and_are_told() -> None:
    both = together(box(30, 30, 10), box(30, 30, 10, at=(10, 0, 0)))
    part, one = estimate_by_paths(both, TYPICAL), estimate_by_paths(box(40, 30, 10), TYPICAL)
    assert [each.overlapping for each in (part, one)] == [True, False]
    assert part.grams == pytest.approx(one.grams, rel=1e-3)
    assert part.part_minutes == pytest.approx(one.part_minutes, rel=1e-3)


def test_a_torn_model_is_near_the_whole_one() -> None:
    whole = estimate_by_paths(cylinder(15, 10), TYPICAL)
    torn = estimate_by_paths(without(cylinder(15, 10), 3, 40, 90), TYPICAL)
    assert torn.part_minutes == pytest.approx(whole.part_minutes, rel=0.02)
    assert torn.grams == pytest.approx(whole.grams, rel=0.02)


def test_a_sheet_without_a_closed_outline_is_an_empty_print() -> None:
    sheet = Mesh(np.array([(0.0, 0, 0), (10, 0, 0), (0, 0, 5)]), np.array([(0, 1, 2)]))
    part = estimate_by_paths(sheet, TYPICAL)
    assert part.grams == 0
    assert part.part_minutes == pytest.approx(part.layers * 8.3 / 60)


def test_a_surface_no_area_comes_of_is_refused_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    def crossed(*_: object) -> None:
        raise shapely.errors.GEOSException("found non-noded intersection")

    monkeypatch.setattr(regions_module, "area_of", crossed)
    with pytest.raises(ShopError, match="cannot be laid out"):
        estimate_by_paths(STEPPED, TYPICAL)


def test_progress_rises_to_the_end() -> None:
    told: list[float] = []
    estimate_by_paths(STEPPED, TYPICAL, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) > 5


def test_a_cancelled_estimate_stops_between_layers() -> None:
    told: list[float] = []
    with pytest.raises(ShopError, match="cancelled"):
        estimate_by_paths(STEPPED, TYPICAL, progress=told.append, cancelled=lambda: len(told) == 3)
    assert len(told) == 3


@trials(max_examples=10, deadline=None)
@given(st.floats(-200, 200), st.floats(-200, 200), st.integers(0, 10_000))
def test_neither_place_nor_order_of_triangles_matters(x: float, y: float, seed: int) -> None:
    mixed = np.random.default_rng(seed).permutation(STEPPED.faces)
    part = estimate_by_paths(moved(Mesh(STEPPED.vertices, mixed), x, y), TYPICAL)
    plain = estimate_by_paths(STEPPED, TYPICAL)
    assert part.part_minutes == pytest.approx(plain.part_minutes, rel=5e-3)
    assert part.grams == pytest.approx(plain.grams, rel=2e-3)


@trials(max_examples=10, deadline=None)
@given(st.sampled_from(["acceleration_mm_s2", "fill_speed_mm_s", "travel_speed_mm_s", "flow_limit_mm3_s"]))
def test_faster_never_takes_longer(name: str) -> None:
    faster = replace(TYPICAL, **{name: 1.3 * getattr(TYPICAL, name)})
    tube_mm = tube(20, 12, 6)
    assert (
        estimate_by_paths(tube_mm, faster).part_minutes
        <= estimate_by_paths(tube_mm, TYPICAL).part_minutes + 1e-9
    )
