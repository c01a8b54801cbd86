"""What the safety answers come to, in the words shown beside them."""

from collections.abc import Sequence
from dataclasses import dataclass

from printcrib.core.requests import Purpose
from printcrib.core.safety import LAST_WORD, QUESTION, gate, question_words

NOTHING_TICKED = "Nothing is ticked for you. It may be answered later; the desk accepts it only then."


@dataclass(frozen=True)
class Consequence:
    """What happens because of the answers.

    Attributes:
        words: what is done. further: the rest, ending with the last word where it cautions.
        holds: shown in signal, because handing out waits or never happens.
    """

    words: str
    further: str = ""
    holds: bool = False


def consequence_of(
    purpose: Purpose, answers: Sequence[int] | None, pattern_answers: Sequence[int] | None
) -> Consequence:
    """What the answers of a request and its pattern come to together."""
    due = gate(purpose, answers, pattern_answers)
    if not due.gated:
        return Consequence(
            'Marked "not for use".',
            f"Try it only with the machine stopped and locked out. {LAST_WORD}",
        )
    if due.never:
        return Consequence(
            f"Never handed out for this: {question_words(due.never)}.",
            f"It is printed only to try the fit. {LAST_WORD}",
            holds=True,
        )
    if due.holds:
        return Consequence(
            "Printed, but not handed out before a reviewer has released it.",
            f"{_writing(due.holds)}{_from_pattern(answers, pattern_answers)}{LAST_WORD}",
            holds=True,
        )
    if not due.answered:
        return Consequence(NOTHING_TICKED)
    return Consequence("No review is needed.", LAST_WORD)


def _writing(holds: Sequence[int]) -> str:
    limits = [QUESTION[each].in_writing for each in holds if QUESTION[each].in_writing]
    return f"The release states the {' and the '.join(limits)} in writing. " if limits else ""


def _from_pattern(answers: Sequence[int] | None, pattern_answers: Sequence[int] | None) -> str:
    own = set(answers or ())
    added = [each for each in pattern_answers or () if each not in own]
    return f"By the pattern book it will: {question_words(added)}. " if added else ""
