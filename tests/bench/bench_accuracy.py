"""Both estimates, layers alone (tier 1) and paths on key layers (tier 2), against paths on every layer.

    python -m tests.bench.bench_accuracy [--tier 1|2|both] [--group all|made|held out|supports]
                                         [--parts "hose clip,funnel"]
                                         [--nozzles 400,600,800,1000] [--rates 500,1500,6000]

Three groups, told apart: the shop aids (the rules were looked at on these), parts held out (they were made
for this bench when the rules were done), and parts that hang over, printed with supports. Minutes are without
the start. Reference and estimates share no geometry code; see ``path_reference``. Every model stands with
its corner at the origin, so that sparse lines fall alike in both. Paths are laid out once for all rates.
"""

import argparse
import time
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

import numpy as np
from tests.bench.held_out import held_out, overhanging
from tests.bench.path_reference import laid_out, timed_whole

from printcrib.core.compiled.paths import PATH_KERNELS
from printcrib.core.compiled.sections import areas_and_outlines_kernel
from printcrib.core.estimating.part import PartEstimate, estimate_part
from printcrib.core.estimating.paths.estimate import estimate_by_paths
from printcrib.core.estimating.settings import PrintSettings, typical_settings
from printcrib.core.shapes import Mesh
from printcrib.meshes.made import made_patterns

TIERS: dict[str, Callable[[Mesh, PrintSettings], PartEstimate]] = {
    "1": lambda mesh, settings: estimate_part(mesh, settings, areas_and_outlines_kernel),
    "2": lambda mesh, settings: estimate_by_paths(mesh, settings, PATH_KERNELS),
}
GROUPS: dict[str, Callable[[], dict[str, Callable[..., Mesh]]]] = {
    "made": made_patterns,
    "held out": lambda: dict(held_out()),
    "supports": lambda: dict(overhanging()),
}


@dataclass
class Tally:
    """How far one tier is off, and how it orders the nozzles.

    Attributes:
        off: relative errors of minutes and grams.
        minutes: of every part and rate the minutes by paths and by estimate, one pair a nozzle.
        seconds: computing time of each estimate.
    """

    off: list[tuple[float, float]] = field(default_factory=list)
    minutes: dict[tuple[str, float], list[tuple[float, float]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    seconds: list[float] = field(default_factory=list)

    def ordered(self) -> int:
        """Parts and rates whose nozzles are in the right order by minutes."""
        orders = (np.argsort(np.array(pairs), axis=0) for pairs in self.minutes.values())
        return sum(bool((order[:, 0] == order[:, 1]).all()) for order in orders)

    def words(self) -> str:
        """Mean and worst errors, and how often the nozzle order is right."""
        size = 100 * np.abs(np.array(self.off))
        return (
            f"minutes MAPE {size[:, 0].mean():.2f} %, worst {size[:, 0].max():.1f} %; "
            f"grams MAPE {size[:, 1].mean():.2f} %, worst {size[:, 1].max():.1f} %; "
            f"nozzle order right {self.ordered()}/{len(self.minutes)}; "
            f"median {np.median(self.seconds):.3f} s, longest {max(self.seconds):.2f} s"
        )


@dataclass(frozen=True)
class Cases:
    """What every part is measured with: nozzle bores, accelerations, supports or not."""

    bores: list[int]
    rates: list[float]
    supports: bool


def measured(name: str, mesh: Mesh, cases: Cases, tallies: dict[str, Tally]) -> None:
    """Estimate one part with every nozzle and rate, and print a line for each."""
    mesh = Mesh(mesh.vertices - mesh.vertices.min(axis=0), mesh.faces)
    for bore in cases.bores:
        usual = replace(typical_settings(bore), supports=int(cases.supports))
        heads = laid_out(mesh, usual)
        for rate in cases.rates:
            settings = replace(usual, acceleration_mm_s2=rate)
            minutes, grams = timed_whole(heads, settings)
            line = f"{name:16}{bore:6}{rate:7.0f}{minutes:9.1f} min{grams:8.1f} g"
            for tier, tally in tallies.items():
                begin = time.perf_counter()
                part = TIERS[tier](mesh, settings)
                tally.seconds.append(time.perf_counter() - begin)
                off = part.part_minutes / minutes - 1, part.grams / grams - 1
                tally.off.append(off)
                tally.minutes[name, rate].append((minutes, part.part_minutes))
                line += f"   tier {tier} {100 * off[0]:+6.2f} % min {100 * off[1]:+6.2f} % g"
            print(line, flush=True)


def table(group: str, names: Iterable[str], cases: Cases, tiers: Iterable[str]) -> None:
    """Print one group's table and its sums."""
    made, tallies = GROUPS[group](), {tier: Tally() for tier in tiers}
    chosen = [name for name in made if name in set(names)] or list(made)
    print(f"{group}: {', '.join(chosen)}")
    for name in chosen:
        measured(name, made[name](), cases, tallies)
    for tier, tally in tallies.items():
        print(f"{group}, tier {tier}: {tally.words()}", flush=True)


def main() -> None:
    """Print the table of each group."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--tier", choices=(*TIERS, "both"), default="both")
    asked.add_argument("--group", choices=(*GROUPS, "all"), default="all")
    asked.add_argument("--nozzles", default="400,600,800,1000")
    asked.add_argument("--parts", default="", help="only these of the group")
    asked.add_argument("--rates", default="500,1500,6000", help="accelerations in mm/s2")
    arguments = asked.parse_args()
    for estimate in TIERS.values():
        estimate(made_patterns()["hose clip"](), typical_settings(800))  # compiled code is loaded once
    tiers = tuple(TIERS) if arguments.tier == "both" else (arguments.tier,)
    bores = list(map(int, arguments.nozzles.split(",")))
    rates = list(map(float, arguments.rates.split(",")))
    for group in GROUPS if arguments.group == "all" else [arguments.group]:
        table(group, arguments.parts.split(","), Cases(bores, rates, group == "supports"), tiers)


if __name__ == "__main__":
    main()
