"""What follows from a press at the Desk, without a window."""

from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

import pytest
from tests.core.estimating.print_files import tower
from tests.screens.desk.shop import AtWork, at_work

from printcrib.core.aids import Machine
from printcrib.core.materials import Source, SpoolEntry, SpoolEntryKind, SpoolState
from printcrib.core.requests import CopyState
from printcrib.core.runs import RunState
from printcrib.screens.desk.presenter import DeskPresenter, Seen
from printcrib.screens.desk.words import Card, SideList
from printcrib.services.give_print_file import RunFile
from printcrib.services.judge_copies import Outcome, Verdict
from printcrib.services.look_at_copies import CopiesAtDesk
from printcrib.services.look_at_desk import DeskPrinter
from printcrib.services.look_at_run import RunPage
from printcrib.services.look_at_start import BeforeStart, OnPrinter
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import Start
from printcrib.services.stop_run import Stopped
from printcrib.services.take_off_run import ALL_GOOD, TakeOff


@dataclass
class FakeScreen:
    """Remembers what was shown and asked."""

    asks: list[object] = field(default_factory=list)
    losses: list[str] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)
    sentences: list[str] = field(default_factory=list)
    files: list[tuple[int, RunFile]] = field(default_factory=list)
    asking: bool = False
    laid_down: int = 0
    card: Card | None = None
    lists: tuple[SideList, ...] = ()

    def show_desk(self, seen: Seen, card: Card, lists: tuple[SideList, ...]) -> None:
        self.card, self.lists = card, lists

    def ask_take_off(self, page: RunPage, choices: OnPrinter, sentence: str) -> None:
        self.asks.append(page)
        self.sentences.append(sentence)

    def ask_start(self, before: BeforeStart, refusal: str) -> None:
        self.asks.append(before)
        self.sentences.append(refusal)

    def take_file(self, run_id: int, file: RunFile) -> None:
        self.files.append((run_id, file))

    def ask_printer(self, printer: DeskPrinter, choices: OnPrinter) -> None:
        self.asks.append(printer)

    def ask_stop(self, stopped: Stopped, page: RunPage) -> None:
        self.asks.append(stopped)

    def show_loss(self, words: str) -> None:
        self.losses.append(words)

    def ask_bench(self, copies: CopiesAtDesk) -> None:
        self.asks.append(copies)

    def booked(self) -> None:
        self.laid_down += 1

    def refused(self, sentence: str) -> bool:
        self.refusals.append(sentence)
        return self.asking


@pytest.fixture
def work() -> AtWork:
    return at_work()


@pytest.fixture
def screen() -> FakeScreen:
    return FakeScreen()


@pytest.fixture
def presenter(work: AtWork, screen: FakeScreen) -> DeskPresenter:
    return DeskPresenter(work.standing, screen)


def use(work: AtWork, mg: int) -> None:
    with work.desk.shop.write(work.desk.press(), "use") as uow:
        kind = SpoolEntryKind.PRINTED
        uow.spool_entries.add(SpoolEntry(spool_id=work.desk.spools["grey"], kind=kind, mg=-mg, who_id=0))
        uow.commit()


