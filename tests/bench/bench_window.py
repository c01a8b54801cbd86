"""First paint, memory, and how live the window stays, in a shop with years of records.

    python -m tests.bench.bench_window [--folder FOLDER] [--times 3]

The folder is one that tests.bench.bench_desk filled (10,000 requests, 200,000 use entries); it is filled
when there is no shop in it. The window works on a copy. Each time is a process of its own, measured from
before it is started; the first one only lets Python write its compiled files and is not counted.
"""

import argparse
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

PAINT_S, MEMORY_MB, OVER_IDLE_MS = 1.0, 350.0, 100.0
MOMENTS = (
    ("first_paint_s", "first paint, s", PAINT_S),
    ("first_paint_mb", "memory then, MB", MEMORY_MB),
    ("desk_filled_s", "Desk filled, s", None),
    ("desk_filled_mb", "memory then, MB", MEMORY_MB),
    ("in_use_mb", "memory after all, MB", MEMORY_MB),
    ("peak_mb", "memory at most, MB", MEMORY_MB),
)


def one_window(filled: Path, compiled: str) -> dict[str, Any]:
    """Figures of one window from its start to its end, on a copy of the shop."""
    environment = {
        **os.environ,
        "QT_LOGGING_RULES": "qt.qpa.offscreen=false",
        "PYTHONPYCACHEPREFIX": compiled,
    }
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed program has its compiled files
    if not environment.get("DISPLAY"):
        environment["QT_QPA_PLATFORM"] = "offscreen"
    with tempfile.TemporaryDirectory(prefix="printcrib-bench-") as folder:
        place = shutil.copytree(filled, Path(folder) / "shop")
        command = [sys.executable, "-m", "tests.bench.window_in_use", str(place), repr(time.time())]
        answer = subprocess.run(command, env=environment, stdout=subprocess.PIPE, check=True, text=True)
    figures: dict[str, Any] = json.loads(answer.stdout.splitlines()[-1])
    return figures


def moments(runs: list[dict[str, Any]]) -> None:
    """Print what is measured once a window."""
    print(f"{'':24}{'median':>10}{'worst':>10}{'target':>10}")
    for key, words, target in MOMENTS:
        values = [run[key] for run in runs]
        wanted = "" if target is None else f"{target:g}"
        print(f"{words:24}{statistics.median(values):10.2f}{max(values):10.2f}{wanted:>10}")


def gaps(runs: list[dict[str, Any]]) -> None:
    """Print the gaps while one kind of work is done again and again."""
    print(f"\n{'10 ms timer, gaps in ms':24}{'99.9 %':>10}{'over idle':>10}{'longest':>10}{'one took s':>12}")
    for name in runs[0]["gaps"]:
        found = [run["gaps"][name] for run in runs]
        percentile = statistics.median(each["p999_ms"] for each in found)
        over = statistics.median(
            each["p999_ms"] - run["gaps"]["idle"]["p999_ms"] for run, each in zip(runs, found, strict=True)
        )
        longest = max(each["longest_ms"] for each in found)
        took = statistics.median(each["seconds"] for each in found)
        print(f"{name:24}{percentile:10.1f}{over:10.1f}{longest:10.1f}{took:12.2f}")
    print(f"\ntarget: over idle at most {OVER_IDLE_MS:g} ms")


def main(words: list[str]) -> None:
    """Fill where needed, then open some windows."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.bench_window")
    parser.add_argument("--folder", default=str(Path(tempfile.gettempdir()) / "printcrib-bench-window"))
    parser.add_argument("--times", type=int, default=3)
    told = parser.parse_args(words)
    shop = Path(told.folder) / "shop"
    if not (shop / "shop.db").exists():
        subprocess.run([sys.executable, "-m", "tests.bench.bench_desk", "--folder", told.folder], check=True)
    with tempfile.TemporaryDirectory(prefix="printcrib-compiled-") as compiled:
        runs = [one_window(shop, compiled) for _ in range(told.times + 1)][1:]
    moments(runs)
    gaps(runs)


if __name__ == "__main__":
    main(sys.argv[1:])
