"""The words of one line of a print file, read from the bytes; compiled, for ``core.compiled.moves``.

The numbers below name the cells of the two lists a reading carries on from line to line.
"""

import numba
import numpy as np
import numpy.typing as npt

from printcrib.core.estimating.move_lines import LARGEST
from printcrib.core.estimating.move_words import MM_AN_INCH
from printcrib.core.shapes import Floats, Indices

Bytes = npt.NDArray[np.uint8]

# floats: the printer
X, Y, Z, E, UNIT, TRAVEL, RATE, JUMP_RATE, ALLOWANCE, FEED, TOOL, DX, DY, DZ, LAST_RATE = range(15)
DRAWN, MOST_DRAWN, PUSHED, LEVEL, CENTRE_X, CENTRE_Y, P_SECONDS, TOP, FLOATS = range(15, 24)
# integers: modes and counts, then what the present line holds
ABSOLUTE, E_ALONE, E_SWITCHED, SWITCHES, CENTRES, PLANE, MOTION, TURNING, MOVES, WAITS, LEVELS = range(11)
IN_DOUBT, FAULT, LINE, UNREAD, RISING, ACT, M, SEEN, NUMBERED, BARE, ODD, ANY_G, OTHER_G, INTEGERS = range(
    11, 25
)

LF, CR, SPACE, TAB, SLASH, OPEN, CLOSE, SEMICOLON, STAR, PERCENT = 10, 13, 32, 9, 47, 40, 41, 59, 42, 37
PLUS, MINUS, POINT, ZERO, NINE, LETTERS = 43, 45, 46, 48, 57, 26
LETTER_E, LETTER_F, LETTER_G, LETTER_I, LETTER_J, LETTER_M, LETTER_N = 4, 5, 6, 8, 9, 12, 13
LETTER_P, LETTER_R, LETTER_S, LETTER_T, LETTER_X = 15, 17, 18, 19, 23
AXIS_BITS = (7 << LETTER_X) | (1 << LETTER_E)
FULL = 10**17
FURTHEST = 18  # digits behind the point that are read
TENS = 10.0 ** np.arange(FURTHEST + 1)
compiled = numba.njit(error_model="numpy")
inlined = numba.njit(error_model="numpy", inline="always")  # calls cost more than what is done in them
kernel = numba.njit(error_model="numpy", cache=True)


@inlined
def _is_end(byte: int) -> bool:
    return byte in (LF, CR)


@inlined
def _number(text: Bytes, at: int) -> tuple[int, float, bool]:
    """Where the number ends, the number, and whether there is one."""
    stop = text.shape[0]
    while at < stop and (text[at] == SPACE or text[at] == TAB):
        at += 1
    negative = at < stop and text[at] == MINUS
    if negative or (at < stop and text[at] == PLUS):
        at += 1
    first, behind, value = at, 0, 0
    while at < stop and ZERO <= text[at] <= NINE:
        if value < FULL:
            value = value * 10 + (int(text[at]) - ZERO)
        at += 1
    digits = at - first
    if at < stop and text[at] == POINT:
        at += 1
        first = at
        while at < stop and ZERO <= text[at] <= NINE:
            if value < FULL and behind < FURTHEST:
                value = value * 10 + (int(text[at]) - ZERO)
                behind += 1
            at += 1
        digits += at - first
    number = value / TENS[behind]
    return at, -number if negative else number, digits > 0


@inlined
def _end_of_line(text: Bytes, at: int) -> int:
    while at < text.shape[0] and not _is_end(text[at]):
        at += 1
    return at


@inlined
def _switch(code: int, floats: Floats, whole: Indices) -> None:
    """A G word: a way of meaning the others from now on, or what this line does."""
    whole[ANY_G] = 1
    if (0 <= code <= 40 and code % 10 == 0) or code == 280 or code == 920:
        whole[ACT] = code
    elif code == 900 or code == 910:
        whole[ABSOLUTE] = whole[E_SWITCHED] = 1 if code == 900 else 0
    elif code == 200 or code == 210:
        floats[UNIT] = MM_AN_INCH if code == 200 else 1.0
    elif code == 901 or code == 911:
        whole[CENTRES] = 1 if code == 901 else 0
    elif code == 170 or code == 180 or code == 190:
        whole[PLANE] = code
    else:
        whole[OTHER_G] = 1


@inlined
def _keep_word(letter: int, value: float, has: bool, floats: Floats, whole: Indices, words: Floats) -> bool:
    """Keep one word of the line; False where its rest is not read."""
    if (has and abs(value) > LARGEST) or (not has and letter in (LETTER_G, LETTER_M)):
        whole[ODD] = 1
        return False
    if letter == LETTER_G:
        _switch(int(np.rint(10 * value)), floats, whole)
    elif letter == LETTER_M:
        whole[M] = int(value)
        return int(value) in (6, 82, 83, 104, 109, 140, 190, 204)
    elif letter != LETTER_N:
        bit = 1 << letter
        whole[BARE] |= whole[SEEN] >> letter & 1
        whole[SEEN] |= bit
        words[letter] = value
        if has:
            whole[NUMBERED] |= bit
        else:
            whole[NUMBERED] &= ~bit
            whole[BARE] = 1
    return True


@compiled
def read_line(text: Bytes, at: int, floats: Floats, whole: Indices, words: Floats) -> int:
    """Read the words of a line; gives where it ends."""
    for cell in range(SEEN, OTHER_G + 1):
        whole[cell] = 0
    whole[ACT] = whole[M] = -1
    while at < text.shape[0] and not _is_end(text[at]):
        byte = int(text[at])
        letter = (byte & 0xDF) - 65
        if byte in (SPACE, TAB, SLASH):
            at += 1
        elif 0 <= letter < LETTERS and byte >= 65:
            after, value, has = _number(text, at + 1)
            at = after if has else at + 1
            if not _keep_word(letter, value, has, floats, whole, words):
                return _end_of_line(text, at)
        elif byte == OPEN:
            while at < text.shape[0] and text[at] != CLOSE and not _is_end(text[at]):
                at += 1
            at += 1 if at < text.shape[0] and text[at] == CLOSE else 0
        else:
            whole[ODD] = 0 if byte in (SEMICOLON, STAR, PERCENT) else 1
            return _end_of_line(text, at)
    return at


@inlined
def word(letter: int, whole: Indices, words: Floats) -> float:
    """The number of a word, 0 where the line has none."""
    return float(words[letter]) if whole[NUMBERED] >> letter & 1 else 0.0


@inlined
def has_number(letter: int, whole: Indices) -> bool:
    """Whether the line has this word with a number."""
    return bool(whole[NUMBERED] >> letter & 1)
