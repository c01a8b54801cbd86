"""Features narrower than a line, per nozzle: what is lost, which slots are welded shut, and where.

A section that is moved in by half a line and out again has lost what is narrower than a line (an opening);
moved out and in again it has closed what is narrower between (a closing). Corners are kept sharp, so that a
sound shape loses nothing. Only layers that differ are looked at, the same ones for all nozzles.
"""

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely

from printcrib.core.advice import NozzleFit, Thread
from printcrib.core.estimating.paths.chains import Chains
from printcrib.core.estimating.paths.regions import Area, Regions, pieces_of
from printcrib.core.estimating.sections import Sections, levels_of, sections
from printcrib.core.estimating.threads import axes_of, find_threads
from printcrib.core.shapes import Floats, Mesh

ALIKE = 0.005  # layers whose area and outline agree within this are one
MOST_LAYERS = 40  # distinct layers looked at; half of them the tallest stretches
NEARLY_HALF = 0.499  # a wall exactly one line wide is printed
SPECK = 0.1  # pieces under this part of a line width squared are no feature
PERSISTS = 0.75  # what goes for less than this many line widths of height is a tip, no feature
SMOOTHED_MM = 0.01  # outlines are simplified by this much, far less than any line
AXES_FROM = 5  # sections whose round outlines tell where threads may turn
MOST_PLACES = 400  # outlines kept for each line width
CORNER_REACH = 5.0  # corners sharper than about 23 degrees are blunted


Look = Callable[[Area, float], list[Area]]
"""Gives the pieces of a section that go, or close, with a line of that width."""


@dataclass(frozen=True, eq=False)
class LostPlace:
    """The outline of something lost or welded shut, for a view to paint.

    Attributes:
        welded: a slot that closes, else a feature that goes.
        from_mm, to_mm: heights it was found for. outline: points in mm, not closed.
    """

    welded: bool
    from_mm: float
    to_mm: float
    outline: Floats


@dataclass(frozen=True, eq=False)
class FeatureLoss:
    """What one nozzle does to a model: the figures, and the places."""

    fit: NozzleFit
    places: tuple[LostPlace, ...]


@dataclass(frozen=True)
class Stretch:
    """Layers that are alike, and the one that stands for them."""

    first: int
    after: int

    @property
    def plane(self) -> int:
        """The layer in the middle."""
        return (self.first + self.after - 1) // 2


def feature_losses(mesh: Mesh, fits: Iterable[NozzleFit]) -> tuple[FeatureLoss, ...]:
    """What each nozzle loses of a model.

    Args:
        mesh: the model, outside out, standing as it will be printed.
        fits: bore, line width and layer height of each nozzle; their figures are worked out.
    """
    wanted = tuple(fits)
    if not wanted:
        return ()
    step = min(fit.layer_height_mm for fit in wanted)
    cut = sections(mesh, step)
    levels = levels_of(mesh, step)
    bottom = float(mesh.vertices[:, 2].min())
    eye = _Eye(Regions(Chains(mesh, levels), cut.layers), step, levels.first_mm - bottom)
    stretches = distinct(cut)
    by_width = {}
    for width in sorted({fit.line_width_mm for fit in wanted}, reverse=True):
        by_width[width] = eye.through(stretches, width)
    return tuple(eye.told(fit, *by_width[fit.line_width_mm]) for fit in wanted)


def threads_in(mesh: Mesh, step_mm: float) -> tuple[Thread, ...]:
    """Threads about the middle of the model and about the round outlines of its sections.

    Args:
        mesh: the model, standing as it will be printed. step_mm: a layer height.
    """
    levels = levels_of(mesh, step_mm)
    chains = Chains(mesh, levels)
    planes = np.linspace(0, levels.count - 1, AXES_FROM + 2).round().astype(int)[1:-1]
    return find_threads(mesh, axes_of(mesh, [ring for plane in planes for ring in chains.loops(int(plane))]))


