"""Damages model files and has them read and estimated: no crash of the parent, no hang, no empty mesh.

python -m tests.faults.fuzz_models [COUNT] [--seed N]     (5000 unless told otherwise)
"""

import argparse
import sys
from collections import Counter
from time import perf_counter

import numpy as np
from tests.meshes.files import binary_stl, mutated, obj, simple_3mf, text_stl

from printcrib.core.errors import ShopError
from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.settings import typical_settings
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


def judged(model: ReadModel) -> str:
    """What an accepted file is worth: its estimate, or the rule it breaks."""
    if not len(model.mesh.faces) or not np.isfinite(model.mesh.vertices).all():
        return "ACCEPTED EMPTY OR NOT A NUMBER"
    try:
        part = estimate_part(model.mesh, typical_settings(800))
    except ShopError:
        return "read, estimate refused"
    return "estimated" if np.isfinite(part.part_minutes + part.grams) else "ESTIMATE NOT A NUMBER"


def main() -> int:
    """Damage and read."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("count", nargs="?", type=int, default=5000)
    asked.add_argument("--seed", type=int, default=1)
    arguments = asked.parse_args()
    chance, files = np.random.default_rng(arguments.seed), originals()
    counts: Counter[str] = Counter()
    sentences: Counter[str] = Counter()
    longest = 0.0
    with ModelReader() as reader:
        for number in range(arguments.count):
            name, content = files[number % len(files)]
            damaged, began = mutated(content, chance), perf_counter()
            try:
                counts[judged(reader.read(damaged, name))] += 1
            except ShopError as refusal:
                counts["refused" if str(refusal).count("\n") == 0 else "REFUSED IN SEVERAL LINES"] += 1
                sentences[refusal.what.partition(" ")[2]] += 1
            longest = max(longest, perf_counter() - began)
    print(
        f"{arguments.count} damaged files: " + ", ".join(f"{count} {what}" for what, count in counts.items())
    )
    print(f"longest: {longest:.2f} s")
    for words, count in sentences.most_common(12):
        print(f"{count:6}  {words}")
    return 1 if longest > LONGEST_S or any(what[:2].isupper() for what in counts) else 0


if __name__ == "__main__":
    sys.exit(main())
