"""Safety: the ten questions, the gate they set, what a release covers and what may be handed out."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from printcrib.core.cautions import CAUTIONS as CAUTIONS
from printcrib.core.cautions import LAST_WORD as LAST_WORD
from printcrib.core.cautions import Caution as Caution
from printcrib.core.cautions import cautions_for as cautions_for
from printcrib.core.errors import ShopError
from printcrib.core.people import Person, Role
from printcrib.core.releases import SizeRelease
from printcrib.core.requests import Purpose

ASKED_AS = "Will it do any of these, or might it?"
NONE_OF_THESE = "None of these"
SAME_USE_AS_RELEASED = "Same use as released?"
NOT_FOR_USE = "not for use"
NOT_RELEASED = "not released"
WARM_C = 45


class Class(StrEnum):
    """What a tick does: hold waits for a reviewer, never is not releasable here."""

    HOLD = "hold"
    NEVER = "never"


@dataclass(frozen=True)
class Question:
    """One of the ten questions.

    Attributes:
        id: the number stored in answers.
        words: completes "Will it ..., or might it?"; the same on every surface.
        class_: hold or never.
        in_writing: what a release must state in writing for it, "" for nothing.
    """

    id: int
    words: str
    class_: Class
    in_writing: str = ""


QUESTIONS: tuple[Question, ...] = (
    Question(1, "turn with a spindle or chuck (or sit in one)", Class.HOLD, "top speed"),
    Question(2, "hold or locate the work", Class.HOLD),
    Question(3, "replace a guard or an interlock (or a cover against moving parts)", Class.NEVER),
    Question(4, "lift a load or a person", Class.NEVER),
    Question(5, "see pressure or vacuum", Class.HOLD, "pressure limit"),
    Question(6, f"get warmer than {WARM_C} C", Class.HOLD),
    Question(7, "touch live parts, a safety circuit", Class.NEVER),
    Question(8, "leave the shop or be sold", Class.HOLD),
    Question(9, "sit in coolant or oil under load", Class.HOLD),
    Question(10, "accept or reject work", Class.HOLD),
)
QUESTION: dict[int, Question] = {question.id: question for question in QUESTIONS}
HOLD_IDS = frozenset(q.id for q in QUESTIONS if q.class_ is Class.HOLD)
NEVER_IDS = frozenset(q.id for q in QUESTIONS if q.class_ is Class.NEVER)
GATED = frozenset({Purpose.FOR_USE, Purpose.PRIVATE})
TURNS_WITH_SPINDLE, HOLDS_WORK, PRESSURE = 1, 2, 5

Answers = Sequence[int]


def checked_answers(answers: Iterable[int]) -> tuple[int, ...]:
    """Ticked question ids in order, each once.

    Raises:
        ShopError: an id is none of the ten.
    """
    ticked = tuple(sorted(set(answers)))
    unknown = [answer for answer in ticked if answer not in QUESTION]
    if unknown:
        raise ShopError(f"There is no safety question {unknown[0]}", "Tick among the ten, or none of these.")
    return ticked


def question_words(answers: Iterable[int]) -> str:
    """The ticked questions as one list of words ("hold or locate the work; lift a load or a person")."""
    return "; ".join(QUESTION[answer].words for answer in answers)


@dataclass(frozen=True)
class Gate:
    """What stands between a printed copy and the person who asked for it.

    Attributes:
        answered: the ten questions were answered for this request.
        holds: ticked questions a reviewer has to release.
        never: ticked questions nobody releases here.
        gated: False for copies to try the fit or to look at; they are marked "not for use".
    """

    answered: bool
    holds: tuple[int, ...] = ()
    never: tuple[int, ...] = ()
    gated: bool = True

    @property
    def needs_release(self) -> bool:
        """Whether a release has to cover the copy before it is handed out."""
        return bool(self.holds)

    @property
    def answers(self) -> tuple[int, ...]:
        """All that was ticked, in order."""
        return tuple(sorted(self.holds + self.never))

    @property
    def mark(self) -> str:
        """What traveller and tag say of a copy behind this gate that no release covers."""
        if not self.gated:
            return NOT_FOR_USE
        return NOT_RELEASED if self.holds or self.never or not self.answered else ""


def united(request_answers: Answers | None, pattern_answers: Answers | None) -> tuple[int, ...]:
    """What the request or its pattern ticked; a tick in either counts."""
    return tuple(sorted(set(request_answers or ()) | set(pattern_answers or ())))


def gate(purpose: Purpose, request_answers: Answers | None, pattern_answers: Answers | None) -> Gate:
    """The gate of a request: the union of its own and its pattern's ticks, for use and private only."""
    answered = request_answers is not None
    if purpose not in GATED:
        return Gate(answered, gated=False)
    ticked = united(request_answers, pattern_answers)
    return Gate(
        answered,
        holds=tuple(answer for answer in ticked if answer in HOLD_IDS),
        never=tuple(answer for answer in ticked if answer in NEVER_IDS),
    )


