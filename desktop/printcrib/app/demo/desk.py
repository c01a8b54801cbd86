"""The hands at the demo shop's desk: they take off, start, finish, hand out and count, through services.

Nothing here decides what is true in the shop; it only presses what a person would press, at the time a
person would press it, on a clock that is set.
"""

import heapq
import itertools
import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from printcrib.app.demo.days import COUNTERS, Days
from printcrib.app.demo.shop import DESK, DemoShop
from printcrib.core.calendar import is_open, next_opening
from printcrib.core.errors import ShopError
from printcrib.core.materials import Source
from printcrib.core.patterns import CountedBy
from printcrib.core.requests import Copy, CopyState, Request
from printcrib.core.running import expected_minutes
from printcrib.core.runs import Run, RunOrigin, RunState
from printcrib.services.finish_copy import finish_copies, shelve
from printcrib.services.hand_out_aid import To, hand_out
from printcrib.services.interfaces import among, is_
from printcrib.services.judge_copies import Outcome, Verdict
from printcrib.services.read_runs import open_run_on
from printcrib.services.start_run import Start, start_next
from printcrib.services.take_off_run import TakenOff, TakeOff, take_off_run

Act = Callable[[], None]
LOOK_AGAIN = timedelta(minutes=20)


@dataclass(frozen=True)
class Mishap:
    """What goes wrong on a run.

    Attributes:
        copies: how many of its copies fail; None for all of them. percent: how far the run got then.
        after: what somebody does about it at once.
    """

    cause: str
    copies: int | None = 1
    percent: float | None = None
    done_about_it: str = ""
    after: Act | None = None


