"""Edit the pattern book: patterns, their sizes, and new revisions of their models."""

from dataclasses import replace
from typing import TypeVar

from printcrib.core.errors import ShopError
from printcrib.core.mending import Mend
from printcrib.core.patterns import Model, Pattern, Size
from printcrib.core.people import Role
from printcrib.core.requests import RequestState
from printcrib.core.safety import checked_answers
from printcrib.services.accept_request import replan
from printcrib.services.check_role import require
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.mend_model import mended, still_current
from printcrib.services.press import Press
from printcrib.services.read_model import ModelFile, model_in, prepare, turn_in
from printcrib.services.release_use import lapse_sizes, settle_size
from printcrib.services.save_edit import refuse_blank, save_edit
from printcrib.services.take_request import open_missing

T = TypeVar("T")


def add_pattern(shop: Shop, press: Press, new: Pattern) -> Done[Pattern]:
    """The desk adds a pattern; it gets the next number."""
    with shop.write(press, "add pattern") as uow:
        require(uow, "edit the pattern book", Role.DESK)
        pattern = pattern_in(uow, new)
        uow.commit()
        return Done(pattern, uow.changed, uow.press_number)


def pattern_in(uow: UnitOfWork, new: Pattern) -> Pattern:
    """Add a pattern within an open unit."""
    number = uow.next_number("pattern")
    return uow.patterns.add(replace(_checked(new), number=number, listed=True))


def change_pattern(shop: Shop, press: Press, edited: Pattern) -> Done[Pattern]:
    """The desk changes a pattern; changed safety answers let the releases of its sizes lapse.

    Raises:
        StaleEdit: somebody else changed the pattern since.
    """
    with shop.write(press, "change pattern") as uow:
        require(uow, "edit the pattern book", Role.DESK)
        before = uow.patterns.get(edited.id)
        if not before.listed:
            raise ShopError(
                "The pattern one-off carries single requests", "Move its sizes into a pattern instead."
            )
        pattern = save_edit(uow.patterns, replace(_checked(edited), number=before.number, listed=True))
        if pattern.safety_answers != before.safety_answers:
            sizes = uow.sizes.find(is_("pattern_id", pattern.id))
            lapse_sizes(uow, (size.id for size in sizes), "the pattern's safety answers changed")
        uow.commit()
        return Done(pattern, uow.changed, uow.press_number)


def _checked(pattern: Pattern) -> Pattern:
    refuse_blank(pattern.name, "The pattern")
    if pattern.uses_a_part < 1:
        raise ShopError("Less than one use a part makes no sense", "Give a whole number from 1.")
    for life in (pattern.expected_life, pattern.days_in_service):
        if life is not None and life < 1:
            raise ShopError("A life below 1 makes no sense", "Give a number, or leave it empty for unknown.")
    steps = tuple(step.strip() for step in pattern.finishing_steps if step.strip())
    answers = pattern.safety_answers
    return replace(
        pattern,
        name=pattern.name.strip(),
        use_unit=pattern.use_unit.strip() or "uses",
        finishing_steps=steps,
        safety_answers=None if answers is None else checked_answers(answers),
    )


def add_size(shop: Shop, press: Press, new: Size, file: ModelFile | None = None) -> Done[Size]:
    """The desk adds a size to a pattern, with its model where there is one."""
    prepared = prepare(shop, file) if file else None
    with shop.write(press, "add size") as uow:
        require(uow, "edit the pattern book", Role.DESK)
        size = uow.sizes.add(_checked_size(replace(new, model_id=None)))
        if prepared is not None:
            model_in(uow, prepared, size.id)
            size = uow.sizes.get(size.id)
        uow.commit()
        return Done(size, uow.changed, uow.press_number)


def change_size(shop: Shop, press: Press, edited: Size) -> Done[Size]:
    """The desk changes a size's name, spares, place, limit, or takes it out of the book.

    Moving a size from "one-off" into a pattern is the way a single request gets into the book.

    Raises:
        StaleEdit: somebody else changed the size since.
    """
    with shop.write(press, "change size") as uow:
        require(uow, "edit the pattern book", Role.DESK)
        before = uow.sizes.get(edited.id)
        size = save_edit(uow.sizes, _checked_size(replace(edited, model_id=before.model_id)))
        if size.pattern_id != before.pattern_id:
            settle_size(uow, size.id)
        uow.commit()
        return Done(size, uow.changed, uow.press_number)


def _checked_size(size: Size) -> Size:
    if size.minimum_spares < 0:
        raise ShopError("Fewer than no spares makes no sense", "Give 0 or more.")
    if size.count_limit is not None and size.count_limit < 1:
        raise ShopError("A limit below 1 makes no sense", "Give a number, or leave it empty.")
    return replace(size, name=size.name.strip(), shelf_place=size.shelf_place.strip())


def add_revision(shop: Shop, press: Press, size_id: int, file: ModelFile) -> Done[Model]:
    """A new file for a size is its next revision; it starts without a release.

    Copies not yet printing move over to it, printed ones keep theirs.
    """
    prepared = prepare(shop, file)
    with shop.write(press, "add revision") as uow:
        require(uow, "edit the pattern book", Role.DESK)
        model = model_in(uow, prepared, size_id)
        _settle(uow, size_id)
        uow.commit()
        done = Done(model, uow.changed, uow.press_number)
    return _replanned(shop, press, done, size_id)


def turn_size(shop: Shop, press: Press, size_id: int, turn: int) -> Done[Model]:
    """A size is printed in another right-angled turn: a revision of its own."""
    with shop.write(press, "turn model") as uow:
        require(uow, "edit the pattern book", Role.DESK)
        size = uow.sizes.get(size_id)
        if size.model_id is None:
            raise ShopError(f"The size {size.name} has no model yet", "Give it a model first.")
        model = turn_in(uow, uow.models.get(size.model_id), turn)
        _settle(uow, size_id)
        uow.commit()
        done = Done(model, uow.changed, uow.press_number)
    return _replanned(shop, press, done, size_id)


def mend_size(shop: Shop, press: Press, size_id: int, mend: Mend) -> Done[Model]:
    """Mend a size's model: a new revision made of the current one, whose file stays as given.

    Raises:
        ShopError: there is no model, nothing asks for this mend, or it cannot be done.
    """
    with shop.read() as reading:
        size = reading.sizes.get(size_id)
        if size.model_id is None:
            raise ShopError(f"The size {size.name} has no model yet", "Give it a model first.")
        model = reading.models.get(size.model_id)
    prepared = mended(shop, model, mend)
    with shop.write(press, "mend model") as uow:
        require(uow, "edit the pattern book", Role.DESK)
        still_current(model, uow.sizes.get(size_id).model_id)
        model = model_in(uow, prepared, size_id)
        _settle(uow, size_id)
        uow.commit()
        done = Done(model, uow.changed, uow.press_number)
    return _replanned(shop, press, done, size_id)


def _settle(uow: UnitOfWork, size_id: int) -> None:
    """Requests of the size that waited for a model go on; reviews are looked at again."""
    waiting = (RequestState.RAISED, RequestState.SENT_BACK)
    for state in waiting:
        for request in uow.requests.find(is_("size_id", size_id), is_("state", state)):
            open_missing(uow, request)
    settle_size(uow, size_id)


def _replanned(shop: Shop, press: Press, done: Done[T], size_id: int) -> Done[T]:
    with shop.read() as uow:
        accepted = uow.requests.find(is_("size_id", size_id), is_("state", RequestState.ACCEPTED))
    for request in {request.material_id: request for request in accepted}.values():
        done, _ = replan(shop, press, done, request)
    return done
