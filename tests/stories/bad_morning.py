"""The bad Tuesday in the window until a quarter to eight: what is there at 07:06, and what comes."""

from datetime import timedelta
from pathlib import Path

from tests.stories.at_the_window import AtTheWindow
from tests.stories.crib import wall
from tests.stories.test_bad_tuesday import TUESDAY

from printcrib.core.aids import Sure
from printcrib.core.materials import Source, SpoolEntryKind
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import CopyState, HoldKind, Request, RequestState
from printcrib.core.runs import Run, RunOrigin, RunState
from printcrib.services.interfaces import Where, is_

PHOTO, FIRST = "old stop.png", "stop-38.stl"


class Morning(AtTheWindow):
    """From 07:06 to 07:45."""

    # Tuesday 07:06: nobody counted for a week; what the window asks is answered first.

    def nobody_counted_for_a_week(self) -> None:
        press = self.hands.press
        self.stands_here("Max")
        self.hands.go("aids")
        press("1 to answer")
        assert self.station.reads("Parts since Tue 17 Nov?")
        press("T-0001: Same as usual: +720")
        assert self.station.said == "Counted 720 on T-0001, now 900."
        assert "1 to answer" not in self.station.words_there()
        with self.shop.read() as uow:
            entry = uow.use_entries.find(newest_first=True, limit=1)[0]
        assert (entry.amount, entry.sure) == (720, Sure.ASSUMED)
        assert entry.who_id == self.crib.made.people["Max"].id
        self.stands_here("Dora")

    # Tuesday 07:06: Max needs something at once and has no model, only words and a photo.

    def something_is_needed_at_once_in_words_and_a_photo(self) -> Request:
        press = self.hands.press
        self.hands.go("requests")
        press("Raise a request")
        press("Words")
        self.hands.type("what is asked for", "stop for the 38 bar, the old one is broken")
        with self.hands.picks(Path.home() / PHOTO):
            press("Add a photo")
        self.station.see("Another photo")
        press("machine:")
        self.hands.choose("Lathe 1")
        press("For this one")
        press("Next: when and where")
        press("At a set time")
        self.tell("time: 16:00", "1130")
        press("who asks: Dora")
        self.hands.choose("Max")
        press("This person asks")
        self.hands.type("reason for the hurry", "Lathe 1 waits")
        press("Next: what it will do")
        press("Raise request")  # the ten questions may wait
        assert self.station.said == "R 3 is raised; the desk sees it."
        rush = self.crib.request(3)
        assert self.shop.files.get(rush.photo_sha) == (Path.home() / PHOTO).read_bytes()
        assert (rush.asker_id, rush.reason) == (self.crib.made.people["Max"].id, "Lathe 1 waits")
        assert rush.needed_by == wall(TUESDAY, "11:30")
        assert rush.machine_id == self.crib.machine("Lathe 1")
        assert {hold.kind for hold in self.crib.holds(rush)} == {HoldKind.NEEDS_MODEL, HoldKind.SAFETY}
        assert not any(words.startswith("Accept") for words in self.station.words_there())
        assert rush.state is RequestState.RAISED
        assert self.crib.copies(rush) == ()
        return rush

    # Tuesday 07:25: what lay on Left since the night is booked as found at 07:00.

    def the_night_went_wrong(self) -> tuple[Request, Run]:
        press, crib = self.hands.press, self.crib
        self.hands.go("desk")
        self.station.at(TUESDAY, "07:25")
        tray = crib.request(2)
        (lost,) = crib.copies(tray)
        run = crib.run_of(lost)
        assert run.state is RunState.STARTED  # nothing is booked until somebody says so
        press("Not all good")
        press("Failed", within="R 2/1")
        self.station.see("Why R 2/1 failed: not known yet")  # which is an answer
        self.tell("how far it got: 100", "35")
        self.tell("Printer time: 4 h", "171")
        self.really_at("15 min earlier", "5 min earlier", "5 min earlier")
        press("Take off run 2: 1 failed")
        assert self.station.said == "Run 2 taken off Left: 0 good, 1 failed."
        run, found_at = crib.run(run.id), wall(TUESDAY, "07:00")
        assert (run.minutes, run.minutes_source) == (171.0, Source.PANEL)
        assert run.taken_off_at == found_at
        with self.shop.read() as uow:
            (failure,) = uow.failures.find()
            (change,) = [c for c in uow.changes.since(0, limit=10_000) if c.verb == "take off run"][-1:]
            entries = uow.spool_entries.find(is_("run_id", run.id))
        assert (failure.cause, failure.percent, failure.happened_at) == ("not known yet", 35.0, found_at)
        assert change.happened_at == found_at
        assert change.recorded_at - found_at >= timedelta(minutes=25)
        assert {entry.kind for entry in entries} == {SpoolEntryKind.SCRAP}
        assert -sum(entry.mg for entry in entries) < 0.5 * run.estimated_mg
        lost, new = crib.copies(tray)
        assert lost.state is CopyState.FAILED
        assert (new.replaces_id, new.state) == (lost.id, CopyState.ON_RUN)
        return tray, run

    # Tuesday 07:30: Otto started something on Right before anybody was there.

    def otto_started_something_by_hand(self) -> Run:
        press = self.hands.press
        self.station.at(TUESDAY, "07:30")
        self.stands_here("Otto")
        press("Right, nozzle 0.6")
        press("Run by hand: say more")
        self.station.see("free again in about, minutes: 08:30")
        self.really_at("1 h earlier", "15 min later")
        press("Book the run")
        assert self.station.said == "Run 5 by hand on Right, free again about 08:30."
        self.stands_here("Dora")
        with self.shop.read() as uow:
            run = uow.runs.one(is_("origin", RunOrigin.BY_HAND))
        assert run is not None
        assert (run.started_at, run.planned_end) == (wall(TUESDAY, "06:45"), wall(TUESDAY, "08:30"))
        return run

    # Tuesday 07:40: Dora draws it, Max answers, one to try the fit comes first.

    def a_model_comes_and_one_is_asked_to_try(self, rush: Request) -> None:
        press, crib = self.hands.press, self.crib
        self.station.at(TUESDAY, "07:40")
        self.hands.go("requests")
        self.hands.main()
        with self.hands.picks(Path.home() / FIRST):
            press("Choose a file")
        press("Take this file")
        assert self.station.reads("Revision A, stop-38.stl")
        self.stands_here("Max")
        self.hands.main()
        press("hold or locate the work")
        press("Answer")
        press("Change")
        press("To try the fit")
        press("Change it")
        self.stands_here("Dora")
        press("Change")
        press("material:")
        self.hands.choose("PLA")
        press("From this")
        press("Rush")
        press("Change it")
        assert self.station.reads('Marked "not for use".')
        press("Accept")
        assert self.station.said == "R 3 is accepted and on the run sheet."
        assert self.station.reads("Ready by 10:09, at most 10:34")
        assert crib.holds(rush) == ()  # to try the fit needs no release
        with self.shop.read() as uow:
            promise = uow.promises.one(is_("request_id", rush.id))
        assert promise is not None
        assert promise.at_most < wall(TUESDAY, "11:30")
        (copy,) = crib.copies(rush)
        assert crib.run_of(copy).printer_id == crib.printer("Right")  # free in time; Left has the tray

    # Tuesday 07:45: the tray goes on again, the platform washed.

    def the_tray_is_begun_again(self, tray: Request) -> None:
        self.station.at(TUESDAY, "07:45")
        run = self.started(tray)
        assert run.printer_id == self.crib.printer("Left")
        with self.shop.read() as uow:
            (reprint,) = uow.requests.find(Where("replaces_aid_id", "not none"))
        assert (reprint.asker_id, reprint.state) == (THE_TOOL, RequestState.ACCEPTED)
        assert reprint.needed_by is not None
        assert reprint.needed_by > wall(TUESDAY, "16:00")  # it does not push the rush aside
