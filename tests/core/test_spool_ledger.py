"""Grams left on a spool and their doubt."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from printcrib.core.materials import Source, SpoolEntry, SpoolEntryKind
from printcrib.core.spool_ledger import (
    HALF_BAND,
    Doubt,
    counted,
    grams_left,
    opening,
    runs_out,
    trust_scale,
    usable_mg,
    weigh_in,
)

KINDS = SpoolEntryKind


def entry(key: int, kind: KINDS, mg: int, **more: object) -> SpoolEntry:
    made = SpoolEntry(id=key, spool_id=1, kind=kind, mg=mg, who_id=1, source=Source.PANEL)
    return replace(made, **more)  # type: ignore[arg-type]


def test_weigh_in_regression_value() -> None:
    # Two independent codes: 412 +- 12 and 398 +- 5 give 400.07 +- 4.615, z = -1.08.
    told = weigh_in(Doubt(412_000, 12_000.0**2), 398_000, scale_sd_mg=5000.0)
    assert told.after.left_mg / 1000 == pytest.approx(400.07, abs=0.005)
    assert told.after.sd_mg / 1000 == pytest.approx(4.615, abs=0.0005)
    assert told.z == pytest.approx(-1.08, abs=0.005)
    assert not told.asks


def test_scale_and_tare_doubt_add_up_at_the_first_weigh_in() -> None:
    split = weigh_in(Doubt(412_000, 12_000.0**2, tare_variance=4000.0**2), 398_000, scale_sd_mg=3000.0)
    assert split.after.left_mg == weigh_in(Doubt(412_000, 12_000.0**2), 398_000, 5000.0).after.left_mg


def test_an_unknown_reel_is_not_averaged_down() -> None:
    doubt = replace(opening(tare_guessed=True), left_mg=500_000, variance=40_000.0**2)
    for _ in range(50):
        doubt = weigh_in(doubt, 500_000).after
    # However often it is weighed, the doubt stays near the one error the reel shares.
    assert doubt.sd_mg > 20_000
    known = replace(opening(tare_guessed=False), left_mg=500_000, variance=40_000.0**2)
    assert weigh_in(known, 500_000).after.sd_mg < 1500


def test_three_sigma_asks() -> None:
    assert weigh_in(Doubt(412_000, 12_000.0**2), 300_000, 5000.0).asks
    told = trust_scale(Doubt(412_000, 12_000.0**2), 300_000, 5000.0)
    assert not told.asks
    assert told.after.left_mg == 300_000
    assert told.change_mg == -112_000
    assert told.after.sd_mg == 5000.0
    assert told.z == pytest.approx(-112 / 13)


@pytest.mark.parametrize(("need", "chance"), [(230.0, 0.02275), (240.0, 0.15866)])
def test_run_out_regression_values(need: float, chance: float) -> None:
    # Two independent codes: 250 +- 8 on the spool against 230 +- 6 and 240 +- 6 needed.
    assert runs_out(need, 6.0, 250.0, 8.0) == pytest.approx(chance, abs=5e-6)


def test_run_out_without_doubt() -> None:
    assert runs_out(100, 0, 99, 0) == 1.0
    assert runs_out(99, 0, 99, 0) == 0.0


def test_half_band_is_90_percent() -> None:
    assert Doubt(0, 100.0).half_band_mg == pytest.approx(16.45)
    assert HALF_BAND == 1.645


def test_doubt_of_each_kind_of_entry() -> None:
    received = entry(1, KINDS.RECEIVED, 1_000_000)
    printed = entry(2, KINDS.PRINTED, -200_000)
    assert grams_left([received], 200_000, False).sd_mg == pytest.approx(10_000)
    after = grams_left([received, printed], 200_000, False)
    assert after.left_mg == 800_000
    assert after.variance == pytest.approx(10_000**2 + 10_000**2)
    assumed = replace(printed, source=Source.ASSUMED)
    assert grams_left([received, assumed], None, False).variance == pytest.approx(10_000**2 + 20_000**2)
    gone = entry(3, KINDS.THROWN_AWAY, -800_000)
    assert grams_left([received, printed, gone], None, True) == replace(
        opening(True), left_mg=0, variance=0.0, shared=0.0
    )


def test_weigh_ins_in_the_ledger() -> None:
    received = entry(1, KINDS.RECEIVED, 1_000_000)
    told = weigh_in(grams_left([received], 200_000, False), 990_000)
    weighed = entry(2, KINDS.WEIGHED, told.change_mg, gross_mg=1_190_000)
    assert grams_left([received, weighed], 200_000, False) == told.after
    trusted = trust_scale(told.after, 500_000)
    adjusted = entry(3, KINDS.ADJUSTED, trusted.change_mg, gross_mg=700_000)
    assert grams_left([received, weighed, adjusted], 200_000, False) == trusted.after


def test_an_entry_and_its_opposite_cancel() -> None:
    received = entry(1, KINDS.RECEIVED, 1_000_000)
    printed = entry(2, KINDS.PRINTED, -50_000)
    undone = entry(3, KINDS.OPPOSED, 50_000, opposes_id=2)
    assert counted([undone, printed, received]) == [received]
    assert counted([undone, replace(printed, void=True), received]) == [received]
    assert grams_left([received, printed, undone], None, True).left_mg == 1_000_000


@given(
    st.lists(
        st.tuples(
            st.sampled_from([k for k in KINDS if k is not KINDS.OPPOSED]),
            st.integers(-500_000, 500_000),
            st.none() | st.integers(0, 1_500_000),
            st.sampled_from(list(Source)),
        ),
        max_size=30,
    ),
    st.none() | st.integers(100_000, 300_000),
    st.booleans(),
)
def test_grams_left_are_the_sum_of_the_entries(
    rows: list[tuple[KINDS, int, int | None, Source]], tare: int | None, guessed: bool
) -> None:
    entries = [
        SpoolEntry(id=n, spool_id=1, kind=k, mg=mg, gross_mg=gross, source=source, who_id=1)
        for n, (k, mg, gross, source) in enumerate(rows, 1)
    ]
    doubt = grams_left(entries, tare, guessed)
    assert doubt.left_mg == sum(row[1] for row in rows)
    assert doubt.variance >= -1.0
    assert doubt.half_band_mg >= 0.0


def test_the_tail_never_comes_off() -> None:
    assert usable_mg(50_000, 8000) == 42_000
    assert usable_mg(5000, 8000) == 0
