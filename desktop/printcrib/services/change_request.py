"""Change a request: its details, its model or its quantity, before and after acceptance."""

from dataclasses import dataclass, replace
from pathlib import PurePath

from printcrib.core.asking import NOT_PRINTED, PRINTED, new_copies, quantity_of, standing
from printcrib.core.errors import ShopError
from printcrib.core.mending import Mend
from printcrib.core.patterns import Model
from printcrib.core.people import Person, Role
from printcrib.core.requests import COPY_ENDS, Copy, CopyState, Request, RequestState
from printcrib.core.safety import accept_refusal
from printcrib.services.accept_request import replan
from printcrib.services.check_role import require_asker_or_desk
from printcrib.services.decide_copies import cancel_in, not_printed
from printcrib.services.interfaces import Done, Shop, UnitOfWork, Where, is_
from printcrib.services.mend_model import mended, still_current
from printcrib.services.press import Press
from printcrib.services.read_model import (
    ModelFile,
    PreparedModel,
    mesh_of,
    model_in,
    one_off_size,
    own_name,
    prepare,
    turn_in,
)
from printcrib.services.release_use import gate_of, settle_review
from printcrib.services.save_edit import save_edit
from printcrib.services.take_request import at_scale, open_missing, refuse_odd

_OVER = (RequestState.DONE, RequestState.WITHDRAWN)
_BEGUN = PRINTED | {CopyState.PRINTING}

ASKER_MAY_CHANGE = (
    *("words", "needed_by", "program_ready_at", "machine_id", "job", "job_revision", "touches"),
    *("critical_sizes", "reason", "purpose", "material_id", "colour", "how_fine"),
)
DESK_MAY_CHANGE = (*ASKER_MAY_CHANGE, "weight", "bore_um", "wait_for_release")


@dataclass(frozen=True)
class Changed:
    """A changed request.

    Attributes:
        to_decide: printed or printing copies the desk says keep, spare or scrap for.
        trouble: why there is no new estimate or plan yet, "" when all went well.
    """

    request: Request
    to_decide: tuple[Copy, ...] = ()
    trouble: str = ""


def change_details(shop: Shop, press: Press, edited: Request) -> Done[Changed]:
    """Change what is said of a request: when, where, from what, how fine, what for.

    Args:
        edited: the request as it was read, with the changed fields; others are left as they are.

    Raises:
        StaleEdit: somebody else changed it since it was read.
    """
    with shop.write(press, "change request") as uow:
        request, who = _open_request(uow, edited.id)
        allowed = DESK_MAY_CHANGE if who.may(Role.DESK) else ASKER_MAY_CHANGE
        told = {name: getattr(edited, name) for name in allowed}
        request = replace(request, **told, version=edited.version)
        if request.needed_by is None:
            request = replace(request, needed_by=request.program_ready_at)
        refuse_odd(request)
        if request.state is RequestState.ACCEPTED:
            _refuse_never(uow, request)
        request = _saved(uow, request)
        uow.commit()
        done = Done(Changed(request), uow.changed, uow.press_number)
    return _replanned(shop, press, done)


def _refuse_never(uow: UnitOfWork, request: Request) -> None:
    refusal = accept_refusal(gate_of(uow, request))
    if refusal is not None and gate_of(uow, request).never:
        raise refusal
    if request.material_id is None:
        raise ShopError(f"{request.tag} is accepted and needs a material", "Choose a material.")


def change_model(shop: Shop, press: Press, request_id: int, file: ModelFile) -> Done[Changed]:
    """A new file for a request: a new revision, never a replacement; a pattern's own model stays.

    Copies not yet printing move over, printed ones keep their revision until the desk decides.
    """
    with shop.read() as reading:
        scale = reading.requests.get(request_id).scale
    prepared = prepare(shop, at_scale(file, scale))
    with shop.write(press, "change model") as uow:
        request, _ = _open_request(uow, request_id)
        request = _with_model(uow, request, prepared)
        changed = _moved_over(uow, request)
        uow.commit()
        done = Done(changed, uow.changed, uow.press_number)
    return _replanned(shop, press, done)


