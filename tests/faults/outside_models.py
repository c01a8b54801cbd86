"""Reads and estimates a folder of model files nobody here made, and prints what became of each.

    python -m tests.faults.outside_models FOLDER [--all]

Every file is either estimated or refused in one sentence; a crash or more than 30 s is a fault (exit 1).
"""

import argparse
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from pathlib import Path
from time import perf_counter

from printcrib.core.errors import ShopError
from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.run import estimate_run
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.holes import estimable
from printcrib.meshes.reader import ModelReader

SECONDS = 30
ENDINGS = {".stl", ".3mf", ".obj", ".ply", ".off", ".step", ".stp"}
reader: list[ModelReader] = []


def tried(path: Path) -> tuple[str, str]:
    """Estimate one file for a 0.6 mm nozzle; outcome and words."""
    if not reader:
        reader.append(ModelReader())
    try:
        model = reader[0].read(path.read_bytes(), path.name)
        settings = typical_settings(600)
        run = estimate_run([estimate_part(estimable(model.mesh, model.facts.findings), settings)], settings)
    except ShopError as refusal:
        return "refused", str(refusal)
    findings = " ".join(finding.code for finding in model.facts.findings)
    return (
        "estimated",
        f"{model.facts.triangles} triangles {run.minutes:.0f} min {run.grams:.1f} g {findings}",
    )


def outcome(path: Path, pools: list[ProcessPoolExecutor]) -> tuple[str, str]:
    """Try one file in a process that may be lost."""
    if not pools:
        pools.append(ProcessPoolExecutor(1, mp_context=get_context("spawn")))
    try:
        return pools[0].submit(tried, path).result(timeout=SECONDS)
    except TimeoutError:
        end(pools.pop())
        return "hung", f"over {SECONDS} s"
    except BrokenProcessPool:
        pools.pop().shutdown()
        return "crashed", "the process ended"
    except Exception as error:
        return "crashed", repr(error)


def end(pool: ProcessPoolExecutor) -> None:
    """Kill a pool's only process."""
    for process in list(pool._processes.values()):
        process.kill()
    pool.shutdown()


def main() -> int:
    """Try every model file in a folder."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path)
    asked.add_argument("--all", action="store_true", help="print every file, not only the faults")
    arguments = asked.parse_args()
    counts: Counter[str] = Counter()
    pools: list[ProcessPoolExecutor] = []
    slowest = (0.0, "")
    for path in sorted(arguments.folder.rglob("*")):
        if path.suffix.lower() not in ENDINGS or not path.is_file():
            continue
        began = perf_counter()
        what, words = outcome(path, pools)
        took = perf_counter() - began
        slowest = max(slowest, (took, path.name))
        counts[what] += 1
        if arguments.all or what in ("hung", "crashed"):
            print(f"{what:10} {took:6.2f} s  {path.name}: {words}", flush=True)
    for pool in pools:
        pool.shutdown()
    print(", ".join(f"{counts[what]} {what}" for what in ("estimated", "refused", "crashed", "hung")))
    print(f"slowest: {slowest[1]} {slowest[0]:.2f} s")
    return 1 if counts["crashed"] or counts["hung"] else 0


if __name__ == "__main__":
    sys.exit(main())
