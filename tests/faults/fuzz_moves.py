"""Damages print files and has them read: no crash, no hang, no figure that is no number.

    python -m tests.faults.fuzz_moves [COUNT] [--seed N]

2000 files unless told otherwise, each read by plain and by compiled code; the two must agree to 1e-9.
"""

import argparse
import math
import sys
from collections import Counter
from time import perf_counter

import numpy as np
from tests.core.estimating.print_files import EVERY_WORD, tower
from tests.meshes.files import mutated

from printcrib.core.compiled.moves import read_words_compiled
from printcrib.core.compiled.planner import planned_seconds_kernel
from printcrib.core.errors import ShopError
from printcrib.core.estimating.moves import PrintFile, read_moves
from printcrib.core.estimating.settings import typical_settings

SETTINGS = typical_settings(400)
LONGEST_S = 5
WORDS = (
    b"G0 G1 G2 G3 G4 G20 G21 G28 G90 G91 G92 M82 M83 M104 M109 M190 M204 T1 X Y Z E I J R F S P N X-1e9 "
    b"E1e9 F0 R0 I0 J-0 X1e-5 XNaN Xinf G99999999999 M-1 G-1 ( ) ; * % / = \0 \xff\xfe \r \n"
).split(b" ")


def damaged(content: bytes, chance: np.random.Generator) -> bytes:
    """Bytes changed, or words put in, taken out and exchanged."""
    if chance.random() < 0.3:
        return mutated(content, chance)
    words = content.split(b" ")
    for _ in range(int(chance.integers(1, 6))):
        place = int(chance.integers(0, len(words)))
        match int(chance.integers(0, 4)):
            case 0:
                words[place] = bytes(WORDS[int(chance.integers(0, len(WORDS)))])
            case 1:
                words.insert(place, bytes(WORDS[int(chance.integers(0, len(WORDS)))]))
            case 2 if len(words) > 1:
                del words[place]
            case _:
                other = int(chance.integers(0, len(words)))
                words[place], words[other] = words[other], words[place]
    glue = b"" if chance.random() < 0.1 else b" "
    return glue.join(words)


def read(content: bytes, *, compiled: bool) -> PrintFile | str:
    """What a file comes to, or the sentence of its refusal."""
    kernels = (read_words_compiled, planned_seconds_kernel) if compiled else (None, None)
    try:
        return read_moves(content, "spoiled.nc", SETTINGS, *kernels)
    except ShopError as refusal:
        return str(refusal)


def judged(plain: PrintFile | str, compiled: PrintFile | str) -> str:
    """What a reading is worth; a fault in capitals."""
    if isinstance(plain, str) or isinstance(compiled, str):
        if plain != compiled:
            return "ONE REFUSED WHAT THE OTHER READ"
        return "REFUSED IN SEVERAL LINES" if "\n" in str(plain) else "refused"
    figures = (plain.minutes, plain.grams, plain.metres, plain.heat_minutes, plain.wait_minutes)
    if not all(math.isfinite(each) and each >= 0 for each in figures):
        return "NOT A NUMBER"
    for name in PrintFile.__dataclass_fields__:
        one, other = getattr(plain, name), getattr(compiled, name)
        same = (
            math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9) if isinstance(one, float) else one == other
        )
        if not same:
            return f"TWO ANSWERS: {name}"
    return "read"


def main() -> int:
    """Damage and read."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("count", nargs="?", type=int, default=2000)
    asked.add_argument("--seed", type=int, default=1)
    arguments = asked.parse_args()
    chance = np.random.default_rng(arguments.seed)
    originals = (EVERY_WORD, tower(2, sides=8), tower(2, sides=8, relative=True), tower(1, sides=5))
    counts, sentences, longest = Counter[str](), Counter[str](), 0.0
    for number in range(arguments.count):
        content = damaged(originals[number % len(originals)], chance)
        begun = perf_counter()
        plain, compiled = (read(content, compiled=each) for each in (False, True))
        longest = max(longest, perf_counter() - begun) if number else 0.0  # the first one loads the kernels
        verdict = judged(plain, compiled)
        counts[verdict] += 1
        if verdict[:2].isupper():
            print(f"{verdict}: {content!r}\n{plain}\n{compiled}")
        if isinstance(plain, str):
            sentences[plain.partition("spoiled.nc ")[2]] += 1
    print(f"{arguments.count} files: " + ", ".join(f"{count} {what}" for what, count in counts.items()))
    print(f"longest: {longest:.2f} s")
    for words, count in sentences.most_common(12):
        print(f"{count:6}  {words}")
    return int(longest > LONGEST_S or any(what[:2].isupper() for what in counts))


if __name__ == "__main__":
    sys.exit(main())
