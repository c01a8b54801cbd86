"""The run sheet's words, lanes and presses, without a window."""

from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path

import pytest
from tests.core.estimating.print_files import tower
from tests.screens.desk.shop import AtWork, at_work

from printcrib.core.runs import PlanState
from printcrib.screens.run_sheet.model import columns
from printcrib.screens.run_sheet.presenter import RunSheetPresenter, planned_anew
from printcrib.screens.run_sheet.words import (
    Head,
    ListRow,
    closed_of,
    head_of,
    late_words,
    list_rows,
    past_rows,
    time_line_of,
)
from printcrib.services.give_print_file import RunFile
from printcrib.services.look_at_run import RunPage
from printcrib.services.look_at_runs import RunSheet, look_at_runs
from printcrib.services.plan_runs import keep_plan, propose_plan
from printcrib.services.start_run import start_next
from printcrib.services.take_off_run import take_off_run


@dataclass
class FakeScreen:
    """Remembers what was shown."""

    sheet: RunSheet | None = None
    head: Head | None = None
    pages: list[RunPage] = field(default_factory=list)
    files: list[tuple[int, RunFile]] = field(default_factory=list)
    given: list[int] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)
    shown: bool = True

    def show_sheet(self, sheet: RunSheet, head: Head) -> None:
        self.sheet, self.head = sheet, head

    def show_run(self, page: RunPage, row: ListRow) -> None:
        self.pages.append(page)

    def doubt_file(self, run_id: int, file: RunFile) -> None:
        self.files.append((run_id, file))

    def file_given(self, run_id: int) -> None:
        self.given.append(run_id)

    def file_refused(self, sentence: str) -> bool:
        self.refusals.append(sentence)
        return self.shown


@pytest.fixture
def work() -> AtWork:
    return at_work()


@pytest.fixture
def screen() -> FakeScreen:
    return FakeScreen()


@pytest.fixture
def presenter(work: AtWork, screen: FakeScreen) -> RunSheetPresenter:
    return RunSheetPresenter(work.standing, screen)


def kept(work: AtWork) -> RunSheet:
    return look_at_runs(work.desk.shop)


class TestWords:
    def test_an_empty_sheet(self, work: AtWork) -> None:
        head = head_of(kept(work))
        assert (head.title, head.words, head.main_words, head.other) == (
            "Run sheet",
            "Nothing is planned.",
            "Plan again",
            "",
        )
        assert list_rows(kept(work)) == ()
        assert [lane.printer for lane in time_line_of(kept(work)).lanes] == ["North", "South"]

    def test_late_requests_are_named_the_latest_first(self, work: AtWork) -> None:
        for hours in (0.1, 0.2, 0.3, 0.4, 0.5, 8):
            work.ask(hours=hours, size_mm=(200, 200, 20))
        words = late_words(kept(work))
        assert words.startswith("Late: R ")
        assert words.endswith(" and 1 more.")
        assert head_of(kept(work)).words.endswith(words)

    def test_a_late_run_on_its_printer_is_named_too(self, work: AtWork) -> None:
        work.printing(1, hours=0.2)
        assert late_words(kept(work)) == "Late: R 1."

    def test_what_is_not_planned_stands_at_the_end_with_its_reason(self, work: AtWork) -> None:
        work.ask()
        work.ask(size_mm=(500, 500, 20), minutes={400: 40.0})
        sheet = kept(work)
        one = replace(sheet, unplanned=((2, "R 2", "does not fit any platform"),))
        rows = list_rows(one)
        assert (rows[-1].tags, rows[-1].starts, rows[-1].why) == (
            "R 2",
            "not planned",
            "Does not fit any platform",
        )
        assert rows[-1].request_id == 2
        assert head_of(one).words.endswith("1 request is not planned.")
        two = replace(sheet, unplanned=((2, "R 2", "x"), (3, "R 3", "y")))
        assert head_of(two).words.endswith("2 requests are not planned.")

    def test_rows_split_from_and_to(self, work: AtWork) -> None:
        work.ask()
        row = list_rows(kept(work))[0]
        assert (row.number, row.tags, row.starts, row.ends) == ("1", "R 1", "07:00", "07:38")

    def test_hours_in_which_nobody_is_in(self, work: AtWork) -> None:
        sheet = kept(work)
        closed = list(closed_of(sheet))
        assert closed[0].words == "nobody in, 17:00 to 07:00"
        assert all(one.start < one.end for one in closed)
        early = replace(sheet, starts=sheet.starts - timedelta(hours=2))
        assert next(iter(closed_of(early))).end == sheet.open_spans[0][0]

    def test_lanes_say_what_is_printing_over_tight_and_late(self, work: AtWork) -> None:
        work.printing(1, hours=None)
        take_off_run(work.desk.shop, work.desk.press(), 1)
        work.ask(hours=1.1, size_mm=(200, 200, 20))
        start_next(work.desk.shop, work.desk.press(), work.desk.north)
        work.ask(hours=1.5, size_mm=(200, 200, 20))
        work.ask(hours=0.1, size_mm=(200, 200, 20))
        work.ask(hours=9, size_mm=(200, 200, 20))
        north = time_line_of(kept(work)).lanes[0]
        assert [run.state for run in north.runs][:3] == ["over", "printing", "planned"]
        assert {mark.state for mark in north.needed} >= {"late", "spare"}
        assert "nozzle 0.4" in north.runs[1].words
        assert north.set_ups
        assert north.nozzles[0].bore == "0.4"

    def test_a_run_that_is_ready_just_in_time_is_tight(self, work: AtWork) -> None:
        work.ask(hours=0.9)
        (mark,) = time_line_of(kept(work)).lanes[0].needed
        assert (mark.state, mark.label) == ("tight", "R 1 tight")

    def test_a_run_taken_off_is_drawn_but_not_listed(self, work: AtWork) -> None:
        work.printing(1, hours=None)
        take_off_run(work.desk.shop, work.desk.press(), 1)
        sheet = kept(work)
        assert list_rows(sheet) == ()
        (past,) = past_rows(sheet).values()
        assert (past.key, past.run_id, past.number, past.printer) == (1, 1, "1", "North")
        assert (past.starts, past.ends, past.why) == ("07:00", "07:38", "Taken off.")

    def test_numbers_stay_with_their_word_at_the_end_of_a_line(self, work: AtWork) -> None:
        work.ask()
        sheet = kept(work)
        why = "Ahead of run 78: the other way round R 82 is late."
        (row,) = list_rows(replace(sheet, rows=(replace(sheet.rows[0], why=why),)))
        assert row.why == "Ahead of run\u00a078: the other way round R\u00a082 is late."


