"""Compiled twin of ``core.estimating.move_words.read_words``; loaded in worker processes only.

The same words with the same meaning, read from the bytes themselves by ``core.compiled.move_lines``.
"""

import math
from collections.abc import Iterator

import numpy as np

from printcrib.core.compiled.move_lines import (
    ABSOLUTE,
    ACT,
    ALLOWANCE,
    ANY_G,
    AXIS_BITS,
    BARE,
    CR,
    E_ALONE,
    E_SWITCHED,
    FAULT,
    FEED,
    FLOATS,
    IN_DOUBT,
    INTEGERS,
    JUMP_RATE,
    LETTER_E,
    LETTER_F,
    LETTER_P,
    LETTER_R,
    LETTER_S,
    LETTER_T,
    LETTER_X,
    LETTERS,
    LEVEL,
    LEVELS,
    LF,
    LINE,
    MOST_DRAWN,
    MOTION,
    MOVES,
    ODD,
    OTHER_G,
    P_SECONDS,
    PLANE,
    PUSHED,
    RATE,
    RISING,
    SEEN,
    SWITCHES,
    TOOL,
    TOP,
    TRAVEL,
    TURNING,
    UNIT,
    UNREAD,
    WAITS,
    Bytes,
    E,
    M,
    X,
    Y,
    Z,
    compiled,
    has_number,
    inlined,
    kernel,
    read_line,
    word,
)  # fmt: skip
from printcrib.core.compiled.move_steps import Rows, move
from printcrib.core.estimating.move_words import (
    BAD_NUMBER,
    DWELL,
    MOST_MOVES,
    NOTHING_MM,
    NOZZLE,
    PLATFORM,
    TOO_MANY,
    MoveRules,
    RawMoves,
    Tell,
)
from printcrib.core.estimating.move_words import TOOL as TOOL_CHANGE
from printcrib.core.shapes import Floats, Indices

PIECE = 4 << 20  # bytes between two tellings


@compiled
def _wait(kind: int, value: float, whole: Indices, waits: Floats) -> None:
    row = whole[WAITS]
    waits[row, 0], waits[row, 1], waits[row, 2] = whole[MOVES], kind, value
    whole[WAITS] += 1
    if kind != NOZZLE and kind != PLATFORM:
        whole[TURNING] = 0


@compiled
def _machine_word(floats: Floats, whole: Indices, words: Floats, waits: Floats) -> None:
    m = whole[M]
    if m == 82 or m == 83:
        whole[E_ALONE] = whole[E_SWITCHED] = 1 if m == 82 else 0
    elif m == 204:
        both = word(LETTER_S, whole, words)
        printing, jumping = word(LETTER_P, whole, words), word(LETTER_T, whole, words)
        if both > 0:
            floats[RATE] = floats[JUMP_RATE] = both
        floats[RATE] = printing if printing > 0 else floats[RATE]
        floats[JUMP_RATE] = jumping if jumping > 0 else floats[JUMP_RATE]
    elif m == 104 or m == 109 or m == 140 or m == 190:
        kind = NOZZLE if m < 140 else PLATFORM
        waited = m == 109 or m == 190
        if has_number(LETTER_S, whole):
            _wait(kind + (1 if waited else 0), words[LETTER_S], whole, waits)
        elif has_number(LETTER_R, whole):
            _wait(kind + (2 if waited else 0), words[LETTER_R], whole, waits)


@compiled
def _go_home(floats: Floats, whole: Indices, rows: Rows) -> None:
    named = whole[SEEN] >> LETTER_X & 7
    square = 0.0
    for axis in range(3):
        if named == 0 or named >> axis & 1:
            square += floats[axis] * floats[axis]
            floats[axis] = 0.0
    whole[TURNING] = 0
    length = math.sqrt(square)
    if length > NOTHING_MM:
        row = whole[MOVES]
        rows[0][row], rows[1][row], rows[2][row] = length, floats[TRAVEL], 0.0
        rows[3][row] = floats[JUMP_RATE]
        whole[MOVES] += 1


@compiled
def _rename(floats: Floats, whole: Indices, words: Floats) -> None:
    if whole[SEEN] & AXIS_BITS == 0:
        floats[X] = floats[Y] = floats[Z] = floats[E] = 0.0
        return
    for axis in range(3):
        if has_number(LETTER_X + axis, whole):
            floats[axis] = words[LETTER_X + axis] * floats[UNIT]
    if has_number(LETTER_E, whole):
        floats[E] = words[LETTER_E] * floats[UNIT]


@inlined
def _act(floats: Floats, whole: Indices, words: Floats, rows: Rows, waits: Floats, levels: Floats) -> None:
    code = whole[ACT]
    if code == 40:
        seconds = word(LETTER_P, whole, words) * floats[P_SECONDS] + word(LETTER_S, whole, words)
        _wait(DWELL, max(0.0, seconds), whole, waits)
    elif code == 280:
        _go_home(floats, whole, rows)
    elif code == 920:
        _rename(floats, whole, words)
    else:
        whole[MOTION] = code
        move(floats, whole, words, rows, levels)


