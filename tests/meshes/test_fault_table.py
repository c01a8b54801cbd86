"""The table of faulty models, row by row: a model made for each is read, told in words and estimated so.

Signature -> words: too small or too large -> a unit, both sizes shown; inside out -> turned round; few open
edges -> still good; many -> a range; many edges whose triangles disagree -> not trustworthy; bodies that
overlap -> merged; an enclosed void -> correct as is; no faces, no numbers, no height -> refused. STEP in
metres with corners apart -> millimetres, welded.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pytest
from tests.core.estimating.solids import box, cylinder, sphere, together, without
from tests.meshes.files import binary_stl
from tests.meshes.step_files import step

from printcrib.core.errors import ShopError
from printcrib.core.patterns import Fineness
from printcrib.core.shapes import Mesh, turned_outside_out
from printcrib.meshes.reader import ModelReader
from printcrib.services.estimate_files import FileAnswer, Wishes, default_nozzles, estimate_file

BLOCK = box(40, 30, 20)
BALL = sphere(20, 48, 32)


@pytest.fixture(scope="module")
def reader() -> Iterator[ModelReader]:
    with ModelReader() as held:
        yield held


def answer(reader: ModelReader, content: bytes, name: str = "model.stl", tier: int = 1) -> FileAnswer:
    return estimate_file(reader, content, name, default_nozzles(Wishes((800,))), Fineness.ROUGH, tier)


def facing_both_ways() -> Mesh:
    """A ball with every third triangle turned round."""
    faces = BALL.faces.copy()
    faces[::3] = faces[::3, ::-1]
    return Mesh(BALL.vertices, faces)


@dataclass(frozen=True)
class Row:
    """One row of the table: a model, what is found, its words, and whether its estimate is a range.

    Attributes:
        like: a sound model whose minutes and grams it must come near; None where nothing is told.
    """

    mesh: Mesh
    code: str
    words: str
    ranged: bool = False
    like: Mesh | None = None


ROWS = {
    "inches": Row(
        box(5.9, 3.54, 0.47),
        "units_small",
        "Only 5.9 x 3.54 x 0.47 mm. If inches: 150 x 89.9 x 11.9 mm. Scale x 25.4?",
    ),
    "metres": Row(
        box(0.15, 0.09, 0.012),
        "units_small",
        "Only 0.15 x 0.09 x 0.01 mm. If inches: 3.81 x 2.29 x 0.3 mm. Scale x 25.4? "
        "If metres: 150 x 90 x 12 mm. Scale x 1000?",
    ),
    "over the platform": Row(
        box(3810, 2286, 304.8),
        "does_not_fit",
        "3810 x 2286 x 305 mm does not fit the platform in any right-angled turn. "
        "If it was scaled to inches twice: 150 x 90 x 12 mm. Scale / 25.4?",
    ),
    "inside out": Row(
        turned_outside_out(BLOCK),
        "inside_out",
        "The faces point inwards; it was turned round for the estimate.",
        like=BLOCK,
    ),
    "few open edges": Row(
        without(BALL, 700),
        "small_holes",
        "One small hole (3 open edges); the estimate is still good.",
        like=BALL,
    ),
    "many open edges": Row(
        without(BALL, *range(600, 1000)),
        "open_surface",
        "the estimate is only a range. Ask for a new export.",
        ranged=True,
    ),
    "many same-direction edges": Row(
        facing_both_ways(),
        "wrong_faces",
        "do not trust the estimate. Ask for a new export.",
        ranged=True,
        like=BALL,
    ),
    "bodies that overlap": Row(
        together(box(20, 20, 20), box(20, 20, 20, at=(10, 0, 0))),
        "overlapping",
        "Bodies overlap (25 % of their volume is there twice); they are counted as merged.",
        like=box(30, 20, 20),
    ),
    "an enclosed void": Row(
        together(BLOCK, turned_outside_out(box(20, 20, 10, at=(10, 5, 5)))),
        "hollow",
        "A closed hollow inside, printed empty. Correct as it is.",
    ),
}


@pytest.mark.parametrize("tier", [1, 2])
@pytest.mark.parametrize("name", [name for name, row in ROWS.items() if name != "over the platform"])
def test_each_fault_is_told_and_estimated_as_it_deserves(reader: ModelReader, name: str, tier: int) -> None:
    row = ROWS[name]
    told = answer(reader, binary_stl(row.mesh), tier=tier)
    assert [code for code, _ in told.findings] == [row.code]
    assert row.words in told.findings[0][1]
    assert told.facts.trustworthy != row.ranged
    sound = answer(reader, binary_stl(row.like), tier=tier) if row.like else None
    for at, nozzle in enumerate(told.nozzles):
        assert np.isfinite([nozzle.minutes, nozzle.grams, nozzle.minutes_at_most, nozzle.grams_at_most]).all()
        assert (nozzle.minutes_range is not None) == (nozzle.grams_range is not None) == row.ranged
        if nozzle.minutes_range:
            low, high = nozzle.minutes_range
            assert low < nozzle.minutes < nozzle.minutes_at_most == high
        if sound:
            assert nozzle.minutes == pytest.approx(sound.nozzles[at].minutes, rel=0.05)
            assert nozzle.grams == pytest.approx(sound.nozzles[at].grams, rel=0.05)


def test_what_no_platform_holds_is_told_with_both_sizes(reader: ModelReader) -> None:
    row = ROWS["over the platform"]
    told = answer(reader, binary_stl(row.mesh))
    assert told.findings == ((row.code, row.words),)
    assert not any(nozzle.allowed for nozzle in told.nozzles)


def test_a_range_reaches_over_the_whole_model(reader: ModelReader) -> None:
    """The ball that lacks a cap is answered by a range the whole ball lies in."""
    row, whole = ROWS["many open edges"], answer(reader, binary_stl(BALL))
    torn = answer(reader, binary_stl(row.mesh))
    for ranged, sound in zip(torn.nozzles, whole.nozzles, strict=True):
        assert ranged.minutes_range is not None
        assert ranged.grams_range is not None
        assert ranged.minutes_range[0] <= sound.minutes <= ranged.minutes_range[1]
        assert ranged.grams_range[0] <= sound.grams <= ranged.grams_range[1]


def nan_stl() -> bytes:
    mesh = Mesh(BLOCK.vertices.copy(), BLOCK.faces)
    mesh.vertices[0, 0] = np.nan
    return binary_stl(mesh)


REFUSED = {
    "zero faces": (
        binary_stl(Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))),
        "holds no triangles",
    ),
    "no numbers": (nan_stl(), "holds points that are not numbers"),
    "zero height": (binary_stl(Mesh(BLOCK.vertices * (1, 1, 0), BLOCK.faces)), "flat"),
    "not a model": (b"this is a letter", "model.stl"),
    "empty": (b"", "model.stl"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_nothing_can_be_said_of_is_refused_in_one_sentence(reader: ModelReader, name: str) -> None:
    content, words = REFUSED[name]
    with pytest.raises(ShopError, match=words) as refused:
        answer(reader, content)
    assert "\n" not in str(refused.value)


def test_a_step_file_in_metres_is_millimetres_and_welded(reader: ModelReader) -> None:
    """Its triangles come with corners of their own; put together they are a closed cylinder like its STL."""
    round_mm = cylinder(15, 20, 24)
    in_metres = Mesh(round_mm.vertices / 1000, round_mm.faces)
    told = answer(reader, step(in_metres, unit="metre"), "part.step")
    plain = answer(reader, binary_stl(round_mm))
    assert told.findings == plain.findings == ()
    assert told.facts.extents_mm == pytest.approx(plain.facts.extents_mm, rel=1e-5)
    for one, other in zip(told.nozzles, plain.nozzles, strict=True):
        assert one.minutes == pytest.approx(other.minutes, rel=0.01)
        assert one.grams == pytest.approx(other.grams, rel=0.01)
