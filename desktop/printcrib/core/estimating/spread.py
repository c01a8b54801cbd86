"""How far a print may run over its estimate before the shop has measured any."""

import math

PRIOR_BIAS = 0.12
"""Spread of ln(actual/estimate) from one printer and nozzle to another (tau); our own bench figure."""
PRIOR_NOISE = 0.15
"""Spread from one print to the next on the same printer and nozzle (s0); our own bench figure."""
T90_OF_4 = 1.5332062740589443
"""90 % quantile of Student's t with 4 degrees of freedom (the weight of the noise prior, nu0)."""


def at_most_factor() -> float:
    """At-most over likely minutes without a single logged print.

    The P90 of T exp(m + t sqrt(s^2 + v)) with nothing learned: m = 0, s = PRIOR_NOISE and
    v = PRIOR_BIAS^2. It narrows once the printer's own prints are known.
    """
    return math.exp(T90_OF_4 * math.hypot(PRIOR_NOISE, PRIOR_BIAS))
