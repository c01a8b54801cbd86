"""Answer the ten safety questions of a request, or once for a released size "same use as released?"."""

from collections.abc import Iterable
from dataclasses import replace

from printcrib.core.errors import ShopError
from printcrib.core.requests import HoldKind, Request, RequestState
from printcrib.core.safety import checked_answers, question_words
from printcrib.services.check_role import require_asker_or_desk
from printcrib.services.hold_request import open_in
from printcrib.services.interfaces import Done, Shop, UnitOfWork
from printcrib.services.press import Press
from printcrib.services.release_use import gate_of, lapse_sizes, settle_review
from printcrib.services.take_request import answered_as_released, open_missing

_OVER = (RequestState.DONE, RequestState.WITHDRAWN)


def answer_safety(shop: Shop, press: Press, request_id: int, ticked: Iterable[int]) -> Done[Request]:
    """Tick what it will do, or might; an empty list is "none of these".

    Changed answers let the releases of a size made for one request lapse; for a pattern size a release
    simply covers no other answers than its own.
    """
    answers = checked_answers(ticked)
    with shop.write(press, "answer safety questions") as uow:
        request = _open_request(uow, request_id)
        answered = uow.requests.save(replace(request, safety_answers=answers, same_use=None))
        _settle(uow, request, answered)
        uow.commit()
        return Done(answered, uow.changed, uow.press_number)


def answer_same_use(shop: Shop, press: Press, request_id: int, same: bool) -> Done[Request]:
    """Answer "same use as released?"; no leaves the ten questions to be answered."""
    with shop.write(press, "answer same use") as uow:
        request = _open_request(uow, request_id)
        answers = request.safety_answers if same else None
        answered = answered_as_released(uow, replace(request, same_use=same, safety_answers=answers))
        answered = uow.requests.save(answered)
        _settle(uow, request, answered)
        uow.commit()
        return Done(answered, uow.changed, uow.press_number)


def _open_request(uow: UnitOfWork, request_id: int) -> Request:
    request = uow.requests.get(request_id)
    require_asker_or_desk(uow, request, "answer the safety questions of this request")
    if request.state in _OVER:
        raise ShopError(f"{request.tag} is {request.state.value}", "Raise it again to change its answers.")
    return request


def _settle(uow: UnitOfWork, before: Request, request: Request) -> None:
    """Holds and releases as the new answers want them."""
    if request.state is not RequestState.DRAFT:
        open_missing(uow, request)
    changed = before.safety_answers not in (None, request.safety_answers)
    if changed and request.size_id is not None and not _is_pattern_size(uow, request.size_id):
        lapse_sizes(uow, (request.size_id,), "the safety answers changed")
    if request.state is RequestState.ACCEPTED:
        settle_review(uow, request)
        settle_never(uow, request)


def settle_never(uow: UnitOfWork, request: Request) -> None:
    """An accepted request that turns out never to be released stops with a question to the asker."""
    never = gate_of(uow, request).never
    if never:
        words = f"never used for this, only to try the fit: {question_words(never)}"
        open_in(uow, request.id, HoldKind.QUESTION, words)


def _is_pattern_size(uow: UnitOfWork, size_id: int) -> bool:
    return uow.patterns.get(uow.sizes.get(size_id).pattern_id).listed
