"""Taking a run off: copies, grams, nozzle, hours, aids, and what a failure leads to."""

from datetime import timedelta

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.errors import ShopError
from printcrib.core.materials import Source, SpoolState
from printcrib.core.requests import Copy, CopyState, HoldKind, Purpose, RequestState
from printcrib.core.runs import Run, RunState
from printcrib.services.interfaces import Shop, UnitOfWork, is_
from printcrib.services.judge_copies import Judged, Outcome, Verdict, judge_copies
from printcrib.services.plan_runs import repair_plan
from printcrib.services.start_run import Start, start_run
from printcrib.services.stop_run import stop_run
from printcrib.services.take_off_run import TakeOff, take_off_run


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def started(desk: PrintDesk, told: Start | None = None, **ask: object) -> Run:
    """One request asked for, planned on North and started."""
    ask.setdefault("printers", (desk.north,))
    ask.setdefault("minutes", {400: 100.0})
    desk.ask(**ask)  # type: ignore[arg-type]
    repair_plan(desk.shop, desk.press())
    run = desk.runs(RunState.KEPT)[-1]
    return start_run(desk.shop, desk.press(), run.id, told or Start()).value


def failed(copy: Copy, cause: str = "not known yet") -> dict[int, Verdict]:
    return {copy.id: Verdict(Outcome.FAILED, cause)}


def test_all_good_is_one_press(desk: PrintDesk) -> None:
    run = started(desk, quantity=2)
    desk.clock.move(minutes=240)
    done = take_off_run(desk.shop, desk.press(), run.id)
    taken = done.value
    assert taken.words == "Run 1 taken off North: 2 good, 0 failed."
    assert taken.run.state is RunState.TAKEN_OFF
    assert taken.run.taken_off_at == desk.now()
    assert (taken.run.minutes, taken.run.minutes_source) == (209, Source.ASSUMED)
    assert (taken.run.mg, taken.run.grams_source) == (41_000, Source.ASSUMED)
    assert desk.states(1) == [CopyState.READY] * 2
    assert desk.entries(desk.spools["grey"]) == [("received", 800_000), ("printed", -41_000)]
    with desk.shop.read() as uow:
        assert [aid.tag for aid in uow.aids.find()] == ["T-0001", "T-0002"]
        nozzle = uow.nozzles.get(desk.nozzles["4"])
        assert (nozzle.minutes_used, nozzle.mg_used) == (209, 41_000)
        verbs = {change.verb for change in uow.changes.of_press(done.press_number)}
    assert verbs == {"take off run"}


def test_finishing_steps_come_before_ready(desk: PrintDesk) -> None:
    run = started(desk, steps=("deburr",))
    take_off_run(desk.shop, desk.press(), run.id)
    assert desk.states(1) == [CopyState.FINISHING]


def test_figures_told_keep_their_source(desk: PrintDesk) -> None:
    run = started(desk, Start(minutes=90.0, mg=18_000))
    told = TakeOff(minutes=92.5, mg=18_400)
    taken = take_off_run(desk.shop, desk.press(), run.id, told).value
    assert (taken.run.minutes, taken.run.minutes_source) == (92.5, Source.PANEL)
    assert (taken.run.mg, taken.run.grams_source) == (18_400, Source.WEIGHED)
    assert (taken.run.file_minutes, taken.run.file_mg) == (90.0, 18_000)


def test_a_failed_copy_is_wanted_again_and_its_grams_are_scrap(desk: PrintDesk) -> None:
    run = started(desk, quantity=2)
    first, second = desk.copies(1)
    verdicts = {**failed(first, "corner lifted"), second.id: Verdict()}
    taken = take_off_run(desk.shop, desk.press(), run.id, TakeOff(verdicts=verdicts, percent=60.0)).value
    assert taken.words == "Run 1 taken off North: 1 good, 1 failed."
    (new,) = taken.judged.new
    assert (new.ordinal, new.replaces_id) == (3, first.id)
    assert desk.copies(1)[0].cause == "corner lifted"
    assert desk.states(1) == [CopyState.FAILED, CopyState.READY, CopyState.ON_RUN]
    assert desk.entries(desk.spools["grey"])[1:] == [("printed", -20_500), ("scrap", -20_500)]
    (failure,) = taken.judged.failures
    assert (failure.cause, failure.cause_group, failure.percent) == ("corner lifted", "machine", 60.0)
    assert (failure.mg_lost, failure.minutes_lost) == (20_500, 104.5)
    assert taken.run.stopped_at_percent is None


