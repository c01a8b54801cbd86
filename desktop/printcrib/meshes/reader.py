"""Reads model files in a child process that may fail without harm."""

import contextlib
import json
import os
import subprocess
import sys
import threading
import weakref
from collections.abc import Sequence
from multiprocessing import shared_memory
from pathlib import Path
from typing import Any, BinaryIO, Self

import numpy as np

from printcrib.core.errors import ShopError
from printcrib.core.shapes import Finding, Mesh, ModelFacts, ReadModel
from printcrib.meshes.limits import CHILD_SECONDS, SIMPLIFY, shown_name
from printcrib.meshes.reading import refuse_at_sight

Child = subprocess.Popen[bytes]


class ModelReader:
    """Reads one model file at a time, in a child process kept warm; safe to share between threads.

    The child is limited in memory and processor time, and to 30 s by the parent's clock. One that broke
    a limit or died is replaced at once.
    """

    def __init__(self, command: Sequence[str] | None = None, seconds: float = CHILD_SECONDS) -> None:
        """Prepare; the child starts with ``warm`` or the first file.

        Args:
            command: how to start the child; left out, this Python with ``printcrib.meshes.child``.
            seconds: wall time a file may take.
        """
        self._command = tuple(command or (sys.executable, "-m", "printcrib.meshes.child"))
        self._seconds = seconds
        self._lock = threading.Lock()
        self._child: Child | None = None
        self._last_wish: weakref.finalize[..., Any] | None = None

    def __enter__(self) -> Self:
        """Use as ``with ModelReader() as reader``."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close."""
        self.close()

    def warm(self) -> None:
        """Start the child ahead of the first file; returns without waiting for it."""
        with self._lock:
            self._started()

    def read(self, content: bytes, name: str) -> ReadModel:
        """Read a model file.

        Args:
            content: the file's bytes.
            name: its name; the ending says the kind.

        Raises:
            ShopError: the file is refused, damaged, or takes more memory or time than allowed.
        """
        return self._read(content, name, merge=False)

    def read_merged(self, content: bytes, name: str) -> ReadModel:
        """Read a model file and make one body of all its bodies; otherwise as ``read``.

        Raises:
            ShopError: also where the bodies cannot be merged.
        """
        return self._read(content, name, merge=True)

    def _read(self, content: bytes, name: str, *, merge: bool) -> ReadModel:
        refuse_at_sight(content, name)
        with self._lock:
            child = self._started()
            late = threading.Event()
            watch = threading.Timer(self._seconds, _stop_late, (child, late))
            watch.daemon = True
            watch.start()
            try:
                return _read_with(child, content, name, merge=merge)
            except (OSError, ValueError, KeyError, TypeError):
                self._replace()
                raise _broken_off(shown_name(name), late.is_set(), child.returncode) from None
            finally:
                watch.cancel()

    def close(self) -> None:
        """End the child."""
        with self._lock:
            self._end()

    def _started(self) -> Child:
        if self._child is None or self._child.poll() is not None:
            self._end()
            self._child = _start(self._command)
            self._last_wish = weakref.finalize(self, _end_child, self._child)
        return self._child

    def _replace(self) -> None:
        self._end()
        self._started()

    def _end(self) -> None:
        if self._last_wish is not None:
            self._last_wish()
        self._child = self._last_wish = None


def _start(command: Sequence[str]) -> Child:
    package_folder = str(Path(__file__).resolve().parents[2])
    path = os.pathsep.join(filter(None, (package_folder, os.environ.get("PYTHONPATH"))))
    environment = {**os.environ, "PYTHONPATH": path, "OPENBLAS_NUM_THREADS": "1"}
    flags = getattr(subprocess, "CREATE_NO_WINDOW", 0)
    return subprocess.Popen(
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=environment,
        creationflags=flags,
    )


def _end_child(child: Child) -> None:
    child.kill()
    for pipe in (child.stdin, child.stdout):
        if pipe is not None:
            with contextlib.suppress(OSError):
                pipe.close()
    child.wait()


def _stop_late(child: Child, late: threading.Event) -> None:
    late.set()
    child.kill()


def _read_with(child: Child, content: bytes, name: str, *, merge: bool) -> ReadModel:
    """Have the child read one file. Errors of the pipe or of the answer mean that the child is done for."""
    requests, answers = child.stdin, child.stdout
    if requests is None or answers is None:
        raise OSError
    _send(requests, {"name": name, "size": len(content), "merge": merge})
    requests.write(content)
    requests.flush()
    answer = json.loads(answers.readline())
    if "refused" in answer:
        what, do = answer["refused"]
        raise ShopError(str(what), str(do))
    vertices, faces = _arrays(requests, answers, int(answer["vertices"]), int(answer["faces"]))
    if faces.min() < 0 or faces.max() >= len(vertices) or not np.isfinite(vertices).all():
        raise ValueError
    return ReadModel(Mesh(vertices, faces), _facts(answer["facts"]), answer["kind"])


def _send(requests: BinaryIO | Any, message: dict[str, object]) -> None:
    requests.write(json.dumps(message).encode() + b"\n")
    requests.flush()


def _arrays(requests: Any, answers: Any, points: int, triangles: int) -> tuple[Any, Any]:
    """Take the child's arrays through shared memory, or through the pipe where there is none left."""
    split, size = points * 24, points * 24 + triangles * 24
    block = _shared(size)
    if block is None:
        _send(requests, {"memory": None})
        held = answers.read(size)
    else:
        try:
            _send(requests, {"memory": block.name})
            if not json.loads(answers.readline()).get("handed_over"):
                raise ValueError
            held = bytes(memoryview(block.buf or b"")[:size])
        finally:
            block.close()
            block.unlink()
    vertices = np.frombuffer(held[:split], dtype=np.float64).reshape(points, 3)
    return vertices, np.frombuffer(held[split:], dtype=np.int64).reshape(triangles, 3)


def _shared(size: int) -> shared_memory.SharedMemory | None:
    """A block the size of the arrays; None where there is no room (touching it would be fatal)."""
    try:
        block = shared_memory.SharedMemory(create=True, size=size)
    except OSError:
        return None
    if hasattr(os, "posix_fallocate"):
        try:
            os.posix_fallocate(block._fd, 0, size)  # type: ignore[attr-defined]
        except OSError:
            block.close()
            block.unlink()
            return None
    return block


def _facts(held: dict[str, Any]) -> ModelFacts:
    width, depth, height = held["extents_mm"]
    return ModelFacts(
        triangles=int(held["triangles"]),
        volume_cm3=float(held["volume_cm3"]),
        extents_mm=(float(width), float(depth), float(height)),
        findings=tuple(Finding(one["code"], one["words"]) for one in held["findings"]),
        trustworthy=bool(held["trustworthy"]),
        doubt=float(held["doubt"]),
    )


def _broken_off(shown: str, late: bool, returncode: int | None) -> ShopError:
    if late or returncode == -24:  # SIGXCPU
        return ShopError(f"{shown} takes longer than {CHILD_SECONDS} s to read", SIMPLIFY)
    return ShopError(f"{shown} cannot be read; it is damaged or needs too much memory", SIMPLIFY)