class TestPresses:
    def test_plan_again_then_keep_then_undo(
        self, work: AtWork, presenter: RunSheetPresenter, screen: FakeScreen
    ) -> None:
        work.ask()
        presenter.look()
        presenter.press()
        assert screen.head is not None
        assert (screen.head.main, screen.head.other_words) == ("keep", "Leave it")
        assert work.messages.said == ["A plan is proposed; the kept one stays live until you keep it."]
        assert work.messages.answers[-1] is None
        presenter.press()
        assert work.messages.said[-1] == "The plan is kept; its runs have their numbers."
        assert presenter.sheet is not None
        assert presenter.sheet.plan is not None
        assert presenter.sheet.plan.state is PlanState.KEPT
        assert presenter.plan_id is None

    def test_leave_the_proposal_and_see_it_again(
        self, work: AtWork, presenter: RunSheetPresenter, screen: FakeScreen
    ) -> None:
        work.ask()
        presenter.beside()
        presenter.look()
        presenter.plan_again()
        presenter.beside()
        assert screen.head is not None
        titles = [(screen.head.title, screen.head.other)]
        presenter.beside()
        assert presenter.plan_id is not None
        titles.append((screen.head.title, screen.head.other))
        assert titles == [("Run sheet", "proposal"), ("Run sheet, proposed", "leave")]

    def test_a_proposal_another_window_kept_is_the_kept_plan(
        self, work: AtWork, presenter: RunSheetPresenter, screen: FakeScreen
    ) -> None:
        work.ask()
        presenter.look()
        presenter.plan_again()
        plan_id = presenter.plan_id
        assert plan_id is not None
        keep_plan(work.desk.shop, work.desk.press(), plan_id)
        presenter.look()
        assert screen.head is not None
        assert (presenter.plan_id, screen.head.main) == (None, "plan")

    def test_a_proposal_that_is_gone_leads_back_to_the_kept_plan(
        self, work: AtWork, presenter: RunSheetPresenter
    ) -> None:
        work.ask()
        presenter.plan_id = 99
        presenter.look()
        assert (len(work.messages.problems), presenter.sheet) == (1, None)
        work.undo()
        assert presenter.sheet is not None

    def test_progress_reaches_the_worker(self, work: AtWork) -> None:
        work.ask(3)
        shares: list[float] = []
        done = planned_anew(work.desk.shop, work.desk.press(), shares.append, lambda: False)
        assert done.value.state is PlanState.PROPOSED
        assert all(0 <= share <= 1 for share in shares)

    def test_a_run_is_opened_in_full(
        self, work: AtWork, presenter: RunSheetPresenter, screen: FakeScreen
    ) -> None:
        work.ask()
        presenter.look()
        presenter.open(list_rows(kept(work))[0])
        assert screen.pages[0].title == "Run 1"

    def test_a_run_without_a_number_and_a_request_not_planned(
        self, work: AtWork, presenter: RunSheetPresenter, screen: FakeScreen
    ) -> None:
        work.ask()
        row = list_rows(kept(work))[0]
        presenter.open(replace(row, run_id=None))
        presenter.open(replace(row, run_id=None, request_id=7))
        presenter.open_place("desk", 1)
        assert screen.pages == []
        assert work.messages.said == ["This run gets its number once the plan is kept."]
        assert work.led == [("requests", 7), ("desk", 1)]

    def test_what_concerns_the_sheet(self, presenter: RunSheetPresenter) -> None:
        assert presenter.concerns(frozenset({"plans"}))
        assert not presenter.concerns(frozenset({"use_entries"}))


