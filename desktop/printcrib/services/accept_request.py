"""Accept a request, or send it back with a reason."""

from dataclasses import dataclass, replace
from typing import TypeVar

from printcrib.core.asking import missing_to_accept, new_copies
from printcrib.core.errors import ShopError
from printcrib.core.patterns import Fineness
from printcrib.core.people import Role
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import HoldKind, Promise, Request, RequestState
from printcrib.core.safety import accept_refusal
from printcrib.services.check_role import require
from printcrib.services.estimate_task import estimate_request
from printcrib.services.hold_request import close_in
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.press import Press
from printcrib.services.read_model import model_of
from printcrib.services.release_use import covering_release, gate_of, settle_review

T = TypeVar("T")


@dataclass(frozen=True)
class Accepted:
    """What accepting a request led to.

    Attributes:
        promise: the first one, None where the plan could not place it.
        trouble: why there is no estimate or plan yet, "" when all went well.
    """

    request: Request
    promise: Promise | None = None
    trouble: str = ""


@dataclass(frozen=True, kw_only=True)
class Choices:
    """What the desk settles while accepting; None or "" leaves the request's own.

    Attributes:
        wait_for_release: do not print before a reviewer has released it.
    """

    material_id: int | None = None
    colour: str = ""
    how_fine: Fineness | None = None
    bore_um: int | None = None
    weight: int | None = None
    wait_for_release: bool | None = None


def accept_in(uow: UnitOfWork, request: Request, choices: Choices | None = None) -> Request:
    """Accept a request within an open unit: its copies are wanted from now on.

    Raises:
        ShopError: it is not waiting to be accepted, something is missing, or it would never be released.
    """
    require(uow, "accept a request", Role.DESK)
    if request.state is not RequestState.RAISED:
        raise ShopError(f"{request.tag} is {request.state.value}", "Only a raised request is accepted.")
    request = _chosen(request, choices or Choices())
    model = model_of(uow, request)
    missing = missing_to_accept(request, model.id if model else None)
    if missing:
        raise ShopError(f"{request.tag} still needs {' and '.join(missing)}", "Add it, then accept.")
    refusal = accept_refusal(gate_of(uow, request))
    if refusal is not None:
        raise refusal
    request = uow.requests.save(
        replace(
            request,
            state=RequestState.ACCEPTED,
            accepted_at=uow.happened_at,
            accepted_by_id=uow.press.who_id,
        )
    )
    for copy in new_copies(request, uow.copies.find(is_("request_id", request.id))):
        uow.copies.add(copy)
    close_in(uow, request.id, "accepted", HoldKind.NEEDS_MODEL, HoldKind.SAFETY)
    settle_review(uow, request)
    return request


def _chosen(request: Request, choices: Choices) -> Request:
    told = {name: value for name, value in vars(choices).items() if value is not None and value != ""}
    return replace(request, **told)


def accept_request(
    shop: Shop, press: Press, request_id: int, choices: Choices | None = None
) -> Done[Accepted]:
    """Accept a request, fit it into the kept plan and store the first promise.

    Accepting stands even where no estimate or plan can be made yet; the trouble is said.
    """
    with shop.write(press, "accept request") as uow:
        request = accept_in(uow, uow.requests.get(request_id), choices)
        uow.commit()
        done = Done(request, uow.changed, uow.press_number)
    done, trouble = replan(shop, press, done, request)
    promise = None if trouble else _first_promise(shop, press, request)
    changed = done.changed | ({"promises"} if promise else set())
    return Done(Accepted(request, promise, trouble), changed, done.press_number)


def _first_promise(shop: Shop, press: Press, request: Request) -> Promise | None:
    from printcrib.services.say_when import promise_in_plan

    promise = promise_in_plan(shop, by_the_tool(press), request.id)
    if promise is None or promise.id:
        return promise
    with shop.write(by_the_tool(press), "promise") as uow:
        promise = uow.promises.add(promise)
        uow.commit()
    return promise


def replan(shop: Shop, press: Press, done: Done[T], request: Request | None = None) -> tuple[Done[T], str]:
    """Fit the kept plan to what was booked; with a request, its model is estimated first.

    What was booked stands even where no plan can be made; gives the trouble in words, "" for none.
    """
    from printcrib.services.plan_runs import repair_after

    trouble = ""
    if request is not None:
        try:
            changed = estimate_request(shop, by_the_tool(press), request).changed
            done = replace(done, changed=done.changed | changed)
        except ShopError as error:
            trouble = str(error)
    return repair_after(shop, press, done), trouble


def by_the_tool(press: Press) -> Press:
    """What follows by itself from a press is the tool's, with a key of its own."""
    return Press(who_id=THE_TOOL, station=press.station)


def may_accept_alone(uow: UnitOfWork, request: Request) -> bool:
    """Whether the tool may accept a request by itself: nothing missing and its gate met."""
    model = model_of(uow, request)
    if missing_to_accept(request, model.id if model else None):
        return False
    gate = gate_of(uow, request)
    if accept_refusal(gate) is not None:
        return False
    return not gate.needs_release or covering_release(uow, request) is not None


def send_back(shop: Shop, press: Press, request_id: int, reason: str) -> Done[Request]:
    """Send a raised request back to the asker, who reads the reason and raises it again."""
    if not reason.strip():
        raise ShopError("Sending back needs a reason", "Say in a few words what is to be changed.")
    with shop.write(press, "send back request") as uow:
        require(uow, "send a request back", Role.DESK)
        request = uow.requests.get(request_id)
        if request.state is not RequestState.RAISED:
            raise ShopError(f"{request.tag} is {request.state.value}", "Only a raised request is sent back.")
        request = uow.requests.save(
            replace(request, state=RequestState.SENT_BACK, sent_back_reason=reason.strip())
        )
        uow.commit()
        return Done(request, uow.changed, uow.press_number)
