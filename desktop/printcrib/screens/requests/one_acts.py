"""What can be done with one request, which of it comes next, and which copies it concerns. No Qt."""

from dataclasses import dataclass

from printcrib.core.people import Person, Role
from printcrib.core.requests import CopyState, HoldKind, Purpose, RequestState
from printcrib.services.look_at_request import CopyLine, RequestPage

WORDS: dict[str, str] = {
    "accept": "Accept",
    "raise": "Raise it",
    "answer safety": "Answer safety",
    "model": "Give a model",
    "size": "Pick a size",
    "turn": "Turn the model",
    "release": "Release for use",
    "decide copies": "Decide on copies",
    "finish": "All steps done",
    "hand out": "Hand out",
    "send back": "Send back",
    "change": "Change",
    "quantity": "Change how many",
    "hold": "Hold it",
    "close question": "Close the question",
    "take back": "Take release back",
    "same again": "Same again",
    "withdraw": "Withdraw",
}
"""Words of every act, in the order they are offered."""

NEXT = (
    "accept",
    "raise",
    "model",
    "answer safety",
    "change",
    "close question",
    "release",
    "decide copies",
    "finish",
    "hand out",
)
"""Which act is the main one, first come first."""

ENDS = frozenset({"withdraw", "take back"})
"""Acts that end something; they stand apart."""

_PERSONAL = (Purpose.TRY_FIT, Purpose.LOOK_AT, Purpose.PRIVATE)
_OVER = (RequestState.DONE, RequestState.WITHDRAWN)


@dataclass(frozen=True)
class CopyAct:
    """What can be done with one copy."""

    id: str
    words: str


def acts_of(page: RequestPage, who: Person) -> tuple[str, ...]:
    """What this person may do with the request, in order."""
    request = page.request
    desk, mine = who.may(Role.DESK), request.asker_id == who.id
    over = request.state in _OVER
    may_change = "change" in page.actions
    listed = page.pattern is not None and page.pattern.listed
    open_question = any(line.hold.kind is HoldKind.QUESTION for line in page.holds)
    found = {
        "accept": "accept" in page.actions,
        "raise": "raise" in page.actions,
        "answer safety": "answer safety" in page.actions,
        "model": may_change,
        "size": may_change and not listed,
        "turn": may_change and not listed and page.advice is not None and len(page.advice.rests) > 1,
        "release": "release" in page.actions and page.release_id is None,
        "decide copies": "decide copies" in page.actions,
        "finish": bool(finishing(page)),
        "hand out": bool(to_hand_out(page)),
        "send back": "send back" in page.actions,
        "change": may_change,
        "quantity": may_change,
        "hold": not over and who.may(Role.DESK, Role.REVIEWER),
        "close question": open_question and (desk or mine),
        "take back": page.release_id is not None and who.may(Role.REVIEWER, Role.LEAD),
        "same again": "same again" in page.actions,
        "withdraw": "withdraw" in page.actions,
    }
    return tuple(act for act in WORDS if found[act])


def main_act(page: RequestPage, acts: tuple[str, ...]) -> str:
    """The act that brings the request further; "" where it only waits."""
    wanted = {
        # accepted without a model: printed by hand, so there is nothing left to print
        "model": page.model is None and page.request.state is not RequestState.ACCEPTED,
        "answer safety": page.request.safety_answers is None,
        "change": page.request.state is RequestState.RAISED and page.request.material_id is None,
    }
    for act in NEXT:
        if act in acts and wanted.get(act, True):
            return act
    return "same again" if "same again" in acts else ""


def finishing(page: RequestPage) -> tuple[CopyLine, ...]:
    """Copies with finishing steps left."""
    return tuple(line for line in page.copies if line.copy.state is CopyState.FINISHING)


def to_hand_out(page: RequestPage) -> tuple[CopyLine, ...]:
    """Ready copies that go to the person, not to a machine; aids are handed out in their own place."""
    if page.request.purpose not in _PERSONAL:
        return ()
    return tuple(line for line in page.copies if line.copy.state is CopyState.READY)


def copy_acts(page: RequestPage, line: CopyLine) -> tuple[CopyAct, ...]:
    """What can be done with one copy here."""
    copy = line.copy
    if copy.state is CopyState.TO_CHECK:
        return (CopyAct("good", "Good"), CopyAct("trouble", "Failed"))
    if copy.state is CopyState.FINISHING:
        return (CopyAct("step", step_words(page, line)),)
    if copy.aid_id is not None and copy.state is CopyState.READY:
        return (CopyAct("aid", "Hand out"), CopyAct("shelve", "To the shelf"))
    fit = CopyAct("fit", "How it fits" if not copy.fit_result else "Fits otherwise")
    if copy.state is CopyState.READY:
        ways = (CopyAct("hand out", "Hand out"), CopyAct("shelve", "To the shelf"))
        return (fit, *ways) if page.request.purpose is Purpose.TRY_FIT else ways  # tried at the desk
    if copy.ready_at is not None and copy.aid_id is None and copy.state is CopyState.HANDED_OUT:
        return (fit,)
    return ()


def step_words(page: RequestPage, line: CopyLine) -> str:
    """The finishing step that comes next: "Done: bushings bonded"."""
    steps = page.pattern.finishing_steps if page.pattern else ()
    done = line.copy.steps_done
    return f"Done: {steps[done]}" if done < len(steps) else "Mark ready"


def copy_words(page: RequestPage, line: CopyLine) -> str:
    """How far one copy is, in a line."""
    steps = page.pattern.finishing_steps if page.pattern else ()
    state = line.state
    if line.copy.state is CopyState.FINISHING and steps:
        state = f"finishing, step {min(line.copy.steps_done + 1, len(steps))} of {len(steps)}"
    old = f"revision {line.revision}, not the newest" if line.old_revision else ""
    planned = line.copy.state is CopyState.ON_RUN and line.run
    where = (f"on {line.run}",) if planned else (state, line.run)  # never "on run, run 77"
    return ", ".join(words for words in (*where, line.aid, line.words, old) if words)


def not_for_use(page: RequestPage) -> bool:
    """Whether its copies are marked "not for use"."""
    return page.request.purpose in (Purpose.TRY_FIT, Purpose.LOOK_AT)
