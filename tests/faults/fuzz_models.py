"""Damages model files and has them read and estimated: no crash of the parent, no hang, no empty mesh.

    python -m tests.faults.fuzz_models [COUNT] [--step COUNT] [--merge] [--seed N]

5000 STL, OBJ and 3MF files and 600 STEP files unless told otherwise. With --merge every file that is read
is also merged, whatever it holds.
"""

import argparse
import re
import sys
from collections import Counter
from dataclasses import dataclass, field
from time import perf_counter

import numpy as np
from tests.core.estimating.solids import sphere
from tests.meshes.files import binary_stl, mutated, obj, simple_3mf, text_stl
from tests.meshes.step_files import step, step_cylinder

from printcrib.core.errors import ShopError
from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.settings import typical_settings
from printcrib.core.holes import estimable
from printcrib.core.shapes import ReadModel
from printcrib.meshes.made import made_patterns
from printcrib.meshes.reader import ModelReader
from printcrib.meshes.writer import write_3mf

LONGEST_S = 30


def originals() -> list[tuple[str, bytes]]:
    """Sound files of every kind, from small to middling."""
    made = made_patterns()
    tag, clip, cover = made["numbered tag"](), made["hose clip"](), made["rail cover"]()
    return [
        ("tag.stl", binary_stl(tag)),
        ("cover.stl", text_stl(cover)),
        ("clip.obj", obj(clip)),
        ("cover.3mf", simple_3mf(cover)),
        ("run.3mf", write_3mf([("tag", tag, (0, 0)), ("clip", clip, (60, 0)), ("tag", tag, (0, 60))])),
    ]


def step_originals() -> list[tuple[str, bytes]]:
    """Sound STEP files: flat and curved faces, several bodies, another unit."""
    cube = made_patterns()["jaw pad"]()
    return [
        ("pin.step", step_cylinder(10, 20)),
        ("ball.stp", step(sphere(20, 10, 6))),
        ("pads.step", step(sphere(4, 8, 4), cube)),
        ("inch.step", step_cylinder(0.4, 1.2, "inch")),
    ]


def mutated_step(content: bytes, chance: np.random.Generator) -> bytes:
    """A few bytes changed; or a number, a reference or a whole line of the data put wrong."""
    if chance.random() < 0.3:
        return mutated(content, chance)
    lines = content.split(b"\n")
    for _ in range(int(chance.integers(1, 4))):
        place = int(chance.integers(7, max(8, len(lines) - 3)))
        match int(chance.integers(0, 6)):
            case 0:
                del lines[place]
            case 1:
                lines[place] = lines[int(chance.integers(7, len(lines)))]
            case 2:
                lines[place] = _swapped(
                    rb"#\d+", b"#%d" % chance.integers(1, len(lines)), lines[place], chance
                )
            case 3:
                value = chance.choice([b"0.", b"-1.E30", b"1.E999", b"NAN", b"$", b"*", b"1.E-30"])
                lines[place] = _swapped(rb"-?\d+\.[\dE+-]*", bytes(value), lines[place], chance)
            case 4:
                lines[place] = lines[place].replace(b".T.", b".F.", 1)
            case _:
                kinds = [b"PLANE", b"CIRCLE", b"CYLINDRICAL_SURFACE", b"POLY_LOOP", b"EDGE_LOOP"]
                lines[place] = re.sub(rb"=[A-Z_0-9]+", b"=" + bytes(chance.choice(kinds)), lines[place])
    return b"\n".join(lines)


def _swapped(pattern: bytes, by: bytes, line: bytes, chance: np.random.Generator) -> bytes:
    """One of the places where the pattern is found, replaced."""
    found = list(re.finditer(pattern, line))
    if not found:
        return line
    one = found[int(chance.integers(0, len(found)))]
    return line[: one.start()] + by + line[one.end() :]


def judged(model: ReadModel) -> str:
    """What an accepted file is worth: its estimate, or the rule it breaks."""
    if not len(model.mesh.faces) or not np.isfinite(model.mesh.vertices).all():
        return "ACCEPTED EMPTY OR NOT A NUMBER"
    try:
        part = estimate_part(estimable(model.mesh, model.facts.findings), typical_settings(800))
    except ShopError:
        return "read, estimate refused"
    return "estimated" if np.isfinite(part.part_minutes + part.grams) else "ESTIMATE NOT A NUMBER"


@dataclass
class Tally:
    """What became of the damaged files of one kind."""

    counts: Counter[str] = field(default_factory=Counter)
    sentences: Counter[str] = field(default_factory=Counter)
    longest: float = 0.0

    def tell(self, kind: str) -> bool:
        """Print it; whether all went as it must."""
        whole = sum(self.counts.values())
        print(f"{whole} {kind}: " + ", ".join(f"{count} {what}" for what, count in self.counts.items()))
        print(f"longest: {self.longest:.2f} s")
        for words, count in self.sentences.most_common(12):
            print(f"{count:6}  {words}")
        return self.longest <= LONGEST_S + 1 and not any(what[:2].isupper() for what in self.counts)


def tried(reader: ModelReader, content: bytes, name: str, tally: Tally, *, merge: bool) -> None:
    """Read one damaged file and count what became of it."""
    began = perf_counter()
    try:
        tally.counts[judged(reader.read(content, name))] += 1
        if merge:
            tally.counts["merged: " + judged(reader.read_merged(content, name))] += 1
    except ShopError as refusal:
        tally.counts["refused" if str(refusal).count("\n") == 0 else "REFUSED IN SEVERAL LINES"] += 1
        tally.sentences[refusal.what.partition(" ")[2]] += 1
    tally.longest = max(tally.longest, perf_counter() - began)


def main() -> int:
    """Damage and read."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("count", nargs="?", type=int, default=5000)
    asked.add_argument("--step", type=int, default=600, help="how many STEP files")
    asked.add_argument("--merge", action="store_true", help="merge the bodies of what is read, too")
    asked.add_argument("--seed", type=int, default=1)
    arguments = asked.parse_args()
    chance = np.random.default_rng(arguments.seed)
    well = True
    with ModelReader() as reader:
        for kind, files, spoil, count in (
            ("damaged STL, OBJ and 3MF files", originals(), mutated, arguments.count),
            ("damaged STEP files", step_originals(), mutated_step, arguments.step),
        ):
            tally = Tally()
            for number in range(count):
                name, content = files[number % len(files)]
                tried(reader, spoil(content, chance), name, tally, merge=arguments.merge)
            well &= tally.tell(kind)
    return 0 if well else 1


if __name__ == "__main__":
    sys.exit(main())
