"""What a form offers, and what it answers before anything is raised."""

from datetime import timedelta

import pytest
from tests.services.fake import TUESDAY_MORNING
from tests.services.own_shop import BOX, TOMORROW, Own, own_shop

from printcrib.core.errors import ShopError
from printcrib.core.patterns import Fineness, Size
from printcrib.services.answer_form import (
    FormAsk,
    FormModel,
    answer_form,
    estimate_form,
    read_form_file,
    read_form_size,
)
from printcrib.services.edit_patterns import add_size
from printcrib.services.estimate_task import estimate_model
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_form import look_at_form
from printcrib.services.look_at_requests import Asked, Which, look_at_requests
from printcrib.services.read_model import ModelFile
from printcrib.services.release_use import Terms, release


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


class TestChoices:
    def test_lists_sizes_with_a_model_in_the_order_people_read(self, own: Own) -> None:
        stop = own.pattern(material_id=own.material("PETG"), colour="black")
        own.size(stop)
        own.size(own.pattern("collet tray"), "33 mm")
        own.size(stop, "no model yet", None)
        choices = look_at_form(own.shop)
        assert [(each.words, each.second) for each in choices.sizes] == [
            ("collet tray 33 mm", "40 x 30 x 20 mm"),
            ("spindle stop 32 x 60", "PETG black, 40 x 30 x 20 mm"),
        ]
        assert list(choices.people.values()) == ["Dora", "Lea", "Max", "Otto", "Rita"]
        assert list(choices.machines.values()) == ["Lathe 1", "Mill 2"]
        assert list(choices.materials.values()) == ["PA + 30 % glass", "PETG", "PLA"]
        assert choices.colours == {own.material("PLA"): ("grey",), own.material("PETG"): ("black",)}
        assert list(choices.printers.values()) == ["Left", "Right"]
        assert choices.bores_um == (400, 600, 800)
        assert (choices.calendar.zone, choices.currency) == ("Europe/Vienna", "EUR")

    def test_says_which_size_is_released_and_not_an_old_revision(self, own: Own) -> None:
        size = own.size(own.pattern(material_id=own.material()))
        request = own.ask(file=None, size_id=size.id, safety_answers=(2,))
        until = TUESDAY_MORNING + timedelta(days=30)
        release(own.shop, own.press("Rita"), request.id, Terms(conditions="dry only", until=until))
        (choice,) = look_at_form(own.shop).sizes
        assert choice.release == "released by Rita on 07:00, until Thu 24 Dec, dry only"
        own.shop.clock.set(until)  # type: ignore[attr-defined]
        (choice,) = look_at_form(own.shop).sizes
        assert choice.release == ""

    def test_an_empty_spool_offers_no_colour(self, own: Own) -> None:
        from dataclasses import replace

        from printcrib.core.materials import SpoolState

        with own.shop.write(own.press(), "test") as uow:
            for spool in uow.spools.find():
                uow.spools.save(replace(spool, state=SpoolState.EMPTY))
            uow.commit()
        assert look_at_form(own.shop).colours == {}


