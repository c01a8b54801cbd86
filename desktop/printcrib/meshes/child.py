"""The limited child process that reads model files: ``python -m printcrib.meshes.child``.

It takes one request after another on its standard input and answers on its standard output, one JSON
line each. A file that is too much for it ends it; the parent starts another one.
"""

import json
import os
import sys
from dataclasses import asdict
from multiprocessing import resource_tracker, shared_memory
from pathlib import Path
from typing import BinaryIO

import numpy as np

from printcrib.core.errors import ShopError
from printcrib.core.shapes import ReadModel
from printcrib.meshes.limits import CHILD_BYTES, CHILD_SECONDS, SIMPLIFY, damaged, shown_name
from printcrib.meshes.merging import merged_model
from printcrib.meshes.reading import read_model


def serve(requests: BinaryIO, answers: BinaryIO) -> None:
    """Read files until the parent closes its end."""
    limit_memory()
    while header := requests.readline():
        asked = json.loads(header)
        content = requests.read(asked["size"])
        limit_processor_time()
        try:
            model = _read(content, asked["name"], merge=asked.get("merge", False))
        except ShopError as refusal:
            _answer(answers, {"refused": [refusal.what, refusal.do]})
            continue
        del content
        _answer(answers, _described(model))
        _hand_over(model, json.loads(requests.readline())["memory"], answers)


def _read(content: bytes, name: str, *, merge: bool) -> ReadModel:
    try:
        model = read_model(content, name)
        return merged_model(model, shown_name(name)) if merge else model
    except MemoryError:
        raise ShopError(f"{shown_name(name)} needs more memory than a model may take", SIMPLIFY) from None
    except (ArithmeticError, LookupError, TypeError, ValueError, RecursionError):
        raise damaged(shown_name(name)) from None


def _described(model: ReadModel) -> dict[str, object]:
    return {
        "kind": model.kind,
        "vertices": len(model.mesh.vertices),
        "faces": len(model.mesh.faces),
        "facts": asdict(model.facts),
    }


def _hand_over(model: ReadModel, memory: str | None, answers: BinaryIO) -> None:
    """Put the arrays where the parent asked: its shared memory, or down the pipe where it has none."""
    vertices = np.ascontiguousarray(model.mesh.vertices)
    faces = np.ascontiguousarray(model.mesh.faces)
    if memory is None:
        answers.write(vertices.tobytes())
        answers.write(faces.tobytes())
        answers.flush()
        return
    block = shared_memory.SharedMemory(name=memory)
    held = np.frombuffer(block.buf or b"", dtype=np.uint8)
    held[: vertices.nbytes] = vertices.reshape(-1).view(np.uint8)
    held[vertices.nbytes : vertices.nbytes + faces.nbytes] = faces.reshape(-1).view(np.uint8)
    del held
    block.close()
    _answer(answers, {"handed_over": True})


def _answer(answers: BinaryIO, answer: dict[str, object]) -> None:
    answers.write(json.dumps(answer).encode() + b"\n")
    answers.flush()


def limit_memory() -> None:
    """Cap the address space at 2 GiB beyond what the process starts with. Linux; elsewhere not limited."""
    if sys.platform != "linux":
        return
    import resource

    pages = int(Path("/proc/self/statm").read_text().split()[0])
    cap = pages * resource.getpagesize() + CHILD_BYTES
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (cap, hard))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def limit_processor_time() -> None:
    """Allow the next file 30 s of processor time. Linux and macOS; elsewhere the parent's clock alone."""
    if sys.platform == "win32":
        return
    import resource

    used = resource.getrusage(resource.RUSAGE_SELF)
    spent = int(used.ru_utime + used.ru_stime) + 1
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (spent + CHILD_SECONDS, hard))


def _leave_memory_to_the_parent() -> None:
    """Only the parent that made a block may remove it.

    WORKAROUND: https://github.com/python/cpython/issues/82300 (before 3.13 every process that opens a
    block registers it and removes it at its own end).
    """
    resource_tracker.register = lambda *_: None
    resource_tracker.unregister = lambda *_: None


def main() -> None:
    """Serve the parent; anything a library prints goes to standard error."""
    _leave_memory_to_the_parent()
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    serve(sys.stdin.buffer, answers)


if __name__ == "__main__":
    main()
