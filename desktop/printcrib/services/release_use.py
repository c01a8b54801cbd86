"""Release a size and model revision for use: by a named reviewer, for stated conditions, until a date."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime

from printcrib.core.errors import ShopError
from printcrib.core.people import Role
from printcrib.core.releases import SizeRelease
from printcrib.core.requests import Copy, Hold, HoldKind, Request, RequestState
from printcrib.core.safety import Gate, gate, hand_out_refusal, is_live, may_release, release_gap, unwritten
from printcrib.services.check_role import presser, require
from printcrib.services.hold_request import close_in, open_in
from printcrib.services.interfaces import Done, Shop, UnitOfWork, Where, among, is_
from printcrib.services.press import Press
from printcrib.services.read_model import model_of


@dataclass(frozen=True, kw_only=True)
class Outside:
    """A reviewer from outside whose decision the lead records."""

    name: str
    day: date
    words: str

    @property
    def in_full(self) -> str:
        """As kept on the release: name, date and words."""
        return f"{self.name.strip()}, {self.day.isoformat()}: {self.words.strip()}"


@dataclass(frozen=True, kw_only=True)
class Terms:
    """What a reviewer releases a request's size and revision for.

    Attributes:
        material_ids, bores_um: what it may be printed from and with; None for the request's material and
            every nozzle the shop owns.
        machine_ids: where it may go; empty for any machine.
        until: UTC, None for no end.
        outside: set when the lead records somebody from outside.
    """

    material_ids: tuple[int, ...] | None = None
    bores_um: tuple[int, ...] | None = None
    machine_ids: tuple[int, ...] = ()
    top_speed_rpm: int | None = None
    pressure_limit: str = ""
    conditions: str = ""
    until: datetime | None = None
    outside: Outside | None = None


def gate_of(uow: UnitOfWork, request: Request) -> Gate:
    """The gate of a request: its own answers and its pattern's."""
    pattern_answers = None
    if request.size_id is not None:
        pattern_answers = uow.patterns.get(uow.sizes.get(request.size_id).pattern_id).safety_answers
    return gate(request.purpose, request.safety_answers, pattern_answers)


def releases_of(uow: UnitOfWork, size_id: int | None) -> tuple[SizeRelease, ...]:
    """The releases of a size, newest first, lapsed ones too."""
    if size_id is None:
        return ()
    return uow.releases.find(is_("size_id", size_id), newest_first=True)


def covering_release(uow: UnitOfWork, request: Request) -> SizeRelease | None:
    """The newest release that will cover copies of a request printed as it stands; None for none.

    The nozzle is the desk's choice for the request, else any that the release names: the plan then
    uses only those.
    """
    model = model_of(uow, request)
    answers = gate_of(uow, request).answers
    for release in releases_of(uow, request.size_id) if model else ():
        bore = request.bore_um if request.bore_um is not None else next(iter(release.bores_um), None)
        gap = release_gap(
            release,
            model_id=model.id if model else None,
            material_id=request.material_id,
            bore_um=bore,
            turn=model.turn if model else 0,
            machine_id=request.machine_id,
            answers=answers,
            now=uow.now,
        )
        if gap is None:
            return release
    return None


def live_release(uow: UnitOfWork, size_id: int, model_id: int | None = None) -> SizeRelease | None:
    """The release a size's model has now, whatever for; such a size asks only "same use?"."""
    current = model_id if model_id is not None else uow.sizes.get(size_id).model_id
    for release in releases_of(uow, size_id):
        if release.model_id == current and is_live(release, uow.now):
            return release
    return None


