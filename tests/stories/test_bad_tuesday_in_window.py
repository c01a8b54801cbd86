"""The bad Tuesday again, in the real window: told hour by hour with the keyboard alone.

The days before are told by the services; the books have to say the same in the end as where all of it is.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot
from tests.stories.bad_morning import FIRST, PHOTO, Morning
from tests.stories.crib import Crib, begin_crib, wall
from tests.stories.station import Station
from tests.stories.test_bad_tuesday import (
    MONDAY_BEFORE,
    TUESDAY,
    Tuesday,
    nothing_is_wrong_with_the_books,
    the_week_tells_it,
)

from printcrib.app.demo.sketch import bracket_sketch
from printcrib.core.aids import AidState
from printcrib.core.materials import Source
from printcrib.core.requests import CopyState, HoldKind, Request, RequestState
from printcrib.core.runs import Run
from printcrib.meshes import made
from printcrib.meshes.writer import write_stl
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.theme import Theme
from printcrib.services.interfaces import is_

WIDER = "stop-38-wider.stl"


@pytest.fixture
def crib(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Crib]:
    """The shop at 07:06, with an aid nobody counted, a tray left printing over night, and files at hand."""
    home = tmp_path / "home"
    home.mkdir()
    (home / PHOTO).write_bytes(bracket_sketch())
    (home / FIRST).write_bytes(write_stl(made.length_stop(38.0, 50.0)))
    (home / WIDER).write_bytes(write_stl(made.length_stop(38.4, 50.0)))
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.chdir(home)
    crib = begin_crib(tmp_path / "shop", wall(MONDAY_BEFORE, "07:30"))
    before = Tuesday(crib)
    before.one_aid_is_in_use_and_counted_once()
    before.a_run_is_left_alone_over_night()
    before.at(TUESDAY, "07:06")
    yield crib
    crib.close()


@pytest.fixture
def station(qtbot: QtBot, theme: Theme, memory: Memory, crib: Crib) -> Iterator[Station]:
    """Dora at the print station."""
    made = Station(qtbot, crib, theme, memory, "Dora")
    yield made
    made.close()


class InWindow(Morning):
    """The whole day."""

    # Tuesday 08:40: what Otto had started is kept, and asked about before it goes anywhere.

    def what_otto_started_is_kept(self, run: Run) -> None:
        press, crib = self.hands.press, self.crib
        self.station.at(TUESDAY, "08:40")
        press("Right, nozzle 0.6")
        press("Take off run 5")
        press("what it used")
        self.hands.choose("on it now")
        press("Take this one")
        self.tell("Filament it took: 0 g", "14")
        press("weighed", within="Filament it took: where it was read")
        press("Something is kept")
        self.hands.type("what it is", "hook for the hoses")
        press("Take off run 5")
        run = crib.run(run.id)
        assert (run.mg, run.grams_source) == (14_000, Source.WEIGHED)
        kept = crib.request(5)
        assert {hold.kind for hold in crib.holds(kept)} == {HoldKind.SAFETY}
        press("1 to check")
        press("Judge them")
        press("Good")
        press("Book it: 1 good")
        press("1 to finish")
        press("R 5/1: Answer them")  # nothing else can be pressed before that
        press("Answer safety", within="What holds it")
        press("None of these")
        press("Answer")
        press("Change")
        press("machine: No machine")
        self.hands.choose("Mill 2")
        press("For this one")
        press("Change it")
        press("Mark ready: R 5/1")
        press("Hand out: R 5/1")
        assert self.station.window.open_place_id == "aids"
        press("Hand out T-0002")
        press("Hand out")
        assert self.station.said.startswith("T-0002"), self.station.said
        with self.shop.read() as uow:
            aid = uow.aids.one(is_("number", 2))
        assert aid is not None
        assert (aid.state, aid.machine_id) == (AidState.IN_USE, crib.machine("Mill 2"))
        assert crib.request(5).state is RequestState.DONE

    # Tuesday 08:50 to 11:25: it is tight, the model changes, the wider one fits.

    def it_is_tight_and_the_model_changes(self, rush: Request) -> None:
        press, crib = self.hands.press, self.crib
        self.station.at(TUESDAY, "08:50")
        run = self.started(rush)
        self.station.at(TUESDAY, "10:27")
        self.off(run)
        (tried,) = crib.copies(rush)
        assert (tried.state, tried.aid_id) == (CopyState.READY, None)
        self.request_page("R 3")
        press("How it fits: R 3/1")
        self.hands.type("in your words", "0.3 tight")
        press("Write it down")
        press("Give a model")
        with self.hands.picks(Path.home() / WIDER):
            press("Choose a file")
        press("Take this file")
        assert self.station.said == "R 3 is changed. The desk decides on 1 printed copy."
        press("Decide on copies")
        press("Scrap")
        press("Decide")
        scrap, new = crib.copies(rush)
        assert (scrap.state, scrap.fit_result) == (CopyState.SCRAP, "0.3 tight")
        assert (new.replaces_id, new.state) == (scrap.id, CopyState.ON_RUN)
        run = self.started(rush)
        self.station.at(TUESDAY, "11:28")
        self.off(run)
        _, new = crib.copies(rush)
        with self.shop.read() as uow:
            revisions = [uow.models.get(copy.model_id or 0).revision for copy in (scrap, new)]
        assert revisions == ["A", "B"]  # what was printed keeps its revision
        self.request_page("R 3")
        press("How it fits: R 3/2")
        press("fits")
        press("Write it down")
        press("Hand out: R 3/2")
        assert self.station.said == 'R 3/2 is handed out, marked "not for use".'
        new = crib.copies(rush)[1]
        assert (new.state, new.aid_id, new.fit_result) == (CopyState.HANDED_OUT, None, "fits")
        assert crib.request(3).state is RequestState.DONE

    # Tuesday 11:30: it fits; the one for use holds the work, so Rita has to release it.

    def one_for_use_is_released_and_handed_out(self, rush: Request) -> None:
        press, crib = self.hands.press, self.crib
        self.station.at(TUESDAY, "11:30")
        self.stands_here("Max")
        press("Same again")
        press("Change")
        press("For use")
        press("At a set time")
        self.tell("time: 15:53", "1400")
        press("Change it")
        request = crib.request(6)
        assert (request.asker_id, request.follows_id) == (crib.made.people["Max"].id, rush.id)
        assert request.needed_by == wall(TUESDAY, "14:00")
        self.stands_here("Dora")
        press("Accept")
        assert self.station.said == "R 6 is accepted and on the run sheet."
        assert {hold.kind for hold in crib.holds(request)} == {HoldKind.REVIEW}
        run = self.started(request)  # printed while it waits
        self.station.at(TUESDAY, "12:35")
        self.off(run)
        (copy,) = crib.copies(request)
        assert copy.state is CopyState.READY
        press("2 ready")  # the reprint shared the platform with the first try
        assert "R 6/1: Hand out" not in " ".join(self.station.words_there())
        press("R 6/1: See why")
        assert self.station.reads("review open: not released for this use")
        self.station.at(TUESDAY, "12:50")
        self.stands_here("Rita")
        press("Release for use", within="What holds it")
        assert self.station.reads("Local codes and licensed practice come first.")
        self.hands.type("conditions", "dry, light cuts")
        press("Release it")
        assert self.station.reads("Released by Rita on 12:50, until Wed 26 May 2027, dry, light cuts")
        assert crib.holds(request) == ()
        self.stands_here("Max")
        self.hand_out("R 6/1", "Lathe 1")
        (copy,) = crib.copies(request)
        aid = crib.aid(copy.aid_id)
        assert (aid.state, aid.machine_id) == (AidState.IN_USE, crib.machine("Lathe 1"))
        assert crib.request(6).state is RequestState.DONE

    # Tuesday 14:10: why the night went wrong is known; the second tray is out.

    def the_night_is_made_good(self, tray: Request) -> None:
        press, crib = self.hands.press, self.crib
        self.station.at(TUESDAY, "14:10")
        self.hands.go("trouble_log")
        self.stands_here("Dora")
        self.hands.choose("not known yet")
        press("Name the cause")
        press("Printer")
        press("first layer let go")
        self.hands.type("What was done about it", "platform washed")
        press("Name the cause")
        assert self.station.said == "Run 2: first layer let go."
        self.off(crib.run_of(crib.copies(tray)[1]))
        lost, new = crib.copies(tray)  # the failure was the machine's, so the new copy stands
        assert (lost.cause, new.state) == ("first layer let go", CopyState.READY)
        self.hand_out("R 2/2", "Mill 2")
        assert crib.request(2).state is RequestState.DONE


@pytest.mark.qt_log_ignore("This plugin does not support", extend=True)
def test_a_bad_tuesday_in_the_window(station: Station, capsys: pytest.CaptureFixture[str]) -> None:
    tuesday = InWindow(station)
    tuesday.nobody_counted_for_a_week()
    rush = tuesday.something_is_needed_at_once_in_words_and_a_photo()
    tray, _night = tuesday.the_night_went_wrong()
    by_hand = tuesday.otto_started_something_by_hand()
    tuesday.a_model_comes_and_one_is_asked_to_try(rush)
    tuesday.the_tray_is_begun_again(tray)
    tuesday.what_otto_started_is_kept(by_hand)
    tuesday.it_is_tight_and_the_model_changes(rush)
    tuesday.one_for_use_is_released_and_handed_out(rush)
    tuesday.the_night_is_made_good(tray)
    the_week_tells_it(station.crib)
    station.close()
    nothing_is_wrong_with_the_books(station.crib, capsys)
