"""One press puts right what is plainly wrong with a model; the file that was given stays as it is."""

from collections.abc import Iterable
from enum import StrEnum


class Mend(StrEnum):
    """What can be done to a model at one press; the value is the words of the press."""

    INCH = "Scale x 25.4"
    METRE = "Scale x 1000"
    INCH_TWICE = "Scale / 25.4"
    MM_AS_METRE = "Scale / 1000"
    TURN_ROUND = "Turn it round"
    MERGE = "Merge the bodies"


SCALES = {Mend.INCH: 25.4, Mend.METRE: 1000.0, Mend.INCH_TWICE: 1 / 25.4, Mend.MM_AS_METRE: 1 / 1000}
"""Factors of the mends that scale; an inch is 25.4 mm exactly (NIST SP 811)."""

DONE = {
    Mend.INCH: "scaled x 25.4",
    Mend.METRE: "scaled x 1000",
    Mend.INCH_TWICE: "scaled / 25.4",
    Mend.MM_AS_METRE: "scaled / 1000",
    Mend.TURN_ROUND: "turned round",
    Mend.MERGE: "merged",
}
"""What a mended model is called afterwards."""

_BY_CODE = {"inside_out": Mend.TURN_ROUND, "overlapping": Mend.MERGE}


def mends_for(findings: Iterable[tuple[str, str]]) -> tuple[Mend, ...]:
    """The mends that findings ask for, given as (code, words), in their order.

    A scale is offered exactly where the words end in its question ("Scale x 25.4?").
    """
    asked = []
    for code, words in findings:
        asked += [mend for mend in SCALES if f"{mend}?" in words]
        if code in _BY_CODE:
            asked.append(_BY_CODE[code])
    return tuple(dict.fromkeys(asked))


def mended_name(file_name: str, mend: Mend) -> str:
    """What the mended file is called: "bracket, scaled x 25.4.stl"."""
    stem = file_name.rpartition(".")[0] or file_name
    return f"{stem}, {DONE[mend].replace('/', 'by')}.stl"
