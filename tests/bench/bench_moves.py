"""How long it takes to read a print file of 50 MB and plan its moves.

    python -m tests.bench.bench_moves [MEGABYTES]

Compiled code, warm, the best of five, beside merely reading the file from the disk (in the cache) and one
pass of the bytes; the plain twin on a tenth of it; the memory the reading takes.
"""

import argparse
import os
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
from tests.core.estimating.print_files import tower

from printcrib.core.compiled.moves import read_words_compiled
from printcrib.core.compiled.planner import planned_seconds_kernel
from printcrib.core.estimating.moves import PrintFile, read_moves
from printcrib.core.estimating.settings import typical_settings

SETTINGS = typical_settings(400)
MB = 1_000_000


def best_s(work: Callable[[], object], times: int = 5) -> float:
    """Seconds by the clock, the best of some."""
    took = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        took.append(time.perf_counter() - begun)
    return min(took)


def print_file(size: int) -> bytes:
    """A tower of rings of about so many bytes, in whole lines."""
    ring = tower(1000, sides=120)
    content = (ring * (size // len(ring) + 1))[:size]
    return content[: content.rfind(b"\n") + 1]


def most_mb(work: Callable[[], object]) -> float:
    """Most memory a work takes on top of what is there."""
    tracemalloc.start()
    work()
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return most / MB


def main() -> None:
    """Print the figures."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("megabytes", nargs="?", type=int, default=50)
    size = asked.parse_args().megabytes * MB
    content = print_file(size)
    part = content[: content.rfind(b"\n", 0, size // 10) + 1]
    read_moves(part, "tower.nc", SETTINGS, read_words_compiled, planned_seconds_kernel)  # loads the kernels
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "tower.nc"
        file.write_bytes(content)
        os.sync()
        merely = best_s(file.read_bytes)
    once = best_s(lambda: np.count_nonzero(np.frombuffer(content, dtype=np.uint8) == 10))

    def work() -> PrintFile:
        return read_moves(content, "tower.nc", SETTINGS, read_words_compiled, planned_seconds_kernel)

    found, more, compiled = work(), most_mb(work), best_s(work)
    plain = best_s(lambda: read_moves(part, "tower.nc", SETTINGS), 1)
    print(f"{len(content) / MB:.0f} MB, {found.moves:,} moves, {found.layers:,} layers")
    print(f"merely reading the file   {merely:8.3f} s")
    print(f"counting its lines        {once:8.3f} s")
    print(
        f"read and planned          {compiled:8.3f} s   {len(content) / MB / compiled:6.0f} MB/s   "
        f"{compiled / merely:.0f} x merely reading"
    )
    print(
        f"plain twin, a tenth of it {plain:8.3f} s   {len(part) / MB / plain:6.1f} MB/s   "
        f"{plain / len(part) * len(content) / compiled:.0f} x as long"
    )
    print(f"memory on top of the file {more:8.0f} MB")


if __name__ == "__main__":
    main()
