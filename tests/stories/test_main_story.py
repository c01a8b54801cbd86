"""The whole job once in the real window: with the keyboard alone, and again with the mouse alone.

Every chapter presses what stands on the screen, then looks into the books.
"""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot
from tests.stories.crib import Crib, begin_crib, model_file, wall
from tests.stories.hands import Hands, Keyboard, Mouse
from tests.stories.station import Station

from printcrib.core.aids import AidState
from printcrib.core.materials import SpoolEntryKind
from printcrib.core.patterns import Pattern
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import CopyState, RequestState
from printcrib.core.runs import PlanState, RunState
from printcrib.meshes import made
from printcrib.meshes.writer import write_stl
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.theme import Theme
from printcrib.services.accept_request import accept_request
from printcrib.services.check_books import check_books as against_themselves
from printcrib.services.edit_patterns import add_pattern
from printcrib.services.edit_printers import change_printer
from printcrib.services.interfaces import is_
from printcrib.services.take_request import NewRequest, raise_request
from printcrib.services.weekly_report import week, week_json
from printcrib.storage.check import check_books as as_kept

TUESDAY, WEDNESDAY, THURSDAY = "2026-11-24", "2026-11-25", "2026-11-26"
MODEL = "jaw-stop.stl"
LIFE = 100
"""Uses; at 45 the next one has to be asked for on the day after."""


@pytest.fixture
def crib(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Crib]:
    """The shop on a Tuesday morning, with a model file at hand and one request in already."""
    home = tmp_path / "home"
    home.mkdir()
    (home / MODEL).write_bytes(write_stl(made.length_stop(20.0, 60.0)))
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.chdir(home)
    crib = begin_crib(tmp_path / "shop", wall(TUESDAY, "07:30"))
    with crib.shop.read() as uow:
        left = uow.printers.get(crib.printer("Left"))
    change_printer(crib.shop, crib.press("Dora"), replace(left, out_of_service=True))
    ask = NewRequest(
        file=model_file(made.hose_clip(), "clip.stl"),
        words="clip for the mill's hoses",
        material_id=crib.material("PLA"),
        machine_id=crib.machine("Mill 2"),
        needed_by=wall(WEDNESDAY, "12:00"),
        safety_answers=(),
    )
    asked = raise_request(crib.shop, crib.press("Otto"), ask).value
    accept_request(crib.shop, crib.press("Dora"), asked.id)
    stop = Pattern(number=0, name="bar stop", expected_life=LIFE, material_id=crib.material("PLA"))
    add_pattern(crib.shop, crib.press("Dora"), stop)
    yield crib
    crib.close()


@pytest.fixture
def station(qtbot: QtBot, theme: Theme, memory: Memory, crib: Crib) -> Iterator[Station]:
    """Dora at the print station."""
    made = Station(qtbot, crib, theme, memory, "Dora")
    yield made
    made.close()


@pytest.fixture(params=[Keyboard, Mouse], ids=["keyboard alone", "mouse alone"])
def hands(request: pytest.FixtureRequest, station: Station) -> Hands:
    """One kind of hands."""
    return request.param(station)  # type: ignore[no-any-return]


