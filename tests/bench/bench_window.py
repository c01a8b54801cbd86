"""First paint, memory, and how live the window stays, in a shop with years of records.

    python -m tests.bench.bench_window [--folder FOLDER] [--times 5]

The folder is one that tests.bench.bench_desk filled (10,000 requests, 200,000 use entries); it is
filled when it is not there. Each time is a process of its own, measured from its start.
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

PAINT_S, MEMORY_MB, OVER_IDLE_MS = 1.0, 350.0, 100.0


def one_window(place: str) -> dict[str, Any]:
    """Figures of one window from its start to its end."""
    environment = {**os.environ, "QT_LOGGING_RULES": "qt.qpa.offscreen=false"}
    if not environment.get("DISPLAY"):
        environment["QT_QPA_PLATFORM"] = "offscreen"
    command = [sys.executable, "-m", "tests.bench.window_in_use", place, repr(time.time())]
    answer = subprocess.run(command, env=environment, stdout=subprocess.PIPE, check=True, text=True)
    figures: dict[str, Any] = json.loads(answer.stdout.splitlines()[-1])
    return figures


def main(words: list[str]) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folder", default="/tmp/printcrib-bench-window")
    parser.add_argument("--times", type=int, default=5)
    told = parser.parse_args(words)
    shop = Path(told.folder) / "shop"
    if not (shop / "shop.db").exists():
        subprocess.run([sys.executable, "-m", "tests.bench.bench_desk", "--folder", told.folder], check=True)
    runs = [one_window(str(shop)) for _ in range(told.times)]
    print(f"{'':24}{'median':>10}{'worst':>10}{'target':>10}")
    for key, words_, target in (
        ("first_paint_s", "first paint, s", PAINT_S),
        ("first_paint_mb", "memory then, MB", MEMORY_MB),
        ("desk_filled_s", "Desk filled, s", None),
        ("desk_filled_mb", "memory then, MB", MEMORY_MB),
        ("in_use_mb", "memory after all, MB", MEMORY_MB),
    ):
        values = [run[key] for run in runs]
        wanted = "" if target is None else f"{target:g}"
        print(f"{words_:24}{statistics.median(values):10.2f}{max(values):10.2f}{wanted:>10}")
    print(f"\n{'10 ms timer, gaps in ms':24}{'99.9 %':>10}{'over idle':>10}{'longest':>10}{'took s':>10}")
    for name in runs[0]["gaps"]:
        percentile = statistics.median(run["gaps"][name]["p999_ms"] for run in runs)
        over = statistics.median(
            run["gaps"][name]["p999_ms"] - run["gaps"]["idle"]["p999_ms"] for run in runs
        )
        longest = max(run["gaps"][name]["longest_ms"] for run in runs)
        took = statistics.median(run["gaps"][name].get("seconds", 0.0) for run in runs)
        print(f"{name:24}{percentile:10.1f}{over:10.1f}{longest:10.1f}{took:10.2f}")
    print(f"\ntarget: over idle at most {OVER_IDLE_MS:g} ms")


if __name__ == "__main__":
    main(sys.argv[1:])
