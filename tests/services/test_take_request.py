"""Taking requests: who, what, needed by; all else may come later."""

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.services.fake import TUESDAY_MORNING, FakeClock
from tests.services.own_shop import BOX, TALL, TOMORROW, Own, own_shop

from printcrib.core.errors import ShopError
from printcrib.core.patterns import Fineness
from printcrib.core.requests import Request, RequestState
from printcrib.services.accept_request import send_back
from printcrib.services.edit_patterns import change_size
from printcrib.services.interfaces import Shop
from printcrib.services.read_model import ModelFile, own_name
from printcrib.services.release_use import Terms, release
from printcrib.services.take_request import NewRequest, keep_draft, raise_kept, raise_request, same_again


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def test_words_and_a_photo_are_held_until_they_have_a_model(own: Own) -> None:
    request = own.ask(file=None, words="stop for the collet, like the old one", photo=b"jpeg")
    assert (request.state, request.size_id, request.tag) == (RequestState.RAISED, None, "R 1")
    assert own.hold_words(request.id) == ["needs a model", "needs the safety answers"]
    assert own.shop.files.get(request.photo_sha) == b"jpeg"
    with own.shop.read() as uow:
        assert [kept.kind for kept in uow.attachments.find()] == ["jpeg"]


def test_a_file_becomes_revision_a_of_a_size_of_its_own(own: Own) -> None:
    request = own.ask(quantity=3)
    with own.shop.read() as uow:
        size = uow.sizes.get(request.size_id or 0)
        model = uow.models.get(size.model_id or 0)
        assert (size.name, uow.patterns.get(size.pattern_id).listed) == ("box", False)
    assert (model.revision, model.file_name, model.extents_mm) == ("A", "box.stl", (40.0, 30.0, 20.0))
    assert own.shop.files.get(model.sha256) == BOX.content
    assert own.hold_words(request.id) == ["needs the safety answers"]
    assert request.safety_answers is None


def test_the_same_file_again_is_kept_once_and_read_again(own: Own) -> None:
    own.ask()
    second = own.ask()
    with own.shop.read() as uow:
        assert uow.attachments.count() == 1
        assert uow.sizes.get(second.size_id or 0).name == "box"


@pytest.mark.parametrize(
    ("words", "file", "name"),
    [
        ("clip for the hoses", "clip-2.stl", "clip for the hoses"),
        ("a clip that goes over both hoses and the cable beside", "clip-2.stl", "clip-2"),
        ("", ".stl", ".stl"),
        ("", "", "R 1"),
    ],
)
def test_a_size_of_its_own_is_called_what_people_call_it(words: str, file: str, name: str) -> None:
    request = Request(number=1, asker_id=1, entered_by_id=1, words=words)
    assert own_name(request, file) == name


def test_a_pattern_size_brings_material_colour_and_how_fine(own: Own) -> None:
    pattern = own.pattern(material_id=own.material("PETG"), colour="black", how_fine=Fineness.FINE)
    size = own.size(pattern)
    request = own.ask(file=None, size_id=size.id, safety_answers=())
    assert (request.material_id, request.colour, request.how_fine) == (
        own.material("PETG"),
        "black",
        Fineness.FINE,
    )
    assert own.hold_words(request.id) == []
    other = own.ask(file=None, size_id=size.id, material_id=own.material("PLA"), how_fine=Fineness.ROUGH)
    assert (other.colour, other.how_fine) == ("", Fineness.ROUGH)


def test_program_ready_is_when_it_is_needed(own: Own) -> None:
    ready = TUESDAY_MORNING + timedelta(hours=3)
    request = own.ask(needed_by=None, program_ready_at=ready)
    assert (request.needed_by, request.program_ready_at) == (ready, ready)