class TestThePress:
    def test_nothing_happens_before_the_desk_was_read(
        self, presenter: DeskPresenter, screen: FakeScreen
    ) -> None:
        presenter.press()
        presenter.not_so()
        presenter.ask_printer(1)
        assert screen.asks == []

    def test_an_empty_shop_leads_to_its_first_step(self, work: AtWork, presenter: DeskPresenter) -> None:
        presenter.look()
        presenter.press()
        presenter.not_so()
        assert work.led == [("the form", None)]

    def test_take_off_all_good_is_one_press_and_can_be_undone(
        self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen
    ) -> None:
        work.printing()
        presenter.look()
        presenter.press()
        assert work.desk.states(1) == [CopyState.READY] * 3
        assert work.messages.said == ["Run 1 taken off North: 3 good, 0 failed."]
        assert screen.laid_down == 1
        assert screen.card is not None
        assert screen.card.press == "raise"
        work.undo()
        assert work.desk.states(1) == [CopyState.PRINTING] * 3

    def test_really_at_counts_for_the_next_press_only(self, work: AtWork, presenter: DeskPresenter) -> None:
        work.printing()
        presenter.look()
        early = work.desk.now() - timedelta(minutes=1)
        presenter.really_at = early
        presenter.press()
        assert work.desk.run(1).taken_off_at == early
        assert presenter.really_at is None

    def test_a_run_not_over_by_the_clock_is_asked(
        self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen
    ) -> None:
        work.printing()
        work.desk.clock.move(minutes=-30)
        presenter.look()
        presenter.press()
        assert screen.sentences == ["By the clock it ends 08:40. Is it off already?"]
        assert work.desk.run(1).state is RunState.STARTED

    def test_a_run_by_hand_is_asked(self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen) -> None:
        run_by_hand(work.desk.shop, work.desk.press(), work.desk.south, work.desk.later(0.5))
        work.desk.clock.move(hours=1)
        presenter.look()
        presenter.press()
        assert isinstance(screen.asks[0], RunPage)

    def test_start_as_planned_is_one_press(self, work: AtWork, presenter: DeskPresenter) -> None:
        work.ask()
        presenter.look()
        presenter.press()
        assert work.desk.run(1).state is RunState.STARTED
        assert work.messages.said == ["Run 1 started on North, ends 07:38."]

    def test_a_start_nobody_is_sure_of_is_asked(
        self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen
    ) -> None:
        use(work, 768_000)
        work.ask()
        work.desk.change("spools", work.desk.spools["grey2"], colour="white")
        presenter.look()
        presenter.press()
        assert isinstance(screen.asks[0], BeforeStart)

    def test_a_refused_start_is_asked_where_what_would_do_can_be_pressed(
        self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen
    ) -> None:
        work.ask()
        presenter.look()
        presenter.acts.start(work.desk.north, "North", Start(mg=900_000, grams_source=Source.FILE))
        assert isinstance(screen.asks[0], BeforeStart)
        assert "Name a second spool: S-2" in screen.sentences[0]
        screen.asking = True
        presenter.acts.start(work.desk.north, "North", Start(mg=900_000, grams_source=Source.FILE))
        assert len(screen.asks) == 1

    def test_a_print_file_is_read_for_the_start(
        self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen, tmp_path: Path
    ) -> None:
        work.ask()
        file = tmp_path / "run 1.nc"
        file.write_bytes(tower(3))
        presenter.read_print_file(1, str(file))
        assert [(key, read.name) for key, read in screen.files] == [(1, "run 1.nc")]
        screen.asking = True
        file.write_bytes(b"")
        presenter.read_print_file(1, str(file))
        presenter.read_print_file(1, str(tmp_path / "gone.nc"))
        assert screen.refusals[0].startswith("run 1.nc is empty")
        assert screen.refusals[1].startswith(f"gone.nc cannot be read from {tmp_path}")

    def test_not_so(self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen) -> None:
        work.ask()
        presenter.look()
        presenter.not_so()
        presenter.press()
        presenter.not_so()
        assert [type(ask) for ask in screen.asks] == [BeforeStart, RunPage]

    def test_serving_another_printer_lasts_until_a_press(
        self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen
    ) -> None:
        work.printing()
        work.desk.ask(printers=(work.desk.south,), material="asa", colour="black", minutes={600: 50.0})
        work.plan()
        presenter.serve(work.desk.south)
        presenter.look()
        assert screen.card is not None
        shown = [screen.card.press]
        presenter.serve(None)
        shown.append(screen.card.press)
        assert shown == ["start", "take off"]
        presenter.serve(work.desk.south)
        presenter.press()
        assert presenter.serving is None


