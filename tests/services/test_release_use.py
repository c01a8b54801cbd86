"""Releasing a size and revision: by whom, for what, and when it no longer holds."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from tests.services.fake import TUESDAY_MORNING, FakeClock
from tests.services.own_shop import BOX, Own, own_shop

from printcrib.core.errors import ShopError
from printcrib.core.people import Role
from printcrib.core.releases import SizeRelease
from printcrib.core.requests import CopyState, Purpose, Request
from printcrib.core.runs import Run
from printcrib.services.accept_request import Choices, accept_request
from printcrib.services.edit_patterns import add_revision, change_pattern
from printcrib.services.edit_people import NewPerson, add_person
from printcrib.services.interfaces import Shop
from printcrib.services.press import Press
from printcrib.services.release_use import (
    Outside,
    Terms,
    ask_for_review,
    covering_release,
    gate_of,
    lapse_run_out,
    live_release,
    refusal_of,
    release,
    release_words,
    releases_of,
    take_back,
)

OTT = Outside(name="Dr Ott", day=date(2026, 11, 20), words="fine up to 2 bar")
FROM_NOW = timedelta(days=30)


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def held(own: Own, who: str = "Max", **fields: object) -> Request:
    """An accepted request that holds the work and waits for a review."""
    request = own.ask(who, **{"safety_answers": (2,), "material_id": own.material(), **fields})
    return accept_request(own.shop, own.press(), request.id).value.request


def test_a_reviewer_releases_the_size_for_what_is_asked_and_owned(own: Own) -> None:
    request = held(own)
    made = release(own.shop, own.press("Rita"), request.id, Terms(conditions=" by hand only ")).value
    assert (made.size_id, made.answers, made.material_ids) == (request.size_id, (2,), (own.material(),))
    assert made.bores_um == (400, 600, 800)
    assert (made.reviewer_id, made.asker_id) == (own.who("Rita"), own.who("Max"))
    assert (made.conditions, made.valid_from, made.until) == ("by hand only", TUESDAY_MORNING, None)
    assert own.hold_words(request.id) == []
    with own.shop.read() as uow:
        (closed,) = uow.holds.find()
        assert (closed.why, closed.closed_by_id) == ("covered by a release", own.who("Rita"))


def test_the_terms_are_kept(own: Own) -> None:
    request = held(own, safety_answers=(1, 5), machine_id=own.made.machines["Lathe 1"])
    terms = Terms(
        material_ids=(own.material("PETG"), own.material()),
        bores_um=(600,),
        machine_ids=(own.made.machines["Lathe 1"],),
        top_speed_rpm=1500,
        pressure_limit="2 bar",
        until=TUESDAY_MORNING + FROM_NOW,
    )
    made = release(own.shop, own.press("Rita"), request.id, terms).value
    assert (made.bores_um, made.top_speed_rpm, made.pressure_limit) == ((600,), 1500, "2 bar")
    assert (made.until, made.machine_ids) == (terms.until, terms.machine_ids)
    assert own.hold_words(request.id) == []


@pytest.mark.parametrize(
    ("who", "terms", "words"),
    [
        ("Max", Terms(), "Nobody releases their own request"),
        ("Otto", Terms(), "Only a reviewer releases"),
        ("Dora", Terms(), "Only a reviewer releases"),
        ("Lea", Terms(), "Only a reviewer releases"),
        ("Rita", Terms(outside=OTT), "Only the lead records"),
        ("Lea", Terms(outside=replace(OTT, name=" ")), "from outside is not named"),
        ("Lea", Terms(outside=replace(OTT, words="")), "from outside is not named"),
        ("Lea", Terms(outside=replace(OTT, name="max")), "Nobody releases their own request"),
        ("Rita", Terms(material_ids=()), "names no material"),
        ("Rita", Terms(bores_um=()), "names no nozzle"),
        ("Rita", Terms(until=TUESDAY_MORNING), "run out already"),
        ("the tool", Terms(), "Only a reviewer releases"),
    ],
)
def test_who_and_what_is_refused(own: Own, who: str, terms: Terms, words: str) -> None:
    request = held(own)
    with pytest.raises(ShopError, match=words):
        release(own.shop, own.press(who), request.id, terms)
    assert own.hold_words(request.id) == ["review open"]


def test_the_lead_records_a_reviewer_from_outside(own: Own) -> None:
    request = held(own)
    made = release(own.shop, own.press("Lea"), request.id, Terms(outside=OTT)).value
    assert made.outside_reviewer == "Dr Ott, 2026-11-20: fine up to 2 bar"
    assert made.reviewer_id == own.who("Lea")
    own_request = held(own, "Lea")
    with pytest.raises(ShopError, match="Nobody releases their own request"):
        release(own.shop, own.press("Lea"), own_request.id, Terms(outside=OTT))


def test_somebody_from_outside_for_a_reprint_of_the_tool(own: Own) -> None:
    request = own.ask("the tool", safety_answers=(2,), material_id=own.material())
    assert release(own.shop, own.press("Lea"), request.id, Terms(outside=OTT)).value.asker_id == 0


def test_never_unanswered_and_unwritten_are_not_released(own: Own) -> None:
    never = own.ask(safety_answers=(7,))
    with pytest.raises(ShopError, match="never released here"):
        release(own.shop, own.press("Rita"), never.id, Terms())
    with pytest.raises(ShopError, match="not answered"):
        release(own.shop, own.press("Rita"), own.ask().id, Terms())
    turning = own.ask(safety_answers=(1,))
    with pytest.raises(ShopError, match="Write the top speed"):
        release(own.shop, own.press("Rita"), turning.id, Terms())


def test_a_release_needs_a_model_and_a_material(own: Own) -> None:
    words = own.ask(file=None, words="x", safety_answers=(2,))
    with pytest.raises(ShopError, match="has no model yet"):
        release(own.shop, own.press("Rita"), words.id, Terms())
    with pytest.raises(ShopError, match="names no material"):
        release(own.shop, own.press("Rita"), own.ask(safety_answers=(2,)).id, Terms())


def test_a_review_asked_for_early_is_closed_by_the_release(own: Own) -> None:
    request = own.ask(safety_answers=(2,), material_id=own.material())
    ask_for_review(own.shop, own.press("Max"), request.id, "please before Friday")
    assert own.holds(request.id)[0].words == "please before Friday"
    release(own.shop, own.press("Rita"), request.id, Terms(material_ids=(own.material("PETG"),)))
    assert own.hold_words(request.id) == ["review open"]  # not for the material asked for
    release(own.shop, own.press("Rita"), request.id, Terms())
    assert own.hold_words(request.id) == []
    ask_for_review(own.shop, own.press("Max"), request.id, "")
    assert own.holds(request.id)[0].words == "not released for this use"


def test_taken_back_needs_a_reason_and_holds_again(own: Own) -> None:
    request = held(own)
    made = release(own.shop, own.press("Rita"), request.id, Terms()).value
    with pytest.raises(ShopError, match="needs a reason"):
        take_back(own.shop, own.press("Rita"), made.id, "")
    with pytest.raises(ShopError, match="Only a reviewer or the lead may take a release back"):
        take_back(own.shop, own.press("Dora"), made.id, "cracks")
    lapsed = take_back(own.shop, own.press("Lea"), made.id, "cracks").value
    assert (lapsed.lapsed_by, lapsed.lapsed_at) == ("taken back: cracks", TUESDAY_MORNING)
    assert own.hold_words(request.id) == ["review open"]
    assert take_back(own.shop, own.press("Rita"), made.id, "again").value.lapsed_by == "taken back: cracks"


def test_a_release_runs_out_at_its_date(own: Own, clock: FakeClock) -> None:
    request = held(own)
    release(own.shop, own.press("Rita"), request.id, Terms(until=TUESDAY_MORNING + FROM_NOW))
    release(own.shop, own.press("Rita"), held(own).id, Terms())
    assert lapse_run_out(own.shop, own.press("the tool")).value == ()
    clock.move(days=30)
    (lapsed,) = lapse_run_out(own.shop, own.press("the tool")).value
    assert lapsed.lapsed_by == "its date has passed"
    assert own.hold_words(request.id) == ["review open"]
    assert lapse_run_out(own.shop, own.press("the tool")).value == ()


def test_a_new_revision_starts_without_a_release(own: Own) -> None:
    size = own.size(own.pattern(material_id=own.material()))
    request = held(own, file=None, size_id=size.id)
    release(own.shop, own.press("Rita"), request.id, Terms())
    with own.shop.read() as uow:
        assert live_release(uow, size.id) is not None
    add_revision(own.shop, own.press(), size.id, replace(BOX, content=b"box 40 30 22"))
    assert own.hold_words(request.id) == ["review open"]
    with own.shop.read() as uow:
        assert live_release(uow, size.id) is None
        assert live_release(uow, size.id, size.model_id) is not None


def test_changed_answers_of_a_pattern_let_its_releases_lapse(own: Own) -> None:
    pattern = own.pattern(material_id=own.material(), safety_answers=(2,))
    size = own.size(pattern)
    request = held(own, file=None, size_id=size.id, safety_answers=())
    release(own.shop, own.press("Rita"), request.id, Terms())
    changed = change_pattern(own.shop, own.press(), replace(pattern, notes="x")).value
    assert own.hold_words(request.id) == []
    change_pattern(own.shop, own.press(), replace(changed, safety_answers=(2, 9)))
    assert own.hold_words(request.id) == ["review open"]
    with own.shop.read() as uow:
        assert releases_of(uow, size.id)[0].lapsed_by == "the pattern's safety answers changed"


def test_the_chosen_nozzle_must_be_released(own: Own) -> None:
    request = own.ask(safety_answers=(2,), material_id=own.material())
    accept_request(own.shop, own.press(), request.id, Choices(bore_um=800))
    release(own.shop, own.press("Rita"), request.id, Terms(bores_um=(400,)))
    assert own.hold_words(request.id) == ["review open"]
    with own.shop.read() as uow:
        assert covering_release(uow, own.request(request.id)) is None


def test_a_printed_copy_is_judged_by_how_it_was_printed(own: Own) -> None:
    request = held(own, machine_id=own.made.machines["Lathe 1"])
    (copy,) = own.copies(request.id)
    with own.shop.read() as uow:
        assert refusal_of(uow, copy) == "no reviewer has released it"
    terms = Terms(bores_um=(400,), machine_ids=(own.made.machines["Lathe 1"],))
    made = release(own.shop, own.press("Rita"), request.id, terms).value
    with own.shop.write(own.press(), "print it") as writing:
        run = writing.runs.add(
            Run(
                number=99, printer_id=1, bore_um=600, material_id=own.material(), taken_off_at=TUESDAY_MORNING
            )
        )
        printed = writing.copies.save(
            replace(copy, state=CopyState.READY, run_id=run.id, model_id=made.model_id)
        )
        assert refusal_of(writing, printed) == "the release does not name this nozzle"
        writing.runs.save(replace(run, bore_um=400))
        assert refusal_of(writing, printed) is None
        assert (
            refusal_of(writing, printed, own.made.machines["Mill 2"]) == "the release is for another machine"
        )
        loose = replace(printed, run_id=None)
        assert refusal_of(writing, loose) == "the release does not name this nozzle"


def test_words_only_have_a_gate_but_no_release(own: Own) -> None:
    request = own.ask(file=None, words="x", safety_answers=(2,))
    with own.shop.read() as uow:
        assert gate_of(uow, request).holds == (2,)
        assert releases_of(uow, None) == ()
        assert covering_release(uow, request) is None


def test_a_copy_to_look_at_goes_out_without_release(own: Own) -> None:
    request = held(own, purpose=Purpose.LOOK_AT)
    with own.shop.read() as uow:
        assert refusal_of(uow, own.copies(request.id)[0]) is None


def test_a_release_is_said_in_words() -> None:
    moment = datetime(2026, 11, 24, tzinfo=UTC)
    made = SizeRelease(
        size_id=1,
        model_id=1,
        answers=(1,),
        material_ids=(1,),
        bores_um=(400,),
        reviewer_id=3,
        valid_from=moment,
    )

    def name(person_id: int) -> str:
        return f"person {person_id}"

    def when(at: datetime) -> str:
        return f"{at:%d %b}"

    assert release_words(made, name, when) == "released by person 3 on 24 Nov"
    full = replace(
        made,
        outside_reviewer="Dr Ott, 2026-11-20: yes",
        until=moment + timedelta(days=1),
        top_speed_rpm=900,
        pressure_limit="2 bar",
        conditions="door shut",
        lapsed_at=moment,
        lapsed_by="taken back: cracks",
    )
    assert release_words(full, name, when) == (
        "released by Dr Ott, 2026-11-20: yes on 24 Nov, until 25 Nov, up to 900 rpm, pressure 2 bar, "
        "door shut, lapsed: taken back: cracks"
    )


def test_a_second_reviewer_releases_what_the_first_asked(own: Own) -> None:
    new = NewPerson(name="Rolf", roles=(Role.REVIEWER,))
    rolf = add_person(own.shop, own.press("Lea"), new).value
    request = held(own, "Rita")
    with pytest.raises(ShopError, match="Nobody releases their own request"):
        release(own.shop, own.press("Rita"), request.id, Terms())
    assert release(own.shop, Press(who_id=rolf.id), request.id, Terms()).value.reviewer_id == rolf.id
