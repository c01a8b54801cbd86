"""Copies printed together, from what is kept of each: against the run worked out layer by layer."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.estimating.solids import box, cone, tube
from tests.services.own_shop import Own, own_shop

from printcrib.core.estimating.part import PartEstimate, estimate_part
from printcrib.core.estimating.run import estimate_run
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.patterns import Estimate
from printcrib.services.estimate_run import HOP_MINUTES, TRAVEL_MINUTES, printing_minutes, together
from printcrib.services.estimate_task import estimate_request
from printcrib.services.interfaces import Shop

TYPICAL = typical_settings(600)
PARTS = [estimate_part(mesh, TYPICAL) for mesh in (tube(6, 4, 6, 24), box(40, 30, 12), cone(10, 24, 32))]


def kept(part: PartEstimate) -> Estimate:
    """What is stored of a copy."""
    busy = sum(part.layer_seconds) / 60
    return Estimate(
        model_id=part.layers,
        printer_id=1,
        bore_um=600,
        material_id=1,
        settings_hash="",
        part_minutes=part.part_minutes,
        start_minutes=4.0,
        likely_minutes=part.part_minutes + 4,
        at_most_minutes=0.0,
        part_mg=0,
        mg=0,
        layers=part.layers,
        busy_minutes=busy,
        cooling_minutes=part.part_minutes - busy - part.layers * TYPICAL.layer_change_s / 60,
    )


@pytest.mark.parametrize("counts", [(1, 0, 0), (8, 0, 0), (0, 3, 0), (0, 0, 5), (4, 1, 2), (2, 2, 2)])
def test_near_the_run_worked_out_layer_by_layer(counts: tuple[int, ...]) -> None:
    parts = [part for part, count in zip(PARTS, counts, strict=True) for _ in range(count)]
    whole = estimate_run(parts, TYPICAL)
    assert printing_minutes([kept(part) for part in parts]) == pytest.approx(
        whole.minutes - whole.start_minutes,
        rel=0.15,  # ways are taken on the long side
    )


def test_small_copies_cool_while_others_print() -> None:
    """Eight rings of 8 s a layer, cooling most of it: not eight times as long."""
    ring = kept(PARTS[0])
    assert ring.cooling_minutes > ring.busy_minutes
    assert printing_minutes([ring] * 8) < 0.6 * 8 * ring.part_minutes


figures = st.builds(
    lambda layers, busy, cooling, change: replace(
        kept(PARTS[0]),
        layers=layers,
        busy_minutes=layers * busy,
        cooling_minutes=layers * cooling,
        part_minutes=layers * (busy + cooling + change),
    ),
    st.integers(1, 400),
    st.floats(0.001, 2.0),
    st.floats(0.0, 0.2),
    st.floats(0.0, 0.01),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(figures, min_size=1, max_size=6))
def test_at_most_one_after_the_other_and_a_round_of_ways_a_layer(parts: list[Estimate]) -> None:
    """T(run) <= sum of T(parts) + layers x travel between them, the start counted once."""
    layers = max(part.layers for part in parts)
    ways = layers * len(parts) * HOP_MINUTES if len(parts) > 1 else 0.0
    minutes = printing_minutes(parts)
    assert minutes <= (sum(part.part_minutes for part in parts) + ways) * (1 + 1e-9)
    assert minutes >= max(part.busy_minutes for part in parts) * (1 - 1e-9)
    assert minutes >= sum(part.busy_minutes for part in parts) * (1 - 1e-9)
    if len(parts) == 1:
        assert minutes == pytest.approx(parts[0].part_minutes)
    assert together(parts).computed_minutes == pytest.approx(minutes + 4.0)


def test_copies_of_which_less_is_known_count_one_after_the_other() -> None:
    older = replace(kept(PARTS[1]), busy_minutes=0.0, cooling_minutes=0.0)
    assert printing_minutes([older] * 3) == pytest.approx(3 * older.part_minutes + 2 * TRAVEL_MINUTES)
    assert printing_minutes([older]) == older.part_minutes


def test_what_is_kept_says_how_long_it_moves_and_cools(shop: Shop) -> None:
    own: Own = own_shop(shop)
    estimate_request(own.shop, own.press(), own.ask("Max", material_id=own.material()))
    with own.shop.read() as uow:
        found = uow.estimates.find()
    assert found
    for each in found:
        assert each.busy_minutes > 0
        assert each.busy_minutes + each.cooling_minutes < each.part_minutes
