"""What is kept of a run by hand gets a request, with its safety questions still to answer."""

from dataclasses import dataclass

from printcrib.core.errors import ShopError
from printcrib.core.requests import Copy, CopyState, Hold, HoldKind, Purpose, Request, RequestState
from printcrib.core.runs import Run
from printcrib.services.interfaces import UnitOfWork
from printcrib.services.read_model import one_off_size

MOST_KEPT = 500


@dataclass(frozen=True, kw_only=True)
class KeptByHand:
    """What a run by hand was.

    Attributes:
        words: what people call it. quantity: how many pieces are kept.
        asker_id: whose it is, None for the person who presses. size_id: a pattern size, if it is one.
    """

    words: str = ""
    quantity: int = 1
    asker_id: int | None = None
    size_id: int | None = None
    purpose: Purpose = Purpose.FOR_USE
    machine_id: int | None = None


def keep_by_hand(uow: UnitOfWork, run: Run, kept: KeptByHand) -> int:
    """Give kept pieces a request and copies to check within an open unit; gives the request's key.

    The copies are ready only once the safety questions are answered.
    """
    words = kept.words.strip() or run.name
    if not words and kept.size_id is None:
        raise ShopError("Nobody said what it is", "Write a few words, or choose a pattern size.")
    if not 1 <= kept.quantity <= MOST_KEPT:
        raise ShopError(f"{kept.quantity} pieces make no sense", "Say how many are kept.")
    who = uow.press.who_id
    size = one_off_size(uow, words) if kept.size_id is None else uow.sizes.get(kept.size_id)
    request = uow.requests.add(
        Request(
            number=uow.next_number("request"),
            asker_id=who if kept.asker_id is None else kept.asker_id,
            entered_by_id=who,
            words=words,
            size_id=size.id,
            material_id=run.material_id,
            colour=run.colour,
            purpose=kept.purpose,
            quantity=kept.quantity,
            machine_id=kept.machine_id,
            reason=f"run {run.number} by hand",
            state=RequestState.ACCEPTED,
            accepted_at=uow.happened_at,
            accepted_by_id=who,
        )
    )
    uow.holds.add(
        Hold(
            request_id=request.id,
            kind=HoldKind.SAFETY,
            words="printed by hand before anybody asked",
            opened_by_id=who,
        )
    )
    for ordinal in range(1, kept.quantity + 1):
        uow.copies.add(
            Copy(
                request_id=request.id,
                ordinal=ordinal,
                size_id=size.id,
                model_id=size.model_id,
                state=CopyState.TO_CHECK,
                run_id=run.id,
            )
        )
    return request.id
