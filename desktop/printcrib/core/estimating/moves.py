"""Minutes and grams of a print file: its own moves, timed by the planner that looks ahead.

The file says where the nozzle goes, how fast, and how much filament it draws in; the printer's acceleration
and corner allowance say how long that takes. The round section of the filament and its density give grams.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from printcrib.core.errors import ShopError
from printcrib.core.estimating.move_words import (
    BAD_ARC,
    BAD_NUMBER,
    DWELL,
    MOST_MOVES,
    NO_FEED,
    NOTHING_MM,
    NOZZLE,
    NOZZLE_BROUGHT,
    NOZZLE_WARMED,
    OTHER_PLANE,
    PLATFORM,
    PLATFORM_BROUGHT,
    PLATFORM_WARMED,
    TOO_MANY,
    TOOL,
    MoveRules,
    RawMoves,
    Tell,
    read_words,
)
from printcrib.core.estimating.planner import PlannerKernel, planned_seconds
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.shapes import Floats
from printcrib.core.units import filament_grams_per_metre

UTF8_BOM = b"\xef\xbb\xbf"
MovesReader = Callable[[bytes, MoveRules, Tell | None], RawMoves]

MOST_BYTES = 256 * 1024 * 1024
ROOM_C = 25.0
SAME_LEVEL_MM = 1e-4
SHARE_READ = 0.8  # of the work, about
CLEARLY = (
    0.2  # so much more of the filament pushed must stay out for a reading to be believed against the rule
)
CHOOSE = "Choose the file that goes to the printer."
FEWER = "Make the print file of fewer copies."
FAULT_WORDS = {
    BAD_NUMBER: "a move with a word that is no number or is there twice",
    NO_FEED: "a move before any F says how fast",
    BAD_ARC: "an arc whose centre or radius does not fit its ends",
    OTHER_PLANE: "an arc that does not lie level",
}


@dataclass(frozen=True)
class PrintFile:
    """What printing a file takes.

    Attributes:
        minutes: all the file says: moves, waits, heat-up, tool changes.
        grams, metres: of filament; what is only drawn back and pushed again does not count.
        layers: heights something is printed at.
        height_mm: the topmost height anything is printed at.
        layer_mm: the usual step between layers, 0 below two of them.
        moves: straights and arcs.
        heat_minutes, wait_minutes: waiting for heat; told waits and tool changes.
        notes: sentences on what somebody should know of the reading.
    """

    minutes: float
    grams: float
    metres: float
    layers: int
    moves: int
    heat_minutes: float
    wait_minutes: float
    height_mm: float = 0.0
    layer_mm: float = 0.0
    notes: tuple[str, ...] = ()


def read_moves(
    content: bytes,
    name: str,
    settings: PrintSettings,
    reader: MovesReader | None = None,
    planner: PlannerKernel | None = None,
    tell: Tell | None = None,
) -> PrintFile:
    """Time and weigh a print file by its moves.

    Args:
        content: the file as given.
        name: of the file, for the sentence of a refusal.
        settings: of the printer and the material.
        reader: compiled twin of ``read_words``, where one is loaded.
        planner: compiled twin of ``planned_seconds``, likewise.
        tell: told the share done from time to time; what it raises ends the work.

    Raises:
        ShopError: it holds no moves, or a line that cannot be obeyed.
    """
    refuse_size(len(content), name)
    if b"\0" in content:
        raise ShopError(f"{name} is not a print file in text", CHOOSE)
    share = None if tell is None else lambda read: tell(SHARE_READ * read)
    raw, notes = _read(content.removeprefix(UTF8_BOM), name, settings, reader or read_words, share)
    seconds = (planner or planned_seconds)(
        raw.length_mm, raw.speed_mm_s, raw.corner_mm_s, raw.acceleration_mm_s2
    )
    heat_s, wait_s = _waited(raw.waits, seconds, settings)
    metres = raw.drawn_mm / 1000
    levels = np.unique(np.round(raw.levels_mm / SAME_LEVEL_MM)) * SAME_LEVEL_MM
    if tell is not None:
        tell(1.0)
    return PrintFile(
        minutes=(float(seconds.sum()) + heat_s + wait_s) / 60,
        grams=metres * filament_grams_per_metre(settings.density_g_cm3, settings.filament_mm),
        metres=metres,
        layers=len(levels),
        moves=len(seconds),
        heat_minutes=heat_s / 60,
        wait_minutes=wait_s / 60,
        height_mm=raw.top_mm,
        layer_mm=float(np.median(np.diff(levels))) if len(levels) > 1 else 0.0,
        notes=notes,
    )


def refuse_size(size: int, name: str) -> None:
    """Refuse a file no printer is given, before it is read.

    Raises:
        ShopError: it holds nothing, or more than MOST_BYTES.
    """
    if not size:
        raise ShopError(f"{name} is empty", CHOOSE)
    if size > MOST_BYTES:
        most = MOST_BYTES // 1024**2
        raise ShopError(f"{name} is larger than {most} MB", FEWER)


def _read(
    content: bytes, name: str, settings: PrintSettings, reader: MovesReader, tell: Tell | None
) -> tuple[RawMoves, tuple[str, ...]]:
    """The moves, and what is to be said of them."""
    rules = MoveRules(
        settings.travel_speed_mm_s,
        settings.acceleration_mm_s2,
        settings.corner_allowance_mm,
        e_switches=bool(settings.g90_sets_filament),
        p_s=1.0 if settings.g4_p_in_seconds else 0.001,
    )
    raw = reader(content, rules, tell)
    if raw.fault == TOO_MANY:
        raise ShopError(f"{name} holds more than {MOST_MOVES // 1_000_000} million moves", FEWER)
    if raw.fault:
        sentence = f"Line {raw.line} of {name} is {FAULT_WORDS[raw.fault]}"
        raise ShopError(sentence, "Make the print file again.")
    if not len(raw.length_mm) and not len(raw.waits):
        raise ShopError(f"{name} holds no moves", CHOOSE)
    notes = []
    if raw.e_in_doubt:
        other = reader(content, replace(rules, e_switches=not rules.e_switches), tell)
        if _kept_out(other) > _kept_out(raw) + CLEARLY:
            raw = other
            do = "do not count" if rules.e_switches else "count"
            notes.append(f"G90 and G91 {do} for the filament in this file, by what it draws back.")
    if not raw.drawn_mm:
        notes.append("It pushes no filament.")
    if raw.rising > len(raw.length_mm) / 2:
        notes.append("It rises while it prints: its layers cannot be counted.")
    if raw.unread:
        lines = "1 line holds" if raw.unread == 1 else f"{raw.unread} lines hold"
        notes.append(f"{lines} words nobody here knows; they count for nothing.")
    return raw, tuple(notes)


def _kept_out(raw: RawMoves) -> float:
    """Share of the filament pushed that stays out; near 0 where one way of counting was read as the other."""
    return raw.drawn_mm / max(raw.pushed_mm, NOTHING_MM)


@dataclass
class _Heater:
    """A nozzle or a platform: its temperature at a moment, and where it goes from there."""

    rate_c_s: float
    then_c: float = ROOM_C
    since_s: float = 0.0
    target_c: float = ROOM_C

    def set_to(self, target_c: float, now_s: float) -> float:
        """Another target from now on; the degrees still missing, negative when too warm."""
        far = self.target_c - self.then_c
        gone = min(abs(far), self.rate_c_s * (now_s - self.since_s))
        self.then_c += gone if far > 0 else -gone
        self.since_s, self.target_c = now_s, max(ROOM_C, target_c)
        return self.target_c - self.then_c


def _waited(waits: Floats, seconds: Floats, settings: PrintSettings) -> tuple[float, float]:
    """Seconds waited for heat, and told waits with tool changes.

    A heater set earlier warms while the moves go on. Cooling is taken to be as quick as heating.
    """
    nozzle, platform = _Heater(settings.nozzle_heats_c_s), _Heater(settings.platform_heats_c_s)
    heaters = {NOZZLE: nozzle, NOZZLE_WARMED: nozzle, NOZZLE_BROUGHT: nozzle}
    heaters |= {PLATFORM: platform, PLATFORM_WARMED: platform, PLATFORM_BROUGHT: platform}
    moved = np.concatenate(([0.0], np.cumsum(seconds)))
    heat_s = wait_s = 0.0
    for at, kind, value in waits.tolist():
        if kind == DWELL:
            wait_s += value
        elif kind == TOOL:
            wait_s += settings.tool_change_s
        else:
            heater = heaters[int(kind)]
            missing = heater.set_to(value, float(moved[int(at)]) + heat_s + wait_s)
            if kind in (NOZZLE_BROUGHT, PLATFORM_BROUGHT):
                missing = abs(missing)
            if kind not in (NOZZLE, PLATFORM):
                heat_s += max(0.0, missing) / heater.rate_c_s
    return heat_s, wait_s
