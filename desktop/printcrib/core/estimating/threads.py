"""Threads about upright axes, found by the wave they make in a one-sided profile of the model.

An opening of the sections does not see a thread: every section of it is sound. A half-plane through the axis
cuts out radius over height; its strongest wave is the pitch, and a wave that moves on as the half-plane is
turned is a thread, while one that stands still is a row of grooves.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from printcrib.core.advice import Thread
from printcrib.core.shapes import Floats, Indices, Mesh

STEP_MM = 0.05  # between the heights of a profile
FINEST_MM, LEAST_TURNS = 0.35, 3.0  # pitches looked for: from this to a third of the stretch
SHORTEST_MM = 3.0  # of a stretch looked at
LEAST_WAVE_MM = 0.05  # half of crest to root
CLEAR_SHARE = 0.55  # of the wave's power that one pitch must hold
PADDING = 8  # the spectrum is read this much finer than its lines lie
MOST_STEPS = 8192
SAME_PITCH = 0.08


@dataclass(frozen=True, eq=False)
class Profile:
    """Radius over height on one side of an axis.

    Attributes:
        bottom_mm: height of the first entry. step_mm: between entries.
        outer: largest radius at each height, not a number where the half-plane meets nothing.
        inner: smallest radius.
    """

    bottom_mm: float
    step_mm: float
    outer: Floats
    inner: Floats


@dataclass(frozen=True)
class _Wave:
    first: int
    after: int
    pitch_mm: float
    half_mm: float
    share: float


def find_threads(mesh: Mesh, axes: Iterable[tuple[float, float]]) -> tuple[Thread, ...]:
    """Threads about the given upright axes, largest first.

    Args:
        mesh: the model, standing as it will be printed.
        axes: places of the axes in mm.
    """
    found: list[Thread] = []
    for axis in axes:
        sides = [profile(mesh, axis, turn) for turn in (0.0, 0.5 * np.pi, np.pi)]
        for inside in (False, True):
            radii = [side.inner if inside else side.outer for side in sides]
            thread = _thread(radii, sides[0], inside)
            if thread is not None and not any(_same(thread, other) for other in found):
                found.append(thread)
    return tuple(sorted(found, key=lambda thread: -thread.diameter_mm))


def axes_of(mesh: Mesh, rings: Iterable[Floats], most: int = 6) -> tuple[tuple[float, float], ...]:
    """Where upright threads may turn: the middle of the model, and of the round outlines of its sections.

    Args:
        mesh: the model. rings: outlines of some sections, points in mm. most: axes to give.
    """
    low, high = mesh.vertices[:, :2].min(axis=0), mesh.vertices[:, :2].max(axis=0)
    groups: list[list[Floats]] = [[(low + high) / 2]]
    for ring in rings:
        middle = (ring.min(axis=0) + ring.max(axis=0)) / 2
        reach = np.hypot(*(ring - middle).T)
        if len(ring) < 12 or reach.min() < 0.7 * reach.max():
            continue
        near = [group for group in groups if np.hypot(*(group[0] - middle)) < 0.2 * reach.max()]
        if near:
            near[0].append(middle)
        else:
            groups.append([middle])
    first, others = groups[0], sorted(groups[1:], key=len, reverse=True)
    kept = [first[0], *(np.mean(group, axis=0) for group in others)][:most]
    return tuple((float(x), float(y)) for x, y in kept)


def profile(mesh: Mesh, axis: tuple[float, float], turn_rad: float) -> Profile:
    """Cut a half-plane from an axis out through the model."""
    cosine, sine = np.cos(turn_rad), np.sin(turn_rad)
    place = mesh.vertices[:, :2] - axis
    out = place @ np.array([cosine, sine])
    side = place @ np.array([-sine, cosine])
    height = mesh.vertices[:, 2]
    bottom, top = float(height.min()), float(height.max())
    step = max(STEP_MM, (top - bottom) / MOST_STEPS)
    count = max(1, int((top - bottom) / step))
    beyond = side[mesh.faces] > 0
    crossed = mesh.faces[beyond.any(axis=1) & ~beyond.all(axis=1)]
    low, high = _segments(crossed, side, np.column_stack((out, height)))
    keep = (low[:, 0] > 0) & (high[:, 0] > 0)
    return Profile(bottom, step, *_radii(low[keep], high[keep], bottom + step / 2, step, count))


def _segments(faces: Indices, side: Floats, points: Floats) -> tuple[Floats, Floats]:
    """Both ends of every triangle's cut as (radius, height), the lower end first."""
    reached = np.zeros(len(faces), dtype=np.int64)
    both = np.zeros((len(faces), 2, 2))
    for first, second in ((0, 1), (1, 2), (2, 0)):
        a, b = faces[:, first], faces[:, second]
        cut = np.flatnonzero((side[a] > 0) != (side[b] > 0))
        share = side[a[cut]] / (side[a[cut]] - side[b[cut]])
        both[cut, reached[cut]] = points[a[cut]] + share[:, None] * (points[b[cut]] - points[a[cut]])
        reached[cut] += 1
    swap = both[:, 0, 1] > both[:, 1, 1]
    both[swap] = both[swap][:, ::-1]
    return both[:, 0], both[:, 1]


