"""The demo shop's present: twenty requests open in all the ways a request can be open, both printers busy."""

from dataclasses import replace
from datetime import timedelta

from printcrib.app.demo.desk import Mishap
from printcrib.app.demo.history import Life
from printcrib.app.demo.shop import DESK, TPU
from printcrib.app.demo.sketch import bracket_sketch
from printcrib.core.errors import ShopError
from printcrib.core.requests import CopyState, HoldKind, Request
from printcrib.services.accept_request import send_back
from printcrib.services.change_request import change_details
from printcrib.services.hold_request import hold_request
from printcrib.services.interfaces import Where, is_
from printcrib.services.read_runs import open_run_on
from printcrib.services.take_request import NewRequest, keep_draft

OPEN = 20
USUAL_BEFORE = (
    (-2, "13:05", "hose clip 16", "Ilse", 2, 50),
    (-2, "14:30", "drill template 12 x 6 on 90", "Marta", 1, 27),
    (-1, "15:55", "collet tray 33 mm, 10 seats", "Bruno", 2, 70),
    (-1, "16:05", "caliper rest 165 x 62", "Bruno", 2, 70),
)
FILLING = (
    ("funnel 90 to 16", "Bruno", "Lathe 2", 2, 54),
    ("cable comb 6 x 7", "Tarek", "Mill 1", 3, 76),
    ("collet tray 26 mm, 8 seats", "Ilse", "Lathe 1", 1, 100),
    ("thread cap M24 x 3", "Bruno", "Lathe 2", 4, 52),
    ("numbered tag 46 x 24", "Marta", "Bench", 8, 78),
    ("length stop 25 x 80", "Tarek", "Lathe 2", 1, 56),
    ("caliper rest 165 x 62", "Petra", "Bench", 1, 80),
    ("hose clip 20", "Ilse", "Mill 2", 4, 58),
    ("cable comb 4 x 9", "Tarek", "Mill 2", 2, 82),
    ("thread cap M30 x 3", "Bruno", "Lathe 1", 3, 102),
    ("funnel 90 to 16", "Marta", "Mill 1", 1, 104),
    ("cable comb 6 x 7", "Petra", "Bench", 2, 106),
)
"""What else is asked for this morning until twenty are open: size, who, machine, copies, hours."""


