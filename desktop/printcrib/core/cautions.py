"""Cautions shown beside a request, on travellers and at the station, each with where it comes from."""

from collections.abc import Iterable
from dataclasses import dataclass

from printcrib.core.materials import Material

LAST_WORD = "Local codes and licensed practice come first."
PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Caution:
    """One caution.

    Attributes:
        words: the sentence, without the last word that follows every caution.
        source: the published rule behind it, or "common practice, no source".
        questions: ticked safety questions that bring it up; empty for the others.
        topic: what else brings it up: "take out", "magnets", "swap", "printing", "unattended", "cleaning".
        material: a material's name it belongs to.
    """

    words: str
    source: str
    questions: tuple[int, ...] = ()
    topic: str = ""
    material: str = ""

    @property
    def in_full(self) -> str:
        """As shown: the caution and the last word."""
        return f"{self.words} {LAST_WORD}"


CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "Do not run a printed part in a turning spindle or chuck until the named reviewer has released it.",
        "OSHA 1910.212(a)(1)",
        questions=(1,),
    ),
    Caution("A printed stop sets length only; it does not support bar stock.", PRACTICE, questions=(1, 2)),
    Caution(
        "Do not hold work with a printed part unless a competent person has assessed it.",
        "ISO 12100",
        questions=(2,),
    ),
    Caution("A printed cover is not a guard.", "ISO 14120:2015, OSHA 1910.212", questions=(3,)),
    Caution("Do not lift or hang loads with printed parts.", PRACTICE, questions=(4,)),
    Caution(
        "Do not put printed parts under air, coolant or hydraulic pressure without a written limit.",
        PRACTICE,
        questions=(5,),
    ),
    Caution(
        "Stop, lock out and tag out before reaching into the machine.",
        "OSHA 1910.147, from memory",
        questions=(1, 2, 3),
    ),
    Caution(
        "Take covers, plugs and stops out before spindle or axis moves.",
        PRACTICE,
        topic="take out",
    ),
    Caution(
        "First turn: door shut, lowest speed, nobody in line; never above the released speed.",
        PRACTICE,
        questions=(1,),
    ),
    Caution(
        "Printed parts burn: keep them from hot chips, sparks and grinding."
        " Plastic creeps: check clamping before each job.",
        PRACTICE,
        questions=(2, 6),
    ),
    Caution(
        "Magnets: keep from pacemakers, probes and encoders. Gloves and air for adhesives and solvents;"
        " mask when sanding filled plastics.",
        PRACTICE,
        topic="magnets",
    ),
    Caution(
        "Keep PLA below 45 C; it softens near 55-60 C.",
        "typical glass transition; the margin is common practice, no source",
        material="PLA",
    ),
    Caution(
        "Check coolant-wet parts weekly for cracks and swelling.",
        "typical contact tests of the materials; the interval is our own",
        questions=(9,),
    ),
    Caution(
        "Let nozzle and bed cool, or wear heat gloves, before a swap.",
        PRACTICE,
        topic="swap",
    ),
    Caution(
        "Run the extraction when printing, above all with ABS, ASA or nylon.",
        "NIOSH 2024-103; ANSI/CAN/UL 2904",
        topic="printing",
    ),
    Caution(
        "Do not leave a print unattended unless site fire rules allow it.",
        PRACTICE,
        topic="unattended",
    ),
    Caution(
        "Keep IPA and acetone away from hot parts. Unplug the printer before opening it."
        " Scrape away from your hand.",
        PRACTICE,
        topic="cleaning",
    ),
    Caution("A printed aid must not touch live parts.", PRACTICE, questions=(7,)),
)
"""Every caution the shop is shown."""


def cautions_for(
    answers: Iterable[int], material: Material | None = None, topics: Iterable[str] = ()
) -> tuple[Caution, ...]:
    """The cautions that belong to what was ticked, the material and the topics, in the table's order.

    A tick on "warmer than 45 C" adds the material's own keep-below temperature where it is known.
    """
    ticked, asked = set(answers), set(topics)
    name = material.name if material else ""
    found = [
        caution
        for caution in CAUTIONS
        if ticked & set(caution.questions)
        or caution.topic in asked
        or (caution.material and caution.material == name)
    ]
    if material and material.keep_below_c is not None and 6 in ticked:
        words = f"Keep {name} below {material.keep_below_c} C."
        found.append(Caution(words, "from memory, cautious, the shop can edit it", questions=(6,)))
    return tuple(found)
