"""Minutes and grams of one copy from paths laid out on key layers: the estimate that is stored.

Tier 2: walls, skin and fill are laid out as lines and timed by the planner that looks ahead. Layers alike
go by one of them.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import numpy as np
import shapely

from printcrib.core.errors import ShopError
from printcrib.core.estimating.part import PartEstimate
from printcrib.core.estimating.paths.chains import Chains
from printcrib.core.estimating.paths.kernels import PathKernels
from printcrib.core.estimating.paths.key_layers import KeyLayers, key_layers
from printcrib.core.estimating.paths.layout import Around, lay_out
from printcrib.core.estimating.paths.moves import Ends, ends_of, moves_of
from printcrib.core.estimating.paths.regions import Regions
from printcrib.core.estimating.paths.support_lines import supports_laid_out
from printcrib.core.estimating.paths.timing import bridge_seconds, seconds_of
from printcrib.core.estimating.sections import levels_of, sections
from printcrib.core.estimating.settings import PrintSettings, settings_hash
from printcrib.core.shapes import Floats, Mesh

OVERLAP_SEEN = 1.02  # bodies overlap when their sections sum to this much more than they cover together


@dataclass(frozen=True, eq=False)
class LaidOut:
    """Layers laid out; entries of layers that go by another are 0.

    Attributes:
        seconds: time of each layer, the first at the speed of a first layer.
        printed_mm: length of its lines.
        solid_mm2: area it fills, bodies that overlap counted once.
        ends: where the nozzle may begin and where it ends it.
    """

    seconds: Floats
    printed_mm: Floats
    solid_mm2: Floats
    ends: dict[int, Ends] = field(default_factory=dict)


@dataclass(frozen=True)
class Layout:
    """How layers are laid out: the settings, and what compiled code helps."""

    settings: PrintSettings
    compiled: PathKernels


def estimate_by_paths(
    mesh: Mesh,
    settings: PrintSettings,
    kernel: PathKernels | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> PartEstimate:
    """Estimate one copy of a model from its paths.

    Args:
        mesh: the model, outside out, standing as it will be printed.
        settings: printer, nozzle and material.
        kernel: compiled twins; given in worker processes only.
        progress: told the part done, 0 to 1, after every layer laid out.
        cancelled: asked before every layer laid out.

    Raises:
        ShopError: the model is too tall to be meant in mm, its surface is in too poor a state, or it was
            cancelled.
    """
    compiled = kernel or PathKernels()
    corner, far = mesh.vertices.min(axis=0), mesh.vertices.max(axis=0)
    mesh = Mesh(mesh.vertices - corner, mesh.faces)
    levels = levels_of(mesh, settings.layer_height_mm)
    cut = sections(mesh, settings.layer_height_mm, compiled.areas)
    keys = key_layers(mesh, levels, cut, settings)
    regions = Regions(Chains(mesh, levels), levels.count)
    with _refused_in_words():
        laid = _laid_out(regions, keys, Layout(settings, compiled), progress, cancelled)
    seconds, printed = (each[keys.key] * keys.ratio for each in (laid.seconds, laid.printed_mm))
    ends = [laid.ends.get(key) for key in keys.key.tolist()]
    support = supports_laid_out(mesh, levels, settings, ends, compiled)
    seconds += support.seconds
    support_mm = float(support.printed_mm.sum())
    length = float(printed.sum()) + support_mm
    grams_a_mm = settings.line_mm2 * settings.density_g_cm3 / 1000
    width, depth, _ = (far - corner).tolist()
    return PartEstimate(
        part_minutes=float(np.maximum(seconds, settings.least_layer_s).sum()) / 60
        + levels.count * settings.layer_change_s / 60,
        grams=length * grams_a_mm,
        path_metres=length / 1000,
        layers=levels.count,
        layer_seconds=tuple(seconds.tolist()),
        footprint_mm=(width, depth),
        settings_hash=settings_hash(settings),
        overlapping=bool(cut.area_mm2.sum() > OVERLAP_SEEN * laid.solid_mm2[keys.key].sum()),
        support_mm3=float(support.area_mm2.sum()) * settings.layer_height_mm,
        support_grams=support_mm * grams_a_mm,
        tier=2,
    )


@contextmanager
def _refused_in_words() -> Iterator[None]:
    try:
        yield
    except shapely.errors.GEOSException as error:
        raise ShopError(
            "The lines of this model cannot be laid out: its surface crosses itself",
            "Use the quick estimate.",
        ) from error


def _laid_out(
    regions: Regions,
    keys: KeyLayers,
    layout: Layout,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> LaidOut:
    laid, settings = LaidOut(*np.zeros((3, len(keys.key)))), layout.settings
    wanted = np.unique(keys.key).tolist()
    for done, layer in enumerate(wanted):
        if cancelled is not None and cancelled():
            raise ShopError("The estimate was cancelled", "The quick estimate stays.")
        solid = regions.solid(layer)
        head = lay_out(
            solid, _around(regions, layer, settings), settings, layer % 2 == 1, layout.compiled.nearest
        )
        moves = moves_of(head)
        bridges = bridge_seconds(head.bridged_mm2, settings)
        laid.seconds[layer] = bridges + seconds_of(
            moves, settings, first=layer == 0, kernel=layout.compiled.planner
        )
        laid.printed_mm[layer], laid.solid_mm2[layer] = moves.printed_mm, solid.area
        if head.paths:
            laid.ends[layer] = ends_of(head)
        if progress is not None:
            progress((done + 1) / len(wanted))
    return laid


def _around(regions: Regions, layer: int, settings: PrintSettings) -> Around:
    over_air = layer > 0 and not settings.supports
    return Around(
        regions.neighbours(layer, settings.top_skins, settings.bottom_skins),
        regions.solid(layer - 1) if over_air else None,
    )
