"""Amounts as the shop writes them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from printcrib.core import units
from printcrib.core.errors import ShopError


@given(st.integers(units.SMALLEST_BORE_UM, units.LARGEST_BORE_UM))
def test_a_bore_comes_back_as_it_was_written(um: int) -> None:
    assert units.bore_um(units.bore_text(um)) == um


@pytest.mark.parametrize(
    ("text", "um"), [("0.4", 400), (" 0,25 ", 250), ("1", 1000), (".6", 600), ("0.400", 400)]
)
def test_bore_text_is_read_as_people_write_it(text: str, um: int) -> None:
    assert units.bore_um(text) == um


def test_bores_are_shown_with_one_decimal_at_least() -> None:
    assert [units.bore_text(um) for um in (400, 250, 1000, 1200)] == ["0.4", "0.25", "1.0", "1.2"]


@pytest.mark.parametrize("text", ["", "fine", "0", "-0.4", "400", "nan", "inf", "0.4001", "1e99"])
def test_what_is_no_bore_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(ShopError, match=r"0\.4\."):
        units.bore_um(text)


@given(st.integers(0, 10**9))
def test_milligrams_survive_a_visit_to_grams(mg: int) -> None:
    assert units.mg_from_grams(units.grams_from_mg(mg)) == mg


def test_grams_in_words() -> None:
    assert [units.grams_words(mg) for mg in (31_200, 4_500, 9_960, -400)] == [
        "31 g",
        "4.5 g",
        "10 g",
        "-0.4 g",
    ]


@given(st.integers(-(10**9), 10**9))
def test_money_in_whole_cents_survives_its_text(cents: int) -> None:
    assert units.money_thousandths(units.money_text(cents * 10)) == cents * 10


def test_money_rounds_half_up_on_screen_only() -> None:
    assert units.money_text(12_345) == "12.35"
    assert units.money_text(5) == "0.01"
    assert units.money_thousandths("0,125") == 125


@pytest.mark.parametrize("text", ["", "ten", "0.0001", "NaN", "Infinity"])
def test_what_is_no_amount_is_refused(text: str) -> None:
    with pytest.raises(ShopError, match="amount of money"):
        units.money_thousandths(text)


def test_conversions_go_both_ways() -> None:
    assert units.inch_from_mm(units.mm_from_inch(0.375)) == pytest.approx(0.375)
    assert units.pounds_from_grams(units.grams_from_pounds(2.2)) == pytest.approx(2.2)
    assert units.psi_from_pa(units.pa_from_psi(87.0)) == pytest.approx(87.0)
    assert units.metres_of_filament(units.filament_grams_per_metre(1.24) * 3, 1.24) == pytest.approx(3)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "0 min"),
        (48, "48 min"),
        (60, "1 h"),
        (72, "1 h 12"),
        (65, "1 h 05"),
        (2879, "47 h 59"),
        (2880, "2 days"),
        (4560, "3 days 4 h"),
        (-72, "-1 h 12"),
    ],
)
def test_durations_in_words(minutes: int, words: str) -> None:
    assert units.duration_words(minutes) == words


@pytest.mark.parametrize(
    ("likely", "at_most", "words"),
    [
        (48, 57, "48 to 57 min"),
        (48, 48, "48 min"),
        (72, 90, "1 h 12 to 1 h 30"),
        (48, 65, "48 min to 1 h 05"),
    ],
)
def test_likely_and_at_most_in_words(likely: int, at_most: int, words: str) -> None:
    assert units.between_words(likely, at_most) == words


def test_two_amounts_in_one() -> None:
    assert units.grams_between(12_000, 48_000) == "12 to 48 g"
    assert units.grams_between(4_500, 12_000) == "4.5 to 12 g"
    assert units.grams_between(31_000, 31_200) == "31 g"
