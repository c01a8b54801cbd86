"""The estimate that answers at once, against paths laid out on every layer.

    python -m tests.bench.bench_accuracy [--nozzles 400,800] [--aids "hose clip,funnel"] [--rates 1500]

Minutes are without the start. Reference and estimate share no geometry code; see ``path_reference``.
"""

import argparse
from dataclasses import replace

import numpy as np
from tests.bench.path_reference import reference

from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.settings import typical_settings
from printcrib.meshes.made import made_patterns


def main() -> None:
    """Print the table and its means."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--nozzles", default="400,800")
    asked.add_argument("--aids", default=",".join(made_patterns()))
    asked.add_argument("--rates", default="1500", help="accelerations in mm/s2")
    arguments = asked.parse_args()
    off: list[tuple[float, float]] = []
    print(f"{'aid':16}{'bore':>6}{'rate':>7}{'paths':>9}{'estimate':>10}{'':>8}{'paths':>9}{'estimate':>10}")
    for name in arguments.aids.split(","):
        mesh = made_patterns()[name]()
        for bore in map(int, arguments.nozzles.split(",")):
            for rate in map(float, arguments.rates.split(",")):
                settings = replace(typical_settings(bore), acceleration_mm_s2=rate)
                (minutes, grams), part = reference(mesh, settings), estimate_part(mesh, settings)
                off.append((part.part_minutes / minutes - 1, part.grams / grams - 1))
                time, mass = (f"{100 * each:+6.1f} %" for each in off[-1])
                print(
                    f"{name:16}{bore:6}{rate:7.0f}{minutes:9.1f}{part.part_minutes:10.1f}{time}"
                    f"{grams:9.1f}{part.grams:10.1f}{mass}",
                    flush=True,
                )
    size = 100 * np.abs(np.array(off))
    print(f"minutes: mean {size[:, 0].mean():.1f} %, worst {size[:, 0].max():.1f} %")
    print(f"grams:   mean {size[:, 1].mean():.1f} %, worst {size[:, 1].max():.1f} %")


if __name__ == "__main__":
    main()
