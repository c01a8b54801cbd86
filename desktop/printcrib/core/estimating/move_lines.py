"""One line of a print file cut into its words: a letter and a number each, by RS-274 (from memory).

What a comment says is never read. Blanks, line numbers, checksums and the size of letters do not matter, and
words may follow each other without a blank. An M word nobody here knows ends its line, since text may follow
it; E is always filament, there are no exponents.
"""

import re
from dataclasses import dataclass, field

LARGEST = 1e9  # no word of a workshop says more
OTHER_M = frozenset({6, 82, 83, 104, 109, 140, 190, 204})

_COMMENT = re.compile(rb"\([^)]*\)?|[;*%].*")
_WORD = re.compile(rb"[ \t/]*([A-Za-z])[ \t]*([-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+))?")
_SEPARATORS = b" \t/"


@dataclass
class Line:
    """The words of one line.

    Attributes:
        g: G words in tenths (G90.1 is 901). m: the last M word, -1 for none. words: all others by letter.
        bare: a word has no number, or is there twice. odd: something in it is no word.
    """

    g: list[int] = field(default_factory=list)
    m: int = -1
    words: dict[bytes, float | None] = field(default_factory=dict)
    bare: bool = False
    odd: bool = False

    def number(self, letter: bytes) -> float | None:
        """Of a word, None where the line has none."""
        return self.words.get(letter)


def line_of(text: bytes) -> Line:
    """Cut a line; line numbers and comments are left out."""
    line = Line()
    text = _COMMENT.sub(b"/", text)
    at = 0
    while (word := _WORD.match(text, at)) is not None:
        at = word.end()
        letter, digits = word[1].upper(), word[2]
        value = None if digits is None else float(digits)
        if value is not None and abs(value) > LARGEST:
            line.odd = True
            return line
        if letter in b"GM" and value is None:
            line.odd = True
            return line
        if letter == b"G":
            line.g.append(round(10 * (value or 0.0)))
        elif letter == b"M":
            line.m = int(value or 0.0)
            if line.m not in OTHER_M:
                return line
        elif letter != b"N":
            line.bare = line.bare or value is None or letter in line.words
            line.words[letter] = value
    line.odd = bool(text[at:].strip(_SEPARATORS))
    return line