def choose_size(shop: Shop, press: Press, request_id: int, size_id: int) -> Done[Changed]:
    """The request is for this pattern size; what it was made from before stays in the books."""
    with shop.write(press, "choose size") as uow:
        request, _ = _open_request(uow, request_id)
        size = uow.sizes.get(size_id)
        pattern = uow.patterns.get(size.pattern_id)
        request = uow.requests.save(
            replace(request, size_id=size.id, material_id=request.material_id or pattern.material_id)
        )
        changed = _moved_over(uow, request)
        uow.commit()
        done = Done(changed, uow.changed, uow.press_number)
    return _replanned(shop, press, done)


def turn_model(shop: Shop, press: Press, request_id: int, turn: int) -> Done[Changed]:
    """Print the request's model in another right-angled turn; a pattern's own turn is set in the book."""
    with shop.write(press, "turn model") as uow:
        request, _ = _open_request(uow, request_id)
        turn_in(uow, _own_model(uow, request, "Turn"), turn)
        changed = _moved_over(uow, request)
        uow.commit()
        done = Done(changed, uow.changed, uow.press_number)
    return _replanned(shop, press, done)


def mend_model(shop: Shop, press: Press, request_id: int, mend: Mend) -> Done[Changed]:
    """Mend the request's model: a new revision made of the one it has now, whose file stays as given.

    Raises:
        ShopError: nothing asks for this mend, it cannot be done, or the size is in the pattern book.
    """
    with shop.read() as reading:
        model = _own_model(reading, reading.requests.get(request_id), "Mend")
    prepared = mended(shop, model, mend)
    with shop.write(press, "mend model") as uow:
        request, _ = _open_request(uow, request_id)
        still_current(model, _own_model(uow, request, "Mend").id)
        request = _with_model(uow, request, prepared)
        changed = _moved_over(uow, request)
        uow.commit()
        done = Done(changed, uow.changed, uow.press_number)
    return _replanned(shop, press, done)


def lay_on_face(shop: Shop, press: Press, request_id: int, down: tuple[float, float, float]) -> Done[Changed]:
    """Print the request's model lying on a flat face that is askew to its axes.

    Turned that far it is a file of its own: everything after it (whether it fits, releases, run files) counts
    in right-angled turns. The file given stays in the books as the revision before.

    Args:
        down: direction of the model as given that points to the platform.
    """
    from printcrib.core.estimating.orientation import laid_on

    with shop.read() as uow:
        model = _own_model(uow, uow.requests.get(request_id), "Turn")
    laid = laid_on(mesh_of(shop, replace(model, turn=0)), down)
    file = ModelFile(
        content=shop.mesh_writer.stl(laid),
        name=f"{PurePath(model.file_name).stem} laid down.stl",
        turn=0,
        source=model.source,
        licence=model.licence,
    )
    prepared = prepare(shop, file)
    with shop.write(press, "turn model") as uow:
        request, _ = _open_request(uow, request_id)
        model_in(uow, prepared, _own_model(uow, request, "Turn").size_id)
        changed = _moved_over(uow, request)
        uow.commit()
        done = Done(changed, uow.changed, uow.press_number)
    return _replanned(shop, press, done)


def change_quantity(
    shop: Shop, press: Press, request_id: int, quantity: int, labels: tuple[str, ...] = ()
) -> Done[Changed]:
    """More or fewer copies, or other labels; what is not printed is cancelled first, the last one first."""
    with shop.write(press, "change quantity") as uow:
        request, _ = _open_request(uow, request_id)
        stripped = tuple(label.strip() for label in labels)
        request = replace(request, quantity=len(stripped) or quantity, labels=stripped)
        refuse_odd(request)
        request = uow.requests.save(request)
        surplus: tuple[Copy, ...] = ()
        if request.state is RequestState.ACCEPTED:
            surplus = _fitted_copies(uow, request)
        uow.commit()
        done = Done(Changed(request, surplus), uow.changed, uow.press_number)
    return _replanned(shop, press, done)


