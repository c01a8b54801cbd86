"""Take a request: who, what, needed by; all else may come later."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from printcrib.core.asking import needed_of
from printcrib.core.errors import ShopError
from printcrib.core.patterns import Fineness
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import CopyState, HoldKind, Purpose, Request, RequestState
from printcrib.core.safety import checked_answers
from printcrib.services.check_role import presser, require_asker_or_desk
from printcrib.services.hold_request import close_in, open_in
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.press import Press
from printcrib.services.read_model import (
    ModelFile,
    PreparedModel,
    keep_photo,
    model_in,
    model_of,
    one_off_size,
    own_name,
    prepare,
    scaled_size,
)
from printcrib.services.release_use import live_release

MOST_COPIES = 500
SMALLEST_SCALE, LARGEST_SCALE = 0.05, 20.0
WEIGHTS = (1, 2, 5)
_TO_PRINT = (CopyState.WANTED, CopyState.ON_RUN)


@dataclass(frozen=True, kw_only=True)
class NewRequest:
    """What somebody asks for. Only who, what and needed by are needed.

    Attributes:
        asker_id: None for the person who presses.
        size_id, file, words, photo: what; any one of the first three, or a photo.
        needed_by: UTC; or program_ready_at, when the program is ready.
        material_id, colour, how_fine: None or "" for the pattern's.
        labels: one copy a label; overrides the quantity.
        safety_answers: ticked ids, () for none of these, None while not answered.
        same_use: answer to "same use as released?" for a released size.
    """

    asker_id: int | None = None
    size_id: int | None = None
    file: ModelFile | None = None
    words: str = ""
    photo: bytes = b""
    photo_kind: str = "jpeg"
    needed_by: datetime | None = None
    program_ready_at: datetime | None = None
    material_id: int | None = None
    colour: str = ""
    how_fine: Fineness | None = None
    purpose: Purpose = Purpose.FOR_USE
    scale: float = 1.0
    quantity: int = 1
    labels: tuple[str, ...] = ()
    machine_id: int | None = None
    job: str = ""
    job_revision: str = ""
    touches: str = ""
    critical_sizes: str = ""
    reason: str = ""
    follows_id: int | None = None
    replaces_aid_id: int | None = None
    safety_answers: tuple[int, ...] | None = None
    same_use: bool | None = None
    weight: int = 1
    bore_um: int | None = None


def raise_request(shop: Shop, press: Press, ask: NewRequest) -> Done[Request]:
    """Raise a request: a model file is read and kept, a request in words waits for its model.

    Raises:
        ShopError: who, what or needed by is missing, or the file cannot be read; the caller keeps the form.
    """
    return _take(shop, press, ask, RequestState.RAISED)


def keep_draft(shop: Shop, press: Press, ask: NewRequest) -> Done[Request]:
    """Keep a half-filled request for later; nothing is asked of anybody yet."""
    return _take(shop, press, ask, RequestState.DRAFT)


def _take(shop: Shop, press: Press, ask: NewRequest, state: RequestState) -> Done[Request]:
    prepared = prepare(shop, at_scale(ask.file, ask.scale)) if ask.file else None
    photo_sha = keep_photo(shop, ask.photo, ask.photo_kind)
    with shop.write(press, "keep draft" if state is RequestState.DRAFT else "raise request") as uow:
        request = raise_in(uow, ask, prepared, photo_sha=photo_sha, state=state)
        uow.commit()
        return Done(request, uow.changed, uow.press_number)


def at_scale(file: ModelFile, scale: float) -> ModelFile:
    """The file as it is printed when the request asks for another scale."""
    return file if scale == 1.0 else replace(file, unit_scale=file.unit_scale * scale)


def raise_in(
    uow: UnitOfWork,
    ask: NewRequest,
    prepared: PreparedModel | None = None,
    *,
    photo_sha: str = "",
    state: RequestState = RequestState.RAISED,
) -> Request:
    """Raise a request within an open unit.

    Args:
        prepared: the model file at the asked scale, read by `read_model.prepare` before the unit was opened.
        photo_sha: the kept photo.
    """
    who = presser(uow)
    request = _request_of(ask, uow, who.id, photo_sha, state)
    refuse_odd(request)
    if request.asker_id != THE_TOOL and not uow.people.get(request.asker_id).active:
        raise ShopError("The person who asks is switched off", "Ask in another name.")
    request = _with_size(uow, request, prepared)
    request = _with_pattern(uow, request, ask.how_fine)
    request = answered_as_released(uow, request)
    request = uow.requests.add(request)
    if state is RequestState.RAISED:
        _refuse_incomplete(request)
        open_missing(uow, request)
    return request


def _request_of(
    ask: NewRequest, uow: UnitOfWork, who_id: int, photo_sha: str, state: RequestState
) -> Request:
    labels = tuple(label.strip() for label in ask.labels)
    return Request(
        number=uow.next_number("request"),
        asker_id=who_id if ask.asker_id is None else ask.asker_id,
        entered_by_id=who_id,
        words=ask.words.strip(),
        photo_sha=photo_sha,
        size_id=ask.size_id,
        material_id=ask.material_id,
        colour=ask.colour.strip(),
        how_fine=ask.how_fine or Fineness.NORMAL,
        purpose=ask.purpose,
        scale=ask.scale,
        quantity=len(labels) or ask.quantity,
        labels=labels,
        needed_by=ask.needed_by or ask.program_ready_at,
        program_ready_at=ask.program_ready_at,
        machine_id=ask.machine_id,
        job=ask.job.strip(),
        job_revision=ask.job_revision.strip(),
        touches=ask.touches.strip(),
        critical_sizes=ask.critical_sizes.strip(),
        reason=ask.reason.strip(),
        follows_id=ask.follows_id,
        replaces_aid_id=ask.replaces_aid_id,
        safety_answers=None if ask.safety_answers is None else checked_answers(ask.safety_answers),
        same_use=ask.same_use,
        state=state,
        weight=ask.weight,
        bore_um=ask.bore_um,
    )


def refuse_odd(request: Request) -> None:
    """Values that make no sense whatever else is filled in."""
    if not 1 <= request.quantity <= MOST_COPIES:
        raise ShopError(f"{request.quantity} copies make no sense", f"Ask for 1 to {MOST_COPIES}.")
    if not SMALLEST_SCALE <= request.scale <= LARGEST_SCALE:
        raise ShopError(f"A scale of {request.scale:g} makes no sense", "Give a factor from 0.05 to 20.")
    if "" in request.labels:
        raise ShopError("One of the labels is empty", "Give every copy a label, or only a quantity.")
    doubled = next((label for label in request.labels if request.labels.count(label) > 1), None)
    if doubled is not None:
        raise ShopError(f"The label {doubled} is there twice", "Give every copy its own label.")
    if request.weight not in WEIGHTS:
        raise ShopError(f"There is no weight {request.weight}", "Choose normal, important or rush.")


def _refuse_incomplete(request: Request) -> None:
    if request.size_id is None and not (request.words or request.photo_sha):
        raise ShopError(
            "Nothing is asked for yet", "Choose a pattern size, give a model file, or say it in words."
        )
    if needed_of(request) is None:
        raise ShopError("Nobody knows by when it is needed", "Give a time, or when the program is ready.")


def _with_size(uow: UnitOfWork, request: Request, prepared: PreparedModel | None) -> Request:
    """A file gets a size of its own; so does a pattern size asked for at another scale."""
    if prepared is not None:
        size = one_off_size(uow, own_name(request, prepared.file.name))
        model_in(uow, prepared, size.id)
        return replace(request, size_id=size.id)
    model = model_of(uow, request)
    if request.scale == 1.0 or model is None:
        return request
    name = f"{uow.sizes.get(model.size_id).name} at {round(request.scale * 100)} %"
    return replace(request, size_id=scaled_size(uow, model, request.scale, name).id)


def _with_pattern(uow: UnitOfWork, request: Request, how_fine: Fineness | None) -> Request:
    """What was left open is taken from the pattern."""
    if request.size_id is None:
        return request
    size = uow.sizes.get(request.size_id)
    if not size.active:
        raise ShopError(f"The size {size.name} is no longer made", "Choose another size.")
    pattern = uow.patterns.get(size.pattern_id)
    if not pattern.listed:
        return request
    material_id = request.material_id or pattern.material_id
    same = material_id == pattern.material_id
    return replace(
        request,
        material_id=material_id,
        colour=request.colour or (pattern.colour if same else ""),
        how_fine=how_fine or pattern.how_fine,
    )


def answered_as_released(uow: UnitOfWork, request: Request) -> Request:
    """ "Same use as released" answers the ten questions as the release was decided on them.

    Raises:
        ShopError: there is no release that holds for the size.
    """
    if not request.same_use:
        return request
    held = None if request.size_id is None else live_release(uow, request.size_id)
    if held is None:
        raise ShopError("This size is not released", "Answer the safety questions instead.")
    return replace(request, safety_answers=held.answers)


def open_missing(uow: UnitOfWork, request: Request) -> None:
    """Open or close the holds "needs a model" and "needs the safety answers" as the request stands."""
    if model_of(uow, request) is not None:
        close_in(uow, request.id, "it has a model", HoldKind.NEEDS_MODEL)
    elif not _is_all_printed(uow, request):
        open_in(uow, request.id, HoldKind.NEEDS_MODEL, "no model file or pattern size yet")
    if request.safety_answers is None:
        open_in(uow, request.id, HoldKind.SAFETY, "the ten questions are not answered")
    else:
        close_in(uow, request.id, "answered", HoldKind.SAFETY)


def _is_all_printed(uow: UnitOfWork, request: Request) -> bool:
    """Whether every copy there is was printed, as of a run by hand: it needs no model any more."""
    copies = uow.copies.find(is_("request_id", request.id))
    return bool(copies) and all(copy.state not in _TO_PRINT for copy in copies)


def raise_kept(shop: Shop, press: Press, request_id: int) -> Done[Request]:
    """Raise a draft, or raise again what was sent back."""
    with shop.write(press, "raise request") as uow:
        request = uow.requests.get(request_id)
        require_asker_or_desk(uow, request, "raise this request")
        if request.state not in (RequestState.DRAFT, RequestState.SENT_BACK):
            what = f"{request.tag} is {request.state.value}"
            raise ShopError(what, "Only a draft or one sent back is raised.")
        _refuse_incomplete(request)
        request = uow.requests.save(replace(request, state=RequestState.RAISED, sent_back_reason=""))
        open_missing(uow, request)
        uow.commit()
        return Done(request, uow.changed, uow.press_number)


def same_again(
    shop: Shop,
    press: Press,
    request_id: int,
    *,
    needed_by: datetime | None = None,
    quantity: int | None = None,
    asker_id: int | None = None,
) -> Done[Request]:
    """Ask for the same once more in one press; it follows the earlier request.

    Needed by is, unless told, as long from now as it was the first time. The safety answers of the
    earlier request stand, because it is the same thing for the same use.
    """
    with shop.write(press, "same again") as uow:
        earlier = uow.requests.get(request_id)
        ask = again(earlier, uow.happened_at, needed_by=needed_by, quantity=quantity, asker_id=asker_id)
        request = raise_in(uow, ask, photo_sha=earlier.photo_sha)
        uow.commit()
        return Done(request, uow.changed, uow.press_number)


def again(
    earlier: Request,
    now: datetime,
    *,
    needed_by: datetime | None = None,
    quantity: int | None = None,
    asker_id: int | None = None,
) -> NewRequest:
    """What asks for the same as an earlier request; labels are not given twice."""
    first = needed_of(earlier)
    if needed_by is None and first is not None:
        needed_by = now + max(first - earlier.happened_at, timedelta())
    return NewRequest(
        asker_id=asker_id,
        size_id=earlier.size_id,
        words=earlier.words,
        needed_by=needed_by,
        material_id=earlier.material_id,
        colour=earlier.colour,
        how_fine=earlier.how_fine,
        purpose=earlier.purpose,
        quantity=quantity or earlier.quantity,
        machine_id=earlier.machine_id,
        job=earlier.job,
        job_revision=earlier.job_revision,
        touches=earlier.touches,
        critical_sizes=earlier.critical_sizes,
        follows_id=earlier.id,
        safety_answers=earlier.safety_answers,
        bore_um=earlier.bore_um,
    )
