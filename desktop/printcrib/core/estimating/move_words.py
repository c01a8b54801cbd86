"""The words of a print file, obeyed one line after the other: straights, arcs, waits, filament drawn in.

Words by RS-274 and ISO 6983-1 (from memory), and those printers add for heat and filament. In plain Python;
``core.compiled.moves`` does the same over the bytes. Rules where machines differ: I and J count from the
start of the arc unless G90.1 was read; G28 goes to 0.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from printcrib.core.estimating.move_lines import Line, line_of
from printcrib.core.shapes import Floats

DWELL, TOOL, NOZZLE, NOZZLE_WARMED, NOZZLE_BROUGHT, PLATFORM, PLATFORM_WARMED, PLATFORM_BROUGHT = range(8)
"""Kinds of wait: seconds, another tool, a temperature set; waited for when rising; or rising and falling."""
NO_FAULT, BAD_NUMBER, NO_FEED, BAD_ARC, OTHER_PLANE, TOO_MANY = range(6)
MOST_MOVES = 20_000_000
NOTHING_MM = 1e-9
MM_AN_INCH = 25.4
OFF_CENTRE_MM = 0.05  # how far the end of an arc may lie off its circle, beside a hundredth of the radius
ROUND = 2 * math.pi
ACTS = frozenset({0, 10, 20, 30, 40, 280, 920})  # G words that do something, in tenths
SWITCHES = frozenset({170, 180, 190, 200, 210, 900, 910, 901, 911})

Point = tuple[float, float, float]
Tell = Callable[[float], None]

_LINES_A_TELL = 20_000
_AXES = (b"X", b"Y", b"Z")
_TEMPERATURES = {
    104: (NOZZLE, NOZZLE),
    109: (NOZZLE_WARMED, NOZZLE_BROUGHT),
    140: (PLATFORM, PLATFORM),
    190: (PLATFORM_WARMED, PLATFORM_BROUGHT),
}


@dataclass(frozen=True)
class MoveRules:
    """What a file leaves to the printer.

    Attributes:
        travel_mm_s: speed of rapid moves and of going home while the file has named none.
        acceleration_mm_s2: until the file names another (M204).
        allowance_mm: corner allowance.
        e_switches: G90 and G91 count for the filament too, until the next M82 or M83.
        p_s: seconds of one P of a wait.
    """

    travel_mm_s: float
    acceleration_mm_s2: float
    allowance_mm: float
    e_switches: bool = True
    p_s: float = 0.001


@dataclass(frozen=True, eq=False)
class RawMoves:
    """What the words of a file come to.

    Attributes:
        length_mm, speed_mm_s, corner_mm_s, acceleration_mm_s2: of each move, as the planner takes them.
        waits: rows of (moves before it, kind, value).
        levels_mm: heights something was printed level at, in order, repeated where it came back to one.
        top_mm: the topmost height anything was printed at.
        rising: moves that rose or sank while they printed.
        drawn_mm: filament drawn in, what was only drawn back and pushed again not counted.
        pushed_mm: filament pushed, what was drawn back before counted again.
        e_in_doubt: whether G90/G91 count for the filament makes a difference here.
        fault, line: what could not be read and where; NO_FAULT.
        unread: lines whose words nobody here knows.
    """

    length_mm: Floats
    speed_mm_s: Floats
    corner_mm_s: Floats
    acceleration_mm_s2: Floats
    waits: Floats
    levels_mm: Floats
    top_mm: float
    rising: int
    drawn_mm: float
    pushed_mm: float
    e_in_doubt: bool
    fault: int
    line: int
    unread: int


def read_words(content: bytes, rules: MoveRules, tell: Tell | None = None) -> RawMoves:
    """Obey every line of a file.

    Args:
        content: the file.
        rules: what it leaves to the printer.
        tell: told the share read from time to time; what it raises ends the reading.
    """
    machine = _Machine(rules)
    lines = content.splitlines()
    for number, text in enumerate(lines, 1):
        if tell is not None and number % _LINES_A_TELL == 0:
            tell(number / len(lines))
        machine.obey(line_of(text))
        if len(machine.rows) > MOST_MOVES:
            machine.fault = TOO_MANY
        if machine.fault:
            return machine.moves(number)
    return machine.moves(len(lines))


class _Machine:
    """A printer that only keeps account: where the nozzle is, how words are meant, what was done."""

    def __init__(self, rules: MoveRules) -> None:
        self.rules = rules
        self.at: Point = (0.0, 0.0, 0.0)
        self.e = 0.0
        self.unit = 1.0
        self.absolute = True
        self.e_absolute = [True, True]  # as G90 and G91 leave it; as they switch it
        self.centres_absolute = False
        self.plane = 170
        self.motion = 10
        self.feed = 0.0
        self.tool = 0.0
        self.rate = self.jump_rate = rules.acceleration_mm_s2
        self.direction: Point | None = None  # None after a stop
        self.last_rate = 0.0
        self.rows: list[tuple[float, float, float, float]] = []
        self.waits: list[tuple[float, float, float]] = []
        self.levels: list[float] = []
        self.top, self.rising = 0.0, 0
        self.drawn = self.most_drawn = self.pushed = 0.0
        self.in_doubt = False
        self.fault = NO_FAULT
        self.unread = 0

    def moves(self, line: int) -> RawMoves:
        """All there is so far."""
        length, speed, corner, rate = np.array(self.rows, dtype=np.float64).reshape(-1, 4).T.copy()
        waits = np.array(self.waits, dtype=np.float64).reshape(-1, 3)
        levels = np.array(self.levels, dtype=np.float64)
        printed = (levels, self.top, self.rising, self.most_drawn, self.pushed, self.in_doubt)
        return RawMoves(length, speed, corner, rate, waits, *printed, self.fault, line, self.unread)

    def obey(self, line: Line) -> None:
        """Do what a line says."""
        for code in line.g:
            self._switch(code)
        act = next((code for code in reversed(line.g) if code in ACTS), None)
        moves = act is not None and act <= 30
        if line.odd or (moves and line.bare):
            self.fault = BAD_NUMBER if moves else NO_FAULT
            self.unread += 1
            return
        if line.m >= 0:
            self._machine_word(line)
        tool = line.number(b"T")
        if tool is not None and line.m in (-1, 6) and not line.g and tool != self.tool:
            self.tool = tool
            self._wait(TOOL, tool)
        if act is not None:
            self._act(act, line)
        elif line.m < 0 and not line.bare and all(code in SWITCHES for code in line.g):
            self._go_on(line)

    def _go_on(self, line: Line) -> None:
        """Axis words alone repeat the last kind of move; a speed alone is kept."""
        if any(letter in line.words for letter in (*_AXES, b"E")):
            self._move(self.motion, line)
        elif b"F" in line.words and b"T" not in line.words:
            self.feed = (line.number(b"F") or 0.0) * self.unit / 60

    def _switch(self, code: int) -> None:
        if code in (900, 910):
            self.absolute = code == 900
            self.e_absolute[1] = self.absolute
        elif code in (200, 210):
            self.unit = MM_AN_INCH if code == 200 else 1.0
        elif code in (901, 911):
            self.centres_absolute = code == 901
        elif code in (170, 180, 190):
            self.plane = code

    def _machine_word(self, line: Line) -> None:
        if line.m in (82, 83):
            self.e_absolute = [line.m == 82] * 2
        elif line.m == 204:
            self._accelerate(line)
        elif line.m in _TEMPERATURES:
            set_to, brought_to = line.number(b"S"), line.number(b"R")
            rising, both = _TEMPERATURES[line.m]
            if set_to is not None:
                self._wait(rising, set_to)
            elif brought_to is not None:
                self._wait(both, brought_to)

    def _accelerate(self, line: Line) -> None:
        both, print_rate, jump_rate = (line.number(letter) or 0.0 for letter in (b"S", b"P", b"T"))
        if both > 0:
            self.rate = self.jump_rate = both
        if print_rate > 0:
            self.rate = print_rate
        if jump_rate > 0:
            self.jump_rate = jump_rate

    def _wait(self, kind: int, value: float) -> None:
        self.waits.append((float(len(self.rows)), float(kind), value))
        if kind not in (NOZZLE, PLATFORM):
            self.direction = None

    def _act(self, code: int, line: Line) -> None:
        if code == 40:
            seconds = (line.number(b"P") or 0.0) * self.rules.p_s + (line.number(b"S") or 0.0)
            self._wait(DWELL, max(0.0, seconds))
        elif code == 280:
            self._go_home(line)
        elif code == 920:
            self._rename(line)
        else:
            self.motion = code
            self._move(code, line)

    def _go_home(self, line: Line) -> None:
        named = [letter in line.words for letter in _AXES]
        home = [0.0 if one or not any(named) else at for one, at in zip(named, self.at, strict=True)]
        there = (home[0], home[1], home[2])
        length = math.dist(there, self.at)
        self.direction = None
        if length > NOTHING_MM:
            self.rows.append((length, self.rules.travel_mm_s, 0.0, self.jump_rate))
        self.at = there

    def _rename(self, line: Line) -> None:
        """G92: the place is called otherwise."""
        x, y, z, e = (line.number(letter) for letter in (*_AXES, b"E"))
        if not any(letter in line.words for letter in (*_AXES, b"E")):
            x = y = z = e = 0.0
        self.at = (self._called(x, self.at[0]), self._called(y, self.at[1]), self._called(z, self.at[2]))
        self.e = self._called(e, self.e)

    def _called(self, told: float | None, now: float) -> float:
        return now if told is None else told * self.unit

    def _move(self, code: int, line: Line) -> None:
        feed = line.number(b"F")
        if feed is not None:
            self.feed = feed * self.unit / 60
        speed = self.rules.travel_mm_s if code == 0 and self.feed <= 0 else self.feed
        there, pushed = self._target(line), self._filament(line)
        if code >= 20:
            self._arc(code, line, there, speed, pushed)
        else:
            self._straight(there, speed, pushed)
        self.at = there

    def _target(self, line: Line) -> Point:
        there = list(self.at)
        for axis, letter in enumerate(_AXES):
            value = line.number(letter)
            if value is not None:
                there[axis] = value * self.unit + (0.0 if self.absolute else there[axis])
        return there[0], there[1], there[2]

    def _filament(self, line: Line) -> float:
        """Filament pushed by a move, negative when drawn back."""
        value = line.number(b"E")
        if value is None:
            return 0.0
        self.in_doubt = self.in_doubt or self.e_absolute[0] != self.e_absolute[1]
        there = value * self.unit + (0.0 if self.e_absolute[self.rules.e_switches] else self.e)
        pushed, self.e = there - self.e, there
        self.drawn += pushed
        self.most_drawn = max(self.most_drawn, self.drawn)
        self.pushed += max(pushed, 0.0)
        return pushed

    def _straight(self, there: Point, speed: float, pushed: float) -> None:
        dx, dy, dz = there[0] - self.at[0], there[1] - self.at[1], there[2] - self.at[2]
        length = math.sqrt(dx * dx + dy * dy + dz * dz)
        if length > NOTHING_MM:
            share = 1 / length
            direction = (dx * share, dy * share, dz * share)
            self._add(length, speed, pushed, direction, direction)
            self._note_level(there, pushed, math.hypot(dx, dy))
        elif abs(pushed) > NOTHING_MM:
            self.direction = None
            self._add(abs(pushed), speed, 0.0, (0.0, 0.0, 0.0), None)

    def _arc(self, code: int, line: Line, there: Point, speed: float, pushed: float) -> None:
        if self.plane != 170:
            self.fault = OTHER_PLANE
            return
        centre = self._centre(code, line, there)
        x, y = self.at[0] - centre[0], self.at[1] - centre[1]
        u, v = there[0] - centre[0], there[1] - centre[1]
        radius, other = math.hypot(x, y), math.hypot(u, v)
        if radius <= NOTHING_MM or not abs(radius - other) <= OFF_CENTRE_MM + radius / 100:
            self.fault = BAD_ARC
            return
        side = 1.0 if code == 30 else -1.0
        sweep = side * (math.atan2(v, u) - math.atan2(y, x)) % ROUND
        if sweep <= NOTHING_MM or math.hypot(u - x, v - y) <= NOTHING_MM:
            sweep = ROUND
        flat, rise = sweep * (radius + other) / 2, there[2] - self.at[2]
        length = math.hypot(flat, rise)
        share = side * flat / length
        begin = (-share * y / radius, share * x / radius, rise / length)
        end = (-share * v / other, share * u / other, rise / length)
        rate = self.rate if pushed > 0 else self.jump_rate
        self._add(length, min(speed, math.sqrt(rate * radius)), pushed, begin, end)
        self._note_level(there, pushed, flat)

    def _centre(self, code: int, line: Line, there: Point) -> tuple[float, float]:
        """By I and J, else on the side of the chord the radius asks for; not a number for none."""
        x, y = self.at[0], self.at[1]
        radius = line.number(b"R")
        if radius is None:
            i, j = line.number(b"I"), line.number(b"J")
            if i is None and j is None:
                return math.nan, math.nan
            i, j = (i or 0.0) * self.unit, (j or 0.0) * self.unit
            return (i, j) if self.centres_absolute else (x + i, y + j)
        radius *= self.unit
        dx, dy = there[0] - x, there[1] - y
        chord = math.hypot(dx, dy)
        if chord <= NOTHING_MM or chord / 2 > abs(radius) * 1.001:
            return math.nan, math.nan
        off = math.sqrt(max(0.0, radius * radius - chord * chord / 4)) / chord
        off = off if (code == 30) == (radius > 0) else -off
        return x + dx / 2 - off * dy, y + dy / 2 + off * dx

    def _add(self, length: float, speed: float, pushed: float, begin: Point, end: Point | None) -> None:
        """One more move; its first corner by the turn from the move before."""
        if speed <= 0:
            self.fault = NO_FEED
            return
        rate = self.rate if pushed > 0 else self.jump_rate
        corner = 0.0
        if self.direction is not None:
            square = sum((one - other) ** 2 for one, other in zip(begin, self.direction, strict=True)) / 4
            cosine = math.sqrt(max(0.0, 1 - square))
            slower = min(rate, self.last_rate)
            corner = math.inf
            if square > 0:
                corner = math.sqrt(slower * self.rules.allowance_mm * cosine * (1 + cosine) / square)
        self.rows.append((length, speed, corner, rate))
        self.direction, self.last_rate = end, rate

    def _note_level(self, there: Point, pushed: float, flat: float) -> None:
        """Where something is printed, and whether it lies level."""
        if pushed <= 0 or flat <= NOTHING_MM:
            return
        self.top = max(self.top, there[2])
        if there[2] != self.at[2]:
            self.rising += 1
        elif not self.levels or self.levels[-1] != there[2]:
            self.levels.append(there[2])
