"""The limited child: it may fail in any way, the parent gets an answer."""

import gc
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from tests.core.estimating.solids import box, sphere
from tests.meshes.files import binary_stl, mutated, obj, simple_3mf, text_stl

from printcrib.core.errors import ShopError
from printcrib.core.shapes import ReadModel
from printcrib.meshes.reader import ModelReader
from printcrib.meshes.reading import read_model

CHILD = """
import sys
from printcrib.meshes import child, reading
def spoilt(content, name):
    {body}
child.read_model = spoilt
child.main()
"""


@pytest.fixture(scope="module")
def kept() -> Iterator[ModelReader]:
    with ModelReader() as reader:
        reader.warm()
        yield reader


def spoilt(body: str, seconds: float = 30) -> ModelReader:
    return ModelReader([sys.executable, "-c", CHILD.format(body=body)], seconds)


def test_the_child_reads_as_the_library_does(kept: ModelReader) -> None:
    content = binary_stl(sphere(20, 24, 16))
    model, here = kept.read(content, "ball.stl"), read_model(content, "ball.stl")
    assert np.array_equal(model.mesh.vertices, here.mesh.vertices)
    assert np.array_equal(model.mesh.faces, here.mesh.faces)
    assert model.facts == here.facts
    assert model.kind == "stl"


def test_findings_come_across(kept: ModelReader) -> None:
    facts = kept.read(obj(box(4, 3, 2)), "tiny.obj").facts
    assert facts.findings[0].code == "units_small"


def test_a_refusal_leaves_the_child_ready(kept: ModelReader) -> None:
    with pytest.raises(ShopError, match=r"none.stl holds no triangles. Export it again from the model."):
        kept.read(b"solid a\nendsolid", "none.stl")
    assert kept.read(binary_stl(box()), "box.stl").facts.triangles == 12


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("import os; os._exit(3)", "cannot be read; it is damaged or needs too much memory"),
        ("import os; os.kill(os.getpid(), 11)", "cannot be read; it is damaged or needs too much memory"),
        ("raise MemoryError", "needs more memory than a model may take"),
        ("raise ZeroDivisionError", "is damaged or not what its name says"),
        ("raise AssertionError('a bug')", "cannot be read"),
        ("print('chatter'); return bytes(10)", "cannot be read"),
    ],
)
def test_a_child_that_fails_is_replaced(body: str, words: str) -> None:
    with spoilt(body) as reader:
        for _ in range(2):
            with pytest.raises(ShopError, match=f"box.stl {words}"):
                reader.read(binary_stl(box()), "box.stl")


def test_a_child_that_takes_too_long_is_ended() -> None:
    with (
        spoilt("while True: pass", seconds=0.5) as reader,
        pytest.raises(ShopError, match="takes longer than 30 s"),
    ):
        reader.read(binary_stl(box()), "box.stl")


@pytest.mark.skipif(sys.platform != "linux", reason="limits are set on Linux")
def test_a_child_that_wants_too_much_memory_is_stopped() -> None:
    body = "import numpy; held = numpy.ones(400_000_000); return held"
    with spoilt(body) as reader, pytest.raises(ShopError, match="needs more memory than a model may take"):
        reader.read(binary_stl(box()), "box.stl")


@pytest.mark.skipif(sys.platform != "linux", reason="limits are set on Linux")
def test_a_child_that_computes_too_long_is_stopped() -> None:
    body = "import resource; resource.setrlimit(resource.RLIMIT_CPU, (1, 30))\n    while True: pass"
    with spoilt(body) as reader, pytest.raises(ShopError, match="takes longer than 30 s to read"):
        reader.read(binary_stl(box()), "box.stl")


@pytest.mark.parametrize(
    "answer",
    ["", "[]", "{}", "not json", '{"vertices": 1, "faces": -5, "kind": "stl"}', '{"refused": ["a"]}'],
)
def test_answers_that_make_no_sense(answer: str) -> None:
    code = f"import sys; sys.stdin.readline(); print({answer!r}, flush=True); sys.stdin.read(1)"
    with (
        ModelReader([sys.executable, "-c", code]) as reader,
        pytest.raises(ShopError, match="cannot be read"),
    ):
        reader.read(binary_stl(box()), "box.stl")


def test_without_shared_memory_the_pipe_does(kept: ModelReader, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_room(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    content = text_stl(box())
    monkeypatch.setattr("os.posix_fallocate", no_room, raising=False)
    assert kept.read(content, "box.stl").facts.triangles == 12
    monkeypatch.setattr("multiprocessing.shared_memory.SharedMemory", no_room)
    assert kept.read(content, "box.stl").facts.triangles == 12


def test_refused_at_sight_without_a_child() -> None:
    with ModelReader(["/nowhere/python"]) as reader, pytest.raises(ShopError, match="not a kind"):
        reader.read(b"ply", "a.ply")


def test_threads_take_turns(kept: ModelReader) -> None:
    found: list[int] = []
    balls = [sphere(20, 8 + number, 8) for number in range(6)]

    def read(number: int) -> None:
        found.append(
            len(kept.read(binary_stl(balls[number]), "ball.stl").mesh.faces) - len(balls[number].faces)
        )

    threads = [threading.Thread(target=read, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [0] * 6


def test_a_child_killed_between_files_is_replaced(kept: ModelReader) -> None:
    kept.read(binary_stl(box()), "box.stl")
    child = kept._child
    assert child is not None
    child.kill()
    child.wait()
    assert kept.read(binary_stl(box()), "box.stl").facts.triangles == 12


def test_a_forgotten_reader_takes_its_child_along() -> None:
    reader = ModelReader()
    reader.warm()
    child = reader._child
    assert child is not None
    del reader
    gc.collect()
    assert child.wait(timeout=10) != 0


@pytest.mark.skipif(os.name != "posix", reason="sends a signal")
def test_the_child_ends_with_its_parent(tmp_path: Path) -> None:
    code = (
        "import sys; from printcrib.meshes.reader import ModelReader; r = ModelReader(); r.warm();"
        "print(r._child.pid, flush=True); sys.stdin.read()"
    )
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))}
    with subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=environment
    ) as parent:
        assert parent.stdout is not None
        pid = int(parent.stdout.readline())
        parent.send_signal(signal.SIGKILL)
        parent.wait()
    gone = Path(f"/proc/{pid}")
    for _ in range(200):
        if not gone.exists() or "zombie" in (gone / "status").read_text():
            break
        threading.Event().wait(0.05)
    assert not gone.exists() or "zombie" in (gone / "status").read_text()


@pytest.mark.parametrize("seed", range(4))
def test_damaged_files_are_read_or_refused(kept: ModelReader, seed: int) -> None:
    """60 damaged files of each seed; ``tests.faults.fuzz_models`` tries thousands."""
    chance = np.random.default_rng(seed)
    originals = [
        ("a.stl", binary_stl(sphere(20, 12, 8))),
        ("b.stl", text_stl(box())),
        ("c.obj", obj(sphere(20, 12, 8))),
        ("d.3mf", simple_3mf(box())),
    ]
    for number in range(60):
        name, content = originals[number % 4]
        outcome = read_or_sentence(kept, mutated(content, chance), name)
        if isinstance(outcome, ShopError):
            assert outcome.what.startswith(name)
            assert "\n" not in str(outcome)
        else:
            assert len(outcome.mesh.faces)
            assert np.isfinite(outcome.mesh.vertices).all()


def read_or_sentence(kept: ModelReader, content: bytes, name: str) -> ReadModel | ShopError:
    try:
        return kept.read(content, name)
    except ShopError as refusal:
        return refusal
