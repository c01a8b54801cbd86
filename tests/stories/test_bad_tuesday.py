"""A bad Tuesday told by the services, hour by hour; each hour says what must be so after it."""

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from tests.stories.crib import Crib, begin_crib, model_file, wall

from printcrib.app.command_line import main
from printcrib.app.demo.sketch import bracket_sketch
from printcrib.core.aids import Aid, AidState, Sure
from printcrib.core.errors import ShopError
from printcrib.core.materials import Source, SpoolEntryKind
from printcrib.core.patterns import CountedBy, Pattern, Size
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import CopyState, HoldKind, Purpose, Request, RequestState
from printcrib.core.runs import Run, RunState
from printcrib.core.safety import NOT_FOR_USE
from printcrib.meshes import made
from printcrib.services.accept_request import Choices, accept_request
from printcrib.services.answer_safety import answer_safety
from printcrib.services.ask_weekly import weekly_questions
from printcrib.services.change_request import change_details, change_model
from printcrib.services.check_books import check_books as against_themselves
from printcrib.services.count_use import answer_same_as_usual, parts_made
from printcrib.services.decide_copies import Decision, decide_copies
from printcrib.services.do_duties import do_duties
from printcrib.services.edit_patterns import add_pattern, add_size
from printcrib.services.finish_copy import finish_copies, say_fit
from printcrib.services.hand_out_aid import hand_out
from printcrib.services.interfaces import is_
from printcrib.services.judge_copies import GOOD, Outcome, Verdict, judge_copies
from printcrib.services.keep_by_hand import KeptByHand
from printcrib.services.log_failure import name_cause
from printcrib.services.look_at_desk import look_at_desk
from printcrib.services.press import Press
from printcrib.services.release_use import Terms, release
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import start_next
from printcrib.services.take_off_run import TakeOff, take_off_run
from printcrib.services.take_request import NewRequest, raise_request
from printcrib.services.weekly_report import week, week_json
from printcrib.storage.check import check_books as as_kept

MONDAY_BEFORE, TUESDAY_BEFORE = "2026-11-16", "2026-11-17"
MONDAY, TUESDAY = "2026-11-23", "2026-11-24"


@pytest.fixture
def crib(tmp_path: Path) -> Iterator[Crib]:
    """The shop eight days before, with a length stop in its pattern book."""
    crib = begin_crib(tmp_path / "shop", wall(MONDAY_BEFORE, "07:30"))
    yield crib
    crib.close()