def distinct(cut: Sections) -> tuple[Stretch, ...]:
    """Stretches of like layers, bottom first; of very many the tallest and an even choice of the rest."""
    starts, base = [0], 0
    facts = np.column_stack((cut.area_mm2, cut.perimeter_mm, cut.loops, cut.euler))
    slack = np.column_stack((ALIKE * cut.area_mm2, ALIKE * cut.perimeter_mm, np.zeros((cut.layers, 2))))
    for layer in range(1, cut.layers):
        if (np.abs(facts[layer] - facts[base]) > np.abs(slack[base]) + 1e-9).any():
            base = layer
            starts.append(layer)
    found = [Stretch(first, after) for first, after in pairwise([*starts, cut.layers])]
    if len(found) <= MOST_LAYERS:
        return tuple(found)
    tallest = sorted(found, key=lambda each: each.first - each.after)[: MOST_LAYERS // 2]
    even = np.linspace(0, len(found) - 1, MOST_LAYERS // 2).round().astype(int)
    kept = sorted({*tallest, *(found[place] for place in even)}, key=lambda each: each.first)
    bounds = [0, *(low.after + (high.first - low.after) // 2 for low, high in pairwise(kept)), cut.layers]
    return tuple(Stretch(first, after) for first, after in pairwise(bounds))


def opening_loss(area: Area, width_mm: float) -> list[Area]:
    """The pieces of a section that are narrower than a line."""
    half = NEARLY_HALF * width_mm
    return _between(area, _moved(_moved(area, -half), half), width_mm)


def closing_gain(area: Area, width_mm: float) -> list[Area]:
    """The gaps of a section that are narrower than a line."""
    half = NEARLY_HALF * width_mm
    return _between(_moved(_moved(area, half), -half), area, width_mm)


def _moved(area: Area, by_mm: float) -> Area:
    return area.buffer(by_mm, join_style="mitre", mitre_limit=CORNER_REACH)


def _between(larger: Area, smaller: Area, width_mm: float) -> list[Area]:
    """Pieces of the larger area outside the smaller; areas alike are not compared, which takes long."""
    least = SPECK * width_mm**2
    if larger.area - smaller.area < least:
        return []
    return [piece for piece in pieces_of(shapely.difference(larger, smaller)) if piece.area >= least]


@dataclass(frozen=True, eq=False)
class _Seen:
    """What goes in one stretch of layers, seen in one of them."""

    stretch: Stretch
    plane: int
    pieces: list[Area]
    percent: float

    @property
    def mm2(self) -> float:
        return float(sum(piece.area for piece in self.pieces))


class _Eye:
    """Looks at the layers of one model with one line width after another."""

    def __init__(self, regions: Regions, step_mm: float, first_mm: float) -> None:
        self._regions, self._step, self._first = regions, step_mm, first_mm
        self._smooth: dict[int, Area] = {}
        self._sound: dict[Look, set[int]] = {opening_loss: set(), closing_gain: set()}

    def through(self, stretches: Sequence[Stretch], width_mm: float) -> tuple[list[_Seen], list[_Seen]]:
        """What goes and what closes with one line width; layers that keep all are passed over afterwards.

        A narrower line loses nothing where a wider one does not: ask for the widest first.
        """
        lost = self._found(stretches, width_mm, opening_loss)
        return lost, self._found(stretches, width_mm, closing_gain)

    def told(self, fit: NozzleFit, lost: list[_Seen], welded: list[_Seen]) -> FeatureLoss:
        """Figures and places for one nozzle."""
        most, most_welded = _worst(lost), _worst(welded)
        if most is not None:
            fit = replace(
                fit, lost_percent=most.percent, lost_mm2=most.mm2, lost_at_mm=self._height(most.plane)
            )
        if most_welded is not None:
            fit = replace(
                fit,
                welded_percent=most_welded.percent,
                welded_mm2=most_welded.mm2,
                welded_at_mm=self._height(most_welded.plane),
            )
        places = [*self._places(lost, False), *self._places(welded, True)]
        return FeatureLoss(fit, tuple(places))

    def _height(self, plane: int) -> float:
        return round(self._first + plane * self._step, 3)

    def _area(self, plane: int) -> Area:
        if plane not in self._smooth:
            self._smooth[plane] = shapely.simplify(self._regions.solid(plane), SMOOTHED_MM)
        return self._smooth[plane]

    def _pieces_at(self, plane: int, width: float, look: Look) -> list[Area]:
        sound = self._sound[look]
        if plane in sound:
            return []
        pieces = look(self._area(plane), width)
        if not pieces:
            sound.add(plane)
        return pieces

    def _found(self, stretches: Sequence[Stretch], width: float, look: Look) -> list[_Seen]:
        """Stretches where something goes for long enough, their ends found to the layer."""
        runs: list[list[_Seen]] = [[]]
        for stretch in stretches:
            pieces = self._pieces_at(stretch.plane, width, look)
            if pieces:
                share = sum(piece.area for piece in pieces) / self._area(stretch.plane).area
                runs[-1].append(_Seen(stretch, stretch.plane, pieces, 100 * share))
            else:
                runs.append([])
        seen: list[_Seen] = []
        for run in runs:
            if run:
                first = self._end(run[0].stretch, width, look, down=True)
                after = self._end(run[-1].stretch, width, look, down=False)
                if (after - first) * self._step > PERSISTS * width:
                    seen += _trimmed(run, first, after)
        return seen

    def _end(self, stretch: Stretch, width: float, look: Look, *, down: bool) -> int:
        """How far from the layer in the middle something still goes, by halving; a layer number."""
        good, bad = stretch.plane, stretch.first - 1 if down else stretch.after
        while abs(bad - good) > 1:
            middle = (good + bad) // 2
            if self._pieces_at(middle, width, look):
                good = middle
            else:
                bad = middle
        return good if down else good + 1

    def _places(self, found: Iterable[_Seen], welded: bool) -> Iterable[LostPlace]:
        for seen in found:
            low = self._height(seen.stretch.first) - self._step / 2
            high = self._height(seen.stretch.after) - self._step / 2
            for piece in seen.pieces:
                outline = np.asarray(piece.exterior.coords)[:-1, :2]
                yield LostPlace(welded, round(low, 3), round(high, 3), outline)


def _trimmed(run: list[_Seen], first: int, after: int) -> list[_Seen]:
    """The run with its outermost stretches cut to where it really begins and ends."""
    run = [*run]
    run[0] = replace(run[0], stretch=replace(run[0].stretch, first=first))
    run[-1] = replace(run[-1], stretch=replace(run[-1].stretch, after=after))
    return run


def _worst(found: list[_Seen]) -> _Seen | None:
    return max(found, key=lambda seen: (seen.percent, -seen.stretch.first), default=None)


def places_as_json(losses: Iterable[FeatureLoss]) -> bytes:
    """The places of every nozzle as text to keep, the largest first; empty where nothing is lost."""
    kept = {}
    for loss in losses:
        places = sorted(loss.places, key=_size)[:MOST_PLACES]
        kept[f"{loss.fit.line_width_mm:g}"] = [
            {
                "welded": place.welded,
                "from_mm": place.from_mm,
                "to_mm": place.to_mm,
                "outline": np.round(place.outline, 2).tolist(),
            }
            for place in places
        ]
    return json.dumps(kept, separators=(",", ":")).encode() if any(kept.values()) else b""


def _size(place: LostPlace) -> float:
    """Box round the outline times height, negative so that the largest comes first."""
    width, depth = place.outline.max(axis=0) - place.outline.min(axis=0)
    return -float(width * depth * (place.to_mm - place.from_mm))


def places_from_json(content: bytes, line_width_mm: float) -> tuple[LostPlace, ...]:
    """The kept places of one line width, for a view of the model to paint."""
    lines = json.loads(content).get(f"{line_width_mm:g}", []) if content else []
    return tuple(
        LostPlace(line["welded"], line["from_mm"], line["to_mm"], np.array(line["outline"], dtype=np.float64))
        for line in lines
    )
