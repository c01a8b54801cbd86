"""The history of a request in words, one line a press, from the change record."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from printcrib.core.requests import Request
from printcrib.services.interfaces import Change, UnitOfWork, is_

MOST_COPIES_READ = 40
_SILENT = frozenset({"version", "recorded_at", "happened_at", "id"})


@dataclass(frozen=True, kw_only=True)
class HistoryLine:
    """One press on a request.

    Attributes:
        words: what it changed ("raised to accepted; 4 copies").
    """

    when: str
    who: str
    verb: str
    words: str
    press_number: int


def history_of(
    uow: UnitOfWork, request: Request, name: Callable[[int], str], when: Callable[[datetime], str]
) -> tuple[HistoryLine, ...]:
    """What happened to a request, newest first.

    Args:
        name: a person's name by key. when: a moment in words.
    """
    changes = list(uow.changes.of_thing("requests", request.id))
    for hold in uow.holds.find(is_("request_id", request.id)):
        changes += uow.changes.of_thing("holds", hold.id)
    for copy in uow.copies.find(is_("request_id", request.id), limit=MOST_COPIES_READ):
        changes += uow.changes.of_thing("copies", copy.id)
    presses: dict[int, list[Change]] = {}
    for change in sorted(changes, key=lambda change: change.number):
        presses.setdefault(change.press_number, []).append(change)
    return tuple(
        HistoryLine(
            when=when(made[0].happened_at),
            who=name(made[0].who_id),
            verb=made[0].verb,
            words=_words(made),
            press_number=number,
        )
        for number, made in sorted(presses.items(), reverse=True)
    )


def _words(changes: list[Change]) -> str:
    """What one press changed: states first, then the fields, then how many copies."""
    said = []
    for change in changes:
        if change.thing == "requests":
            said.append(_request_words(change))
        elif change.thing == "holds":
            said.append(_hold_words(change))
    copies = len({change.thing_id for change in changes if change.thing == "copies"})
    if copies:
        said.append(f"{copies} cop{'y' if copies == 1 else 'ies'}")
    return "; ".join(dict.fromkeys(words for words in said if words))


def _request_words(change: Change) -> str:
    before, after = change.before or {}, change.after or {}
    if not before:
        return str(after.get("state", ""))
    fields = [
        name.removesuffix("_id").replace("_", " ")
        for name in after
        if name not in _SILENT and name != "state" and before.get(name) != after[name]
    ]
    states = (
        "" if before.get("state") == after.get("state") else f"{before.get('state')} to {after.get('state')}"
    )
    return "; ".join(words for words in (states, ", ".join(fields)) if words)


def _hold_words(change: Change) -> str:
    after = change.after or {}
    closed = after.get("closed_at") is not None
    return f"{after.get('kind')} {'closed' if closed else 'held'}"