class Tuesday:
    """What happens, and what it was about."""

    def __init__(self, crib: Crib) -> None:
        self.crib, self.shop = crib, crib.shop
        self.stop_aid: Aid | None = None

    def at(self, day: str, clock: str) -> None:
        """The clock on the wall goes on."""
        self.crib.clock.go_to(wall(day, clock))

    # The week before: one aid in use, counted once.

    def one_aid_is_in_use_and_counted_once(self) -> Aid:
        crib, shop = self.crib, self.shop
        pattern = Pattern(
            number=0,
            name="length stop",
            use_unit="parts",
            counted_by=CountedBy.PARTS,
            expected_life=4_000,
            material_id=crib.material("PLA"),
        )
        pattern = add_pattern(shop, crib.press("Dora"), pattern).value
        file = model_file(made.length_stop(20.0, 60.0), "stop-20.stl")
        size = Size(pattern_id=pattern.id, name="20 x 60")
        size = add_size(shop, crib.press("Dora"), size, file).value
        ask = NewRequest(
            size_id=size.id,
            machine_id=crib.machine("Lathe 1"),
            needed_by=wall(MONDAY_BEFORE, "14:00"),
            safety_answers=(),
        )
        request = self.asked_and_accepted("Max", ask)
        run = self.started(request)
        self.at(MONDAY_BEFORE, "09:10")
        self.off(run)
        (copy,) = crib.copies(request)
        aid = hand_out(shop, crib.press("Max"), copy.id).value.aid
        assert aid is not None
        self.at(TUESDAY_BEFORE, "15:30")
        assert parts_made(shop, crib.press("Max"), aid.id, 180).value.count == 180
        return aid

    # Monday afternoon: a long run is left alone over night.

    def a_run_is_left_alone_over_night(self) -> tuple[Request, Run]:
        crib = self.crib
        self.at(MONDAY, "15:30")
        ask = NewRequest(
            file=model_file(made.collet_tray(33.0, 5, 2), "tray.stl"),
            words="tray for the new collets",
            material_id=crib.material("PLA"),
            machine_id=crib.machine("Mill 2"),
            needed_by=wall(TUESDAY, "15:00"),
            safety_answers=(),
        )
        request = self.asked_and_accepted("Otto", ask)
        self.at(MONDAY, "15:45")
        run = self.started(request)
        assert run.printer_id == crib.printer("Left")  # the only one that may run with nobody in
        assert run.planned_end is not None
        assert run.planned_end > wall(MONDAY, "16:00")
        return request, run

    # Tuesday 07:06: Max needs something at once and has no model, only words and a photo.

    def something_is_needed_at_once_in_words_and_a_photo(self) -> Request:
        crib, shop = self.crib, self.shop
        self.at(TUESDAY, "07:06")
        photo = bracket_sketch()
        ask = NewRequest(
            words="stop for the 38 bar, the old one is broken",
            photo=photo,
            photo_kind="png",
            needed_by=wall(TUESDAY, "11:30"),
            machine_id=crib.machine("Lathe 1"),
            reason="Lathe 1 waits",
        )
        rush = raise_request(shop, crib.press("Max"), ask).value
        assert shop.files.get(rush.photo_sha) == photo
        assert {hold.kind for hold in crib.holds(rush)} == {HoldKind.NEEDS_MODEL, HoldKind.SAFETY}
        with pytest.raises(ShopError, match=rf"^{rush.tag} still needs a model"):
            accept_request(shop, crib.press("Dora"), rush.id)
        assert crib.copies(rush) == ()
        return rush

    # Tuesday 07:25: what lay on Left since the night is booked as found at 07:00.

    def the_night_went_wrong(self, tray: Request, run: Run) -> None:
        crib, shop = self.crib, self.shop
        self.at(TUESDAY, "07:25")
        left = next(row for row in look_at_desk(shop).printers if row.printer.name == "Left")
        assert left.run is not None
        assert left.run.over  # by the clock; nothing is booked until somebody says so
        assert crib.run(run.id).state is RunState.STARTED
        (lost,) = crib.copies(tray)
        told = TakeOff(
            verdicts={lost.id: Verdict(Outcome.FAILED)},
            minutes=171.0,
            minutes_source=Source.PANEL,
            percent=35.0,
        )
        found_at = wall(TUESDAY, "07:00")
        taken = take_off_run(shop, crib.press("Dora", really_at=found_at), run.id, told).value
        assert taken.words == f"Run {run.number} taken off Left: 0 good, 1 failed."
        assert taken.run.taken_off_at == found_at
        assert (taken.run.minutes, taken.run.minutes_source) == (171.0, Source.PANEL)
        with shop.read() as uow:
            (failure,) = uow.failures.find()
            (change,) = [c for c in uow.changes.since(0, limit=10_000) if c.verb == "take off run"][-1:]
            entries = uow.spool_entries.find(is_("run_id", run.id))
        assert (failure.cause, failure.percent, failure.happened_at) == ("not known yet", 35.0, found_at)
        assert change.happened_at == found_at
        assert change.recorded_at - found_at >= timedelta(minutes=25)
        assert {entry.kind for entry in entries} == {SpoolEntryKind.SCRAP}
        assert taken.run.mg is not None
        assert -sum(entry.mg for entry in entries) < 0.5 * run.estimated_mg
        lost, new = crib.copies(tray)
        assert lost.state is CopyState.FAILED
        assert (new.replaces_id, new.state) == (lost.id, CopyState.ON_RUN)

    # Tuesday 07:30: Otto started something on Right before anybody was there.

    def otto_started_something_by_hand(self) -> Run:
        crib, shop = self.crib, self.shop
        self.at(TUESDAY, "07:30")
        press = crib.press("Otto", really_at=wall(TUESDAY, "06:45"))
        free = wall(TUESDAY, "08:30")
        run = run_by_hand(shop, press, crib.printer("Right"), free).value.run
        assert (run.started_at, run.planned_end) == (wall(TUESDAY, "06:45"), free)
        for each in self.planned_on("Right"):
            assert each.planned_start is not None
            assert each.planned_start >= free  # frozen until then
        return run

    # Tuesday 07:40: Dora draws it, Max answers, one to try the fit comes first.

    def a_model_comes_and_one_is_asked_to_try(self, rush: Request) -> None:
        crib, shop = self.crib, self.shop
        self.at(TUESDAY, "07:40")
        first = model_file(made.length_stop(38.0, 50.0), "stop-38.stl")
        change_model(shop, crib.press("Dora"), rush.id, first)
        answer_safety(shop, crib.press("Max"), rush.id, (2,))
        request = crib.request(rush.number)
        change_details(shop, crib.press("Max"), replace(request, purpose=Purpose.TRY_FIT))
        choices = Choices(material_id=crib.material("PLA"), weight=5)
        accepted = accept_request(shop, crib.press("Dora"), rush.id, choices).value
        assert accepted.trouble == ""
        assert accepted.promise is not None
        assert accepted.promise.at_most < wall(TUESDAY, "11:30")
        assert crib.holds(rush) == ()  # to try the fit needs no release
        (copy,) = crib.copies(rush)
        assert crib.run_of(copy).printer_id == crib.printer("Right")  # free in time; Left has the tray

    # Tuesday 10:25: it is tight, the model changes.

    def it_is_tight_and_the_model_changes(self, rush: Request) -> None:
        crib, shop = self.crib, self.shop
        self.at(TUESDAY, "08:50")
        run = self.started(rush)
        self.at(TUESDAY, "10:27")
        self.off(run)
        (tried,) = crib.copies(rush)
        assert (tried.state, tried.aid_id) == (CopyState.READY, None)
        say_fit(shop, crib.press("Max"), tried.id, "0.3 tight")
        wider = model_file(made.length_stop(38.4, 50.0), "stop-38-wider.stl")
        changed = change_model(shop, crib.press("Dora"), rush.id, wider).value
        assert [copy.id for copy in changed.to_decide] == [tried.id]
        decide_copies(shop, crib.press("Dora"), rush.id, {tried.id: Decision.SCRAP})
        scrap, new = crib.copies(rush)
        assert (scrap.state, scrap.fit_result) == (CopyState.SCRAP, "0.3 tight")
        assert (new.replaces_id, new.state) == (scrap.id, CopyState.ON_RUN)
        run = self.started(rush)
        self.at(TUESDAY, "11:28")
        self.off(run)
        _, new = crib.copies(rush)
        with shop.read() as uow:
            revisions = [uow.models.get(copy.model_id or 0).revision for copy in (scrap, new)]
        assert revisions == ["A", "B"]  # what was printed keeps its revision
        say_fit(shop, crib.press("Max"), new.id, "fits")
        handed = hand_out(shop, crib.press("Max"), new.id).value
        assert (handed.mark, handed.aid) == (NOT_FOR_USE, None)
        assert handed.request.state is RequestState.DONE

    # Tuesday 08:40: what Otto had started is kept, and asked about before it goes anywhere.

    def what_otto_started_is_kept(self, run: Run) -> None:
        crib, shop = self.crib, self.shop
        self.at(TUESDAY, "08:40")
        with shop.read() as uow:
            spool_id = uow.printers.get(run.printer_id).mounted_spool_id
        kept = KeptByHand(
            words="hook for the hoses",
            asker_id=crib.press("Otto").who_id,
            machine_id=crib.machine("Mill 2"),
        )
        taken = take_off_run(
            shop, crib.press("Dora"), run.id, TakeOff(spool_id=spool_id, mg=14_000, kept=kept)
        ).value
        assert (taken.run.mg, taken.run.grams_source) == (14_000, Source.WEIGHED)
        with shop.read() as uow:
            request = uow.requests.get(taken.kept_request_id or 0)
        assert {hold.kind for hold in crib.holds(request)} == {HoldKind.SAFETY}
        (copy,) = crib.copies(request)
        judge_copies(shop, crib.press("Dora"), {copy.id: GOOD})
        with pytest.raises(ShopError, match="safety questions"):
            finish_copies(shop, crib.press("Dora"), [copy.id])
        answer_safety(shop, crib.press("Otto"), request.id, ())
        finish_copies(shop, crib.press("Dora"), [copy.id])
        aid = hand_out(shop, crib.press("Otto"), copy.id).value.aid
        assert aid is not None
        assert (aid.state, aid.machine_id) == (AidState.IN_USE, crib.machine("Mill 2"))

    # Tuesday 07:45: the tray goes on again, the platform washed.

    def the_tray_is_begun_again(self, tray: Request) -> Run:
        self.at(TUESDAY, "07:45")
        run = self.started(tray)
        assert run.printer_id == self.crib.printer("Left")
        return run

    # Tuesday 07:50: nobody counted for a week; the question is answered, and a reprint follows.

    def nobody_counted_for_a_week(self, aid: Aid) -> None:
        crib, shop = self.crib, self.shop
        self.at(TUESDAY, "07:50")
        (question,) = weekly_questions(shop)
        assert (question.aid_id, question.asked) == (aid.id, "parts since Tue 17 Nov?")
        assert question.usual is not None
        counted = answer_same_as_usual(shop, crib.press("Max"), aid.id).value
        assert (counted.entry.amount, counted.entry.sure) == (question.usual, Sure.ASSUMED)
        assert counted.count == 180 + question.usual
        assert weekly_questions(shop) == ()
        assert "raise reprints" in self.tool_looks_after_things()
        assert "raise reprints" not in self.tool_looks_after_things()
        with shop.read() as uow:
            (reprint,) = uow.requests.find(is_("replaces_aid_id", aid.id))
        assert (reprint.asker_id, reprint.state) == (THE_TOOL, RequestState.ACCEPTED)
        assert reprint.needed_by is not None
        assert reprint.needed_by > wall(TUESDAY, "16:00")  # it does not push the rush aside

    # Tuesday 11:30: it fits; the one for use holds the work, so Rita has to release it.

    def one_for_use_is_released_and_handed_out(self, rush: Request) -> None:
        crib, shop = self.crib, self.shop
        self.at(TUESDAY, "11:30")
        tried = crib.request(rush.number)
        ask = NewRequest(
            size_id=tried.size_id,
            words=tried.words,
            material_id=tried.material_id,
            machine_id=tried.machine_id,
            needed_by=wall(TUESDAY, "14:00"),
            follows_id=tried.id,
            safety_answers=(2,),
        )
        request = self.asked_and_accepted("Max", ask)
        assert {hold.kind for hold in crib.holds(request)} == {HoldKind.REVIEW}
        run = self.started(request)  # printed while it waits
        self.at(TUESDAY, "12:35")
        self.off(run)
        (copy,) = crib.copies(request)
        assert copy.state is CopyState.READY
        with pytest.raises(ShopError, match=r"Local codes and licensed practice come first\.$"):
            hand_out(shop, crib.press("Max"), copy.id)
        with pytest.raises(ShopError):
            release(shop, crib.press("Max"), request.id, Terms())
        self.at(TUESDAY, "12:50")
        release(shop, crib.press("Rita"), request.id, Terms(conditions="dry, light cuts"))
        assert crib.holds(request) == ()
        handed = hand_out(shop, crib.press("Max"), copy.id).value
        assert handed.aid is not None
        assert (handed.aid.state, handed.aid.machine_id) == (AidState.IN_USE, crib.machine("Lathe 1"))
        assert handed.request.state is RequestState.DONE

    # Tuesday 14:10: why the night went wrong is known; the second tray is out.

    def the_night_is_made_good(self, tray: Request, again: Run) -> None:
        crib, shop = self.crib, self.shop
        self.at(TUESDAY, "14:10")
        with shop.read() as uow:
            (failure,) = uow.failures.find()
        named = name_cause(
            shop, crib.press("Dora"), failure.id, "first layer let go", done_about_it="platform washed"
        ).value
        assert (named.called_off, named.new) == ((), ())  # the machine's, so the new copy stands
        self.off(again)
        lost, new = crib.copies(tray)
        assert (lost.cause, new.state) == ("first layer let go", CopyState.READY)
        hand_out(shop, crib.press("Otto"), new.id)
        assert crib.request(tray.number).state is RequestState.DONE

    # Short ways.

    def asked_and_accepted(self, name: str, ask: NewRequest) -> Request:
        """Somebody asks, the desk accepts."""
        request = raise_request(self.shop, self.crib.press(name), ask).value
        accepted = accept_request(self.shop, self.crib.press("Dora"), request.id).value
        assert accepted.trouble == ""
        return accepted.request

    def started(self, request: Request) -> Run:
        """The run its copies stand on is started as planned."""
        run = self.crib.run_of(next(c for c in self.crib.copies(request) if c.state is CopyState.ON_RUN))
        begun = start_next(self.shop, self.crib.press("Dora"), run.printer_id).value
        assert begun.id == run.id
        return begun

    def off(self, run: Run) -> None:
        """All good, in one press."""
        take_off_run(self.shop, self.crib.press("Dora"), run.id)

    def planned_on(self, printer: str) -> list[Run]:
        """The runs kept on a printer."""
        with self.shop.read() as uow:
            return [
                run
                for run in uow.runs.find(is_("printer_id", self.crib.printer(printer)))
                if run.state is RunState.KEPT
            ]

    def tool_looks_after_things(self) -> tuple[str, ...]:
        """What the window's timer does every minute."""
        return do_duties(self.shop, Press(who_id=THE_TOOL, station="crib")).value.done