def test_the_desk_enters_a_request_for_somebody_else(own: Own) -> None:
    request = own.ask("Dora", asker_id=own.who("Max"))
    assert (request.asker_id, request.entered_by_id) == (own.who("Max"), own.who("Dora"))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"file": None}, "Nothing is asked for yet"),
        ({"needed_by": None}, "Nobody knows by when it is needed"),
        ({"quantity": 0}, "0 copies make no sense"),
        ({"scale": 0.0}, "A scale of 0 makes no sense"),
        ({"scale": 50.0, "file": None, "words": "x"}, "A scale of 50 makes no sense"),
        ({"labels": ("A", " ")}, "One of the labels is empty"),
        ({"labels": ("A", "B", "A")}, "The label A is there twice"),
        ({"weight": 3}, "There is no weight 3"),
        ({"safety_answers": (11,)}, "There is no safety question 11"),
        ({"same_use": True}, "This size is not released"),
        ({"file": ModelFile(content=b"?", name="x.stl")}, "x.stl cannot be read as a model"),
        ({"file": replace(BOX, unit_scale=0.0)}, "A scale of 0 makes no sense"),
        ({"file": replace(BOX, turn=24)}, "There is no turn 24"),
        ({"size_id": 77, "file": None}, "There is no size 77"),
    ],
)
def test_what_makes_no_sense_is_refused_and_nothing_is_booked(
    own: Own, fields: dict[str, object], words: str
) -> None:
    with pytest.raises(ShopError, match=words):
        own.ask("Max", **fields)
    with own.shop.read() as uow:
        assert not uow.requests.count() + uow.sizes.count() + uow.models.count() + uow.holds.count()


def test_same_use_without_a_size_is_refused(own: Own) -> None:
    with pytest.raises(ShopError, match="not released"):
        own.ask(file=None, words="one of those", same_use=True)


def test_a_person_who_left_asks_for_nothing(own: Own) -> None:
    from printcrib.services.edit_people import change_person

    change_person(own.shop, own.press("Lea"), replace(own.made.people["Max"], active=False))
    with pytest.raises(ShopError, match="Max is switched off"):
        own.ask("Max")
    with pytest.raises(ShopError, match="The person who asks is switched off"):
        own.ask("Dora", asker_id=own.who("Max"))


def test_a_size_no_longer_made_is_refused(own: Own) -> None:
    size = own.size(own.pattern())
    change_size(own.shop, own.press(), replace(size, active=False))
    with pytest.raises(ShopError, match="no longer made"):
        own.ask(file=None, size_id=size.id)


def test_labels_make_the_quantity(own: Own) -> None:
    request = own.ask(labels=("A1 ", "A2", "A3"), quantity=1)
    assert (request.labels, request.quantity) == (("A1", "A2", "A3"), 3)


def test_a_file_at_another_scale_is_kept_as_given_and_measured_as_printed(own: Own) -> None:
    request = own.ask(scale=2.0)
    with own.shop.read() as uow:
        model = uow.models.get(uow.sizes.get(request.size_id or 0).model_id or 0)
    assert (model.unit_scale, model.extents_mm) == (2.0, (80.0, 60.0, 40.0))
    assert model.volume_cm3 == pytest.approx(192.0)
    assert own.shop.files.get(model.sha256) == BOX.content


def test_a_pattern_size_at_another_scale_is_a_size_of_its_own(own: Own) -> None:
    size = own.size(own.pattern())
    request = own.ask(file=None, size_id=size.id, scale=0.5)
    assert request.size_id != size.id
    with own.shop.read() as uow:
        made = uow.sizes.get(request.size_id or 0)
        model = uow.models.get(made.model_id or 0)
        assert not uow.patterns.get(made.pattern_id).listed
    assert made.name == "32 x 60 at 50 %"
    assert (model.revision, model.extents_mm, model.unit_scale) == ("A", (20.0, 15.0, 10.0), 0.5)
    assert model.volume_cm3 == pytest.approx(3.0)


def test_words_at_another_scale_wait_for_their_model(own: Own) -> None:
    assert own.ask(file=None, words="half as big", scale=0.5).size_id is None


def test_a_tall_model_is_turned_until_it_stands_on_a_printer(own: Own) -> None:
    request = own.ask(file=TALL)
    with own.shop.read() as uow:
        model = uow.models.get(uow.sizes.get(request.size_id or 0).model_id or 0)
    assert (model.turn, model.findings) == (0, ())
    own_low = replace(own.printer("Right"), height_mm=250.0, platform_mm=(320.0, 320.0))
    from printcrib.services.edit_printers import change_printer

    change_printer(own.shop, own.press(), own_low)
    lying = own.ask(file=TALL)
    with own.shop.read() as uow:
        model = uow.models.get(uow.sizes.get(lying.size_id or 0).model_id or 0)
    assert model.turn == 8  # the first turn with depth upright: the length lies on the platform


