"""Straights and arcs of a print file and the filament they push; compiled, for ``core.compiled.moves``."""

import math

from printcrib.core.compiled.move_lines import (
    ABSOLUTE,
    ALLOWANCE,
    CENTRE_X,
    CENTRE_Y,
    CENTRES,
    DRAWN,
    DX,
    DY,
    DZ,
    E_ALONE,
    E_SWITCHED,
    FAULT,
    FEED,
    IN_DOUBT,
    JUMP_RATE,
    LAST_RATE,
    LETTER_E,
    LETTER_F,
    LETTER_I,
    LETTER_J,
    LETTER_R,
    LETTER_X,
    LEVEL,
    LEVELS,
    MOST_DRAWN,
    MOTION,
    MOVES,
    PLANE,
    PUSHED,
    RATE,
    RISING,
    SWITCHES,
    TOP,
    TRAVEL,
    TURNING,
    UNIT,
    E,
    X,
    Y,
    Z,
    compiled,
    has_number,
    inlined,
    word,
)  # fmt: skip
from printcrib.core.estimating.move_words import (
    BAD_ARC,
    NO_FEED,
    NOTHING_MM,
    OFF_CENTRE_MM,
    OTHER_PLANE,
    ROUND,
)
from printcrib.core.shapes import Floats, Indices

Rows = tuple[Floats, Floats, Floats, Floats]
"""Length, speed, speed of the first corner and acceleration of every move."""


@inlined
def _filament(floats: Floats, whole: Indices, words: Floats) -> float:
    """Filament pushed by a move, negative when drawn back."""
    if not has_number(LETTER_E, whole):
        return 0.0
    if whole[E_ALONE] != whole[E_SWITCHED]:
        whole[IN_DOUBT] = 1
    absolute = whole[E_SWITCHED] if whole[SWITCHES] else whole[E_ALONE]
    there = words[LETTER_E] * floats[UNIT] + (0.0 if absolute else floats[E])
    pushed = float(there - floats[E])
    floats[E] = there
    floats[DRAWN] += pushed
    floats[MOST_DRAWN] = max(floats[MOST_DRAWN], floats[DRAWN])
    floats[PUSHED] += max(pushed, 0.0)
    return pushed


@inlined
def _add(
    length: float, speed: float, rate: float, dx: float, dy: float, dz: float,
    floats: Floats, whole: Indices, rows: Rows,
) -> None:  # fmt: skip
    """One more move, begun in a direction; its first corner by the turn from the move before."""
    if speed <= 0:
        whole[FAULT] = NO_FEED
        return
    corner = 0.0
    if whole[TURNING]:
        a, b, c = dx - floats[DX], dy - floats[DY], dz - floats[DZ]
        square = (a * a + b * b + c * c) / 4
        cosine = math.sqrt(max(0.0, 1 - square))
        slower = min(rate, floats[LAST_RATE])
        corner = math.inf
        if square > 0:
            corner = math.sqrt(slower * floats[ALLOWANCE] * cosine * (1 + cosine) / square)
    row = whole[MOVES]
    rows[0][row], rows[1][row], rows[2][row], rows[3][row] = length, speed, corner, rate
    whole[MOVES] += 1
    whole[TURNING] = 1
    floats[DX], floats[DY], floats[DZ], floats[LAST_RATE] = dx, dy, dz, rate


@inlined
def _note_level(there: float, floats: Floats, whole: Indices, levels: Floats) -> None:
    floats[TOP] = max(floats[TOP], there)
    if there != floats[Z]:
        whole[RISING] += 1
    elif floats[LEVEL] != there:
        levels[whole[LEVELS]] = floats[LEVEL] = there
        whole[LEVELS] += 1


@inlined
def _straight(
    x: float, y: float, z: float, speed: float, pushed: float,
    floats: Floats, whole: Indices, rows: Rows, levels: Floats,
) -> None:  # fmt: skip
    dx, dy, dz = x - floats[X], y - floats[Y], z - floats[Z]
    length = math.sqrt(dx * dx + dy * dy + dz * dz)
    rate = floats[RATE] if pushed > 0 else floats[JUMP_RATE]
    if length > NOTHING_MM:
        share = 1 / length
        _add(length, speed, rate, dx * share, dy * share, dz * share, floats, whole, rows)
        if pushed > 0 and dx * dx + dy * dy > NOTHING_MM * NOTHING_MM:
            _note_level(z, floats, whole, levels)
    elif abs(pushed) > NOTHING_MM:
        whole[TURNING] = 0
        _add(abs(pushed), speed, floats[JUMP_RATE], 0.0, 0.0, 0.0, floats, whole, rows)
        whole[TURNING] = 0