def test_new_runs_of_a_proposal_have_no_number(work: AtWork) -> None:
    work.desk.ask()
    proposal = propose_plan(work.desk.shop, work.desk.press()).value
    rows = list_rows(look_at_runs(work.desk.shop, proposal.id))
    assert [(row.number, row.run_id) for row in rows] == [("new", None)]


def test_columns_for_a_low_window_keep_it_short(work: AtWork) -> None:
    work.ask(hours=6)
    row = list_rows(kept(work))[0]
    run, _, _, times, needed, _ = columns(wide=False)
    assert run.cell(replace(row, tags="R 1, R 2, R 3")).second == "R 1 +2"
    assert times.cell(row).text == "07:00 – 07:38"
    assert times.cell(replace(row, starts="Wed 07:00", ends="Wed 12:15")).second == "to Wed 12:15"
    assert needed.cell(row).second.endswith(" spare")
    wide = columns(wide=True)
    assert len(wide) == 7
    assert wide[0].cell(replace(row, tags="R 1, R 2")).second == "R 1, R 2"
    assert wide[0].cell(replace(row, tags="R 1, R 2, R 3")).second == "R 1 +2"


class TestPrintFile:
    def test_one_that_fits_is_taken_at_once_and_can_be_undone(
        self, work: AtWork, presenter: RunSheetPresenter, screen: FakeScreen, tmp_path: Path
    ) -> None:
        work.ask(minutes={400: 5.0}, part_mg=1000, size_mm=(40.0, 40.0, 20.0))
        start_next(work.desk.shop, work.desk.press(), work.desk.north)
        file = tmp_path / "run 1.nc"
        file.write_bytes(tower(100))
        presenter.read_print_file(1, str(file))
        assert (screen.given, screen.files) == ([1], [])
        assert work.messages.said == ["Run 1 takes 7 min and 1.3 g, by its print file."]
        assert work.desk.run(1).file_mg == pytest.approx(1316, abs=3)
        work.undo()
        assert work.desk.run(1).file_mg is None

    def test_one_that_does_not_fit_waits_for_a_press(
        self, work: AtWork, presenter: RunSheetPresenter, screen: FakeScreen, tmp_path: Path
    ) -> None:
        work.printing()
        file = tmp_path / "other.nc"
        file.write_bytes(tower(3))
        presenter.read_print_file(1, str(file))
        assert (screen.given, work.messages.said) == ([], [])
        (waits,) = screen.files
        presenter.give_print_file(*waits)
        assert screen.given == [1]

    def test_a_refusal_is_said_where_it_was_asked(
        self, work: AtWork, presenter: RunSheetPresenter, screen: FakeScreen, tmp_path: Path
    ) -> None:
        work.printing()
        presenter.read_print_file(1, str(tmp_path / "gone.nc"))
        assert screen.refusals[0].startswith("gone.nc cannot be read")
        assert work.messages.problems == []
        screen.shown = False
        presenter.read_print_file(1, str(tmp_path / "gone.nc"))
        assert work.messages.problems == screen.refusals[:1]