def _radii(low: Floats, high: Floats, first: float, step: float, count: int) -> tuple[Floats, Floats]:
    """Largest and smallest radius at each height."""
    begin = np.ceil((low[:, 1] - first) / step).astype(np.int64).clip(0, count)
    end = np.ceil((high[:, 1] - first) / step).astype(np.int64).clip(0, count)
    spans = end - begin
    owner = np.repeat(np.arange(len(spans)), spans)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(spans) - spans, spans) + begin[owner]
    share = (first + place * step - low[owner, 1]) / (high[owner, 1] - low[owner, 1])
    radius = low[owner, 0] + share * (high[owner, 0] - low[owner, 0])
    outer, inner = np.full(count, -np.inf), np.full(count, np.inf)
    np.maximum.at(outer, place, radius)
    np.minimum.at(inner, place, radius)
    met = np.isfinite(inner)
    return np.where(met, outer, np.nan), np.where(met, inner, np.nan)


def _thread(radii: Sequence[Floats], side: Profile, inside: bool) -> Thread | None:
    """The thread of one profile, if its wave goes round."""
    waves = [wave for wave in _waves(radii[0], side.step_mm) if _goes_round(radii, wave, side.step_mm)]
    if not waves:
        return None
    best = max(waves, key=lambda wave: (wave.after - wave.first) * wave.share)
    alike = [wave for wave in waves if abs(wave.pitch_mm - best.pitch_mm) < SAME_PITCH * best.pitch_mm]
    first, after = min(wave.first for wave in alike), max(wave.after for wave in alike)
    return Thread(
        pitch_mm=round(best.pitch_mm, 3),
        from_mm=round(first * side.step_mm, 1),
        to_mm=round(after * side.step_mm, 1),
        diameter_mm=round(2 * float(np.mean(radii[0][best.first : best.after])), 2),
        inside=inside,
    )


def _waves(radius: Floats, step: float) -> Iterable[_Wave]:
    """Stretches with one clear wave: the whole first, then halves of it overlapping by half, and so on."""
    known = np.flatnonzero(np.isfinite(radius))
    length = len(known)
    while length * step >= SHORTEST_MM:
        for first in range(0, len(radius) - length + 1, max(1, length // 4)):
            stretch = radius[first : first + length]
            wave = _wave(stretch, step) if np.isfinite(stretch).all() else None
            if wave is not None:
                pitch, half, share = wave
                yield _Wave(first, first + length, pitch, half, share)
        length //= 2


def _wave(radius: Floats, step: float) -> tuple[float, float, float] | None:
    """Pitch, half of crest to root, and share of the power, where one wave is clear."""
    count = len(radius)
    along = np.arange(count)
    level = radius - np.polyval(np.polyfit(along, radius, 1), along)
    window = np.hanning(count)
    power = np.abs(np.fft.rfft(level * window, PADDING * count)) ** 2
    line = np.arange(len(power)) / (PADDING * count * step)  # waves a mm
    fits = (line >= LEAST_TURNS / (count * step)) & (line <= 1 / FINEST_MM)
    peak = int(np.argmax(np.where(fits, power, 0)))
    near = slice(max(0, peak - 2 * PADDING), peak + 2 * PADDING + 1)
    share = float(power[near].sum()) / max(float(power.sum()), 1e-300)
    half = 2 * float(np.sqrt(power[peak])) / float(window.sum())
    if share < CLEAR_SHARE or half < LEAST_WAVE_MM or peak + 1 >= len(power):
        return None
    before, at, after = np.log(power[peak - 1 : peak + 2] + 1e-300)
    shift = 0.5 * (before - after) / (before - 2 * at + after)
    return 1 / ((peak + float(shift)) / (PADDING * count * step)), half, share


def _goes_round(radii: Sequence[Floats], wave: _Wave, step: float) -> bool:
    """Whether the wave moves on by as much in each quarter turn; grooves stand still."""
    phases, middles = [], []
    for radius in radii:
        stretch = radius[wave.first : wave.after]
        if not np.isfinite(stretch).all():
            return False
        middles.append(float(stretch.mean()))
        level = (stretch - stretch.mean()) * np.hanning(len(stretch))
        turn = np.exp(-2j * np.pi * np.arange(len(stretch)) * step / wave.pitch_mm)
        phases.append(float(np.angle((level * turn).sum())))
    if max(middles) - min(middles) > wave.half_mm:
        return False  # not round about this axis
    quarter, half = _wrapped(phases[1] - phases[0]), _wrapped(phases[2] - phases[0])
    return abs(quarter) > np.pi / 4 and abs(_wrapped(half - 2 * quarter)) < np.pi / 4


def _wrapped(angle: float) -> float:
    return float((angle + np.pi) % (2 * np.pi) - np.pi)


def _same(one: Thread, other: Thread) -> bool:
    """A solid screw shows the same thread as its largest and as its smallest radius."""
    pitch = abs(one.pitch_mm - other.pitch_mm) < SAME_PITCH * one.pitch_mm
    return pitch and abs(one.diameter_mm - other.diameter_mm) < one.pitch_mm
