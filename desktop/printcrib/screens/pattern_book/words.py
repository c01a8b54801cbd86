"""What the book says of a pattern and a size, in words. No Qt."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from printcrib.core.consequences import Consequence, consequence_of
from printcrib.core.patterns import CountedBy, Pattern, Reliability, Size
from printcrib.core.requests import Purpose
from printcrib.core.safety import NEVER_IDS, QUESTION
from printcrib.services.look_at_patterns import PatternPage, PatternRow, SizeLine

COUNTED = (
    (CountedBy.ADD, "Plus buttons"),
    (CountedBy.PARTS, "Parts made"),
    (CountedBy.READING, "Part counter"),
    (CountedBy.CALENDAR, "Calendar"),
)
CLASSES = (
    (Reliability.CONSUMABLE, "Consumable"),
    (Reliability.NORMAL, "Normal"),
    (Reliability.LOCATING, "Locating or holding"),
)
NOT_ANSWERED = "Not answered here: every request answers for itself."
WAITS, NEVER = "needs a release", "never handed out"
MOST_EARLIER = 3

NAMES: Mapping[str, str] = {
    "name": "the name",
    "kind": "what it does",
    "use_unit": "what is counted",
    "counted_by": "how it is counted",
    "uses_a_part": "the uses a part",
    "expected_life": "the expected life",
    "days_in_service": "the days in service",
    "reliability": "its class",
    "how_fine": "how fine",
    "material_id": "the material",
    "colour": "the colour",
    "finishing_steps": "the finishing steps",
    "inserts": "the inserts",
    "safety_answers": "the safety answers",
    "take_out_before_start": "taking it out before the start",
    "notes": "the notes",
    "minimum_spares": "the spares at least",
    "shelf_place": "the place on the shelf",
    "count_limit": "the limit of its count",
    "active": "whether it is in the book",
    "pattern_id": "the pattern it belongs to",
    "model_id": "the model",
}
"""What a person calls the fields two people may change at once."""


@dataclass(frozen=True)
class Fact:
    """One row of the card: its name, its value, and whether it is a warning."""

    name: str
    value: str
    bad: bool = False


def breakable(text: str) -> str:
    """A text that may be broken where addresses and file names have no blanks."""
    return re.sub(r"(?<=[/_.?&=-])(?=[^ /_.?&=-])", "\u200b", text)


def life_words(pattern: Pattern) -> str:
    """How long it is expected to last: "12,000 parts", "180 days in service", "" when unknown."""
    if pattern.expected_life is not None:
        return f"{pattern.expected_life:,} {pattern.use_unit}"
    return f"{pattern.days_in_service:,} days in service" if pattern.days_in_service else ""


def subtitle_of(rows: Sequence[PatternRow], looked_for: str) -> str:
    """How many patterns the list shows, and how many spares are missing."""
    if looked_for and not rows:
        return "Nothing found."
    many = f"{len(rows)} pattern{'' if len(rows) == 1 else 's'}"
    short = sum(row.short for row in rows)
    missing = f" {short} spare{'' if short == 1 else 's'} short of the minimum." if short else ""
    return f"{many}{' found' if looked_for else ''}.{missing}"


def size_heading(line: SizeLine) -> str:
    """The size and its revision: "Size 32 x 60, revision B"."""
    return f"Size {line.name}, revision {line.revision}" if line.revision else f"Size {line.name}"


def size_facts(page: PatternPage, line: SizeLine) -> list[Fact]:
    """What is known of one size: model, release, spares, where the model came from."""
    model = line.model
    facts = [
        Fact("Measures", line.extents if model else "no model yet", model is None),
        *(Fact("Look at it", words, bad=True) for words in line.findings),
        _release_fact(page, line),
        Fact("Spares", _spares_words(line), line.spares < line.minimum_spares),
        Fact("In use", str(line.in_use)),
        Fact("To be checked at", _limit_words(page.pattern, line.size)),
    ]
    if model is not None:
        facts += [
            Fact("Model from", model.source or "not told"),
            Fact("Its licence", model.licence or "not told"),
            Fact("File", model.file_name),
        ]
    facts += [Fact("Earlier", words) for words in line.earlier[:MOST_EARLIER]]
    if len(line.earlier) > MOST_EARLIER:
        facts.append(Fact("Before that", f"{len(line.earlier) - MOST_EARLIER} releases more"))
    return [fact for fact in facts if fact.value]


def pattern_facts(page: PatternPage) -> list[Fact]:
    """How it is printed and finished, and how long it lasts."""
    pattern, row = page.pattern, page.row
    counted = dict(COUNTED)[pattern.counted_by].casefold()
    uses = f", {pattern.uses_a_part} uses a part" if pattern.uses_a_part > 1 else ""
    facts = (
        Fact("What it does", pattern.kind),
        Fact("Made of", row.material or "any material"),
        Fact("How fine", row.how_fine),
        Fact("Expected life", life_words(pattern) or "not known"),
        Fact("Counted by", f"{counted}{uses}"),
        Fact("The next one is", dict(CLASSES)[pattern.reliability].casefold()),
        Fact("Finishing", ", then ".join(page.steps) or "none"),
        Fact("Inserts", ", ".join(page.inserts) or "none"),
        Fact("Before the start", "take it out" if pattern.take_out_before_start else "", bad=True),
        Fact("Notes", pattern.notes),
    )
    return [fact for fact in facts if fact.value]


def safety_facts(answers: Sequence[int] | None) -> list[Fact]:
    """Each thing it might do, and what that leads to; nothing where nothing was ticked."""
    ticked = answers or ()
    return [Fact(QUESTION[each].words, NEVER if each in NEVER_IDS else WAITS, bad=True) for each in ticked]


def safety_end(answers: Sequence[int] | None) -> Consequence:
    """What a pattern's answers come to for copies for use."""
    if answers is None:
        return Consequence(NOT_ANSWERED)
    return consequence_of(Purpose.FOR_USE, answers, answers)


def _release_fact(page: PatternPage, line: SizeLine) -> Fact:
    if line.release:
        return Fact("Release", line.release)
    if not page.pattern.safety_answers:
        return Fact("Release", "none given")
    revision = f" for revision {line.revision}" if line.revision else ""
    return Fact("Release", f"none{revision}", bad=True)


def _spares_words(line: SizeLine) -> str:
    least = f" of at least {line.minimum_spares}" if line.minimum_spares else ""
    return f"{line.spares}{least}{f', {line.shelf_place}' if line.shelf_place else ''}"


def _limit_words(pattern: Pattern, size: Size) -> str:
    return "" if size.count_limit is None else f"{size.count_limit:,} {pattern.use_unit}"


def changed_words(fields: Mapping[str, Any]) -> str:
    """Which fields somebody else changed, as one sentence; "" for none that is shown here."""
    names = [NAMES[name] for name in fields if name in NAMES]
    if not names:
        return ""
    *first, last = names
    listed = f"{', '.join(first)} and {last}" if first else last
    return f"Changed: {listed}."