def _open_request(uow: UnitOfWork, request_id: int) -> tuple[Request, Person]:
    """The request and who changes it: the asker until printing, the desk always."""
    request = uow.requests.get(request_id)
    who = require_asker_or_desk(uow, request, "change this request")
    if request.state in _OVER:
        raise ShopError(f"{request.tag} is {request.state.value}", "Ask for the same again instead.")
    if not who.may(Role.DESK) and any(
        copy.state in _BEGUN for copy in uow.copies.find(is_("request_id", request.id))
    ):
        raise ShopError(f"{request.tag} is printing or printed", "Ask the desk to change it.")
    return request, who


def _own_model(uow: UnitOfWork, request: Request, verb: str) -> Model:
    """The request's model, when it is not one of the pattern book's."""
    size = uow.sizes.get(request.size_id) if request.size_id is not None else None
    if size is None or size.model_id is None:
        raise ShopError(f"{request.tag} has no model yet", "Give it a model first.")
    if uow.patterns.get(size.pattern_id).listed:
        raise ShopError("This size is in the pattern book", f"{verb} its model in the pattern book.")
    return uow.models.get(size.model_id)


def _saved(uow: UnitOfWork, request: Request) -> Request:
    request = save_edit(uow.requests, request)
    if request.state is RequestState.ACCEPTED:
        settle_review(uow, request)
    return request


def _with_model(uow: UnitOfWork, request: Request, prepared: PreparedModel) -> Request:
    """The file becomes the next revision of the request's own size, or the first of a new one."""
    if request.size_id is not None and _is_its_own(uow, request, request.size_id):
        model_in(uow, prepared, request.size_id)
        return request
    size = one_off_size(uow, own_name(request, prepared.file.name))
    model_in(uow, prepared, size.id)
    return uow.requests.save(replace(request, size_id=size.id))


def _is_its_own(uow: UnitOfWork, request: Request, size_id: int) -> bool:
    """Whether a size was made for a request and no other open one is made from it."""
    if uow.patterns.get(uow.sizes.get(size_id).pattern_id).listed:
        return False
    others = uow.requests.find(is_("size_id", size_id), Where("id", "!=", request.id))
    return all(other.state in _OVER for other in others)


def _moved_over(uow: UnitOfWork, request: Request) -> Changed:
    """Copies not yet printing move over to the new model; holds as it stands now."""
    if request.state is not RequestState.DRAFT:
        open_missing(uow, request)
    for copy in not_printed(uow, request.id):
        uow.copies.save(replace(copy, size_id=request.size_id, model_id=None))
    if request.state is RequestState.ACCEPTED:
        _refuse_never(uow, request)
        settle_review(uow, request)
    begun = (copy for copy in uow.copies.find(is_("request_id", request.id)) if copy.state in _BEGUN)
    return Changed(request, tuple(begun))


def _fitted_copies(uow: UnitOfWork, request: Request) -> tuple[Copy, ...]:
    """Cancel or add copies until they are what is asked; gives those only the desk can decide on."""
    live = _live(uow, request)
    unwanted = [copy for copy in live if request.labels and copy.label not in request.labels]
    over = len(live) - len(unwanted) - quantity_of(request)
    rest = [copy for copy in reversed(live) if copy not in unwanted and copy.state in NOT_PRINTED]
    for copy in [*unwanted, *rest[: max(0, over)]]:
        if copy.state in NOT_PRINTED:
            cancel_in(uow, copy)
    for copy in new_copies(request, uow.copies.find(is_("request_id", request.id))):
        uow.copies.add(copy)
    live = _live(uow, request)
    begun = [copy for copy in live if copy.state in _BEGUN]
    begun.sort(key=lambda copy: bool(request.labels) and copy.label not in request.labels)
    over = len(live) - quantity_of(request)
    return tuple(begun[-over:]) if over > 0 else ()


def _live(uow: UnitOfWork, request: Request) -> list[Copy]:
    copies = uow.copies.find(is_("request_id", request.id), order_by="ordinal")
    return [copy for copy in standing(copies) if copy.state not in COPY_ENDS]


def _replanned(shop: Shop, press: Press, done: Done[Changed]) -> Done[Changed]:
    if done.value.request.state is not RequestState.ACCEPTED:
        return done
    done, trouble = replan(shop, press, done, done.value.request)
    return replace(done, value=replace(done.value, trouble=trouble))