@compiled
def _change_tool(floats: Floats, whole: Indices, words: Floats, waits: Floats) -> None:
    if not whole[ANY_G] and words[LETTER_T] != floats[TOOL]:
        floats[TOOL] = words[LETTER_T]
        _wait(TOOL_CHANGE, floats[TOOL], whole, waits)


@inlined
def _obey(floats: Floats, whole: Indices, words: Floats, rows: Rows, waits: Floats, levels: Floats) -> None:
    moves = 0 <= whole[ACT] <= 30
    if whole[ODD] or (moves and whole[BARE]):
        whole[FAULT] = BAD_NUMBER if moves else 0
        whole[UNREAD] += 1
        return
    m = whole[M]
    if m >= 0:
        _machine_word(floats, whole, words, waits)
    if has_number(LETTER_T, whole) and (m == -1 or m == 6):
        _change_tool(floats, whole, words, waits)
    if whole[ACT] >= 0:
        _act(floats, whole, words, rows, waits, levels)
    elif m < 0 and not whole[BARE] and not whole[OTHER_G]:
        if whole[SEEN] & AXIS_BITS:
            move(floats, whole, words, rows, levels)
        elif has_number(LETTER_F, whole) and not has_number(LETTER_T, whole):
            floats[FEED] = words[LETTER_F] * floats[UNIT] / 60


@kernel
def _obey_lines(
    text: Bytes, floats: Floats, whole: Indices, words: Floats, rows: Rows, waits: Floats, levels: Floats
) -> None:
    """Every line of a piece that ends with a line."""
    at = 0
    while at < text.shape[0] and whole[FAULT] == 0:
        at = read_line(text, at, floats, whole, words)
        whole[LINE] += 1
        _obey(floats, whole, words, rows, waits, levels)
        if at + 1 < text.shape[0] and text[at] == CR and text[at + 1] == LF:
            at += 1
        at += 1


def read_words_compiled(content: bytes, rules: MoveRules, tell: Tell | None = None) -> RawMoves:
    """Obey every line of a file; arguments and results as of ``read_words``."""
    floats, whole, words = _printer(rules)
    text, before, done = np.frombuffer(content, dtype=np.uint8), 0, list[tuple[Floats, ...]]()
    rows, waits, levels = _room(0)
    for start, stop in _pieces(content):
        lines = content.count(b"\n", start, stop) + content.count(b"\r", start, stop) + 1
        if lines > len(levels):
            rows, waits, levels = _room(lines)
        whole[MOVES] = whole[WAITS] = whole[LEVELS] = 0
        _obey_lines(text[start:stop], floats, whole, words, rows, waits, levels)
        waits[: whole[WAITS], 0] += before
        before += int(whole[MOVES])
        kept = (*(row[: whole[MOVES]] for row in rows), waits[: whole[WAITS]], levels[: whole[LEVELS]])
        done.append(tuple(each.copy() for each in kept))
        if tell is not None:
            tell(stop / len(content))
        if before > MOST_MOVES:
            whole[FAULT] = TOO_MANY
        if whole[FAULT]:
            break
    length, speed, corner, rate, all_waits, all_levels = map(np.concatenate, zip(*done, strict=True))
    return RawMoves(
        length, speed, corner, rate, all_waits, all_levels,
        float(floats[TOP]), int(whole[RISING]), float(floats[MOST_DRAWN]), float(floats[PUSHED]),
        bool(whole[IN_DOUBT]), int(whole[FAULT]), int(whole[LINE]), int(whole[UNREAD]),
    )  # fmt: skip


def _printer(rules: MoveRules) -> tuple[Floats, Indices, Floats]:
    floats, whole, words = np.zeros(FLOATS), np.zeros(INTEGERS, dtype=np.int64), np.zeros(LETTERS)
    floats[UNIT], floats[TRAVEL], floats[ALLOWANCE] = 1.0, rules.travel_mm_s, rules.allowance_mm
    floats[RATE] = floats[JUMP_RATE] = rules.acceleration_mm_s2
    floats[P_SECONDS], floats[LEVEL] = rules.p_s, np.nan
    whole[ABSOLUTE] = whole[E_ALONE] = whole[E_SWITCHED] = 1
    whole[SWITCHES], whole[PLANE], whole[MOTION] = int(rules.e_switches), 170, 10
    return floats, whole, words


def _room(lines: int) -> tuple[Rows, Floats, Floats]:
    """Room for what a piece of so many lines can hold: a move, two waits and a level each."""
    rows = (np.empty(lines), np.empty(lines), np.empty(lines), np.empty(lines))
    return rows, np.empty((2 * lines, 3)), np.empty(lines)


def _pieces(content: bytes) -> Iterator[tuple[int, int]]:
    """Where pieces of whole lines begin and end; one empty piece of an empty file."""
    ends, at = b"\n" if b"\n" in content else b"\r", 0
    while at == 0 or at < len(content):
        stop = content.find(ends, at + PIECE) + 1 or len(content)
        yield at, stop
        if stop == 0:
            return
        at = stop
