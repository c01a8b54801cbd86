"""Anything the desk may do in any order: the books stay whole."""

from contextlib import suppress
from datetime import timedelta
from itertools import cycle

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from tests.services.fake import FakeClock, fake_shop
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.asking import quantity_of, standing
from printcrib.core.errors import ShopError
from printcrib.core.requests import COPY_ENDS, CopyState, HoldKind
from printcrib.core.runs import RunState
from printcrib.services.interfaces import Where, is_
from printcrib.services.judge_copies import Outcome, Verdict, judge_copies
from printcrib.services.load_spool import load_spool
from printcrib.services.log_failure import Trouble, log_failure, name_cause
from printcrib.services.plan_runs import repair_plan
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import Start, start_next
from printcrib.services.stop_run import stop_run
from printcrib.services.take_off_run import TakeOff, take_off_run
from printcrib.services.weigh_spool import weigh_spool

CAUSES = ("not known yet", "damp", "knocked", "too thin", "layers split")
OUTCOMES = (Outcome.GOOD, Outcome.FAILED, Outcome.TO_CHECK)
OPEN = (RunState.STARTED, RunState.STOPPED)


class DeskMachine(RuleBasedStateMachine):
    """A desk with two printers, pressed in any order."""

    desk: PrintDesk

    @initialize()
    def furnish(self) -> None:
        clock = FakeClock()
        self.desk = furnish(fake_shop(clock=clock), clock)
        for minutes in ({400: 50.0}, {600: 50.0}):
            self.desk.ask(3, minutes=minutes)
        repair_plan(self.desk.shop, self.desk.press())

    @rule(quantity=st.integers(1, 3), coarse=st.booleans(), hours=st.integers(2, 60))
    def ask(self, quantity: int, coarse: bool, hours: int) -> None:
        if len(self.desk.runs(RunState.KEPT)) < 5:
            self.desk.ask(quantity, minutes={600 if coarse else 400: 50.0}, hours=hours)
            repair_plan(self.desk.shop, self.desk.press())

    @rule(minutes=st.integers(1, 200))
    def wait(self, minutes: int) -> None:
        self.desk.clock.move(minutes=minutes)

    @rule(north=st.booleans(), two_spools=st.booleans())
    def start(self, north: bool, two_spools: bool) -> None:
        printer = self.desk.north if north else self.desk.south
        told = Start(second_spool_id=self.desk.spools["grey2"]) if two_spools else Start()
        with suppress(ShopError):  # busy, nothing planned, too few grams
            start_next(self.desk.shop, self.desk.press(), printer, told)

    @rule(percent=st.integers(0, 100))
    @precondition(lambda self: self.desk.runs(RunState.STARTED))
    def stop(self, percent: int) -> None:
        stop_run(self.desk.shop, self.desk.press(), self.desk.runs(RunState.STARTED)[0].id, float(percent))

    @rule(
        choices=st.lists(st.sampled_from(OUTCOMES), min_size=30, max_size=30), cause=st.sampled_from(CAUSES)
    )
    @precondition(lambda self: self.desk.runs(*OPEN))
    def take_off(self, choices: tuple[Outcome, ...], cause: str) -> None:
        run = self.desk.runs(*OPEN)[0]
        with self.desk.shop.read() as uow:
            copies = uow.copies.find(is_("run_id", run.id))
        verdicts = {
            copy.id: Verdict(choice, cause) for copy, choice in zip(copies, cycle(choices), strict=False)
        }
        take_off_run(self.desk.shop, self.desk.press(), run.id, TakeOff(verdicts=verdicts))

    @rule(good=st.booleans(), cause=st.sampled_from(CAUSES))
    def judge(self, good: bool, cause: str) -> None:
        with self.desk.shop.read() as uow:
            copies = uow.copies.find(is_("state", CopyState.TO_CHECK))
        verdict = Verdict() if good else Verdict(Outcome.FAILED, cause)
        judge_copies(self.desk.shop, self.desk.press(), {copy.id: verdict for copy in copies})

    @rule(cause=st.sampled_from(CAUSES), newest=st.booleans())
    def name(self, cause: str, newest: bool) -> None:
        with self.desk.shop.read() as uow:
            failures = uow.failures.find(newest_first=newest, limit=1)
        for failure in failures:
            name_cause(self.desk.shop, self.desk.press(), failure.id, cause)

    @rule(cause=st.sampled_from(CAUSES))
    @precondition(lambda self: self.desk.runs(*OPEN))
    def fail(self, cause: str) -> None:
        log_failure(self.desk.shop, self.desk.press(), self.desk.runs(*OPEN)[0].id, Trouble(cause=cause))

    @rule(north=st.booleans(), minutes=st.integers(5, 300))
    def by_hand(self, north: bool, minutes: int) -> None:
        printer = self.desk.north if north else self.desk.south
        until = self.desk.now() + timedelta(minutes=minutes)
        run_by_hand(self.desk.shop, self.desk.press(), printer, until)

    @rule(north=st.booleans(), name=st.sampled_from(("grey", "grey2", "black")))
    def load(self, north: bool, name: str) -> None:
        printer = self.desk.north if north else self.desk.south
        with suppress(ShopError):  # a run lies on the printer, or the spool is empty
            load_spool(self.desk.shop, self.desk.press(), printer, self.desk.spools[name])

    @rule(off=st.integers(-60_000, 60_000), sure=st.booleans())
    def weigh(self, off: int, sure: bool) -> None:
        key = self.desk.spools["grey"]
        left = sum(mg for _, mg in self.desk.entries(key))
        weigh_spool(self.desk.shop, self.desk.press(), key, max(left + off, 0) + 220_000, scale_is_right=sure)

    @invariant()
    def every_wanted_copy_stands(self) -> None:
        """Failed copies are replaced, or a question is open; never more stand than were asked for."""
        with self.desk.shop.read() as uow:
            for request in uow.requests.find():
                copies = uow.copies.find(is_("request_id", request.id))
                alive = [copy for copy in standing(copies) if copy.state not in COPY_ENDS]
                asked = uow.holds.count(
                    is_("request_id", request.id),
                    is_("kind", HoldKind.QUESTION),
                    Where("closed_at", "is none"),
                )
                assert len(alive) <= quantity_of(request)
                assert asked or len(alive) == quantity_of(request)

    @invariant()
    def copies_and_runs_agree(self) -> None:
        with self.desk.shop.read() as uow:
            runs = {run.id: run for run in uow.runs.find()}
            for copy in uow.copies.find():
                state = runs[copy.run_id].state if copy.run_id else None
                if copy.state is CopyState.WANTED:
                    assert state is None
                elif copy.state is CopyState.ON_RUN:
                    assert state is RunState.KEPT
                elif copy.state is CopyState.PRINTING:
                    assert state in OPEN
                elif copy.state is not CopyState.CANCELLED:
                    assert state is RunState.TAKEN_OFF
            busy = [run.printer_id for run in runs.values() if run.state in OPEN]
            assert len(busy) == len(set(busy))

    @invariant()
    def what_runs_took_is_on_the_spools(self) -> None:
        with self.desk.shop.read() as uow:
            for run in uow.runs.find(is_("state", RunState.TAKEN_OFF)):
                entries = uow.spool_entries.find(is_("run_id", run.id))
                took = -sum(e.mg for e in entries if e.kind in ("printed", "scrap"))
                assert took == (run.mg if run.spool_ids else 0)
            through = sum(nozzle.mg_used for nozzle in uow.nozzles.find())
            assert through == sum(run.mg or 0 for run in uow.runs.find(is_("state", RunState.TAKEN_OFF)))

    @invariant()
    def a_good_copy_for_use_is_one_aid(self) -> None:
        with self.desk.shop.read() as uow:
            ready = {copy.id for copy in uow.copies.find(is_("state", CopyState.READY))}
            assert ready == {aid.copy_id for aid in uow.aids.find()}


TestDeskMachine = DeskMachine.TestCase
TestDeskMachine.settings = settings(max_examples=20, stateful_step_count=25, deadline=None)