class Desk:
    """The demo shop's desk, its day going by on the shop's set clock.

    Attributes:
        mishaps: by the size they happen to; each happens once, on the size's next run.
        starts: whether the desk starts and takes off runs by itself. to_shelf: requests kept as spares.
        left_in_finishing: requests whose finishing steps nobody does yet.
        left_alone: aids that somebody counts by hand, not in the evening.
        wait_for: requests whose ready copies somebody hands out by hand, not the desk by itself.
        refused: sentences the services refused with, for the curious.
    """

    def __init__(self, demo: DemoShop, days: Days, seed: int = 7) -> None:
        self.demo, self.days = demo, days
        self.shop, self.clock = demo.shop, demo.clock
        self.chance = random.Random(seed)
        self.mishaps: dict[int, list[Mishap]] = {}
        self.wait_for: set[int] = set()
        self.to_shelf: set[int] = set()
        self.left_in_finishing: set[int] = set()
        self.left_alone: set[int] = set()
        self.refused: list[str] = []
        self.starts = True
        self._agenda: list[tuple[datetime, int, Act]] = []
        self._order = itertools.count()
        self._over: dict[int, datetime] = {}
        self._looked: dict[int, datetime] = {}

    def later(self, moment: datetime, act: Act) -> None:
        """Do something at a moment of the shop's time."""
        heapq.heappush(self._agenda, (moment, next(self._order), act))

    def until(self, moment: datetime) -> None:
        """Let the shop's time go by up to a moment."""
        for printer_id in self.demo.printers.values():
            self._plan_look(printer_id, self.clock.moment)
        while self._agenda and self._agenda[0][0] <= moment:
            when, _, act = heapq.heappop(self._agenda)
            self.clock.go_to(when)
            act()
        self.clock.go_to(moment)

    def in_hours(self, moment: datetime) -> datetime:
        """The moment itself while somebody is in, else a few minutes after the next opening."""
        if is_open(self.days.calendar, moment):
            return moment
        opening = next_opening(self.days.calendar, moment) or moment
        return opening + timedelta(minutes=self.chance.randint(2, 9))

    def _plan_look(self, printer_id: int, moment: datetime) -> None:
        """Look at a printer soon; only the latest plan to look counts."""
        due = self.in_hours(moment)
        self._looked[printer_id] = due

        def look() -> None:
            if self.starts and self._looked.get(printer_id) == due:
                self._look(printer_id)

        self.later(due, look)

    def _look(self, printer_id: int) -> None:
        now = self.clock.moment
        with self.shop.read() as uow:
            run = open_run_on(uow, printer_id)
            kept = uow.runs.find(
                is_("printer_id", printer_id),
                is_("state", RunState.KEPT),
                order_by="planned_hands_on",
                limit=1,
            )
        if run is not None:
            self._look_at_run(run, now)
        elif kept and kept[0].planned_hands_on and kept[0].planned_hands_on > now + timedelta(minutes=1):
            self._plan_look(printer_id, min(kept[0].planned_hands_on, now + 3 * LOOK_AGAIN))
        elif kept:
            self._set_up(printer_id, kept[0])
        else:
            self._plan_look(printer_id, now + LOOK_AGAIN)

    def _look_at_run(self, run: Run, now: datetime) -> None:
        over = self._over.get(run.id) or run.planned_end or now
        if over > now:
            self._plan_look(run.printer_id, over + timedelta(minutes=self.chance.randint(1, 6)))
        elif run.origin is RunOrigin.PLANNED:
            self.take_off(run)
            self._plan_look(run.printer_id, self.clock.moment + timedelta(minutes=3))

    def _set_up(self, printer_id: int, kept: Run) -> None:
        """The set-up by hand, then the start."""
        starts = kept.planned_start or self.clock.moment
        self.clock.go_to(max(starts, self.clock.moment))
        try:
            self.start(printer_id)
        except ShopError as refusal:
            self.refused.append(f"{self.clock.moment:%d %H:%M} {refusal}")
            self._plan_look(printer_id, self.clock.moment + 3 * LOOK_AGAIN)
            return
        self._plan_look(printer_id, self.clock.moment + LOOK_AGAIN)

    def start(self, printer_id: int) -> Run:
        """Start the next run of a printer, with what its print file says most of the time."""
        told = Start()
        if self.chance.random() < 0.6:
            with self.shop.read() as uow:
                kept = uow.runs.find(
                    is_("printer_id", printer_id),
                    is_("state", RunState.KEPT),
                    order_by="planned_hands_on",
                    limit=1,
                )
            if kept:
                told = Start(
                    minutes=float(round(_true_minutes(kept[0]) * self.chance.uniform(0.95, 1.06))),
                    mg=round(kept[0].computed_mg * self.chance.uniform(0.98, 1.05)),
                )
        run = start_next(self.shop, self.demo.press(DESK), printer_id, told).value
        self.expect(run)
        return run

    def expect(self, run: Run) -> None:
        """Decide how long the printer will really take for a run that was just started."""
        really = (_true_minutes(run) or expected_minutes(run)) * self.chance.uniform(0.95, 1.06)
        self._over[run.id] = self.clock.moment + timedelta(minutes=really)

    def really_over(self, run: Run) -> datetime:
        """When the printer is done with a run."""
        return self._over.get(run.id) or run.planned_end or self.clock.moment

    def take_off(self, run: Run) -> TakenOff:
        """Take a run off; what goes wrong with it goes wrong here."""
        with self.shop.read() as uow:
            copies = uow.copies.find(is_("run_id", run.id), is_("state", CopyState.PRINTING))
        verdicts, mishap = self._verdicts(copies)
        minutes = None
        if run.started_at is not None and self.chance.random() < 0.7:
            minutes = (self.really_over(run) - run.started_at).total_seconds() / 60
            minutes = round(minutes * (mishap.percent or 100.0) / 100.0 if mishap else minutes)
        told = TakeOff(
            verdicts=verdicts,
            minutes=minutes,
            minutes_source=Source.PANEL,
            percent=mishap.percent if mishap else None,
            done_about_it=mishap.done_about_it if mishap else "",
        )
        taken = take_off_run(self.shop, self.demo.press(DESK), run.id, told).value
        self.go_on_with(taken.judged.good)
        if mishap is not None and mishap.after is not None:
            mishap.after()
        return taken

    def _verdicts(self, copies: Iterable[Copy]) -> tuple[dict[int, Verdict] | None, Mishap | None]:
        listed = tuple(copies)
        for copy in listed:
            waiting = self.mishaps.get(copy.size_id or 0)
            if waiting:
                mishap = waiting.pop(0)
                mine = [each for each in listed if each.size_id == copy.size_id]
                bad = listed if mishap.copies is None else mine[: mishap.copies]
                failed = Verdict(Outcome.FAILED, mishap.cause)
                return {each.id: failed if each in bad else Verdict() for each in listed}, mishap
        return None, None

    def go_on_with(self, good: Iterable[Copy]) -> None:
        """Copies with steps left are finished within the hour; ready ones are fetched."""
        listed = tuple(good)
        finishing = [
            copy.id
            for copy in listed
            if copy.state is CopyState.FINISHING and copy.request_id not in self.left_in_finishing
        ]
        if finishing:
            when = self.clock.moment + timedelta(minutes=self.chance.randint(8, 24))
            self.later(self.in_hours(when), lambda: self._finish(finishing))
        for copy in listed:
            if copy.state is CopyState.READY:
                self._fetch_later(copy)

    def _finish(self, keys: list[int]) -> None:
        with self.shop.read() as uow:
            still = [
                copy.id for copy in uow.copies.find(among("id", keys), is_("state", CopyState.FINISHING))
            ]
        if not still:
            return
        try:
            for copy in finish_copies(self.shop, self.demo.press(DESK), still).value:
                self._fetch_later(copy)
        except ShopError as refusal:
            self.refused.append(f"{self.clock.moment:%d %H:%M} {refusal}")

    def _fetch_later(self, copy: Copy) -> None:
        if copy.request_id in self.wait_for:
            return
        when = self.in_hours(self.clock.moment + timedelta(minutes=self.chance.randint(10, 95)))
        self.later(when, lambda: self.fetch(copy.id))

    def fetch(self, copy_id: int) -> None:
        """The asker fetches a ready copy, or it goes on the shelf as a spare."""
        with self.shop.read() as uow:
            copy = uow.copies.get(copy_id)
            request = uow.requests.get(copy.request_id)
            machine = "" if request.machine_id is None else uow.machines.get(request.machine_id).name
            aid = None if copy.aid_id is None else uow.aids.get(copy.aid_id)
            who = request.asker_id
        if copy.state is not CopyState.READY:
            return
        press = self.demo.press(DESK) if not who else self.demo.press(self._name_of(who), station="machine")
        try:
            if request.id in self.to_shelf or (aid is not None and self._is_spare(copy, request)):
                shelve(self.shop, self.demo.press(DESK), copy.id)
                return
            to = To(swap_aid_id=None)
            if machine in COUNTERS and aid is not None and aid.counted_by is CountedBy.READING:
                to = To(counter=self.days.counter(machine, self.clock.moment))
            hand_out(self.shop, press, copy.id, to)
        except ShopError as refusal:
            self.refused.append(f"{self.clock.moment:%d %H:%M} {refusal}")
            later = self.in_hours(self.clock.moment + timedelta(hours=4))
            self.later(later, lambda: self.fetch(copy_id))

    def _is_spare(self, copy: Copy, request: Request) -> bool:
        """A reprint waits on the shelf until the old one is worn; of several one in three is used at once."""
        if request.replaces_aid_id is not None:
            return True
        return request.quantity > 1 and copy.ordinal > 1 + request.quantity // 3

    def _name_of(self, person_id: int) -> str:
        return next(name for name, key in self.demo.people.items() if key == person_id)


def _true_minutes(run: Run) -> float:
    """What the demo's printers take: the start a minute longer, printing 2 to 6 % longer by nozzle."""
    slower = 1.06 if run.bore_um == 400 else 1.02
    moves = run.computed_minutes - run.computed_start_minutes
    return run.computed_start_minutes + 1.0 + moves * slower if moves > 0 else 0.0
