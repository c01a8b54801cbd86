"""The thread of a made cap is found in its bore, with its pitch."""

import pytest

from printcrib.core.estimating.features import threads_in
from printcrib.meshes.made import drill_template, rail_cover, thread_cap


@pytest.mark.parametrize(("size", "pitch"), [(30.0, 3.0), (20.0, 1.5), (42.0, 2.0)])
def test_the_thread_of_a_cap(size: float, pitch: float) -> None:
    (thread,) = threads_in(thread_cap(size, pitch), 0.2)
    assert thread.pitch_mm == pytest.approx(pitch, rel=0.01)
    assert thread.inside
    assert thread.diameter_mm == pytest.approx(size - 0.6 * pitch, abs=0.5)


def test_no_thread_in_a_template_or_a_hood() -> None:
    assert threads_in(drill_template(), 0.2) == ()
    assert threads_in(rail_cover(), 0.2) == ()