def refusal_of(uow: UnitOfWork, copy: Copy, machine_id: int | None = None) -> str | None:
    """Why a copy is not handed out, in words, judged by how it was really printed; None where it may be.

    Args:
        machine_id: where it goes; None for the machine of its request.
    """
    request = uow.requests.get(copy.request_id)
    run = None if copy.run_id is None else uow.runs.get(copy.run_id)
    model = model_of(uow, request) if copy.model_id is None else uow.models.get(copy.model_id)
    return hand_out_refusal(
        gate_of(uow, request),
        releases_of(uow, request.size_id),
        model_id=model.id if model else None,
        material_id=run.material_id if run else request.material_id,
        bore_um=run.bore_um if run else request.bore_um,
        turn=model.turn if model else 0,
        machine_id=machine_id if machine_id is not None else request.machine_id,
        now=uow.now,
    )


def settle_review(uow: UnitOfWork, request: Request) -> Hold | None:
    """Open or close "review open" as the gate and the releases stand now; gives the open hold."""
    due = gate_of(uow, request)
    if due.needs_release and covering_release(uow, request) is None:
        return open_in(uow, request.id, HoldKind.REVIEW, "not released for this use")
    close_in(
        uow, request.id, "covered by a release" if due.needs_release else "no review needed", HoldKind.REVIEW
    )
    return None


def settle_size(uow: UnitOfWork, size_id: int) -> None:
    """Look again at every accepted request of a size after a release came or went."""
    for request in uow.requests.find(is_("size_id", size_id), is_("state", RequestState.ACCEPTED)):
        settle_review(uow, request)


def ask_for_review(shop: Shop, press: Press, request_id: int, words: str) -> Done[Hold]:
    """Ask a reviewer to look at a request before it is printed or handed out."""
    with shop.write(press, "ask for review") as uow:
        presser(uow)
        request = uow.requests.get(request_id)
        hold = open_in(uow, request.id, HoldKind.REVIEW, words.strip() or "not released for this use")
        uow.commit()
        return Done(hold, uow.changed, uow.press_number)


def release(shop: Shop, press: Press, request_id: int, terms: Terms) -> Done[SizeRelease]:
    """A reviewer releases the request's size and current revision; holds it covers are closed.

    Raises:
        ShopError: the presser may not release it, a limit is not in writing, or it has no model yet.
    """
    with shop.write(press, "release for use") as uow:
        request = uow.requests.get(request_id)
        _refuse_unreleasable(uow, request, terms)
        made = uow.releases.add(_release_of(uow, request, terms))
        settle_size(uow, made.size_id)
        _close_asked_review(uow, request)
        uow.commit()
        return Done(made, uow.changed, uow.press_number)


def _refuse_unreleasable(uow: UnitOfWork, request: Request, terms: Terms) -> None:
    due = gate_of(uow, request)
    outside = terms.outside.in_full if terms.outside else ""
    if terms.outside and not (terms.outside.name.strip() and terms.outside.words.strip()):
        raise ShopError("The reviewer from outside is not named", "Write the name, the date and the words.")
    reviewer = presser(uow)
    refusal = (
        may_release(reviewer, request.asker_id, due, outside)
        or _own_name(uow, request, terms)
        or unwritten(due, top_speed_rpm=terms.top_speed_rpm, pressure_limit=terms.pressure_limit)
    )
    if refusal is not None:
        raise refusal
    if terms.until is not None and terms.until <= uow.now:
        raise ShopError("The release would have run out already", "Choose a later date, or none.")


def _own_name(uow: UnitOfWork, request: Request, terms: Terms) -> ShopError | None:
    """The asker does not come back as the reviewer from outside."""
    if terms.outside is None or not request.asker_id:
        return None
    if uow.people.get(request.asker_id).name.casefold() == terms.outside.name.strip().casefold():
        return ShopError("Nobody releases their own request", "Ask another reviewer.")
    return None


