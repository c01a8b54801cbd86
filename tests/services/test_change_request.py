"""Changing details, model and quantity; deciding on printed copies; withdrawing."""

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.services.fake import TUESDAY_MORNING, FakeClock
from tests.services.own_shop import BOX, TOMORROW, Own, own_shop

from printcrib.core.aids import AidState
from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.patterns import Model
from printcrib.core.requests import Copy, CopyState, Promise, Purpose, Request, RequestState
from printcrib.services.accept_request import accept_request
from printcrib.services.change_request import (
    change_details,
    change_model,
    change_quantity,
    choose_size,
    turn_model,
)
from printcrib.services.decide_copies import Decision, decide_copies
from printcrib.services.finish_copy import make_ready
from printcrib.services.interfaces import Shop, is_
from printcrib.services.read_model import ModelFile, model_of
from printcrib.services.release_use import Terms, release
from printcrib.services.take_request import NewRequest, keep_draft, same_again
from printcrib.services.withdraw_request import left_over, withdraw_request

NEW_BOX = ModelFile(content=b"box 40 30 25", name="box2.stl")
ON_RUN, CANCELLED, SCRAP = CopyState.ON_RUN, CopyState.CANCELLED, CopyState.SCRAP


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def accepted(own: Own, **fields: object) -> Request:
    """An accepted request of Max, on the kept plan."""
    request = own.ask("Max", **{"safety_answers": (), "material_id": own.material(), **fields})
    return accept_request(own.shop, own.press(), request.id).value.request


def put(own: Own, copy: Copy, state: CopyState) -> Copy:
    """A copy that has got so far, printed from the model it has now."""
    with own.shop.write(own.press(), "get on") as uow:
        request = uow.requests.get(copy.request_id)
        model = model_of(uow, request)
        copy = replace(
            uow.copies.get(copy.id),
            state=CopyState.FINISHING if state is CopyState.READY else state,
            model_id=model.id if model else None,
            run_id=None,
        )
        copy = uow.copies.save(copy)
        if state is CopyState.READY:
            copy = make_ready(uow, copy)
        uow.commit()
        return copy


def states(own: Own, request_id: int) -> list[CopyState]:
    return [copy.state for copy in own.copies(request_id)]


def model_now(own: Own, request: Request) -> Model:
    with own.shop.read() as uow:
        model = model_of(uow, uow.requests.get(request.id))
    assert model is not None
    return model


def test_details_are_changed_by_asker_and_desk(own: Own) -> None:
    request = own.ask()
    edited = replace(request, job="4711", machine_id=own.made.machines["Mill 2"], weight=5, quantity=9)
    changed = change_details(own.shop, own.press("Max"), edited).value.request
    assert (changed.job, changed.machine_id) == ("4711", own.made.machines["Mill 2"])
    assert (changed.weight, changed.quantity) == (1, 1)  # rush is the desk's, copies have their own way
    rush = change_details(own.shop, own.press("Dora"), replace(changed, weight=5, bore_um=600)).value.request
    assert (rush.weight, rush.bore_um) == (5, 600)
    with pytest.raises(ShopError, match="Only the asker or the desk may change"):
        change_details(own.shop, own.press("Otto"), rush)


def test_a_stale_edit_names_who_was_first_and_keeps_the_typed_text(own: Own) -> None:
    request = own.ask()
    change_details(own.shop, own.press("Dora"), replace(request, job="1"))
    with pytest.raises(StaleEdit, match="Dora changed request R 1") as caught:
        change_details(own.shop, own.press("Max"), replace(request, job="2", words="mine"))
    typed = caught.value.typed
    assert isinstance(typed, Request)
    assert (typed.job, typed.words) == ("2", "mine")


def test_needed_by_falls_back_on_the_program(own: Own) -> None:
    request = own.ask()
    later = TOMORROW + timedelta(days=1)
    edited = replace(request, needed_by=None, program_ready_at=later)
    assert change_details(own.shop, own.press("Max"), edited).value.request.needed_by == later


def test_an_accepted_request_is_planned_again_and_stays_whole(own: Own) -> None:
    request = accepted(own)
    done = change_details(own.shop, own.press("Max"), replace(request, material_id=own.material("PETG")))
    assert done.value.trouble == ""
    assert "estimates" in done.changed
    with pytest.raises(ShopError, match="needs a material"):
        change_details(own.shop, own.press("Max"), replace(done.value.request, material_id=None))