@compiled
def _find_centre(x: float, y: float, floats: Floats, whole: Indices, words: Floats) -> bool:
    """By I and J, else on the side of the chord the radius asks for; False for none."""
    unit = floats[UNIT]
    if not has_number(LETTER_R, whole):
        floats[CENTRE_X] = word(LETTER_I, whole, words) * unit
        floats[CENTRE_Y] = word(LETTER_J, whole, words) * unit
        if not whole[CENTRES]:
            floats[CENTRE_X] += floats[X]
            floats[CENTRE_Y] += floats[Y]
        return has_number(LETTER_I, whole) or has_number(LETTER_J, whole)
    radius = words[LETTER_R] * unit
    dx, dy = x - floats[X], y - floats[Y]
    chord = math.hypot(dx, dy)
    if chord <= NOTHING_MM or chord / 2 > abs(radius) * 1.001:
        return False
    off = math.sqrt(max(0.0, radius * radius - chord * chord / 4)) / chord
    off = off if (whole[MOTION] == 30) == (radius > 0) else -off
    floats[CENTRE_X] = floats[X] + dx / 2 - off * dy
    floats[CENTRE_Y] = floats[Y] + dy / 2 + off * dx
    return True


@compiled
def _arc(
    x: float, y: float, z: float, speed: float, pushed: float,
    floats: Floats, whole: Indices, words: Floats, rows: Rows, levels: Floats,
) -> None:  # fmt: skip
    if whole[PLANE] != 170:
        whole[FAULT] = OTHER_PLANE
        return
    found = _find_centre(x, y, floats, whole, words)
    a, b = floats[X] - floats[CENTRE_X], floats[Y] - floats[CENTRE_Y]
    u, v = x - floats[CENTRE_X], y - floats[CENTRE_Y]
    radius, other = math.hypot(a, b), math.hypot(u, v)
    if not found or radius <= NOTHING_MM or abs(radius - other) > OFF_CENTRE_MM + radius / 100:
        whole[FAULT] = BAD_ARC
        return
    side = 1.0 if whole[MOTION] == 30 else -1.0
    sweep = side * (math.atan2(v, u) - math.atan2(b, a)) % ROUND
    if sweep <= NOTHING_MM or math.hypot(u - a, v - b) <= NOTHING_MM:
        sweep = ROUND
    flat, rise = sweep * (radius + other) / 2, z - floats[Z]
    length = math.hypot(flat, rise)
    share = side * flat / length
    rate = floats[RATE] if pushed > 0 else floats[JUMP_RATE]
    speed = min(speed, math.sqrt(rate * radius))
    _add(length, speed, rate, -share * b / radius, share * a / radius, rise / length, floats, whole, rows)
    floats[DX], floats[DY] = -share * v / other, share * u / other
    if pushed > 0 and flat > NOTHING_MM:
        _note_level(z, floats, whole, levels)


@inlined
def move(floats: Floats, whole: Indices, words: Floats, rows: Rows, levels: Floats) -> None:
    unit = floats[UNIT]
    if has_number(LETTER_F, whole):
        floats[FEED] = words[LETTER_F] * unit / 60
    rapid = whole[MOTION] == 0 and floats[FEED] <= 0
    speed = floats[TRAVEL] if rapid else floats[FEED]
    x = y = z = 0.0
    if not whole[ABSOLUTE]:
        x, y, z = floats[X], floats[Y], floats[Z]
    x = words[LETTER_X] * unit + x if has_number(LETTER_X, whole) else floats[X]
    y = words[LETTER_X + 1] * unit + y if has_number(LETTER_X + 1, whole) else floats[Y]
    z = words[LETTER_X + 2] * unit + z if has_number(LETTER_X + 2, whole) else floats[Z]
    pushed = _filament(floats, whole, words)
    if whole[MOTION] >= 20:
        _arc(x, y, z, speed, pushed, floats, whole, words, rows, levels)
    else:
        _straight(x, y, z, speed, pushed, floats, whole, rows, levels)
    floats[X], floats[Y], floats[Z] = x, y, z
