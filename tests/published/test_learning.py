"""Closed forms behind what prints teach: Student's t and a clipped normal."""

import math

import pytest
from scipy.special import ndtr, stdtrit

from printcrib.core.estimating.learning import CLIPPED, HUBER, t_90


@pytest.mark.parametrize("freedom", [4, 5, 8, 14, 24, 64, 204])
def test_the_quantile_of_students_t(freedom: int) -> None:
    # scipy.special.stdtrit (the inverse of Student's distribution function)
    assert t_90(freedom) == pytest.approx(float(stdtrit(freedom, 0.9)), abs=1e-4)


@pytest.mark.parametrize(("freedom", "printed"), [(4, 1.533), (10, 1.372), (30, 1.310), (120, 1.289)])
def test_the_quantile_as_tables_print_it(freedom: int, printed: float) -> None:
    # Table of Student's t, 90 % one-sided; from memory
    assert round(t_90(freedom), 3) == printed


def test_the_mean_square_of_a_clipped_normal() -> None:
    density = math.exp(-HUBER * HUBER / 2) / math.sqrt(2 * math.pi)
    inside = 2 * float(ndtr(HUBER)) - 1 - 2 * HUBER * density
    assert round(inside + HUBER * HUBER * (1 - inside - 2 * HUBER * density), 3) == round(
        inside + 2 * HUBER * HUBER * (1 - float(ndtr(HUBER))), 3
    )
    assert round(inside + 2 * HUBER * HUBER * (1 - float(ndtr(HUBER))), 3) == pytest.approx(CLIPPED, abs=6e-4)
