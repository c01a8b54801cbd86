"""How the shop writes amounts: bores, grams, money, inches, pounds, minutes.

Inside, a bore is whole micrometres, a mass on the ledger whole milligrams and money whole thousandths of
the shop's one currency, so that nothing is lost by rounding. Conversion factors: NIST Special Publication
811 (2008 edition), appendix B.8.
"""

import math
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation

from printcrib.core.errors import ShopError

MM_PER_INCH = 25.4
GRAMS_PER_POUND = 453.59237
PA_PER_PSI = 6894.757293168361
PA_PER_BAR = 100_000.0

SMALLEST_BORE_UM = 50
LARGEST_BORE_UM = 5000
MINUTES_PER_DAY = 1440


def _decimal(text: str) -> Decimal | None:
    try:
        value = Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        return None
    return value if value.is_finite() else None


def bore_um(text: str) -> int:
    """The bore a person wrote ("0.4") in micrometres (400).

    A comma for the decimal point is taken too.

    Raises:
        ShopError: the text is no bore between 0.05 and 5 mm, in whole micrometres.
    """
    value = _decimal(text)
    micrometres = None if value is None else value * 1000
    if micrometres is None or not SMALLEST_BORE_UM <= micrometres <= LARGEST_BORE_UM:
        raise ShopError(f'"{text}" is not a nozzle bore', "Write the bore in mm, for instance 0.4.")
    if micrometres != int(micrometres):
        raise ShopError(f'"{text}" is finer than a micrometre', "Write the bore in mm, for instance 0.4.")
    return int(micrometres)


def bore_text(um: int) -> str:
    """The bore as the shop reads it: 400 micrometres is "0.4", 1000 is "1.0"."""
    whole, rest = divmod(um, 1000)
    return f"{whole}.{f'{rest:03d}'.rstrip('0') or '0'}"


def mg_from_grams(grams: float) -> int:
    """Grams as whole milligrams for the ledger, the nearest."""
    return math.floor(grams * 1000 + 0.5)


def grams_from_mg(mg: int) -> float:
    """Milligrams of the ledger as grams."""
    return mg / 1000


def grams_words(mg: int) -> str:
    """Grams as people read them: "31 g", below ten grams "4.5 g"."""
    if abs(mg) < 9950:
        return f"{mg / 1000:.1f} g"
    return f"{math.floor(mg / 1000 + 0.5)} g"


def money_thousandths(text: str) -> int:
    """An amount a person wrote ("12.50") in thousandths of the currency (12500).

    Raises:
        ShopError: the text is no amount, or finer than a thousandth.
    """
    value = _decimal(text)
    if value is None or value * 1000 != (value * 1000).to_integral_value():
        raise ShopError(f'"{text}" is not an amount of money', "Write it in figures, for instance 12.50.")
    return int(value * 1000)


def money_text(thousandths: int) -> str:
    """Thousandths of the currency as an amount with two decimals: 12345 is "12.35"."""
    return str((Decimal(thousandths) / 1000).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


def mm_from_inch(inch: float) -> float:
    """Inches in millimetres (25.4 exactly; NIST SP 811)."""
    return inch * MM_PER_INCH


def inch_from_mm(mm: float) -> float:
    """Millimetres in inches."""
    return mm / MM_PER_INCH


def grams_from_pounds(pounds: float) -> float:
    """Pounds (avoirdupois) in grams (453.59237 exactly; NIST SP 811)."""
    return pounds * GRAMS_PER_POUND


def pounds_from_grams(grams: float) -> float:
    """Grams in pounds."""
    return grams / GRAMS_PER_POUND


def pa_from_psi(psi: float) -> float:
    """Pounds a square inch in pascals (NIST SP 811)."""
    return psi * PA_PER_PSI


def psi_from_pa(pa: float) -> float:
    """Pascals in pounds a square inch."""
    return pa / PA_PER_PSI


def psi_from_bar(bar: float) -> float:
    """Bar (100 000 Pa exactly) in pounds a square inch."""
    return bar * PA_PER_BAR / PA_PER_PSI


def filament_grams_per_metre(density_g_cm3: float, diameter_mm: float = 1.75) -> float:
    """What a metre of filament weighs: density times the round section (g/cm3 x mm2 = g/m)."""
    return density_g_cm3 * math.pi * diameter_mm**2 / 4


def metres_of_filament(grams: float, density_g_cm3: float, diameter_mm: float = 1.75) -> float:
    """How many metres of filament the grams are."""
    return grams / filament_grams_per_metre(density_g_cm3, diameter_mm)


def duration_words(minutes: int) -> str:
    """A duration as the shop says it: "48 min", "1 h 12", "2 h", from two days on "3 days 4 h"."""
    if minutes < 0:
        return f"-{duration_words(-minutes)}"
    if minutes < 60:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    if minutes >= 2 * MINUTES_PER_DAY:
        days, hours = divmod(hours, 24)
        return f"{days} days {hours} h" if hours else f"{days} days"
    return f"{hours} h {rest:02d}" if rest else f"{hours} h"


def grams_between(low_mg: int, high_mg: int) -> str:
    """Two amounts in one: "12 to 48 g"; one where they read alike."""
    low, high = grams_words(low_mg), grams_words(high_mg)
    return low if low == high else f"{low.removesuffix(' g')} to {high}"


def between_words(likely: float, at_most: float) -> str:
    """An estimate's time, likely and at most, as every screen, form and list says it.

    "48 to 57 min", "1 h 12 to 1 h 30", "48 min to 1 h 05"; one figure where both round to the same minute.
    """
    low, high = duration_words(round(likely)), duration_words(round(at_most))
    if low == high:
        return low
    if round(at_most) < 60:
        return f"{round(likely)} to {round(at_most)} min"
    return f"{low} to {high}"
