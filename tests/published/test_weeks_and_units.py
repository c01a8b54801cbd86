"""Weeks, inches, pounds and filament against published values."""

from datetime import UTC, date, datetime, time

import pytest

from printcrib.core import units
from printcrib.core.calendar import iso_week_span, iso_week_text, wall_time_utc


# ISO 8601 week dates; the same dates are the worked examples of the "ISO week date" definition
# (1977-01-01 = 1976-W53-6, 2020-12-31 = 2020-W53-4, 2021-01-03 = 2020-W53-7).
@pytest.mark.parametrize(
    ("day", "week", "weekday"),
    [
        (date(2020, 12, 31), "2020-W53", 4),
        (date(2021, 1, 3), "2020-W53", 7),
        (date(2026, 11, 25), "2026-W48", 3),
        (date(2027, 1, 3), "2026-W53", 7),
        (date(1977, 1, 1), "1976-W53", 6),
    ],
)
def test_iso_week_dates(day: date, week: str, weekday: int) -> None:
    noon = wall_time_utc(day, time(12), "Europe/Berlin")
    assert iso_week_text(noon, "Europe/Berlin") == week
    start, end = iso_week_span(week, "Europe/Berlin")
    assert (noon - start).days + 1 == weekday
    assert start < noon < end


def test_a_week_is_cut_in_the_shops_zone() -> None:
    # Europe/Berlin is UTC+1 in winter (IANA time zone database).
    start, end = iso_week_span("2026-W48", "Europe/Berlin")
    assert (start, end) == (
        datetime(2026, 11, 22, 23, tzinfo=UTC),
        datetime(2026, 11, 29, 23, tzinfo=UTC),
    )
    assert iso_week_text(datetime(2026, 11, 22, 23, tzinfo=UTC), "Europe/Berlin") == "2026-W48"
    assert iso_week_text(datetime(2026, 11, 22, 23, tzinfo=UTC), "UTC") == "2026-W47"


def test_inch_pound_and_pressure() -> None:
    # NIST Special Publication 811, appendix B.8: inch 25.4 mm exactly, pound 453.59237 g exactly,
    # psi 6894.757 Pa; a bar is 14.50377 psi.
    assert units.mm_from_inch(1) == 25.4
    assert units.inch_from_mm(304.8) == pytest.approx(12, rel=1e-15)
    assert units.grams_from_pounds(1) == 453.59237
    assert units.pa_from_psi(1) == pytest.approx(6894.757293168361, rel=1e-15)
    assert units.psi_from_bar(1) == pytest.approx(14.5037738, abs=1e-7)


# Grams a metre = density x pi d^2 / 4, by hand for 1.75 mm (section 2.40528 mm2).
@pytest.mark.parametrize(("density", "grams"), [(1.24, 2.98255), (1.27, 3.05471), (1.04, 2.50149)])
def test_grams_a_metre_of_filament(density: float, grams: float) -> None:
    assert units.filament_grams_per_metre(1.0) == pytest.approx(2.40528, abs=5e-6)
    assert units.filament_grams_per_metre(density) == pytest.approx(grams, abs=5e-6)


def test_a_twentieth_of_a_millimetre_over_weighs_six_percent_more() -> None:
    # (1.80 / 1.75)^2 - 1 = 5.8 %
    ratio = units.filament_grams_per_metre(1.24, 1.80) / units.filament_grams_per_metre(1.24)
    assert ratio - 1 == pytest.approx(0.058, abs=5e-4)
