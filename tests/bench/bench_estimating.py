"""How fast layers and estimates are. Figures of one run, beside each other.

    python -m tests.bench.bench_estimating [--large]

Prints, for a ball of about 100,000 triangles and 300 layers: areas and outlines compiled, in numpy, and by
trimesh's section_multiplane with areas; welding and facts; the whole estimate; and for the twelve aids
the estimate for three nozzles. ``--large`` adds 2 million triangles.
"""

import argparse
import resource
from collections.abc import Callable
from functools import partial
from statistics import median
from time import perf_counter
from typing import Any

import numpy as np
from tests.core.estimating.solids import sphere

from printcrib.core.compiled.sections import areas_and_outlines_kernel
from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.sections import AreaKernel, areas_and_outlines, levels_of, sections
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.shapes import Mesh, facts_of
from printcrib.meshes.made import made_patterns
from printcrib.meshes.reader import ModelReader
from printcrib.meshes.reading import read_model
from printcrib.meshes.writer import write_stl


def timed(work: Callable[[], object], times: int = 5) -> float:
    """Median milliseconds."""
    took = []
    for _ in range(times):
        began = perf_counter()
        work()
        took.append(perf_counter() - began)
    return median(took) * 1000


def areas(mesh: Mesh, step: float, kernel: AreaKernel) -> object:
    """Areas and outlines alone."""
    levels = levels_of(mesh, step)
    return kernel(mesh.vertices, mesh.faces, levels.above, levels.first_mm, levels.step_mm, levels.count)


def by_library(mesh: Mesh, step: float) -> list[float]:
    """Areas of every layer by trimesh."""
    import trimesh

    solid: Any = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    levels = levels_of(mesh, step)
    heights = levels.first_mm + np.arange(levels.count) * step
    cuts = solid.section_multiplane(plane_origin=[0, 0, 0], plane_normal=[0, 0, 1], heights=heights)
    return [0.0 if cut is None else float(cut.area) for cut in cuts]


def layers_against_library() -> None:
    """100,000 triangles, 300 layers."""
    mesh = sphere(50, 224, 224)
    step = 100 / 300
    areas(mesh, step, areas_and_outlines_kernel)
    compiled = timed(lambda: areas(mesh, step, areas_and_outlines_kernel))
    plain = timed(lambda: areas(mesh, step, areas_and_outlines))
    library = timed(lambda: by_library(mesh, step), 1)
    ours, theirs = areas_and_outlines(*_inputs(mesh, step))[0], np.array(by_library(mesh, step))
    print(f"{len(mesh.faces):,} triangles, {len(ours)} layers: areas and outlines")
    print(f"  compiled {compiled:8.1f} ms   {library / compiled:6.0f} x the library")
    print(f"  numpy    {plain:8.1f} ms   {library / plain:6.0f} x the library")
    print(f"  trimesh  {library:8.1f} ms   areas differ by at most {np.abs(ours - theirs).max():.2e} mm2")


def _inputs(mesh: Mesh, step: float) -> tuple[Any, ...]:
    levels = levels_of(mesh, step)
    return mesh.vertices, mesh.faces, levels.above, levels.first_mm, levels.step_mm, levels.count


def whole_way(sides: int) -> None:
    """From bytes to minutes."""
    mesh = sphere(50, sides, sides)
    content, step, settings = write_stl(mesh), 100 / 300, typical_settings(600)
    times = 3 if sides < 500 else 1
    print(f"{len(mesh.faces):,} triangles, {len(content) / 2**20:.0f} MB")
    with ModelReader() as reader:
        reader.read(write_stl(sphere(5, 8, 8)), "warm.stl")
        steps: dict[str, Callable[[], object]] = {
            "read, weld, judge": lambda: read_model(content, "ball.stl"),
            "the same in the child": lambda: reader.read(content, "ball.stl"),
            "facts": lambda: facts_of(mesh),
            "layers, compiled": lambda: sections(mesh, step, areas_and_outlines_kernel),
            "layers, numpy": lambda: sections(mesh, step),
            "estimate, numpy": lambda: estimate_part(mesh, settings),
        }
        for words, work in steps.items():
            print(f"  {words:24} {timed(work, times):8.0f} ms")
    print(f"  most memory so far       {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:8.0f} MB")


def aids() -> None:
    """The twelve aids, 0.4, 0.6 and 0.8 mm."""
    print("estimates of the aids, ms for 0.4 / 0.6 / 0.8 mm")
    for name, make in made_patterns().items():
        mesh = make()
        took = [timed(partial(estimate_part, mesh, typical_settings(bore)), 3) for bore in (400, 600, 800)]
        print(f"  {name:16} {len(mesh.faces):7,} triangles  " + " / ".join(f"{each:.0f}" for each in took))


def main() -> None:
    """Run the benches."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--large", action="store_true", help="also 2 million triangles")
    arguments = asked.parse_args()
    layers_against_library()
    whole_way(224)
    if arguments.large:
        whole_way(1000)
    aids()


if __name__ == "__main__":
    main()
