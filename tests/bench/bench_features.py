"""How long it takes to look a model over: features lost for four nozzles, threads, ways to lie.

    python -m tests.bench.bench_features

The median of three, in processor seconds, for made aids and two models of a hundred thousand triangles.
"""

import statistics
import time
from collections.abc import Callable

from tests.core.estimating.solids import sphere, torus

from printcrib.core.advice import NozzleFit
from printcrib.core.estimating.advising import ranked
from printcrib.core.estimating.features import feature_losses, threads_in
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.shapes import Mesh
from printcrib.meshes.made import collet_tray, drill_template, rail_cover, thread_cap

SETTINGS = tuple(typical_settings(bore) for bore in (400, 600, 800, 1000))
FITS = tuple(NozzleFit(each.bore_um, each.line_width_mm, each.layer_height_mm) for each in SETTINGS)


def models() -> dict[str, Mesh]:
    """Made aids and two large ones."""
    return {
        "rail cover": rail_cover(),
        "collet tray": collet_tray(),
        "drill template": drill_template(),
        "thread cap": thread_cap(),
        "ball": sphere(20, 256, 196),
        "ring": torus(30, 8, 250, 200),
    }


def seconds(work: Callable[[], object]) -> float:
    """Processor seconds, the median of three."""
    took = []
    for _ in range(3):
        begun = time.process_time()
        work()
        took.append(time.process_time() - begun)
    return statistics.median(took)


def main() -> None:
    """Print the table."""
    print(f"{'model':16}{'triangles':>10}{'features s':>12}{'threads s':>11}{'lying s':>9}")
    for name, mesh in models().items():
        looked = seconds(lambda mesh=mesh: feature_losses(mesh, FITS))  # type: ignore[misc]
        threads = seconds(lambda mesh=mesh: threads_in(mesh, 0.2))  # type: ignore[misc]
        lying = seconds(lambda mesh=mesh: ranked(mesh, 0, SETTINGS[1], [(250.0, 250.0, 250.0)]))  # type: ignore[misc]
        print(f"{name:16}{len(mesh.faces):>10,}{looked:>12.2f}{threads:>11.2f}{lying:>9.2f}")


if __name__ == "__main__":
    main()
