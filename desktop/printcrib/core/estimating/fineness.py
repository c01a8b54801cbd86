"""Which nozzles the asked fineness allows. Common practice, no source."""

from collections.abc import Iterable
from typing import Literal

Fineness = Literal["fine", "normal", "rough"]

FINE_UP_TO_UM = 400
NORMAL_UP_TO_UM = 600


def allowed_nozzles(fineness: Fineness, owned_um: Iterable[int]) -> tuple[int, ...]:
    """Bores that may print a request, smallest first, of those the shop owns.

    fine: up to 0.4 mm, else the smallest owned. normal: 0.4 to 0.6 mm, else the next larger owned, else
    the largest owned. rough: anything; what is soonest is the plan's choice.

    Args:
        fineness: what the asker wants.
        owned_um: bores in micrometres; repeats do no harm.
    """
    owned = sorted(set(owned_um))
    if not owned or fineness == "rough":
        return tuple(owned)
    if fineness == "fine":
        return tuple(bore for bore in owned if bore <= FINE_UP_TO_UM) or (owned[0],)
    fitting = tuple(bore for bore in owned if FINE_UP_TO_UM <= bore <= NORMAL_UP_TO_UM)
    larger = tuple(bore for bore in owned if bore > NORMAL_UP_TO_UM)
    return fitting or larger[:1] or (owned[-1],)
