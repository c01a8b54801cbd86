"""The demo shop's aids are closed solids of believable size, also with other measures."""

from collections.abc import Callable

import numpy as np
import pytest

from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.run import estimate_run
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.shapes import Mesh, facts_of, fits
from printcrib.meshes import made
from printcrib.meshes.made import made_patterns

NAMES = list(made_patterns())


def test_there_are_twelve() -> None:
    assert len(NAMES) == 12


@pytest.mark.parametrize("name", NAMES)
def test_an_aid_is_closed_and_of_real_size(name: str) -> None:
    mesh = made_patterns()[name]()
    facts = facts_of(mesh, name, (250.0, 210.0, 200.0))
    assert facts.findings == ()
    assert facts.trustworthy
    assert 20 < max(facts.extents_mm) < 220
    assert mesh.vertices[:, 2].min() == 0
    settings = typical_settings(600)
    assert 8 < estimate_run([estimate_part(mesh, settings)], settings).minutes < 400


@pytest.mark.parametrize("name", NAMES)
def test_an_aid_is_made_the_same_every_time(name: str) -> None:
    first, second = made_patterns()[name](), made_patterns()[name]()
    assert np.array_equal(first.vertices, second.vertices)
    assert np.array_equal(first.faces, second.faces)


@pytest.mark.parametrize(
    "other",
    [
        lambda: made.caliper_rest(length_mm=220, posts=3),
        lambda: made.collet_tray(collet_mm=26, columns=3, rows=3),
        lambda: made.hose_clip(hose_mm=12),
        lambda: made.deburring_nest(length_mm=140, pocket_mm=20),
        lambda: made.thread_cap(thread_mm=24, pitch_mm=2),
        lambda: made.funnel(mouth_mm=120, stem_mm=20),
        lambda: made.jaw_pad(length_mm=125, step_mm=3),
        lambda: made.length_stop(bar_mm=32, reach_mm=80),
        lambda: made.rail_cover(length_mm=200, rail_mm=28),
        lambda: made.drill_template(holes=8, drill_mm=8, circle_mm=120),
        lambda: made.numbered_tag(907),
        lambda: made.cable_comb(cables=4, cable_mm=10),
    ],
    ids=NAMES,
)
def test_other_measures_hold_too(other: Callable[[], Mesh]) -> None:
    facts = facts_of(other())
    assert facts.findings == ()
    assert fits(facts.extents_mm, (250, 250, 200))


def test_tags_differ_by_their_number() -> None:
    assert len({len(made.numbered_tag(number).faces) for number in (1, 8, 25)}) == 3
    assert made.numbered_tag(7).vertices[:, 2].max() == pytest.approx(4.2)
