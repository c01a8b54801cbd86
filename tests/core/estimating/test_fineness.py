"""How fine narrows the nozzles."""

import pytest

from printcrib.core.estimating.fineness import Fineness, allowed_nozzles


@pytest.mark.parametrize(
    ("fineness", "owned", "allowed"),
    [
        ("fine", [400, 600, 800], (400,)),
        ("fine", [250, 400, 800], (250, 400)),
        ("fine", [800, 600], (600,)),
        ("normal", [800, 600, 400, 400], (400, 600)),
        ("normal", [400, 800], (400,)),
        ("normal", [800, 1000], (800,)),
        ("normal", [250], (250,)),
        ("normal", [250, 800], (800,)),
        ("rough", [800, 400], (400, 800)),
        ("rough", [], ()),
        ("fine", [], ()),
    ],
)
def test_allowed(fineness: Fineness, owned: list[int], allowed: tuple[int, ...]) -> None:
    assert allowed_nozzles(fineness, owned) == allowed
