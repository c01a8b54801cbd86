"""Columns of the list of requests and of the copies of one."""

from collections.abc import Sequence

from printcrib.core.asking import needed_of
from printcrib.core.requests import RequestState
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.services.look_at_requests import RequestRow

NEVER = float("inf")


def request_columns(wide: bool) -> Sequence[Column[RequestRow]]:
    """What the list shows; a narrow page says asker and machine under the name."""
    first = Column(
        "Request", 0, _what_wide if wide else _what_narrow, sort_key=lambda row: -row.request.number
    )
    needed = Column("Needed by", 190, _needed, sort_key=due)
    state = Column("State", 260 if wide else 230, _state, sort_key=lambda row: row.state)
    if not wide:
        return (first, needed, state)
    asker = Column("Asked by", 190, _asker, sort_key=lambda row: row.asker.casefold())
    made = Column("Made of", 190, _made, sort_key=lambda row: row.material.casefold())
    return (first, asker, made, needed, state)


def request_model(wide: bool = False) -> RecordModel[RequestRow]:
    """The list; the service searches, so that all of the books are found."""
    return RecordModel(request_columns(wide), key=lambda row: row.id)


def due(row: RequestRow) -> float:
    """When it is needed, as a number to sort by; those without a time last."""
    needed = needed_of(row.request)
    return needed.timestamp() if needed else NEVER


def copies_words(row: RequestRow) -> str:
    """How many are asked for: "4 copies"."""
    return "1 copy" if row.quantity == 1 else f"{row.quantity} copies"


def _what_narrow(row: RequestRow) -> Cell:
    second = ", ".join(words for words in (row.asker, row.machine, copies_words(row)) if words)
    return Cell(f"{row.tag}  {row.what}", second, strong=True)


def _what_wide(row: RequestRow) -> Cell:
    job = f"job {row.job}" if row.job else ""
    second = ", ".join(words for words in (copies_words(row), row.purpose, job) if words)
    return Cell(f"{row.tag}  {row.what}", second, strong=True)


def _asker(row: RequestRow) -> Cell:
    return Cell(row.asker, row.machine)


def _made(row: RequestRow) -> Cell:
    return Cell(row.material or "no material yet", row.how_fine)


def _needed(row: RequestRow) -> Cell:
    if row.is_late or row.at_risk:
        return Cell(row.needed_words, row.timing, second_tone="signal")
    ready = f"ready {row.ready_words}" if row.ready_words else ""
    return Cell(row.needed_words or "not said", ready, tone="ink" if row.needed_words else "second")


def _state(row: RequestRow) -> Cell:
    waits = row.request.state in (RequestState.RAISED, RequestState.SENT_BACK)
    return Cell(
        row.state,
        row.holds,
        strong=waits,
        tone="accent" if waits else "ink",
        second_tone="signal" if row.holds else "second",
    )