class TestModel:
    def test_a_file_is_read_and_not_kept(self, own: Own) -> None:
        shown = read_form_file(own.shop, BOX)
        assert (shown.extents, shown.height_mm, shown.findings) == ("40 x 30 x 20 mm", 20.0, ())
        assert shown.model.id == 0
        with own.shop.read() as uow:
            assert not uow.attachments.count()

    def test_a_scale_makes_it_larger(self, own: Own) -> None:
        assert read_form_file(own.shop, BOX, 2.0).extents == "80 x 60 x 40 mm"

    def test_a_tall_file_is_turned_to_stand_on_the_printer(self, own: Own) -> None:
        shown = read_form_file(own.shop, ModelFile(content=b"box 20 20 340", name="tall.stl"))
        assert shown.height_mm == 340.0
        assert read_form_file(own.shop, ModelFile(content=b"box 20 20 400", name="x.stl")).findings

    def test_a_pattern_size_as_it_stands_in_the_book(self, own: Own) -> None:
        size = own.size(own.pattern())
        shown = read_form_size(own.shop, size.id)
        assert (shown.size_id, shown.model.id > 0, shown.extents) == (size.id, True, "40 x 30 x 20 mm")
        larger = read_form_size(own.shop, size.id, 1.5)
        assert (larger.size_id, larger.model.id, larger.extents) == (None, 0, "60 x 45 x 30 mm")
        assert larger.height_mm == 30.0

    def test_a_size_without_a_model_is_refused_in_a_sentence(self, own: Own) -> None:
        pattern = own.pattern()
        size = add_size(own.shop, own.press(), Size(pattern_id=pattern.id, name="new"), None).value
        with pytest.raises(ShopError, match="new has no model yet"):
            read_form_size(own.shop, size.id)


class TestAnswer:
    def answers(self, own: Own, shown: FormModel, **ask: object) -> dict[int, tuple[bool, bool]]:
        found = answer_form(own.shop, shown, estimate_form(own.shop, shown), FormAsk(**ask))  # type: ignore[arg-type]
        return {each.bore_um: (each.allowed, each.ready is not None) for each in found}

    def test_every_nozzle_answers_and_the_fine_ones_say_when(self, own: Own) -> None:
        shown = read_form_file(own.shop, BOX)
        assert self.answers(own, shown) == {400: (True, True), 600: (True, True), 800: (False, False)}
        assert self.answers(own, shown, how_fine=Fineness.FINE)[600] == (False, False)

    def test_more_copies_take_longer_and_a_near_time_is_late(self, own: Own) -> None:
        shown = read_form_file(own.shop, BOX)
        estimates = estimate_form(own.shop, shown)
        one = answer_form(own.shop, shown, estimates, FormAsk(needed_by=TOMORROW))[0]
        four = answer_form(own.shop, shown, estimates, FormAsk(quantity=4, needed_by=TUESDAY_MORNING))[0]
        assert four.likely_minutes > one.likely_minutes
        assert four.mg > one.mg
        assert (one.late_minutes, four.late_minutes > 0) == (0, True)

    def test_nothing_of_it_is_booked(self, own: Own) -> None:
        self.answers(own, read_form_file(own.shop, BOX))
        with own.shop.read() as uow:
            assert not uow.estimates.count() + uow.requests.count() + uow.models.count()

    def test_a_pattern_size_uses_the_figures_of_the_books(self, own: Own) -> None:
        size = own.size(own.pattern(material_id=own.material()))
        shown = read_form_size(own.shop, size.id)
        fresh = estimate_form(own.shop, shown)
        kept = estimate_model(own.shop, own.press(), shown.model.id).value
        assert estimate_form(own.shop, shown) == kept
        assert [each.likely_minutes for each in fresh] == [each.likely_minutes for each in kept]
        assert self.answers(own, shown)[400] == (True, True)

    def test_tells_how_far_it_is_and_stops_when_asked(self, own: Own) -> None:
        shown = read_form_file(own.shop, BOX)
        told: list[tuple[int, int]] = []
        estimate_form(own.shop, shown, tell=lambda done, whole: told.append((done, whole)))
        assert told == [(0, 3), (1, 3), (2, 3)]
        assert estimate_form(own.shop, shown, cancelled=lambda: True) == ()
        assert answer_form(own.shop, shown, (), FormAsk()) == ()
        assert estimate_form(own.shop, shown, cancelled=lambda: False) != ()


def test_held_requests_are_found_by_themselves(own: Own) -> None:
    held = own.ask(file=None, words="like the old one", safety_answers=())
    own.ask(safety_answers=())
    found = look_at_requests(own.shop, Asked(which=Which.HELD))
    assert [row.id for row in found.rows] == [held.id]
    assert found.total == 1