def test_a_run_lost_half_way_took_half(desk: PrintDesk) -> None:
    run = started(desk)
    told = TakeOff(verdicts=failed(desk.copies(1)[0], "ran out"), percent=50.0)
    taken = take_off_run(desk.shop, desk.press(), run.id, told).value
    assert taken.run.mg == 10_500
    assert desk.entries(desk.spools["grey"])[1:] == [("scrap", -10_500)]


def test_three_new_copies_then_a_question(desk: PrintDesk) -> None:
    run = started(desk)
    for tries in range(4):
        copy = desk.copies(1)[-1]
        told = TakeOff(verdicts=failed(copy, "damp"))
        taken = take_off_run(desk.shop, desk.press(), run.id, told).value
        if tries < 3:
            assert len(taken.judged.new) == 1
            run = desk.runs(RunState.KEPT)[-1]
            run = start_run(desk.shop, desk.press(), run.id).value
    assert taken.judged.new == ()
    (hold,) = taken.judged.held
    assert hold.kind is HoldKind.QUESTION
    assert hold.words == "R 1/4 failed again (damp) after 3 new copies. Say go on, or what else to do."
    assert len(desk.copies(1)) == 4


def test_a_design_failure_goes_back_to_the_asker(desk: PrintDesk) -> None:
    run = started(desk, quantity=1)
    with desk.shop.write(desk.press(), "more") as uow:
        uow.copies.add(Copy(request_id=1, ordinal=2, size_id=1))
        uow.commit()
    told = TakeOff(verdicts=failed(desk.copies(1)[0], "too thin"))
    taken = take_off_run(desk.shop, desk.press(), run.id, told).value
    assert taken.judged.new == ()
    assert taken.judged.held[0].words == "R 1/1 failed on run 1: too thin. Change the model, or say go on."
    assert desk.states(1) == [CopyState.FAILED, CopyState.WANTED]
    assert desk.runs(RunState.KEPT) == []


def test_a_withdrawn_request_wants_nothing_new(desk: PrintDesk) -> None:
    run = started(desk, quantity=2)
    desk.change("requests", 1, state=RequestState.WITHDRAWN)
    first, second = desk.copies(1)
    told = TakeOff(verdicts={**failed(first), second.id: Verdict(Outcome.SCRAP)})
    taken = take_off_run(desk.shop, desk.press(), run.id, told).value
    assert taken.judged.new == ()
    assert desk.states(1) == [CopyState.FAILED, CopyState.SCRAP]
    assert taken.words == "Run 1 taken off North: 0 good, 1 failed, 1 scrap."
    assert desk.entries(desk.spools["grey"])[1:] == [("scrap", -41_000)]


def test_copies_to_check_are_judged_later(desk: PrintDesk) -> None:
    run = started(desk, quantity=2)
    first, second = desk.copies(1)
    told = TakeOff(verdicts={c.id: Verdict(Outcome.TO_CHECK) for c in (first, second)})
    taken = take_off_run(desk.shop, desk.press(), run.id, told).value
    assert taken.words == "Run 1 taken off North: 0 good, 0 failed, 2 to check."
    assert desk.states(1) == [CopyState.TO_CHECK] * 2
    verdicts = {first.id: Verdict(Outcome.TO_CHECK), **failed(second, "knocked")}
    judged = judge_copies(desk.shop, desk.press(), verdicts).value
    assert (len(judged.to_check), len(judged.failed), len(judged.new)) == (1, 1, 1)
    assert desk.entries(desk.spools["grey"])[1:] == [
        ("printed", -41_000),
        ("printed", 20_500),
        ("scrap", -20_500),
    ]
    assert judged.failures[0].mg_lost == 20_500
    judge_copies(desk.shop, desk.press(), {first.id: Verdict()})
    assert desk.states(1) == [CopyState.READY, CopyState.FAILED, CopyState.ON_RUN]
    assert len(desk.entries(desk.spools["grey"])) == 4