class Present:
    """The last day and a half before the present."""

    def __init__(self, life: Life) -> None:
        self.life, self.desk, self.asking, self.demo = life, life.desk, life.asking, life.demo
        self.shop = life.demo.shop

    def schedule(self) -> None:
        """Put what leads to the present on the desk's agenda, before the story begins."""
        at, later = self.life.days.at, self.desk.later
        for day, wall, size, by, quantity, hours in USUAL_BEFORE:
            self._later_usual(day, wall, size, by, quantity, hours)
        later(at(-1, "08:10"), self._review_open)
        later(at(-1, "09:05"), self._question_open)
        later(at(-1, "13:10"), self._ready_not_fetched)
        later(at(-1, "13:40"), self._in_finishing)
        later(at(-1, "14:05"), self._sent_back)
        later(at(-1, "15:20"), self._words_and_photo)
        later(at(-1, "15:40"), self._late)

    def arrive(self) -> None:
        """Live up to the present: today's first requests, then as many as make twenty open."""
        at, later = self.life.days.at, self.desk.later
        later(at(0, "07:00"), self._first_thing)
        later(at(0, "07:08"), self.life.counting.morning)
        later(at(0, "07:25"), self._no_spool)
        later(at(0, "07:40"), self._too_soon)
        later(at(0, "08:20"), self._at_risk)
        later(at(0, "08:50"), self._draft)
        later(at(0, "09:20"), lambda: self._raised("thread cap M30 x 3", "Ilse"))
        later(at(0, "09:31"), self._rush_in_words)
        self.desk.until(at(0, "09:28"))
        self.desk.starts = False  # the desk is at the bench; what is over now waits to be taken off
        self.desk.until(at(0, "09:32"))
        self._fetch_the_ready()
        self._fill()
        self.desk.until(at(0, "09:38"))
        self._see_that_both_print()
        self._raised("jaw pad 100 x 40", "Bruno")
        self.desk.until(self.life.days.present)

    def _later_usual(self, day: int, wall: str, size: str, by: str, quantity: int, hours: int) -> None:
        def ask() -> None:
            self._usual(size, by, "Bench", quantity, hours)

        self.desk.later(self.life.days.at(day, wall), ask)

    def _usual(self, size: str, by: str, machine: str, quantity: int, hours: int) -> Request:
        ask = self.asking.ask(size, by=by, machine=machine, quantity=quantity, hours=hours)
        return self.asking.put_and_accept(ask)

    def _review_open(self) -> None:
        """The release of the large jaw pad has lapsed: printed, finished, and not handed out."""
        ask = self.asking.ask("jaw pad 125 x 45", by="Tarek", machine="Mill 1", quantity=2, hours=30)
        request = self.asking.put(ask)
        self.desk.wait_for.add(request.id)
        self.asking.accept(request.id, weight=2)

    def _question_open(self) -> None:
        request = self._usual("rail cover 23 x 140", "Petra", "Mill 2", 2, 29)
        self.desk.mishaps[request.size_id or 0] = [Mishap("too thin", done_about_it="asked Petra")]

    def _ready_not_fetched(self) -> None:
        request = self._usual("cable comb 4 x 9", "Tarek", "Mill 1", 2, 46)
        self.desk.wait_for.add(request.id)

    def _in_finishing(self) -> None:
        ask = self.asking.ask("jaw pad 100 x 40", by="Ilse", machine="Mill 2", quantity=2, hours=22)
        request = self.asking.put_and_accept(ask, weight=2)
        self.desk.left_in_finishing.add(request.id)

    def _sent_back(self) -> None:
        request = self.asking.put(self.asking.ask("hose clip 20", by="Bruno", quantity=12, hours=48))
        why = "Twelve at once? Say which machines they are for."
        self.desk.later(
            self.desk.clock.moment + timedelta(minutes=22),
            lambda: self._back(request, why),
        )

    def _back(self, request: Request, why: str) -> None:
        send_back(self.shop, self.demo.press(DESK), request.id, why)

    def _words_and_photo(self) -> None:
        self.asking.put(
            NewRequest(
                asker_id=self.demo.people["Ilse"],
                words="bracket for the coolant gun, as in the sketch",
                photo=bracket_sketch(),
                photo_kind="png",
                needed_by=self.asking.needed(70),
                machine_id=self.demo.machines["Mill 2"],
                touches="coolant gun, 22 mm",
            )
        )

    def _late(self) -> None:
        """Wanted for the first hour of today, asked for too late yesterday."""
        ask = self.asking.ask("deburring nest bracket 4021", by="Ilse", machine="Bench", hours=16)
        ask = replace(ask, needed_by=self.life.days.at(0, "08:30"), reason="the old one is cracked")
        self.desk.left_in_finishing.add(self.asking.put_and_accept(ask).id)

    def _first_thing(self) -> None:
        """Pressing at opening time, so that one printer is done with it just about now."""
        ask = self.asking.ask("thread cap M24 x 3", by="Bruno", machine="Lathe 2", quantity=4, hours=3)
        ask = replace(ask, needed_by=self.life.days.at(0, "10:30"), reason="shafts go out at noon")
        self.asking.accept(self.asking.put(ask).id, weight=5)

    def _too_soon(self) -> None:
        """Asked for this morning for nine o'clock, which no printer can do."""
        ask = self.asking.ask("drill template 12 x 6 on 90", by="Tarek", machine="Mill 2", hours=2)
        self.asking.put_and_accept(replace(ask, needed_by=self.life.days.at(0, "09:00")))

    def _no_spool(self) -> None:
        ask = NewRequest(
            asker_id=self.demo.people["Tarek"],
            size_id=self.demo.sizes["hose clip 16"],
            material_id=self.demo.materials[TPU],
            colour="black",
            machine_id=self.demo.machines["Mill 1"],
            needed_by=self.asking.needed(74),
            safety_answers=(9,),
        )
        request = self.asking.put(ask)
        self.asking.accept(request.id)
        words = "black TPU is ordered, here on Monday"
        hold_request(self.shop, self.demo.press(DESK), request.id, HoldKind.NO_SPOOL, words)

    def _at_risk(self) -> None:
        """Needed a few minutes after it will likely be ready."""
        ask = self.asking.ask("cable comb 6 x 7", by="Tarek", machine="Mill 1", quantity=2, hours=8)
        request = self.asking.put(ask)
        promise = self.asking.accept(request.id).promise
        if promise is None:
            return
        with self.shop.read() as uow:
            now = uow.requests.get(request.id)
        sooner = replace(now, needed_by=promise.likely + timedelta(minutes=9))
        change_details(self.shop, self.demo.press("Tarek", station="form"), sooner)

    def _draft(self) -> None:
        ask = NewRequest(
            asker_id=self.demo.people["Petra"], words="cover for the touch probe, size to be measured"
        )
        keep_draft(self.shop, self.demo.press("Petra", station="form"), ask)

    def _raised(self, size: str, by: str) -> None:
        self.asking.put(self.asking.usual(size=size, by=by, hours=30))

    def _rush_in_words(self) -> None:
        self.asking.put(
            NewRequest(
                asker_id=self.demo.people["Tarek"],
                words="something that keeps the probe cable out of the chips, before noon",
                needed_by=self.life.days.at(0, "12:00"),
                machine_id=self.demo.machines["Mill 1"],
                weight=5,
                reason="the probe is down",
            )
        )

    def _fetch_the_ready(self) -> None:
        """Askers come for what is ready, while more than twenty would be open."""
        with self.shop.read() as uow:
            ready = uow.copies.find(is_("state", CopyState.READY))
            held = {hold.request_id for hold in uow.holds.find(Where("closed_at", "is none"))}
        free = [copy for copy in ready if copy.request_id not in held]
        for copy in sorted(free, key=lambda each: each.request_id in self.desk.wait_for):
            if self.asking.open_count() < OPEN:
                return
            self.desk.fetch(copy.id)

    def _fill(self) -> None:
        for size, by, machine, quantity, hours in FILLING:
            if self.asking.open_count() >= OPEN - 1:
                return
            ask = self.asking.ask(size, by=by, machine=machine, quantity=quantity, hours=hours)
            self.asking.accept(self.asking.put(ask).id)

    def _see_that_both_print(self) -> None:
        for printer_id in self.demo.printers.values():
            with self.shop.read() as uow:
                busy = open_run_on(uow, printer_id) is not None
            if not busy:
                try:
                    self.desk.start(printer_id)
                except ShopError as refusal:
                    self.desk.refused.append(str(refusal))