def test_a_bad_tuesday(crib: Crib, capsys: pytest.CaptureFixture[str]) -> None:
    tuesday = Tuesday(crib)
    aid = tuesday.one_aid_is_in_use_and_counted_once()
    tray, night = tuesday.a_run_is_left_alone_over_night()
    rush = tuesday.something_is_needed_at_once_in_words_and_a_photo()
    tuesday.the_night_went_wrong(tray, night)
    by_hand = tuesday.otto_started_something_by_hand()
    tuesday.a_model_comes_and_one_is_asked_to_try(rush)
    again = tuesday.the_tray_is_begun_again(tray)
    tuesday.nobody_counted_for_a_week(aid)
    tuesday.what_otto_started_is_kept(by_hand)
    tuesday.it_is_tight_and_the_model_changes(rush)
    tuesday.one_for_use_is_released_and_handed_out(rush)
    tuesday.the_night_is_made_good(tray, again)
    the_week_tells_it(crib)
    nothing_is_wrong_with_the_books(crib, capsys)


def the_week_tells_it(crib: Crib) -> None:
    """Figures of the week, from the books and by hand."""
    told = week_json(week(crib.shop, "2026-W48"))
    asked, hours = told["requests"], told["hours"]
    assert (asked["came_in"], asked["by_the_tool"], asked["done"]) == (5, 1, 4)
    assert (asked["ready_late"], asked["open_late"]) == (0, 0)
    with crib.shop.read() as uow:
        night = uow.runs.one(is_("number", 2))
        promises = {promise.request_id: promise for promise in uow.promises.find()}
    assert night is not None
    assert night.mg is not None
    (failure,) = told["failures"]
    assert failure["cause"] == "first layer let go"
    assert (failure["copies"], failure["hours"]) == (1, 2.9)  # 171 minutes by the panel
    assert failure["grams"] == told["filament"]["scrap_grams"] == round(night.mg / 1000, 1)
    assert hours["by_day"][0] == 2.9  # of the night, all before midnight
    assert hours["by_hand"] == 1.8  # 06:45 to 08:30
    assert (hours["runs"], hours["failed_runs"], hours["not_taken_off"]) == (6, 1, 0)
    outcomes = {key: (promise.outcome, promise.why) for key, promise in promises.items()}
    assert outcomes[crib.request(2).id] == ("not kept", "7 h 10 min late")  # the night's
    assert outcomes[crib.request(6).id] == ("kept", "")
    assert [aid["count"] for aid in told["aids_due"]] == [900]


def nothing_is_wrong_with_the_books(crib: Crib, capsys: pytest.CaptureFixture[str]) -> None:
    """Neither as kept nor against themselves; also not by the command."""
    assert as_kept(crib.wired.books) == ()
    assert against_themselves(crib.shop) == ()
    crib.close()
    assert main(["check", "--shop", str(crib.place), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"whole": True, "faults": []}