def test_a_copy_to_try_does_not_become_one_for_use_behind_a_never(own: Own) -> None:
    request = accepted(own, safety_answers=(3,), purpose=Purpose.TRY_FIT)
    with pytest.raises(ShopError, match="never used for this"):
        change_details(own.shop, own.press("Dora"), replace(request, purpose=Purpose.FOR_USE))
    held = accepted(own, safety_answers=(2,), purpose=Purpose.TRY_FIT)
    change_details(own.shop, own.press("Dora"), replace(held, purpose=Purpose.FOR_USE))
    assert own.hold_words(held.id) == ["review open"]


def test_a_new_file_is_a_new_revision_and_copies_move_over(own: Own) -> None:
    request = accepted(own, quantity=2)
    release_before = model_now(own, request)
    done = change_model(own.shop, own.press("Max"), request.id, NEW_BOX)
    model = model_now(own, request)
    assert (model.revision, model.size_id, model.extents_mm[2]) == ("B", release_before.size_id, 25.0)
    assert states(own, request.id) == [ON_RUN, ON_RUN]
    assert done.value.to_decide == ()
    with own.shop.read() as uow:
        assert uow.estimates.count(is_("model_id", model.id)) > 0
        assert uow.models.get(release_before.id).revision == "A"


def test_a_new_file_for_a_released_request_is_reviewed_again(own: Own) -> None:
    request = accepted(own, safety_answers=(2,))
    release(own.shop, own.press("Rita"), request.id, Terms())
    change_model(own.shop, own.press("Max"), request.id, NEW_BOX)
    assert own.hold_words(request.id) == ["review open"]


def test_words_get_their_model(own: Own) -> None:
    request = own.ask(file=None, words="a stop", scale=2.0)
    changed = change_model(own.shop, own.press("Dora"), request.id, NEW_BOX).value.request
    assert changed.size_id is not None
    assert own.hold_words(request.id) == ["needs the safety answers"]
    assert model_now(own, request).extents_mm == (80.0, 60.0, 50.0)


def test_a_file_for_a_pattern_size_leaves_the_book_alone(own: Own) -> None:
    size = own.size(own.pattern())
    request = accepted(own, file=None, size_id=size.id)
    change_model(own.shop, own.press("Max"), request.id, NEW_BOX)
    changed = own.request(request.id)
    assert changed.size_id not in (None, size.id)
    assert {copy.size_id for copy in own.copies(request.id)} == {changed.size_id}
    with own.shop.read() as uow:
        assert uow.sizes.get(size.id).model_id == size.model_id


def test_a_size_shared_with_another_open_request_is_left_to_it(own: Own) -> None:
    first = own.ask()
    second = same_again(own.shop, own.press("Otto"), first.id).value
    change_model(own.shop, own.press("Otto"), second.id, NEW_BOX)
    assert own.request(second.id).size_id != first.size_id
    withdraw_request(own.shop, own.press("Otto"), second.id)
    change_model(own.shop, own.press("Max"), first.id, NEW_BOX)
    assert own.request(first.id).size_id == first.size_id


def test_the_asker_changes_until_printing_the_desk_always(own: Own) -> None:
    request = accepted(own, quantity=2)
    put(own, own.copies(request.id)[0], CopyState.PRINTING)
    with pytest.raises(ShopError, match="R 1 is printing or printed"):
        change_model(own.shop, own.press("Max"), request.id, NEW_BOX)
    done = change_model(own.shop, own.press("Dora"), request.id, NEW_BOX)
    assert [copy.state for copy in done.value.to_decide] == [CopyState.PRINTING]
    assert done.value.to_decide[0].model_id != model_now(own, request).id


def test_a_draft_changes_its_model_without_holds(own: Own) -> None:
    draft = keep_draft(own.shop, own.press("Max"), NewRequest(words="x")).value
    change_model(own.shop, own.press("Max"), draft.id, NEW_BOX)
    assert own.hold_words(draft.id) == []


def test_a_pattern_size_may_be_chosen_for_words(own: Own) -> None:
    size = own.size(own.pattern(material_id=own.material("PETG")))
    request = own.ask(file=None, words="the usual stop")
    changed = choose_size(own.shop, own.press("Dora"), request.id, size.id).value.request
    assert (changed.size_id, changed.material_id) == (size.id, own.material("PETG"))
    assert own.hold_words(request.id) == ["needs the safety answers"]