def test_a_good_copy_without_answers_waits_in_finishing(desk: PrintDesk) -> None:
    run = started(desk)
    desk.change("requests", 1, safety_answers=None)
    take_off_run(desk.shop, desk.press(), run.id)
    assert desk.states(1) == [CopyState.FINISHING]


def test_a_copy_to_try_needs_no_answers(desk: PrintDesk) -> None:
    run = started(desk, purpose=Purpose.TRY_FIT)
    desk.change("requests", 1, safety_answers=None)
    take_off_run(desk.shop, desk.press(), run.id)
    assert desk.states(1) == [CopyState.READY]


def test_what_is_on_a_printer_cannot_be_judged(desk: PrintDesk) -> None:
    started(desk)
    with pytest.raises(ShopError, match="R 1/1 is not off the printer"):
        judge_copies(desk.shop, desk.press(), {1: Verdict()})


def test_every_copy_gets_a_verdict(desk: PrintDesk) -> None:
    run = started(desk, quantity=2)
    with pytest.raises(ShopError, match="Nothing was said of R 1/2"):
        take_off_run(desk.shop, desk.press(), run.id, TakeOff(verdicts={1: Verdict()}))
    verdicts = {1: Verdict(), 2: Verdict(), 77: Verdict()}
    with pytest.raises(ShopError, match="A copy named is not on run 1"):
        take_off_run(desk.shop, desk.press(), run.id, TakeOff(verdicts=verdicts))
    assert desk.states(1) == [CopyState.PRINTING] * 2


def test_only_what_is_on_a_printer_is_taken_off(desk: PrintDesk) -> None:
    run = started(desk)
    take_off_run(desk.shop, desk.press(), run.id)
    with pytest.raises(ShopError, match="Run 1 is taken off"):
        take_off_run(desk.shop, desk.press(), run.id)


def test_a_stopped_run_books_its_share_at_take_off(desk: PrintDesk) -> None:
    run = started(desk)
    desk.clock.move(minutes=54)
    stopped = stop_run(desk.shop, desk.press(), run.id).value
    assert stopped.words == "Run 1 stopped at 50 %: 11 g and 54 min are lost."
    assert desk.entries(desk.spools["grey"]) == [("received", 800_000)]
    told = TakeOff(verdicts=failed(desk.copies(1)[0], "stopped by hand"))
    taken = take_off_run(desk.shop, desk.press(), run.id, told).value
    assert (taken.run.minutes, taken.run.mg) == (54, 10_500)
    assert taken.judged.failures[0].percent == 50.0


def test_another_spool_costs_a_purge(desk: PrintDesk) -> None:
    run = started(desk, Start(spool_id=desk.spools["grey2"]))
    assert run.changed_material
    take_off_run(desk.shop, desk.press(), run.id)
    assert desk.entries(desk.spools["grey2"])[1:] == [("purge", -1500), ("printed", -21_000)]
    again = started(desk)
    assert again.spool_ids == (desk.spools["grey2"],)
    assert not again.changed_material
    assert not again.swapped_nozzle


def test_the_second_spool_goes_on_when_the_first_is_empty(desk: PrintDesk) -> None:
    with desk.shop.write(desk.press(), "use") as uow:
        _print(uow, desk.spools["grey"], 780_000)
        uow.commit()
    run = started(desk, Start(mg=50_000, second_spool_id=desk.spools["grey2"]), part_mg=5_000)
    take_off_run(desk.shop, desk.press(), run.id)
    assert desk.entries(desk.spools["grey"])[2:] == [("printed", -12_000), ("thrown away", -8_000)]
    assert desk.entries(desk.spools["grey2"])[1:] == [("printed", -38_000)]
    with desk.shop.read() as uow:
        assert uow.spools.get(desk.spools["grey"]).state is SpoolState.EMPTY
        assert uow.spools.get(desk.spools["grey2"]).state is SpoolState.ON_PRINTER
        assert uow.printers.get(desk.north).mounted_spool_id == desk.spools["grey2"]


