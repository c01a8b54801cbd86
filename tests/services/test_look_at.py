"""What the screens read: requests, the pattern book, the settings."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from tests.services.fake import TUESDAY_MORNING, FakeClock
from tests.services.own_shop import BOX, TOMORROW, Own, own_shop

from printcrib.core.aids import AidState
from printcrib.core.materials import Insert
from printcrib.core.mending import Mend
from printcrib.core.patterns import CountedBy
from printcrib.core.requests import Copy, CopyState, Promise, Purpose, Request
from printcrib.core.runs import Run, RunState
from printcrib.services.accept_request import Choices, accept_request, send_back
from printcrib.services.change_request import change_model
from printcrib.services.decide_copies import Decision, decide_copies
from printcrib.services.edit_patterns import add_revision, change_pattern, change_size
from printcrib.services.edit_printers import (
    NewNozzle,
    add_nozzles,
    answer_unattended,
    change_nozzle,
    set_profile,
)
from printcrib.services.estimate_task import estimate_request
from printcrib.services.finish_copy import make_ready
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_patterns import look_at_pattern, look_at_patterns
from printcrib.services.look_at_request import RequestPage, look_at_request
from printcrib.services.look_at_requests import (
    Asked,
    Which,
    late_requests,
    look_at_requests,
)
from printcrib.services.look_at_settings import look_at_settings, typical_values
from printcrib.services.read_model import ModelFile, model_of
from printcrib.services.release_use import Terms, release, take_back
from printcrib.services.take_request import NewRequest, keep_draft
from printcrib.services.withdraw_request import withdraw_request


@pytest.fixture
def own(shop: Shop) -> Own:
    return own_shop(shop)


def accepted(own: Own, **fields: object) -> Request:
    """An accepted request of Max."""
    request = own.ask("Max", **{"safety_answers": (), "material_id": own.material(), **fields})
    return accept_request(own.shop, own.press(), request.id).value.request


def ready(own: Own, copy: Copy, state: CopyState = CopyState.READY) -> None:
    """The copy came good off a run."""
    with own.shop.write(own.press(), "make ready") as uow:
        model = model_of(uow, uow.requests.get(copy.request_id))
        fresh = replace(uow.copies.get(copy.id), state=CopyState.FINISHING, run_id=None)
        fresh = make_ready(uow, uow.copies.save(replace(fresh, model_id=model.id if model else None)))
        if state is not CopyState.READY:
            uow.copies.save(replace(fresh, state=state))
        uow.commit()


def tags(own: Own, **asked: Any) -> list[str]:
    return [row.tag for row in look_at_requests(own.shop, Asked(**asked)).rows]


def test_a_row_is_ready_to_show(own: Own) -> None:
    size = own.size(own.pattern(material_id=own.material(), colour="grey"))
    request = own.ask(
        file=None,
        size_id=size.id,
        quantity=4,
        machine_id=own.made.machines["Lathe 1"],
        job="4711",
        job_revision="C",
        safety_answers=(2,),
    )
    accept_request(own.shop, own.press(), request.id)
    for copy in own.copies(request.id)[:2]:
        ready(own, copy)
    (row,) = look_at_requests(own.shop).rows
    assert (row.tag, row.what, row.asker, row.machine) == ("R 1", "spindle stop 32 x 60", "Max", "Lathe 1")
    assert (row.state, row.quantity, row.ready, row.holds) == ("2 of 4 ready", 4, 2, "review open")
    assert (row.needed_words, row.material, row.job, row.revision) == ("Wed 07:00", "PLA grey", "4711 C", "A")
    assert (row.how_fine, row.purpose, row.timing, row.is_late) == ("normal", "for use", "", False)
    assert row.ready_words
    assert row.id == request.id


def test_words_and_files_say_what_they_are(own: Own) -> None:
    own.ask(file=None, words="a stop")
    own.ask(file=None, photo=b"jpeg")
    own.ask()
    keep_draft(own.shop, own.press("Max"), NewRequest())
    rows = look_at_requests(own.shop).rows
    assert [(row.what, row.needed_words, row.material) for row in rows] == [
        ("nothing said yet", "", ""),
        ("box", "Wed 07:00", ""),
        ("a photo", "Wed 07:00", ""),
        ("a stop", "Wed 07:00", ""),
    ]


def test_requests_are_found_by_state_person_and_text(own: Own) -> None:
    size = own.size(own.pattern(name="caliper rest"), name="150")
    own.ask("Max", file=None, size_id=size.id, job="4711")
    own.ask("Otto", file=None, words="Funnel for the saw", machine_id=own.made.machines["Mill 2"])
    gone = own.ask("Otto", file=None, words="old thing")
    withdraw_request(own.shop, own.press("Otto"), gone.id)
    assert tags(own) == ["R 2", "R 1"]
    assert tags(own, which=Which.ALL) == ["R 3", "R 2", "R 1"]
    assert tags(own, which=Which.HELD) == ["R 2", "R 1"]
    assert tags(own, which=Which.MINE, who_id=own.who("Otto")) == ["R 3", "R 2"]
    assert tags(own, text="CALIPER") == tags(own, text="150") == tags(own, text="471") == ["R 1"]
    assert tags(own, text="funnel") == tags(own, text="mill") == tags(own, text="r 2") == ["R 2"]
    assert tags(own, text="otto", which=Which.ALL) == ["R 3", "R 2"]
    assert tags(own, text="nothing such") == tags(own, text="12345678901") == []
    assert tags(own, which=Which.ALL, limit=1, offset=1) == ["R 2"]
    found = look_at_requests(own.shop, Asked(which=Which.ALL, text="t", limit=1))
    assert (len(found.rows), found.total) == (1, 2)  # at least


def test_late_and_at_risk_come_from_the_kept_plan(own: Own, clock: FakeClock) -> None:
    request = accepted(own)
    with own.shop.read() as uow:
        (run,) = uow.runs.find()
    end = run.planned_end
    assert end is not None
    with own.shop.write(own.press(), "need it") as writing:
        kept = writing.requests.get(request.id)
        kept = writing.requests.save(replace(kept, needed_by=end + timedelta(minutes=1)))
        writing.commit()
    with own.shop.read() as uow:
        (row,) = late_requests(uow)
    assert (row.timing, row.is_late, row.at_risk) == ("at risk", False, True)
    with own.shop.write(own.press(), "need it") as writing:
        writing.requests.save(replace(kept, needed_by=end - timedelta(minutes=5)))
        writing.commit()
    with own.shop.read() as uow:
        (row,) = late_requests(uow)
    assert (row.timing, row.is_late) == ("late 5 min", True)
    clock.move(days=3)
    withdraw_request(own.shop, own.press(), request.id)
    (row,) = look_at_requests(own.shop, Asked(which=Which.ALL)).rows
    assert (row.timing, row.ready_words) == ("", "")


def test_a_run_over_its_end_is_ready_when_somebody_is_in_again(own: Own, clock: FakeClock) -> None:
    request = accepted(own, needed_by=TUESDAY_MORNING + timedelta(days=9))
    with own.shop.write(own.press(), "start") as uow:
        (run,) = uow.runs.find()
        uow.runs.save(replace(run, state=RunState.STARTED, started_at=uow.now, planned_end=None))
        endless = uow.runs.add(Run(number=88, printer_id=own.printer("Right").id, bore_um=400))
        uow.copies.save(replace(own.copies(request.id)[0], state=CopyState.PRINTING))
        uow.commit()
    assert endless.planned_end is None
    clock.set(TUESDAY_MORNING.replace(hour=18))
    (row,) = look_at_requests(own.shop).rows
    assert row.ready_words == "Wed 07:00"


def test_a_copy_on_no_run_has_no_time_yet(own: Own) -> None:
    request = own.ask(safety_answers=(2,))
    choices = Choices(material_id=own.material(), wait_for_release=True)
    accept_request(own.shop, own.press(), request.id, choices)
    (row,) = look_at_requests(own.shop).rows
    assert (row.ready_words, row.state) == ("", "accepted")


def page(own: Own, request: Request, who: str = "Dora") -> RequestPage:
    who_id = 0 if who == "the tool" else own.who(who)
    return look_at_request(own.shop, request.id, who_id)


def test_the_page_of_words_only(own: Own) -> None:
    request = own.ask(file=None, words="a stop")
    seen = page(own, request, "Max")
    assert (seen.model, seen.estimates, seen.copies, seen.size) == (None, (), (), None)
    assert seen.missing == "needs a model and a material and the safety answers"
    assert (seen.safety, seen.release, seen.asks_same_use) == ("not answered", "", False)
    assert seen.actions == {"withdraw", "change", "answer safety", "same again"}
    assert [line.words for line in seen.holds] == [
        "needs a model: no model file or pattern size yet",
        "needs the safety answers: the ten questions are not answered",
    ]
    assert (seen.holds[0].who, seen.holds[0].when) == ("Max", "07:00")
    assert "accept" not in page(own, request, "Dora").actions
    assert page(own, request, "Otto").actions == {"same again"}
    assert "send back" in page(own, request, "the tool").actions


def test_the_page_of_an_open_request(own: Own) -> None:
    inches = ModelFile(content=b"box 4 3 2", name="small.stl")
    request = own.ask(file=inches, safety_answers=(2, 9), material_id=own.material(), quantity=2)
    assert "accept" in page(own, request).actions
    accept_request(own.shop, own.press(), request.id)
    seen = page(own, request, "Rita")
    assert seen.model is not None
    assert (seen.model.revision, seen.model.size) == ("A", "4 x 3 x 2 mm")
    assert seen.model.findings[0].startswith("Only 4 x 3 x 2 mm. If inches")
    assert (seen.model.mends, seen.model.made_by) == ((), "")
    for name in ("Max", "Dora"):
        changing = page(own, request, name).model
        assert changing is not None
        assert changing.mends == (Mend.INCH,)
    assert [(each.nozzle, each.printer, each.allowed) for each in seen.estimates] == [
        ("0.4", "Left", True),
        ("0.4", "Right", True),
        ("0.6", "Left", True),
        ("0.8", "Left", False),
        ("0.8", "Right", False),
    ]
    assert seen.estimates[3].why_not == "not for normal"
    assert seen.estimates[0].cost.endswith(" EUR")
    assert "min" in seen.estimates[0].minutes
    assert seen.estimates[0].grams.endswith(" g")
    assert [(line.tag, line.state, line.run, line.revision) for line in seen.copies] == [
        ("R 1/1", "on run", "run 1", "A"),
        ("R 1/2", "on run", "run 1", "A"),
    ]
    assert seen.safety == "hold or locate the work; sit in coolant or oil under load"
    assert "Check coolant-wet parts weekly for cracks and swelling." in [c.words for c in seen.cautions]
    assert (seen.gate.holds, seen.gate.mark) == ((2, 9), "not released")
    assert seen.actions == {"release", "same again"}
    assert "release" not in page(own, request, "Max").actions


def test_the_page_of_a_released_pattern_size(own: Own) -> None:
    pattern = own.pattern(material_id=own.material(), safety_answers=(2,), take_out_before_start=True)
    size = own.size(pattern)
    first = own.ask(file=None, size_id=size.id, safety_answers=())
    made = release(own.shop, own.press("Rita"), first.id, Terms()).value
    second = own.ask("Otto", file=None, size_id=size.id)
    seen = page(own, second)
    assert (seen.asks_same_use, seen.release) == (True, "released by Rita on 07:00")
    assert page(own, first).release == "released by Rita on 07:00"
    assert "Take covers, plugs and stops out before spindle or axis moves." in [
        caution.words for caution in seen.cautions
    ]
    take_back(own.shop, own.press("Rita"), made.id, "cracks")
    assert (page(own, second).asks_same_use, page(own, second).release) == (False, "")


def test_a_never_says_why_it_is_not_accepted(own: Own) -> None:
    request = own.ask(safety_answers=(4,), material_id=own.material())
    seen = page(own, request)
    assert seen.missing.startswith("A printed part is never used for this: lift a load")
    assert "accept" not in seen.actions
    assert "release" not in page(own, request, "Rita").actions


def test_copies_of_an_old_revision_are_to_be_decided(own: Own) -> None:
    request = accepted(own, quantity=3)
    one, two, _ = own.copies(request.id)
    ready(own, one)
    ready(own, two)
    change_model(own.shop, own.press(), request.id, replace(BOX, content=b"box 40 30 25"))
    seen = page(own, request)
    assert [copy.id for copy in seen.to_decide] == [one.id, two.id]
    assert "decide copies" in seen.actions
    assert [(line.revision, line.old_revision, line.aid) for line in seen.copies] == [
        ("A", True, "T-0001"),
        ("A", True, "T-0002"),
        ("B", False, ""),
    ]
    withdraw_request(own.shop, own.press(), request.id)
    decide_copies(own.shop, own.press(), request.id, {one.id: Decision.SCRAP})
    assert [copy.id for copy in page(own, request).to_decide] == [two.id]


def test_promises_and_what_became_of_them(own: Own) -> None:
    request = own.ask()
    with own.shop.write(own.press(), "promise") as uow:
        said = Promise(
            request_id=request.id,
            to_person_id=own.who("Max"),
            said_at=uow.now,
            likely=TOMORROW,
            at_most=TOMORROW + timedelta(hours=1),
        )
        uow.promises.add(said)
        uow.promises.add(replace(said, outcome="not kept", why="20 min late"))
        uow.commit()
    lines = page(own, request).promises
    assert [line.words for line in lines] == ["ready by Wed 07:00, at most Wed 08:00"] * 2
    assert [line.outcome for line in lines] == ["", "not kept: 20 min late"]


def test_the_history_is_one_line_a_press(own: Own, clock: FakeClock) -> None:
    request = own.ask("Max", safety_answers=(2,), material_id=own.material())
    clock.move(minutes=10)
    send_back(own.shop, own.press(), request.id, "which bore?")
    from printcrib.services.take_request import raise_kept

    raise_kept(own.shop, own.press("Max"), request.id)
    accept_request(own.shop, own.press(), request.id)
    history = page(own, request).history
    told = [(line.who, line.verb, line.words) for line in reversed(history)]
    assert told[0] == ("Max", "raise request", "raised")
    assert told[1] == ("Dora", "send back request", "raised to sent back; sent back reason")
    assert told[3] == (
        "Dora",
        "accept request",
        "raised to accepted; accepted at, accepted by; review open held; 1 copy",
    )
    assert ("the tool", "repair plan", "1 copy") in told
    assert history[-1].when == "07:00"
    release(own.shop, own.press("Rita"), request.id, Terms())
    assert page(own, request).history[0].words == "review open closed"


def test_two_copies_are_copies_in_the_history(own: Own) -> None:
    request = accepted(own, quantity=2)
    assert page(own, request).history[0].words == "2 copies"


def test_a_page_without_materials_has_no_estimates(shop: Shop) -> None:
    from printcrib.core.people import Role
    from printcrib.core.shop import ShopSettings
    from printcrib.services.edit_people import NewPerson
    from printcrib.services.press import Press
    from printcrib.services.set_up_shop import SetUp, set_up_shop
    from printcrib.services.take_request import raise_request

    people = (NewPerson(name="Lea", roles=(Role.LEAD,)),)
    set_up_shop(shop, Press(who_id=0), SetUp(settings=ShopSettings(name="x"), people=people, materials=()))
    request = raise_request(shop, Press(who_id=1), NewRequest(file=BOX, needed_by=TOMORROW)).value
    assert look_at_request(shop, request.id, 1).estimates == ()


def test_estimates_without_prices_have_no_cost(own: Own) -> None:
    request = own.ask(material_id=own.material("PETG"))
    estimate_request(own.shop, own.press(), request)
    rates = {each.printer: each.cost for each in page(own, request).estimates}
    assert rates["Left"].endswith("EUR")
    from printcrib.services.edit_printers import change_printer

    change_printer(own.shop, own.press(), replace(own.printer("Left"), rate_thousandths=None))
    estimate_request(own.shop, own.press(), request)
    assert {each.cost for each in page(own, request).estimates} == {""}


def test_the_pattern_book_and_one_pattern(own: Own) -> None:
    with own.shop.write(own.press(), "insert") as uow:
        magnet = uow.inserts.add(Insert(name="magnet 6 x 3"))
        uow.commit()
    pattern = own.pattern(
        kind="holds",
        material_id=own.material(),
        colour="grey",
        expected_life=3000,
        use_unit="clamp cycles",
        counted_by=CountedBy.PARTS,
        inserts=((magnet.id, 2),),
        finishing_steps=("glue the magnets",),
        safety_answers=(2,),
        take_out_before_start=True,
    )
    size = own.size(pattern, file=replace(BOX, source="own drawing", licence="our own"))
    size = change_size(own.shop, own.press(), replace(size, minimum_spares=3, shelf_place="drawer 4")).value
    own.size(pattern, name="40 x 60", file=None)
    own.pattern(name="funnel")
    request = own.ask(file=None, size_id=size.id, quantity=2, safety_answers=())
    release(own.shop, own.press("Rita"), request.id, Terms())
    accept_request(own.shop, own.press(), request.id)
    for copy in own.copies(request.id):
        ready(own, copy)
    with own.shop.write(own.press(), "hand out") as uow:
        uow.aids.save(replace(uow.aids.get(1), state=AidState.IN_USE))
        uow.commit()
    funnel, row = look_at_patterns(own.shop)
    assert (funnel.name, funnel.life, funnel.material, funnel.sizes) == ("funnel", "", "", 0)
    assert (row.tag, row.kind, row.material, row.life) == ("P-2", "holds", "PLA grey", "3000 clamp cycles")
    assert (row.sizes, row.in_use, row.spares, row.short) == (2, 1, 1, 2)
    assert "Magnets:" in " ".join(caution.words for caution in page(own, request).cautions)
    unfit = own.ask(file=None, size_id=size.id, safety_answers=(9,))
    gone = release(own.shop, own.press("Rita"), unfit.id, Terms()).value
    take_back(own.shop, own.press("Rita"), gone.id, "cracks")
    seen = look_at_pattern(own.shop, pattern.id)
    line, bare = seen.sizes
    assert (line.name, line.revision, line.extents) == ("32 x 60", "A", "40 x 30 x 20 mm")
    assert (line.in_use, line.spares, line.minimum_spares, line.shelf_place) == (1, 1, 3, "drawer 4")
    assert (line.source, line.release) == ("own drawing, our own", "released by Rita on 07:00")
    assert (bare.revision, bare.extents, bare.source, bare.release, bare.findings) == ("", "", "", "", ())
    assert (seen.safety, seen.steps, seen.inserts) == (
        "hold or locate the work",
        ("glue the magnets",),
        ("2 x magnet 6 x 3",),
    )
    assert len(seen.cautions) >= 4
    assert (line.earlier, bare.earlier) == (
        ("revision A, released by Rita on 07:00, lapsed: taken back: cracks",),
        (),
    )
    add_revision(own.shop, own.press(), size.id, replace(BOX, content=b"box 40 30 25"))
    renewed = look_at_pattern(own.shop, pattern.id).sizes[0]
    assert (renewed.revision, renewed.release) == ("B", "")
    assert renewed.earlier == (*line.earlier, "revision A, released by Rita on 07:00")


def test_patterns_are_found_by_their_own_or_a_sizes_name(own: Own) -> None:
    rest = own.pattern(name="caliper rest", kind="holds")
    own.size(rest, name="150")
    own.pattern(name="funnel", kind="guides")
    for text, names in (
        ("REST", ["caliper rest"]),
        ("150", ["caliper rest"]),
        ("guides", ["funnel"]),
        ("P-3", ["funnel"]),
    ):
        assert [row.name for row in look_at_patterns(own.shop, text)] == names
    assert look_at_patterns(own.shop, "no such") == ()
    unanswered = look_at_pattern(own.shop, rest.id)
    assert (unanswered.safety, unanswered.inserts) == ("not answered", ())
    answered = change_pattern(own.shop, own.press(), replace(rest, safety_answers=())).value
    assert look_at_pattern(own.shop, answered.id).safety == "none of these"


def test_the_settings_are_ready_to_show(own: Own) -> None:
    left = own.printer("Left")
    set_profile(own.shop, own.press(), left.id, 600, {"walls": 4})
    set_profile(own.shop, own.press(), left.id, 600, {"fill": 0.5}, material_id=own.material("PETG"))
    answer_unattended(own.shop, own.press("Lea"), left.id, own.material("PETG"), False)
    (extra,) = add_nozzles(own.shop, own.press(), NewNozzle(bore_um=1000)).value
    change_nozzle(own.shop, own.press(), replace(extra, retired=True))
    seen = look_at_settings(own.shop)
    assert seen.settings == own.made.settings
    assert [(line.name, line.roles, line.has_pin) for line in seen.people][:2] == [
        ("Dora", "desk", False),
        ("Lea", "lead", True),
    ]
    assert [(line.words, line.where) for line in seen.nozzles] == [
        ("0.4 (N-1)", "on Left"),
        ("0.6 hardened (N-2)", "for Left"),
        ("0.4 (N-3)", "on Right"),
        ("0.8 (N-4)", "for any printer"),
        ("1.0 (N-5)", "retired"),
    ]
    near, far = seen.printers
    assert (near.platform, near.fitted, near.rate) == ("220 x 220 x 220 mm", "0.4 (N-1)", "2.00 EUR an hour")
    assert (near.materials, far.materials, far.rate) == ("all", "PLA", "")
    assert [(line.nozzle, line.material, line.values) for line in near.profiles] == [
        ("0.6", "every material", (("walls", 4, 2.0),)),
        ("0.6", "PETG", (("fill", 0.5, 0.2),)),
    ]
    assert [(line.name, line.words) for line in seen.days][4:6] == [
        ("Fri", "07:00 to 16:00"),
        ("Sat", "nobody in"),
    ]
    answers = {(line.printer, line.material): (line.allowed, line.who) for line in seen.unattended}
    assert answers == {
        ("Left", "PLA"): (True, "Lea"),
        ("Left", "PETG"): (False, "Lea"),
        ("Left", "PA + 30 % glass"): (False, ""),
        ("Right", "PLA"): (False, ""),
    }
    assert [machine.name for machine in seen.machines] == ["Lathe 1", "Mill 2"]


def test_printers_and_materials_switched_off_are_not_asked_about(own: Own) -> None:
    from printcrib.services.edit_printers import change_printer
    from printcrib.services.edit_shop import change_material

    off = replace(own.printer("Right"), active=False)
    change_printer(own.shop, own.press(), off)
    change_material(own.shop, own.press(), replace(own.made.materials["PETG"], active=False))
    asked = [(line.printer, line.material) for line in look_at_settings(own.shop).unattended]
    assert asked == [("Left", "PA + 30 % glass"), ("Left", "PLA")]


def test_a_shop_not_set_up_yet_has_no_settings(shop: Shop) -> None:
    seen = look_at_settings(shop)
    assert (seen.settings, seen.people, len(seen.days)) == (None, (), 7)


def test_typical_values_start_a_profile(own: Own) -> None:
    assert typical_values(own.shop, 600)["density_g_cm3"] == 1.24
    assert typical_values(own.shop, 600, own.material("PETG"))["density_g_cm3"] == 1.27
    assert typical_values(own.shop, 400)["line_width_mm"] == 0.44


def test_a_done_request_that_was_late_says_so(own: Own, clock: FakeClock) -> None:
    request = accepted(own, purpose=Purpose.TRY_FIT)
    clock.set(TOMORROW + timedelta(minutes=30))
    ready(own, own.copies(request.id)[0], CopyState.HANDED_OUT)
    from printcrib.services.finish_copy import close_if_done

    with own.shop.write(own.press(), "close") as uow:
        close_if_done(uow, request.id)
        uow.commit()
    (row,) = look_at_requests(own.shop, Asked(which=Which.ALL)).rows
    assert (row.state, row.timing, row.is_late) == ("done", "late 30 min", True)