def test_turning_is_a_revision_of_its_own(own: Own) -> None:
    request = own.ask()
    turn_model(own.shop, own.press("Max"), request.id, 8)
    model = model_now(own, request)
    assert (model.revision, model.turn, model.file_name) == ("B", 8, "box.stl")
    with pytest.raises(ShopError, match="no turn 24"):
        turn_model(own.shop, own.press("Max"), request.id, 24)
    with pytest.raises(ShopError, match="no model yet"):
        turn_model(own.shop, own.press("Max"), own.ask(file=None, words="x").id, 8)
    listed = own.ask(file=None, size_id=own.size(own.pattern()).id)
    with pytest.raises(ShopError, match="Turn its model in the pattern book"):
        turn_model(own.shop, own.press("Max"), listed.id, 8)


def test_more_copies_are_wanted_and_fewer_cancelled_from_the_end(own: Own) -> None:
    request = accepted(own, quantity=2)
    change_quantity(own.shop, own.press("Max"), request.id, 4)
    assert states(own, request.id) == [ON_RUN] * 4
    done = change_quantity(own.shop, own.press("Max"), request.id, 1)
    assert states(own, request.id) == [ON_RUN, CANCELLED, CANCELLED, CANCELLED]
    assert (done.value.to_decide, done.value.request.quantity) == ((), 1)
    change_quantity(own.shop, own.press("Max"), request.id, 2)
    assert states(own, request.id) == [ON_RUN, CANCELLED, CANCELLED, CANCELLED, ON_RUN]


def test_quantity_before_acceptance_is_only_a_number(own: Own) -> None:
    request = own.ask()
    change_quantity(own.shop, own.press("Max"), request.id, 3)
    assert own.copies(request.id) == ()
    with pytest.raises(ShopError, match="make no sense"):
        change_quantity(own.shop, own.press("Max"), request.id, 0)


def test_printed_copies_too_many_are_the_desks_to_decide(own: Own) -> None:
    request = accepted(own, quantity=3)
    one, two, _ = own.copies(request.id)
    put(own, one, CopyState.READY)
    put(own, two, CopyState.READY)
    done = change_quantity(own.shop, own.press(), request.id, 1)
    assert states(own, request.id) == [CopyState.READY, CopyState.READY, CANCELLED]
    assert [copy.ordinal for copy in done.value.to_decide] == [2]
    (spare,) = decide_copies(own.shop, own.press(), request.id, {two.id: Decision.SPARE}).value
    assert spare.state is CopyState.SHELVED
    decided = decide_copies(
        own.shop, own.press(), request.id, {one.id: Decision.KEEP, two.id: Decision.SPARE}
    )
    assert [copy.state for copy in decided.value] == [CopyState.READY, CopyState.SHELVED]


def test_labels_are_changed_copy_by_copy(own: Own) -> None:
    request = accepted(own, labels=("A", "B", "C"))
    change_quantity(own.shop, own.press(), request.id, 1, ("B", " D "))
    labels = {copy.label: copy.state for copy in own.copies(request.id)}
    assert labels == {"A": CANCELLED, "B": ON_RUN, "C": CANCELLED, "D": ON_RUN}
    put(own, own.copies(request.id)[1], CopyState.READY)
    done = change_quantity(own.shop, own.press(), request.id, 1, ("D",))
    assert [copy.label for copy in done.value.to_decide] == ["B"]


def test_scrap_makes_a_new_copy_while_one_is_wanted_and_plans_it_at_once(own: Own) -> None:
    size = own.size(own.pattern())
    with own.shop.write(own.press(), "place") as uow:
        uow.sizes.save(replace(uow.sizes.get(size.id), shelf_place="drawer 4"))
        uow.commit()
    request = accepted(own, quantity=2, file=None, size_id=size.id)
    one, two = (put(own, copy, CopyState.READY) for copy in own.copies(request.id))
    decided = {one.id: Decision.SCRAP, two.id: Decision.SPARE}
    decide_copies(own.shop, own.press(), request.id, decided)
    assert states(own, request.id) == [SCRAP, CopyState.SHELVED, ON_RUN]
    assert own.copies(request.id)[2].replaces_id == one.id
    with own.shop.read() as uow:
        first, second = uow.aids.find(order_by="number")
        assert (first.state, second.state, second.place) == (AidState.RETIRED, AidState.SHELF, "drawer 4")