class TestActs:
    def test_failed_copies_come_again(self, work: AtWork, presenter: DeskPresenter) -> None:
        work.printing()
        presenter.look()
        first, *others = work.desk.copies(1)
        verdicts = {copy.id: Verdict() for copy in others}
        verdicts[first.id] = Verdict(Outcome.FAILED, "corner lifted")
        presenter.acts.take_off(1, TakeOff(verdicts=verdicts))
        assert work.messages.said == ["Run 1 taken off North: 2 good, 1 failed."]
        assert len(work.desk.copies(1)) == 4

    def test_a_refusal_is_said_where_it_was_asked_else_in_the_strip(
        self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen
    ) -> None:
        work.ask()
        presenter.look()
        presenter.acts.take_off(1, ALL_GOOD)
        assert work.messages.problems == ["Run 1 is kept. Only a run on a printer is taken off."]
        screen.asking = True
        presenter.acts.take_off(1, ALL_GOOD)
        assert len(work.messages.problems) == 1

    def test_stop_says_first_what_it_loses(
        self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen
    ) -> None:
        work.printing()
        work.desk.clock.move(minutes=-60)
        presenter.look()
        presenter.ask_stop(1)
        presenter.loss_at(1, 50)
        assert isinstance(screen.asks[0], Stopped)
        assert screen.losses == ["Stopped at 50 %, 31 g and 43 min would be lost."]
        presenter.acts.stop(1, 50)
        assert work.desk.run(1).stopped_at_percent == 50

    def test_a_failed_run_is_logged_with_its_cause(self, work: AtWork, presenter: DeskPresenter) -> None:
        work.printing()
        work.desk.clock.move(minutes=-60)
        presenter.look()
        presenter.acts.stop(1, None, "nozzle blocked")
        assert work.desk.run(1).state is RunState.STOPPED
        assert work.messages.said == ["Stopped and logged: nozzle blocked. Take it off next."]

    def test_run_by_hand(self, work: AtWork, presenter: DeskPresenter) -> None:
        presenter.look()
        presenter.acts.run_by_hand(work.desk.south, "South", work.desk.later(2), what="gauge")
        assert work.messages.said == ["Run 1 by hand on South, free again about 09:00."]
        assert work.desk.run(1).name == "gauge"

    def test_fit_and_load(self, work: AtWork, presenter: DeskPresenter) -> None:
        presenter.acts.fit(work.desk.north, work.desk.nozzles["6n"])
        presenter.acts.load(work.desk.north, work.desk.spools["grey2"], old_is_empty=True)
        assert work.messages.said == ["Nozzle changed on North.", "Spool changed on North."]
        with work.desk.shop.read() as uow:
            assert uow.printers.get(work.desk.north).mounted_spool_id == work.desk.spools["grey2"]
            assert uow.spools.get(work.desk.spools["grey"]).state is SpoolState.EMPTY

    def test_copies_off_the_printers_are_judged_finished_and_handed_out(
        self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen
    ) -> None:
        with work.desk.shop.write(work.desk.press(), "machine") as uow:
            machine = uow.machines.add(Machine(name="Mill 2"))
            uow.commit()
        work.printing(steps=("deburr",), machine_id=machine.id)
        keys = [copy.id for copy in work.desk.copies(1)]
        told = {key: Verdict(Outcome.TO_CHECK) for key in keys}
        presenter.acts.take_off(1, TakeOff(verdicts=told))
        presenter.look()
        assert screen.lists[0].items[0].name == "3 to check"
        presenter.follow(screen.lists[0].items[0])
        presenter.acts.judge(dict.fromkeys(keys, Verdict()))
        presenter.acts.finish(keys[0], "R 1/1", "deburr")
        presenter.acts.finish_all(tuple(keys[1:]))
        presenter.acts.hand_out(keys[0], "T-0001", "Mill 2")
        presenter.acts.shelve(keys[1], "T-0002")
        assert work.messages.said[-4:] == [
            "R 1/1: deburr, done.",
            "2 copies are ready.",
            "T-0001 handed out to Mill 2.",
            "T-0002 is on the shelf.",
        ]
        laid_down = screen.laid_down
        presenter.acts.hand_out(keys[2], "T-0003", "Mill 2")
        assert screen.laid_down == laid_down + 1
        assert work.desk.states(1) == [CopyState.HANDED_OUT, CopyState.SHELVED, CopyState.HANDED_OUT]

    def test_side_lines_lead_to_their_place(
        self, work: AtWork, presenter: DeskPresenter, screen: FakeScreen
    ) -> None:
        work.ask(hours=0.1)
        presenter.look()
        presenter.follow(screen.lists[0].items[0])
        presenter.open_place("aids", 3)
        assert work.led == [("requests", 1), ("aids", 3)]


def test_the_strip_tells_the_next_swap(work: AtWork, presenter: DeskPresenter) -> None:
    presenter.look()
    assert work.messages.next_words == ""
    work.ask(minutes={600: 50.0})
    presenter.look()
    assert work.messages.next_words == "Next swap 07:00, North"
    assert presenter.seen is not None


def test_what_concerns_the_desk(presenter: DeskPresenter) -> None:
    assert presenter.concerns(frozenset({"runs", "attachments"}))
    assert not presenter.concerns(frozenset({"people"}))


def test_printer_and_stop_are_asked(work: AtWork, presenter: DeskPresenter, screen: FakeScreen) -> None:
    presenter.look()
    presenter.ask_printer(work.desk.north)
    presenter.ask_printer(99)
    assert len(screen.asks) == 1