class Job:
    """The job, chapter by chapter."""

    def __init__(self, hands: Hands) -> None:
        self.hands, self.station = hands, hands.station
        self.crib = hands.station.crib
        self.shop = self.crib.shop

    def raise_a_request_with_a_model_file(self) -> None:
        press = self.hands.press
        self.hands.go("requests")
        press("Raise a request")
        with self.hands.picks(Path.home() / MODEL):
            press("File")
        assert self.station.reads("Sound, 111 x 36 x 24 mm")
        self.station.see("nozzle 0.4: on 0.4 about")  # the answer is there before anything else is said
        self.station.see("nozzle 0.6: on 0.6 about")
        press("how many: more")
        press("how many: more")
        press("machine:")
        self.hands.choose("Lathe 1")
        press("For this one")
        press("Next: when and where")
        press("Tomorrow noon")
        press("material:")
        self.hands.choose("PLA")
        press("From this")
        press("Next: what it will do")
        press("None of these")
        press("Raise request")
        assert self.station.said == "R 2 is raised; the desk sees it."
        request = self.crib.request(2)
        assert (request.state, request.quantity, request.safety_answers) == (RequestState.RAISED, 3, ())
        assert request.needed_by == wall(WEDNESDAY, "12:00")
        assert request.machine_id == self.crib.machine("Lathe 1")
        with self.shop.read() as uow:
            model = uow.models.get(uow.sizes.get(request.size_id or 0).model_id or 0)
        assert self.shop.files.get(model.sha256) == (Path.home() / MODEL).read_bytes()

    def accept_it(self) -> None:
        self.hands.press("Accept")
        assert self.station.said == "R 2 is accepted and on the run sheet."
        request = self.crib.request(2)
        with self.shop.read() as uow:
            promise = uow.promises.one(is_("request_id", request.id))
        assert promise is not None
        assert self.station.reads("Ready by 09:5")
        assert wall(TUESDAY, "09:50") < promise.likely < promise.at_most < wall(TUESDAY, "11:00")

    def plan_again_and_keep(self) -> None:
        self.hands.go("run_sheet")
        self.hands.press("Plan again")
        assert self.station.reads("Run sheet, proposed")
        assert self.station.reads("Grouping saves 3 min hands-on against first come, first served.")
        self.hands.press("Keep this plan")
        with self.shop.read() as uow:
            plan = uow.plans.one(is_("state", PlanState.KEPT))
            run = uow.runs.one(is_("state", RunState.KEPT))
            assert plan is not None
            assert run is not None
            copies = uow.copies.find(is_("run_id", run.id))
        assert plan.kept_by_id == self.crib.made.people["Dora"].id
        numbers = [self.crib.request(number).id for number in (1, 2)]
        assert sorted(copy.request_id for copy in copies) == [numbers[0], *[numbers[1]] * 3]

    def start_the_run(self) -> None:
        self.hands.go("desk")
        self.hands.press("Start run 1")
        assert self.station.said.startswith("Run 1 started on Right, ends 09:5")
        assert [copy.state for copy in self.crib.copies(self.crib.request(2))] == [CopyState.PRINTING] * 3

    def take_it_off_with_one_copy_failed(self) -> None:
        press = self.hands.press
        self.station.at(TUESDAY, "10:30")
        press("Not all good")
        press("Failed", within="R 2/2")
        press("Why R 2/2 failed: not known yet")
        press("Printer")
        press("corner lifted")
        press("That is it")
        press("When it was really done: now")
        press("15 min earlier")
        press("Really at 10:15")
        press("Take off run 1: 3 good, 1 failed")
        assert self.station.said == "Run 1 taken off Right: 3 good, 1 failed."
        one, two, three, new = self.crib.copies(self.crib.request(2))
        assert (two.state, two.cause) == (CopyState.FAILED, "corner lifted")
        assert {one.state, three.state} == {CopyState.READY}
        assert (new.replaces_id, new.state) == (two.id, CopyState.ON_RUN)
        run = self.crib.run_of(one)
        assert run.taken_off_at == self.crib.clock.moment.replace(minute=15, second=0, microsecond=0)
        with self.shop.read() as uow:
            entries = uow.spool_entries.find(is_("run_id", run.id))
            failure = uow.failures.one(is_("run_id", run.id))
        assert failure is not None
        scrap = -sum(entry.mg for entry in entries if entry.kind is SpoolEntryKind.SCRAP)
        assert -sum(entry.mg for entry in entries) == run.mg
        assert failure.mg_lost == scrap > 20_000

    def print_the_missing_one(self) -> None:
        self.hands.press("Start run 2")
        self.station.at(TUESDAY, "12:00")
        self.hands.press("Take off run 2")
        assert self.station.said == "Run 2 taken off Right: 1 good, 0 failed."

    def hand_out(self) -> None:
        press = self.hands.press
        press("4 ready")
        press("R 2/1: Hand out to Lathe 1")
        press("R 2/3: Hand out to Lathe 1")
        press("R 2/4: To the shelf")
        press("Back")
        self.hands.go("aids")
        press("Hand out T-0001")
        press("Hand out")
        with self.shop.read() as uow:
            aids = uow.aids.find(order_by="number")
        lathe, mill = self.crib.machine("Lathe 1"), self.crib.machine("Mill 2")
        assert [aid.machine_id for aid in aids] == [mill, lathe, lathe, None]
        assert [aid.state for aid in aids] == [*[AidState.IN_USE] * 3, AidState.SHELF]
        for number in (1, 2):
            assert self.crib.request(number).state is RequestState.DONE

    def take_its_size_into_the_pattern_book(self) -> None:
        press = self.hands.press
        self.hands.go("pattern_book")
        press("Add a size")
        press("Printed before, not in the book")
        press("which one")
        self.hands.choose(MODEL)
        press("Take it into the book")
        press("Keep it")
        with self.shop.read() as uow:
            size = uow.sizes.get(self.crib.request(2).size_id or 0)
            pattern = uow.patterns.get(size.pattern_id)
        assert (pattern.name, size.name) == ("bar stop", "jaw-stop")

    def count_and_see_the_reprint_request(self) -> None:
        self.hands.go("aids")
        self.hands.choose("T-0003")
        self.hands.press("+10")
        self.hands.press("+1")
        assert self.station.said == "Counted 1 on T-0003, now 11."
        self.station.at(WEDNESDAY, "09:00")
        self.hands.press("Number")
        self.hands.number("34")
        self.hands.press("Count it")
        assert self.station.said == "Counted 34 on T-0003, now 45."
        assert self.station.reads("of about 110")  # the pattern's 100, and what has held so far
        self.station.at(THURSDAY, "07:05")
        self.hands.press("Reprint R 3")  # the tool has raised it by itself
        assert self.station.window.open_place_id == "requests"
        assert self.station.reads("bar stop jaw-stop")
        reprint = self.crib.request(3)
        with self.shop.read() as uow:
            aid = uow.aids.get(reprint.replaces_aid_id or 0)
        assert (aid.tag, reprint.asker_id, reprint.state) == ("T-0003", THE_TOOL, RequestState.ACCEPTED)
        (copy,) = self.crib.copies(reprint)
        end = self.crib.run_of(copy).planned_end
        assert end is not None
        assert reprint.needed_by is not None
        assert end < reprint.needed_by  # scheduled in time

    def save_the_week(self) -> None:
        self.hands.go("week_summary")
        paper = Path.home() / "print-desk-2026-W48.pdf"
        with self.hands.picks(paper):
            self.hands.press("Save the PDF")
        assert self.station.said == f"Saved as {paper.name} in {paper.parent}."
        assert paper.read_bytes().startswith(b"%PDF-")
        told = week_json(week(self.shop, "2026-W48"))
        assert [failure["cause"] for failure in told["failures"]] == ["corner lifted"]
        assert told["hours"]["runs"] == 2


@pytest.mark.qt_log_ignore("This plugin does not support", extend=True)
def test_the_whole_job(hands: Hands, crib: Crib) -> None:
    job = Job(hands)
    job.raise_a_request_with_a_model_file()
    job.accept_it()
    job.plan_again_and_keep()
    job.start_the_run()
    job.take_it_off_with_one_copy_failed()
    job.print_the_missing_one()
    job.hand_out()
    job.take_its_size_into_the_pattern_book()
    job.count_and_see_the_reprint_request()
    job.save_the_week()
    assert as_kept(crib.wired.books) == ()
    assert against_themselves(crib.shop) == ()