def test_a_second_spool_that_was_not_needed_stays_on_the_shelf(desk: PrintDesk) -> None:
    run = started(desk, Start(second_spool_id=desk.spools["grey2"]))
    take_off_run(desk.shop, desk.press(), run.id)
    assert desk.entries(desk.spools["grey2"]) == [("received", 300_000)]
    with desk.shop.read() as uow:
        assert uow.printers.get(desk.north).mounted_spool_id == desk.spools["grey"]


def test_a_first_spool_below_its_tail_is_not_thrown_away_twice(desk: PrintDesk) -> None:
    run = started(desk, Start(second_spool_id=desk.spools["grey2"]))
    with desk.shop.write(desk.press(), "use") as uow:
        _print(uow, desk.spools["grey"], 800_000)
        uow.commit()
    take_off_run(desk.shop, desk.press(), run.id)
    assert desk.entries(desk.spools["grey"])[-1] == ("printed", -800_000)
    assert desk.entries(desk.spools["grey2"])[1:] == [("printed", -21_000)]


def test_the_same_spool_named_twice_is_one(desk: PrintDesk) -> None:
    run = started(desk, Start(second_spool_id=desk.spools["grey"]))
    assert run.spool_ids == (desk.spools["grey"],)


def test_really_at(desk: PrintDesk) -> None:
    run = started(desk)
    desk.clock.move(minutes=600)
    early = desk.now() - timedelta(minutes=120)
    taken = take_off_run(desk.shop, desk.press(early), run.id).value
    assert taken.run.taken_off_at == early
    assert desk.copies(1)[0].ready_at == early


def test_the_same_press_twice_is_booked_once(desk: PrintDesk) -> None:
    from printcrib.services.interfaces import AlreadyBooked

    run = started(desk)
    press = desk.press()
    take_off_run(desk.shop, press, run.id)
    with pytest.raises(AlreadyBooked):
        take_off_run(desk.shop, press, run.id)
    assert len(desk.entries(desk.spools["grey"])) == 2


def test_copies_without_estimates_share_equally(desk: PrintDesk) -> None:
    run = started(desk, quantity=2)
    with desk.shop.write(desk.press(), "forget") as uow:
        from dataclasses import replace

        for known in uow.estimates.find():
            uow.estimates.save(replace(known, part_mg=0))
        uow.commit()
    first, second = desk.copies(1)
    told = TakeOff(verdicts={**failed(first), second.id: Verdict()})
    assert take_off_run(desk.shop, desk.press(), run.id, told).value.judged.failures[0].mg_lost == 20_500


def test_words_of_nothing() -> None:
    assert Judged().words == "0 good, 0 failed"


def test_copies_of_a_run_without_spool_book_nothing(desk: PrintDesk) -> None:
    run = started(desk)
    desk.change("runs", run.id, spool_ids=(), nozzle_id=None)
    told = TakeOff(verdicts={1: Verdict(Outcome.TO_CHECK)})
    take_off_run(desk.shop, desk.press(), run.id, told)
    judge_copies(desk.shop, desk.press(), failed(desk.copies(1)[0]))
    assert desk.entries(desk.spools["grey"]) == [("received", 800_000)]
    with desk.shop.read() as uow:
        assert uow.nozzles.get(desk.nozzles["4"]).mg_used == 0
        assert uow.failures.count(is_("run_id", run.id)) == 1


def _print(uow: UnitOfWork, spool_id: int, mg: int) -> None:
    from printcrib.core.materials import SpoolEntry, SpoolEntryKind

    uow.spool_entries.add(SpoolEntry(spool_id=spool_id, kind=SpoolEntryKind.PRINTED, mg=-mg, who_id=0))