def test_scrap_of_a_retired_aid_and_of_a_copy_without_one(own: Own) -> None:
    request = accepted(own, purpose=Purpose.TRY_FIT, quantity=2)
    one, two = (put(own, copy, CopyState.READY) for copy in own.copies(request.id))
    decide_copies(own.shop, own.press(), request.id, {one.id: Decision.SCRAP, two.id: Decision.SPARE})
    assert states(own, request.id) == [SCRAP, CopyState.SHELVED, ON_RUN]
    used = accepted(own)
    copy = put(own, own.copies(used.id)[0], CopyState.READY)
    from printcrib.core.aids import RetireReason
    from printcrib.services.retire_aid import retire

    retire(own.shop, own.press(), copy.aid_id or 0, RetireReason.BROKEN)
    decide_copies(own.shop, own.press(), used.id, {copy.id: Decision.SCRAP})
    assert states(own, used.id) == [SCRAP, ON_RUN]


def test_deciding_is_the_desks_and_about_its_own_copies(own: Own) -> None:
    request, other = accepted(own), accepted(own)
    copy = put(own, own.copies(request.id)[0], CopyState.READY)
    with pytest.raises(ShopError, match="Only the desk may decide"):
        decide_copies(own.shop, own.press("Max"), request.id, {copy.id: Decision.SCRAP})
    with pytest.raises(ShopError, match="not one of R 2"):
        decide_copies(own.shop, own.press(), other.id, {copy.id: Decision.SCRAP})


def test_withdrawn_wanted_copies_are_cancelled_and_printed_ones_left_to_decide(own: Own) -> None:
    request = accepted(own, quantity=3)
    one, two, _ = own.copies(request.id)
    put(own, one, CopyState.PRINTING)
    put(own, two, CopyState.READY)
    with own.shop.write(own.press(), "promise") as writing:
        writing.promises.add(
            Promise(
                request_id=request.id,
                to_person_id=own.who("Max"),
                said_at=TUESDAY_MORNING,
                likely=TOMORROW,
                at_most=TOMORROW,
            )
        )
        writing.commit()
    gone = withdraw_request(own.shop, own.press("Max"), request.id, " not needed ").value
    assert gone.state is RequestState.WITHDRAWN
    assert states(own, request.id) == [CopyState.PRINTING, CopyState.READY, CANCELLED]
    with own.shop.read() as uow:
        assert [copy.id for copy in left_over(uow, gone)] == [one.id, two.id]
        promises = uow.promises.find(is_("request_id", request.id), is_("outcome", "void"))
        assert {said.why for said in promises} == {"not needed"}
    decide_copies(own.shop, own.press(), request.id, {two.id: Decision.SCRAP})
    assert states(own, request.id) == [CopyState.PRINTING, SCRAP, CANCELLED]
    with pytest.raises(ShopError, match="R 1 is withdrawn"):
        withdraw_request(own.shop, own.press("Max"), request.id)
    with pytest.raises(ShopError, match="Ask for the same again"):
        change_quantity(own.shop, own.press(), request.id, 2)


def test_a_withdrawn_reprint_is_quiet_until_the_date(own: Own) -> None:
    request = own.ask()
    quiet = TOMORROW + timedelta(days=9)
    gone = withdraw_request(own.shop, own.press("Dora"), request.id, not_before=quiet).value
    assert gone.not_before == quiet
    assert own.hold_words(request.id) == []
    with pytest.raises(ShopError, match="Only the asker or the desk may withdraw"):
        withdraw_request(own.shop, own.press("Otto"), own.ask().id)


def test_what_is_handed_out_is_not_left_over(own: Own, clock: FakeClock) -> None:
    request = accepted(own, quantity=2)
    one, two = own.copies(request.id)
    put(own, one, CopyState.HANDED_OUT)
    put(own, two, CopyState.FAILED)
    clock.move(hours=1)
    gone = withdraw_request(own.shop, own.press(), request.id).value
    with own.shop.read() as uow:
        assert left_over(uow, gone) == ()
    assert model_now(own, request).revision == "A"
    assert BOX.name == model_now(own, request).file_name