def _release_of(uow: UnitOfWork, request: Request, terms: Terms) -> SizeRelease:
    model = model_of(uow, request)
    if model is None:
        raise ShopError(f"{request.tag} has no model yet", "Give it a model, then release it.")
    materials = terms.material_ids
    if materials is None:
        materials = () if request.material_id is None else (request.material_id,)
    if not materials:
        raise ShopError("The release names no material", "Name the materials it may be printed from.")
    bores = terms.bores_um
    if bores is None:
        bores = tuple(sorted({nozzle.bore_um for nozzle in uow.nozzles.find(is_("retired", False))}))
    if not bores:
        raise ShopError("The release names no nozzle", "Name the nozzles it may be printed with.")
    return SizeRelease(
        size_id=model.size_id,
        model_id=model.id,
        answers=gate_of(uow, request).answers,
        material_ids=materials,
        bores_um=bores,
        turn=model.turn,
        machine_ids=terms.machine_ids,
        top_speed_rpm=terms.top_speed_rpm,
        pressure_limit=terms.pressure_limit.strip(),
        conditions=terms.conditions.strip(),
        reviewer_id=uow.press.who_id,
        outside_reviewer=terms.outside.in_full if terms.outside else "",
        asker_id=request.asker_id,
        valid_from=uow.happened_at,
        until=terms.until,
    )


def _close_asked_review(uow: UnitOfWork, request: Request) -> None:
    """A review asked for before acceptance ends too once the release covers the request."""
    if covering_release(uow, request) is not None:
        close_in(uow, request.id, "covered by a release", HoldKind.REVIEW)


def take_back(shop: Shop, press: Press, release_id: int, why: str) -> Done[SizeRelease]:
    """A reviewer or the lead takes a release back; the requests it covered are held again."""
    if not why.strip():
        raise ShopError("Taking a release back needs a reason", "Say in a few words why.")
    with shop.write(press, "take release back") as uow:
        require(uow, "take a release back", Role.REVIEWER, Role.LEAD)
        lapsed = uow.releases.get(release_id)
        if lapsed.lapsed_at is None:
            (lapsed,) = lapse_in(uow, (lapsed,), f"taken back: {why.strip()}")
        uow.commit()
        return Done(lapsed, uow.changed, uow.press_number)


def lapse_run_out(shop: Shop, press: Press) -> Done[tuple[SizeRelease, ...]]:
    """Mark the releases whose date has passed and hold again what they covered; a duty of the tool."""
    with shop.write(press, "releases run out") as uow:
        over = [
            held
            for held in uow.releases.find(Where("lapsed_at", "is none"))
            if held.until is not None and held.until <= uow.now
        ]
        lapsed = lapse_in(uow, over, "its date has passed")
        uow.commit()
        return Done(lapsed, uow.changed, uow.press_number)


def lapse_in(uow: UnitOfWork, held: Iterable[SizeRelease], why: str) -> tuple[SizeRelease, ...]:
    """Let releases lapse for a reason and hold again the requests they covered."""
    lapsed = tuple(
        uow.releases.save(replace(each, lapsed_at=uow.happened_at, lapsed_by=why)) for each in held
    )
    for size_id in sorted({each.size_id for each in lapsed}):
        settle_size(uow, size_id)
    return lapsed


def lapse_sizes(uow: UnitOfWork, size_ids: Iterable[int], why: str) -> None:
    """Let every release of these sizes that still holds lapse, and look at their requests again."""
    sizes = tuple(size_ids)
    held = [each for each in uow.releases.find(among("size_id", sizes)) if each.lapsed_at is None]
    lapse_in(uow, held, why)
    for size_id in sizes:
        settle_size(uow, size_id)


def release_words(held: SizeRelease, name: Callable[[int], str], when: Callable[[datetime], str]) -> str:
    """A release as shown: who released it, when, until when and under which limits."""
    who = held.outside_reviewer or name(held.reviewer_id)
    words = [f"released by {who} on {when(held.valid_from)}"]
    if held.until is not None:
        words.append(f"until {when(held.until)}")
    if held.top_speed_rpm:
        words.append(f"up to {held.top_speed_rpm} rpm")
    if held.pressure_limit:
        words.append(f"pressure {held.pressure_limit}")
    if held.conditions:
        words.append(held.conditions)
    if held.lapsed_at is not None:
        words.append(f"lapsed: {held.lapsed_by}")
    return ", ".join(words)