def test_a_turn_that_was_chosen_is_kept(own: Own) -> None:
    request = own.ask(file=replace(BOX, turn=12))
    with own.shop.read() as uow:
        assert uow.models.get(uow.sizes.get(request.size_id or 0).model_id or 0).turn == 12


def test_a_model_that_fits_no_printer_says_so(own: Own) -> None:
    request = own.ask(file=ModelFile(content=b"box 500 400 300", name="huge.stl"))
    with own.shop.read() as uow:
        model = uow.models.get(uow.sizes.get(request.size_id or 0).model_id or 0)
    assert model.findings[0][0] == "does_not_fit"
    assert model.turn == 0


def test_a_released_size_asks_only_for_the_same_use(own: Own) -> None:
    size = own.size(own.pattern(safety_answers=(2,), material_id=own.material()))
    first = own.ask(file=None, size_id=size.id, safety_answers=(6,))
    release(own.shop, own.press("Rita"), first.id, Terms())
    second = own.ask("Otto", file=None, size_id=size.id, same_use=True)
    assert (second.safety_answers, second.same_use) == ((2, 6), True)
    assert own.hold_words(second.id) == []


def test_a_half_filled_request_is_kept_as_a_draft_and_raised_later(own: Own) -> None:
    draft = keep_draft(own.shop, own.press("Max"), NewRequest(words="something")).value
    assert (draft.state, own.hold_words(draft.id)) == (RequestState.DRAFT, [])
    with pytest.raises(ShopError, match="by when"):
        raise_kept(own.shop, own.press("Max"), draft.id)
    full = NewRequest(words="something", needed_by=TOMORROW)
    draft = keep_draft(own.shop, own.press("Max"), full).value
    raised = raise_kept(own.shop, own.press("Max"), draft.id).value
    assert raised.state is RequestState.RAISED
    assert own.hold_words(raised.id) == ["needs a model", "needs the safety answers"]
    with pytest.raises(ShopError, match="R 2 is raised"):
        raise_kept(own.shop, own.press("Max"), draft.id)
    with pytest.raises(ShopError, match="Only the asker or the desk"):
        raise_kept(own.shop, own.press("Otto"), draft.id)


def test_what_was_sent_back_is_raised_again(own: Own) -> None:
    request = own.ask()
    send_back(own.shop, own.press(), request.id, "which bore?")
    assert own.request(request.id).sent_back_reason == "which bore?"
    raised = raise_kept(own.shop, own.press("Max"), request.id).value
    assert (raised.state, raised.sent_back_reason) == (RequestState.RAISED, "")


def test_same_again_is_one_press_and_follows_the_first(own: Own, clock: FakeClock) -> None:
    first = own.ask(
        labels=("A", "B"),
        machine_id=own.made.machines["Lathe 1"],
        safety_answers=(2,),
        photo=b"jpeg",
        words="x",
    )
    clock.move(days=7)
    again = same_again(own.shop, own.press("Otto"), first.id).value
    assert (again.follows_id, again.size_id, again.safety_answers) == (first.id, first.size_id, (2,))
    assert again.needed_by == TOMORROW + timedelta(days=7)
    assert (again.quantity, again.labels, again.asker_id) == (2, (), own.who("Otto"))
    assert (again.machine_id, again.photo_sha) == (first.machine_id, first.photo_sha)
    told = same_again(
        own.shop, own.press("Dora"), first.id, needed_by=TOMORROW, quantity=5, asker_id=own.who("Max")
    ).value
    assert (told.needed_by, told.quantity, told.asker_id) == (TOMORROW, 5, own.who("Max"))


def test_same_again_of_a_draft_without_a_time_needs_one(own: Own) -> None:
    draft = keep_draft(own.shop, own.press("Max"), NewRequest(words="something")).value
    with pytest.raises(ShopError, match="by when"):
        same_again(own.shop, own.press("Max"), draft.id)


def test_a_press_sent_twice_raises_once(own: Own) -> None:
    press = own.press("Max")
    ask = NewRequest(words="a stop", needed_by=TOMORROW)
    done = raise_request(own.shop, press, ask)
    assert done.changed >= {"requests", "holds"}
    with pytest.raises(ShopError, match="already booked"):
        raise_request(own.shop, press, ask)
    with own.shop.read() as uow:
        assert uow.requests.count() == 1
