"""What happens in the demo shop besides the usual: damp filament, a run by hand, a try-fit, a weigh-in."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from printcrib.app.demo.asking import Asking
from printcrib.app.demo.desk import Desk, Mishap
from printcrib.app.demo.shop import DESK, NORTH, TPU, model_file
from printcrib.core.causes import CauseGroup
from printcrib.core.materials import Source, SpoolState
from printcrib.core.requests import CopyState, Purpose, Request
from printcrib.core.runs import RunOrigin, RunState
from printcrib.core.shapes import Mesh
from printcrib.core.spool_ledger import TARE_GUESS_MG
from printcrib.meshes import made
from printcrib.services.accept_request import send_back
from printcrib.services.answer_safety import answer_safety
from printcrib.services.change_request import change_model
from printcrib.services.count_use import correct_count, count_of
from printcrib.services.decide_copies import Decision, decide_copies
from printcrib.services.finish_copy import say_fit
from printcrib.services.interfaces import among, is_
from printcrib.services.judge_copies import Outcome, Verdict, judge_copies
from printcrib.services.keep_by_hand import KeptByHand
from printcrib.services.log_failure import name_cause
from printcrib.services.move_spool import mark_damp, put_in_dryer, put_on_rack, throw_away
from printcrib.services.read_runs import LIVE_SPOOLS, doubt_of
from printcrib.services.receive_spool import NewSpool, receive_spool
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.take_off_run import TakeOff, take_off_run
from printcrib.services.take_request import NewRequest, raise_kept
from printcrib.services.undo_press import undo
from printcrib.services.weigh_spool import weigh_spool
from printcrib.services.withdraw_request import withdraw_request

MISHAPS: dict[str, list[Mishap]] = {
    "hose clip 20": [Mishap("corner lifted", done_about_it="platform washed")],
    "thread cap M30 x 3": [Mishap("first layer let go", None, 7.0, "first layer slower")],
    "jaw pad 100 x 40": [Mishap("layers split"), Mishap("damaged on removal")],
    "funnel 90 to 16": [Mishap("nozzle blocked", None, 41.0, "nozzle cleaned")],
    "length stop 20 x 60": [Mishap(CauseGroup.NOT_KNOWN.value)],
    "cable comb 4 x 9": [Mishap("knocked")],
    "collet tray 26 mm, 8 seats": [Mishap("power cut", None, 63.0)],
}
"""What goes wrong on the first run of each of these sizes, and on the next."""

USED_UP_MG = 25_000


class Events:
    """The unusual things of three weeks, each at its moment."""

    def __init__(self, desk: Desk, asking: Asking) -> None:
        self.desk, self.asking, self.demo, self.shop, self.days = (
            desk,
            asking,
            desk.demo,
            desk.shop,
            desk.days,
        )
        for size, mishaps in MISHAPS.items():
            desk.mishaps[self.demo.sizes[size]] = list(mishaps)

    def schedule(self) -> None:
        """Put all of them on the desk's agenda."""
        at, later = self.days.at, self.desk.later
        later(at(-15, "10:50"), self._reviewer_asks)
        later(at(-14, "09:05"), self._send_one_back)
        later(at(-13, "16:35"), self._start_by_hand)
        later(at(-12, "07:04"), self._take_off_by_hand)
        later(at(-11, "09:20"), self._print_something_private)
        later(at(-10, "08:15"), self._ask_for_something_soft)
        later(at(-10, "11:50"), self._withdraw_one)
        later(at(-9, "10:40"), self._receive_a_spool)
        later(at(-8, "07:50"), self._try_the_fit)
        for day in range(-9, 0):
            later(at(day, "16:57"), self._clear_the_rack)
        later(at(-4, "10:30"), self._name_a_cause)
        later(at(-4, "15:10"), self._count_wrong_and_undo)
        for day in (-11, -6, -1):
            later(at(day, "16:20"), self._weigh)

    def file_ask(self, by: str, words: str, name: str, mesh: Mesh, **rest: Any) -> NewRequest:
        """Somebody asks for a thing with a model file of its own."""
        ask = NewRequest(
            asker_id=self.demo.people[by],
            file=model_file(self.shop, mesh, name),
            words=words,
            material_id=self.demo.materials["PETG"],
            colour="grey",
            needed_by=self.asking.needed(28),
            safety_answers=(),
        )
        return replace(ask, **rest)

    def _reviewer_asks(self) -> None:
        """Petra asks herself, so the lead records somebody from outside as the reviewer."""
        ask = self.asking.ask("length stop 25 x 80", by="Petra", machine="Lathe 2", hours=27)
        self.asking.put_and_accept(ask)

    def _send_one_back(self) -> None:
        """Asked for without saying how many cables; raised again after the talk."""
        ask = self.asking.ask("cable comb 6 x 7", by="Bruno", quantity=2, machine="Mill 1", hours=75)
        request = self.asking.put(ask)
        self.desk.later(self._in(25), lambda: self._back(request))

    def _back(self, request: Request) -> None:
        send_back(self.shop, self.demo.press(DESK), request.id, "Which cables: 6 of 7 mm or 4 of 9 mm?")
        self.desk.later(self._in(95), lambda: self._again(request))

    def _again(self, request: Request) -> None:
        raise_kept(self.shop, self.demo.press("Bruno", station="form"), request.id)
        self.desk.later(self._in(10), lambda: self._accept(request))

    def _accept(self, request: Request) -> None:
        self.asking.accept(request.id)

    def _in(self, minutes: int) -> datetime:
        return self.desk.in_hours(self.desk.clock.moment + timedelta(minutes=minutes))

    def _start_by_hand(self) -> None:
        """Bruno starts something for the bench over night and tells it in two presses."""
        printer_id = self.demo.printers[NORTH]
        free = self.days.at(-12, "06:10")
        done = run_by_hand(
            self.shop,
            self.demo.press("Bruno", station="printer"),
            printer_id,
            free,
            name="hooks for the bench",
        ).value
        if done.taken_off is not None and done.taken_off.judged.to_check:
            copies = done.taken_off.judged.to_check
            self.desk.later(self._in(12), lambda: self._judge([copy.id for copy in copies]))

    def _judge(self, keys: list[int]) -> None:
        judged = judge_copies(self.shop, self.demo.press(DESK), {key: Verdict(Outcome.GOOD) for key in keys})
        self.desk.go_on_with(judged.value.good)

    def _take_off_by_hand(self) -> None:
        with self.shop.read() as uow:
            run = uow.runs.one(is_("origin", RunOrigin.BY_HAND), is_("state", RunState.STARTED))
            if run is None:
                return
            spool_id = uow.printers.get(run.printer_id).mounted_spool_id
        told = TakeOff(
            mg=46_000,
            grams_source=Source.WEIGHED,
            minutes=612,
            minutes_source=Source.PANEL,
            spool_id=spool_id,
            kept=KeptByHand(words="hook for the air gun", quantity=2, asker_id=self.demo.people["Bruno"]),
        )
        taken = take_off_run(self.shop, self.demo.press(DESK), run.id, told).value
        request_id = taken.kept_request_id
        if request_id is not None:
            self.desk.later(self._in(50), lambda: self._answer_for_hooks(request_id))

    def _answer_for_hooks(self, request_id: int) -> None:
        answer_safety(self.shop, self.demo.press("Bruno", station="form"), request_id, ())
        with self.shop.read() as uow:
            copies = uow.copies.find(is_("request_id", request_id), is_("state", CopyState.TO_CHECK))
        self.desk.to_shelf.add(request_id)
        self._judge([copy.id for copy in copies])

    def _print_something_private(self) -> None:
        ask = self.file_ask(
            "Tarek",
            "clip for a bicycle lamp",
            "lamp-clip.stl",
            made.hose_clip(27.0, 22.0),
            purpose=Purpose.PRIVATE,
            needed_by=self.asking.needed(75),
        )
        self.asking.put_and_accept(ask)

    def _ask_for_something_soft(self) -> None:
        """A sleeve from TPU: the spool is damp, is dried over night, and the sleeve is printed again."""
        ask = self.file_ask(
            "Ilse",
            "sleeve for the vice handle",
            "vice-handle-sleeve.stl",
            made.hose_clip(24.0, 40.0, 4.0),
            material_id=self.demo.materials[TPU],
            colour="natural",
            machine_id=self.demo.machines["Mill 1"],
        )
        request = self.asking.put_and_accept(ask, weight=2)
        self.desk.mishaps[request.size_id or 0] = [
            Mishap("damp", None, 100.0, "spool dried over night", after=self._dry_the_soft_one)
        ]

    def _dry_the_soft_one(self) -> None:
        spool_id = self.demo.spools[4]
        mark_damp(self.shop, self.demo.press(DESK), spool_id)
        self.desk.later(self._in(20), lambda: self._into_the_dryer(spool_id))

    def _into_the_dryer(self, spool_id: int) -> None:
        put_in_dryer(self.shop, self.demo.press(DESK), spool_id)
        morning = self.desk.in_hours(self.desk.clock.moment + timedelta(hours=14))
        self.desk.later(morning, lambda: self._out_of_the_dryer(spool_id))

    def _out_of_the_dryer(self, spool_id: int) -> None:
        with self.shop.read() as uow:
            drying = uow.spools.get(spool_id).state is SpoolState.DRYER
        if drying:
            put_on_rack(self.shop, self.demo.press(DESK), spool_id, dry=True)

    def _receive_a_spool(self) -> None:
        new = NewSpool(
            material_id=self.demo.materials["PETG"],
            colour="grey",
            lot="P24-140",
            gross_mg=1_221_000,
            tare_mg=214_000,
            tare_guessed=False,
            place="rack 1",
            sealed=False,
        )
        receive_spool(self.shop, self.demo.press(DESK), new)

    def _clear_the_rack(self) -> None:
        """What is too little for any run goes."""
        with self.shop.read() as uow:
            spools = uow.spools.find(is_("state", SpoolState.SHELF))
            used_up = [spool for spool in spools if doubt_of(uow, spool).left_mg < USED_UP_MG]
        for spool in used_up:
            throw_away(self.shop, self.demo.press(DESK), spool.id, "used up")

    def _withdraw_one(self) -> None:
        request = self.asking.put(self.asking.usual(size="funnel 90 to 16", by="Tarek", hours=50))
        self.desk.later(self._in(20), lambda: self._withdraw(request))

    def _withdraw(self, request: Request) -> None:
        press = self.demo.press("Tarek", station="form")
        withdraw_request(self.shop, press, request.id, "found an old one")

    def _try_the_fit(self) -> None:
        """One to try the fit: it is tight, the model changes, it fits, and three are asked for."""
        ask = self.file_ask(
            "Bruno",
            "rest for the 18 mm bar",
            "bar-rest-18.stl",
            made.hose_clip(18.0, 24.0, 5.0),
            purpose=Purpose.TRY_FIT,
            machine_id=self.demo.machines["Lathe 2"],
        )
        request = self.asking.put_and_accept(ask, weight=2)
        self.desk.wait_for.add(request.id)
        self.desk.later(self.days.at(-7, "07:40"), lambda: self._it_is_tight(request.id))

    def _it_is_tight(self, request_id: int) -> None:
        with self.shop.read() as uow:
            ready = uow.copies.one(is_("request_id", request_id), is_("state", CopyState.READY))
        if ready is None:
            return
        press = self.demo.press
        say_fit(self.shop, press("Bruno", station="machine"), ready.id, "0.2 tight")
        wider = model_file(self.shop, made.hose_clip(18.2, 24.0, 5.0), "bar-rest-18-2.stl")
        change_model(self.shop, press(DESK), request_id, wider)
        decide_copies(self.shop, press(DESK), request_id, {ready.id: Decision.SCRAP})
        self.desk.later(self.days.at(-6, "08:05"), lambda: self._it_fits(request_id))

    def _it_fits(self, request_id: int) -> None:
        with self.shop.read() as uow:
            ready = uow.copies.one(is_("request_id", request_id), is_("state", CopyState.READY))
            request = uow.requests.get(request_id)
        if ready is None:
            return
        say_fit(self.shop, self.demo.press("Bruno", station="machine"), ready.id, "fits")
        self.desk.wait_for.discard(request_id)
        self.desk.fetch(ready.id)
        ask = NewRequest(
            asker_id=request.asker_id,
            size_id=request.size_id,
            words=request.words,
            material_id=request.material_id,
            colour=request.colour,
            quantity=3,
            needed_by=self.asking.needed(26),
            machine_id=request.machine_id,
            follows_id=request.id,
            safety_answers=(),
        )
        self.asking.put_and_accept(ask)

    def _name_a_cause(self) -> None:
        with self.shop.read() as uow:
            failure = uow.failures.one(is_("cause", CauseGroup.NOT_KNOWN.value))
        if failure is not None:
            press = self.demo.press(DESK)
            name_cause(self.shop, press, failure.id, "layers shifted", done_about_it="belt tightened")

    def _count_wrong_and_undo(self) -> None:
        """Somebody corrects the wrong aid's count and takes it back."""
        with self.shop.read() as uow:
            told = [key for key in sorted(uow.use_entries.totals("amount", "aid_id")) if count_of(uow, key)]
            count = count_of(uow, told[0]) if told else 0
        if told:
            press = self.demo.press("Ilse", station="machine")
            wrong = correct_count(self.shop, press, told[0], count + 100)
            undo(self.shop, self.demo.press("Ilse", station="machine"), wrong.press_number)

    def _weigh(self) -> None:
        """Most spools that feed no run go on the scale."""
        with self.shop.read() as uow:
            spools = uow.spools.find(among("state", LIVE_SPOOLS), order_by="number")
            left = {spool.id: doubt_of(uow, spool).left_mg for spool in spools}
            lying = {
                key
                for run in uow.runs.find(among("state", (RunState.STARTED, RunState.STOPPED)))
                for key in run.spool_ids
            }
        for spool in spools:
            if spool.id in lying or self.desk.chance.random() < 0.3:
                continue
            tare = TARE_GUESS_MG if spool.tare_mg is None else spool.tare_mg
            gross = left[spool.id] + tare + self.desk.chance.randint(-6_000, 5_000)
            weigh_spool(self.shop, self.demo.press(DESK), spool.id, gross)