def release_gap(
    release: SizeRelease,
    *,
    model_id: int | None,
    material_id: int | None,
    bore_um: int | None,
    turn: int,
    machine_id: int | None,
    answers: Answers,
    now: datetime,
) -> str | None:
    """Why a release does not cover a copy, in words; None where it covers.

    Args:
        release: the reviewer's decision. model_id, material_id, bore_um, turn: how the copy was printed.
        machine_id: where it goes; None where nobody said.
        answers: what is ticked now, request and pattern together.
        now: UTC.
    """
    ended = _ended(release, now)
    if ended:
        return ended
    checks = (
        (model_id != release.model_id, "the release is for another revision"),
        (set(answers) != set(release.answers), "the safety answers are not those released"),
        (material_id not in release.material_ids, "the release does not name this material"),
        (bore_um not in release.bores_um, "the release does not name this nozzle"),
        (turn != release.turn, "it was released in another orientation"),
        (
            bool(release.machine_ids) and machine_id not in release.machine_ids,
            "the release is for another machine",
        ),
    )
    return next((words for gap, words in checks if gap), None)


def _ended(release: SizeRelease, now: datetime) -> str | None:
    if release.void or release.lapsed_at is not None:
        return f"the release no longer holds ({release.lapsed_by or 'undone'})"
    if release.until is not None and now >= release.until:
        return "the release has run out"
    if now < release.valid_from:
        return "the release has not begun"
    return None


def is_live(release: SizeRelease, now: datetime) -> bool:
    """Whether a release holds at all: begun, not run out, not lapsed, not undone."""
    return _ended(release, now) is None


def may_release(reviewer: Person, asker_id: int, gate: Gate, outside: str = "") -> ShopError | None:
    """Whether this person may release for this asker; None where yes, else the sentence to show.

    Args:
        reviewer: who presses. asker_id: whose request it is.
        gate: what is ticked.
        outside: name, date and words of a reviewer from outside that the lead records; "" for none.
    """
    if gate.never:
        words = question_words(gate.never)
        return ShopError(f"This is never released here: {words}", "Print it only to try the fit.")
    if not gate.answered:
        return ShopError("The safety questions are not answered", "Answer them first, then release it.")
    if reviewer.id == asker_id:
        return ShopError("Nobody releases their own request", "Ask another reviewer.")
    if outside.strip():
        if reviewer.may(Role.LEAD):
            return None
        return ShopError("Only the lead records a reviewer from outside", "Ask the lead.")
    if reviewer.may(Role.REVIEWER):
        return None
    return ShopError("Only a reviewer releases a request", "Ask a reviewer, not the person who asked for it.")


def unwritten(gate: Gate, *, top_speed_rpm: int | None, pressure_limit: str) -> ShopError | None:
    """Whether a limit that has to be in writing is missing from a release."""
    if TURNS_WITH_SPINDLE in gate.holds and not top_speed_rpm:
        return ShopError("It may turn with a spindle", "Write the top speed into the release.")
    if PRESSURE in gate.holds and not pressure_limit.strip():
        return ShopError("It may see pressure or vacuum", "Write the limit into the release.")
    return None


def hand_out_refusal(
    gate: Gate,
    releases: Sequence[SizeRelease],
    *,
    model_id: int | None,
    material_id: int | None,
    bore_um: int | None,
    turn: int,
    machine_id: int | None,
    now: datetime,
) -> str | None:
    """Why a good copy is not handed out, in words; None where anyone may hand it out.

    Args:
        gate: the request's gate. releases: those of its size, newest first; the rest as in `release_gap`.
    """
    if not gate.gated:
        return None
    if not gate.answered:
        return "the safety questions are not answered"
    if gate.never:
        return f"it is never handed out for this: {question_words(gate.never)}"
    if not gate.holds:
        return None
    gaps: list[str] = []
    for release in releases:
        gap = release_gap(
            release,
            model_id=model_id,
            material_id=material_id,
            bore_um=bore_um,
            turn=turn,
            machine_id=machine_id,
            answers=gate.answers,
            now=now,
        )
        if gap is None:
            return None
        gaps.append(gap)
    return gaps[0] if gaps else "no reviewer has released it"


def accept_refusal(gate: Gate) -> ShopError | None:
    """Why a request is not accepted as it stands, judged by its gate alone; None where it may be."""
    if not gate.answered:
        return ShopError("The safety questions are not answered", f"Ask: {ASKED_AS}")
    if gate.never:
        words = question_words(gate.never)
        return ShopError(
            f"A printed part is never used for this: {words}", "It can be printed to try the fit."
        )
    return None
