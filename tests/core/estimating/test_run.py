"""Whole runs: the start once, copies sharing layers, cost."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.estimating.solids import box, tube

from printcrib.core.errors import ShopError
from printcrib.core.estimating.part import PartEstimate, estimate_part
from printcrib.core.estimating.run import GAP_MM, cost_of, estimate_run
from printcrib.core.estimating.settings import typical_settings

TYPICAL = typical_settings(600, 1.27)
SMALL = estimate_part(tube(6, 4, 6, 24), TYPICAL)
LARGE = estimate_part(box(50, 40, 12), TYPICAL)


def test_one_copy_and_its_start() -> None:
    run = estimate_run([LARGE], TYPICAL)
    assert run.minutes == pytest.approx(4 + LARGE.part_minutes)
    assert run.grams == pytest.approx(0.8 + LARGE.grams)
    assert run.start_minutes == 4
    assert run.travel_minutes == 0
    assert run.start_grams == pytest.approx(0.8)
    assert run.layers == 40


def test_the_start_counts_once() -> None:
    two = estimate_run([LARGE, LARGE], TYPICAL)
    assert two.minutes < 2 * estimate_run([LARGE], TYPICAL).minutes
    assert two.minutes == pytest.approx(4 + 2 * LARGE.part_minutes + two.travel_minutes, rel=0.01)
    assert two.grams == pytest.approx(0.8 + 2 * LARGE.grams)


def test_small_copies_cool_while_others_print() -> None:
    """A layer that takes less than 8 s alone costs 8 s once, not once a copy."""
    assert max(SMALL.layer_seconds) < 8
    alone, four = estimate_run([SMALL], TYPICAL), estimate_run([SMALL] * 4, TYPICAL)
    assert four.minutes < alone.minutes + 3 * SMALL.part_minutes


def test_travel_ends_with_the_second_tallest_copy() -> None:
    both = estimate_run([LARGE, SMALL], TYPICAL)
    assert both.layers == 40
    assert 0 < both.travel_minutes < estimate_run([LARGE, LARGE], TYPICAL).travel_minutes


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from([SMALL, LARGE]), min_size=1, max_size=8))
def test_a_run_never_takes_longer_than_its_parts_and_their_travel(parts: list[PartEstimate]) -> None:
    run = estimate_run(parts, TYPICAL)
    bound = run.start_minutes + sum(part.part_minutes for part in parts) + run.travel_minutes
    assert run.minutes <= bound * (1 + 1e-12)


seconds = st.lists(st.floats(0.0, 60.0), min_size=1, max_size=30)
copies = st.builds(
    lambda layers, width, depth: replace(
        SMALL,
        layer_seconds=tuple(layers),
        layers=len(layers),
        footprint_mm=(width, depth),
        part_minutes=sum(max(each, TYPICAL.least_layer_s) + TYPICAL.layer_change_s for each in layers) / 60,
    ),
    seconds,
    st.floats(1.0, 200.0),
    st.floats(1.0, 200.0),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(copies, min_size=1, max_size=6))
def test_a_run_is_at_most_its_parts_and_a_round_of_travel_a_layer(parts: list[PartEstimate]) -> None:
    """T(run) <= sum of T(parts) + layers x travel between them, the start counted once."""
    run = estimate_run(parts, TYPICAL)
    alone = [estimate_run([part], TYPICAL) for part in parts]
    reach = max(max(part.footprint_mm) for part in parts) + GAP_MM
    hop_s = reach / TYPICAL.travel_speed_mm_s + TYPICAL.travel_speed_mm_s / TYPICAL.acceleration_mm_s2
    between = run.layers * (len(parts) * hop_s if len(parts) > 1 else 0.0) / 60
    once = sum(each.minutes for each in alone) - (len(parts) - 1) * run.start_minutes
    assert run.minutes <= (once + between) * (1 + 1e-12)
    assert run.travel_minutes <= between * (1 + 1e-12)
    assert run.minutes >= max(each.minutes for each in alone) * (1 - 1e-12)
    assert run.grams == pytest.approx(sum(each.grams - each.start_grams for each in alone) + run.start_grams)


@settings(max_examples=60, deadline=None)
@given(st.lists(copies, min_size=1, max_size=5))
def test_the_least_layer_time_holds_for_the_whole_layer(parts: list[PartEstimate]) -> None:
    """Layer by layer: all copies in it and the ways between them, or the least layer time."""
    still = replace(TYPICAL, travel_speed_mm_s=3000.0, acceleration_mm_s2=100_000.0)  # next to no travel
    expected = TYPICAL.start_s
    for layer in range(max(part.layers for part in parts)):
        together = sum(part.layer_seconds[layer] for part in parts if layer < part.layers)
        expected += max(together, TYPICAL.least_layer_s) + TYPICAL.layer_change_s
    run = estimate_run(parts, still)
    assert expected <= run.minutes * 60 * (1 + 1e-12)
    assert run.minutes <= expected / 60 + run.travel_minutes + 1e-9


def test_no_copies_no_run() -> None:
    with pytest.raises(ShopError, match="the run has no copies"):
        estimate_run([], TYPICAL)


def test_cost_needs_a_price() -> None:
    assert cost_of(500, 120) is None
    assert cost_of(500, 120, price_a_kg=24_000) == 12_000
    assert cost_of(500, 120, rate_an_hour=3_500) == 7_000
    assert cost_of(500, 120, 24_000, 3_500) == 19_000


def test_the_least_layer_time_can_be_off() -> None:
    free = replace(TYPICAL, least_layer_s=0.0, layer_change_s=0.0, start_s=0.0)
    part = estimate_part(tube(6, 4, 6, 24), free)
    assert estimate_run([part], free).minutes == pytest.approx(sum(part.layer_seconds) / 60)
