"""The whole job once, step by step: from a machinist's file to the reprint and the week on paper.

Every step is one press of one service, or one look; the numbers in its sentences come from the books.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

from printcrib.app.commands.week import week_lines
from printcrib.app.demo.asking import Asking
from printcrib.app.demo.desk import Desk
from printcrib.app.demo.shop import DESK, NORTH, SOUTH, model_file
from printcrib.core.calendar import iso_week_text, moment_words
from printcrib.core.materials import Source, SpoolEntryKind
from printcrib.core.patterns import CountedBy, Pattern
from printcrib.core.requests import Copy, CopyState, Request
from printcrib.core.runs import Run, RunState
from printcrib.core.units import duration_words, grams_words
from printcrib.meshes import made
from printcrib.services.count_use import count_use, parts_made, read_counter
from printcrib.services.due_reprints import raise_due_reprints
from printcrib.services.edit_patterns import add_pattern, change_size
from printcrib.services.estimate_task import estimate_request
from printcrib.services.hand_out_aid import To, hand_out
from printcrib.services.interfaces import Done, among, is_
from printcrib.services.judge_copies import Outcome, Verdict
from printcrib.services.look_at_request import look_at_request
from printcrib.services.plan_runs import compare_with_first_come, keep_plan, propose_plan
from printcrib.services.press import Press
from printcrib.services.read_runs import doubt_of, kind_words
from printcrib.services.say_when import when_ready
from printcrib.services.start_run import Start, start_next
from printcrib.services.take_off_run import TakeOff, take_off_run
from printcrib.services.take_request import NewRequest
from printcrib.services.weekly_report import week, week_json

FIRST_DAY, SECOND_DAY = -2, -1
CAP = "shaft cap M36 x 4"
CAP_LIFE = 900
RAISED_BY = "Ilse"


@dataclass(frozen=True)
class Step:
    """One step of the story.

    Attributes:
        at: the shop's time in words. who: who pressed, "" for a look. press: number of the press in the
            change record, 0 for a look.
    """

    number: int
    at: str
    who: str
    words: tuple[str, ...]
    press: int = 0
    figures: Mapping[str, Any] = field(default_factory=dict)


@dataclass
class Told:
    """What the story left in the books, by their keys."""

    request: Request | None = None
    others: list[Request] = field(default_factory=list)
    plan_id: int = 0
    runs: list[int] = field(default_factory=list)
    failed: list[Copy] = field(default_factory=list)
    aids: list[int] = field(default_factory=list)
    size_id: int = 0
    reprints: tuple[Request, ...] = ()
    week: str = ""
    paper: bytes = b""
    steps: list[Step] = field(default_factory=list)


class Story:
    """Tells the story in a demo shop, over two of its working days.

    Args:
        tell: hears every step as it happens.
    """

    def __init__(self, desk: Desk, asking: Asking, tell: Callable[[Step], None]) -> None:
        self.desk, self.asking, self.demo, self.shop = desk, asking, desk.demo, desk.shop
        self._tell = tell
        self.told = Told()

    def tell(self) -> Told:
        """The whole story; it begins at 07:10 on the first day with free printers."""
        self.desk.starts = False
        self.go(FIRST_DAY, "07:10")
        self._ask()
        self._accept()
        self._plan()
        self._print()
        self._hand_out()
        self._into_the_book()
        self.desk.starts = True
        self._count()
        self._reprint()
        return self.told

    def go(self, day: int, wall: str) -> None:
        """Let the shop's time go by."""
        self.desk.until(self.desk.days.at(day, wall))

    def step(self, who: str, *words: str, done: Done[Any] | None = None, **figures: Any) -> None:
        """Tell one step."""
        told = Step(
            number=len(self.told.steps) + 1,
            at=self.when(self.desk.clock.moment),
            who=who,
            words=words,
            press=done.press_number if done else 0,
            figures=figures,
        )
        self.told.steps.append(told)
        self._tell(told)

    def when(self, moment: datetime) -> str:
        """A moment in the shop's words; with its day unless it is today."""
        return moment_words(self.desk.clock.moment, moment, self.desk.days.zone)

    def press(self, who: str, station: str = "desk") -> Press:
        """A press by one of the people."""
        return self.demo.press(who, station=station)

    @property
    def request(self) -> Request:
        """The request the story is about."""
        assert self.told.request is not None
        return self.told.request

    def _ask(self) -> None:
        cap = made.thread_cap(36.0, 4.0, 18.0)
        ask = NewRequest(
            asker_id=self.demo.people[RAISED_BY],
            file=model_file(self.shop, cap, "shaft-cap-m36.stl"),
            words=CAP,
            material_id=self.demo.materials["PETG"],
            colour="grey",
            quantity=3,
            needed_by=self.desk.days.at(FIRST_DAY, "10:30"),
            machine_id=self.demo.machines["Lathe 1"],
            job="J-2310",
            touches="washed shaft ends",
            safety_answers=(),
        )
        done = self.asking.put_done(ask)
        self.told.request = done.value
        page = look_at_request(self.shop, done.value.id)
        assert page.model is not None
        found = "; ".join(page.model.findings) or "nothing wrong with it"
        self.step(
            RAISED_BY,
            f"{RAISED_BY} raises {self.request.tag} at the form: {self.request.quantity} copies of {CAP} for "
            f"Lathe 1, needed by {self.when(ask.needed_by or self.desk.clock.moment)}, with a model file.",
            f"The file is read: {page.model.model.triangles} triangles, {page.model.size}, "
            f"{page.model.model.volume_cm3:.1f} cm3, revision {page.model.revision}; {found}. "
            f"Of the ten safety questions: {page.safety}.",
            done=done,
            request=self.request.tag,
            triangles=page.model.model.triangles,
        )
        self._ask_others()

    def _ask_others(self) -> None:
        """Others ask for things of the book meanwhile: of the same filament, of another, finer ones."""
        wishes = (
            ("Tarek", "cable comb 6 x 7", 2, "Mill 1", 27),
            ("Bruno", "thread cap M24 x 3", 2, "Lathe 2", 8),
            ("Tarek", "numbered tag 46 x 24", 4, "Bench", 30),
            ("Petra", "cable comb 4 x 9", 1, "Mill 2", 29),
        )
        for who, size, quantity, machine, hours in wishes:
            self.go_minutes(4)
            done = self.asking.put_done(
                self.asking.ask(size, by=who, quantity=quantity, machine=machine, hours=hours)
            )
            self.told.others.append(done.value)
            self.step(
                who,
                f"{who} asks for {self._copies(quantity)} of {size} from the pattern book: {done.value.tag}, "
                f"needed by {self.when(done.value.needed_by or self.desk.clock.moment)}.",
                done=done,
                request=done.value.tag,
            )

    def go_minutes(self, minutes: int) -> None:
        """Let some minutes go by."""
        self.desk.until(self.desk.clock.moment + timedelta(minutes=minutes))

    def _accept(self) -> None:
        self.go_minutes(3)
        done = estimate_request(self.shop, self.press(DESK), self.request)
        answers = when_ready(self.shop, self.request.id)
        self.step(
            DESK,
            f"The desk opens {self.request.tag} and sees minutes and grams of its "
            f"{self._copies(self.request.quantity)} as one run on every nozzle the shop owns:",
            *(f"  {answer.words}" for answer in answers),
            done=done,
            nozzles=[
                {
                    "bore_um": answer.bore_um,
                    "likely_minutes": round(answer.likely_minutes),
                    "at_most_minutes": round(answer.at_most_minutes),
                    "grams": round(answer.mg / 1000, 1),
                    "allowed": answer.allowed,
                }
                for answer in answers
            ],
        )
        for request in (self.request, *self.told.others):
            self.go_minutes(1)
            accepted = self.asking.accept_done(request.id, weight=2 if request is self.request else None)
            promise = accepted.value.promise
            said = accepted.value.trouble
            if promise is not None:
                said = (
                    f"ready by {self.when(promise.likely)} is promised, at most {self.when(promise.at_most)}"
                )
            self.step(DESK, f"The desk accepts {request.tag}: {said}.", done=accepted, request=request.tag)

    def _plan(self) -> None:
        self.go_minutes(2)
        proposed = propose_plan(self.shop, self.press(DESK))
        compared = compare_with_first_come(self.shop, proposed.value.id)
        self.step(DESK, f"The desk plans again. {compared.words}", done=proposed)
        kept = keep_plan(self.shop, self.press(DESK), proposed.value.id)
        self.told.plan_id = kept.value.id
        runs = self._kept_runs()
        self.step(
            DESK,
            "The plan is kept; these are its runs:",
            *(f"  {self._run_words(run)}" for run in runs),
            done=kept,
            runs=[run.number for run in runs],
            saves=compared.words,
        )

    def _kept_runs(self) -> tuple[Run, ...]:
        with self.shop.read() as uow:
            return uow.runs.find(is_("state", RunState.KEPT), order_by="planned_start")

    def _run_words(self, run: Run) -> str:
        with self.shop.read() as uow:
            copies = uow.copies.find(is_("run_id", run.id))
            requests = uow.requests.find(among("id", {copy.request_id for copy in copies}))
            kind = kind_words(uow.materials.get(run.material_id or 0), run.colour)
            printer = uow.printers.get(run.printer_id).name
        tags = ", ".join(
            f"{request.tag} ({self._copies(sum(copy.request_id == request.id for copy in copies))})"
            for request in requests
        )
        starts, ends = run.planned_start, run.planned_end
        assert starts is not None
        assert ends is not None
        return (
            f"run {run.number} on {printer}, nozzle {run.bore_um / 1000:g}, {kind}: {tags}; "
            f"{self.when(starts)} to {self.when(ends)}, {grams_words(run.estimated_mg)}"
        )

    def _copies(self, count: int) -> str:
        return "1 copy" if count == 1 else f"{count} copies"

    def _print(self) -> None:
        run = self._start_the_run_with(self.request)
        with self.shop.read() as uow:
            spool = uow.spools.get(run.spool_ids[0])
            before = doubt_of(uow, spool).left_mg
            copies = uow.copies.find(is_("run_id", run.id))
        self.desk.until(self.desk.really_over(run))
        self.go_minutes(4)
        failed = next(copy for copy in copies if copy.request_id == self.request.id)
        verdicts = {copy.id: Verdict() for copy in copies}
        verdicts[failed.id] = Verdict(Outcome.FAILED, "corner lifted")
        assert run.started_at is not None
        took = round((self.desk.really_over(run) - run.started_at).total_seconds() / 60)
        told = TakeOff(verdicts=verdicts, minutes=took, minutes_source=Source.PANEL)
        done = take_off_run(self.shop, self.press(DESK), run.id, told)
        self.desk.go_on_with(done.value.judged.good)
        self.told.failed = list(done.value.judged.failed)
        with self.shop.read() as uow:
            after = doubt_of(uow, spool).left_mg
            entries = uow.spool_entries.find(is_("run_id", run.id))
        booked = {
            kind.value: -sum(entry.mg for entry in entries if entry.kind is kind)
            for kind in (SpoolEntryKind.PRINTED, SpoolEntryKind.SCRAP, SpoolEntryKind.PURGE)
        }
        grams = ", ".join(f"{grams_words(mg)} {kind}" for kind, mg in booked.items() if mg)
        new = ", ".join(f"{self.request.tag}/{copy.ordinal}" for copy in done.value.judged.new)
        self.step(
            DESK,
            f"{done.value.words} {self.request.tag}/{failed.ordinal} lost a corner; "
            f"{new} is wanted in its place.",
            f"Booked on {spool.tag}: {grams}; it had {grams_words(before)}, it has {grams_words(after)}. "
            f"The printer's panel says {duration_words(took)}.",
            done=done,
            run=run.number,
            booked_mg=booked,
            left_before_mg=before,
            left_after_mg=after,
        )

    def _start_the_run_with(self, request: Request) -> Run:
        """Start runs until the request's copies are printing; the other printer gets its next one too."""
        ours: Run | None = None
        for name in (SOUTH, NORTH):
            with self.shop.read() as uow:
                kept = uow.runs.find(
                    is_("state", RunState.KEPT),
                    is_("printer_id", self.demo.printers[name]),
                    order_by="planned_hands_on",
                    limit=1,
                )
                mine = {copy.run_id for copy in uow.copies.find(is_("request_id", request.id))}
            if not kept:
                continue
            self.desk.until(max(kept[0].planned_start or self.desk.clock.moment, self.desk.clock.moment))
            run = self._start(name, kept[0])
            if run.id in mine:
                ours = run
        assert ours is not None, "the plan begins with the request that is needed soonest"
        return ours

    def _start(self, printer: str, kept: Run) -> Run:
        told = Start(minutes=float(round(kept.estimated_minutes * 1.03)), mg=round(kept.estimated_mg * 1.02))
        done = start_next(self.shop, self.press(DESK), self.demo.printers[printer], told)
        run = done.value
        self.desk.expect(run)
        self.told.runs.append(run.id)
        with self.shop.read() as uow:
            nozzle = uow.nozzles.get(run.nozzle_id or 0)
            spool = uow.spools.get(run.spool_ids[0])
        assert run.planned_end is not None
        self.step(
            DESK,
            f"Run {run.number} is started on {printer} with nozzle {nozzle.tag} ({run.bore_um / 1000:g}) and "
            f"spool {spool.tag}; the print file says {duration_words(round(run.file_minutes or 0))} and "
            f"{grams_words(run.file_mg or 0)}, so it ends {self.when(run.planned_end)}.",
            done=done,
            run=run.number,
        )
        return run

    def _hand_out(self) -> None:
        machines = (("Lathe 1", CountedBy.READING, 1), ("Lathe 2", CountedBy.PARTS, 2))
        for copy, (machine, counted_by, uses) in zip(self._ready(), machines, strict=False):
            self.go_minutes(7)
            counter = None
            if counted_by is CountedBy.READING:
                counter = self.desk.days.counter(machine, self.desk.clock.moment)
            to = To(
                machine_id=self.demo.machines[machine],
                counted_by=counted_by,
                uses_a_part=uses,
                counter=counter,
            )
            self._out(copy, machine, to)

    def _ready(self) -> tuple[Copy, ...]:
        with self.shop.read() as uow:
            return uow.copies.find(
                is_("request_id", self.request.id), is_("state", CopyState.READY), order_by="ordinal"
            )

    def _out(self, copy: Copy, machine: str, to: To) -> None:
        done = hand_out(self.shop, self.press(RAISED_BY, "machine"), copy.id, to)
        aid = done.value.aid
        assert aid is not None
        self.told.aids.append(aid.id)
        how = {
            CountedBy.READING: f"its part counter, which shows {to.counter}",
            CountedBy.PARTS: f"parts made, {aid.uses_a_part} uses a part",
            CountedBy.ADD: "the plus buttons",
            CountedBy.CALENDAR: "the calendar",
        }[aid.counted_by]
        self.step(
            RAISED_BY,
            f"{self.request.tag}/{copy.ordinal} is handed out to {machine} as aid {aid.tag}; "
            f"its use is counted by {how}.",
            done=done,
            aid=aid.tag,
        )

    def _into_the_book(self) -> None:
        self.go_minutes(5)
        pattern = Pattern(
            number=0,
            name="shaft cap",
            kind="covers",
            use_unit="parts",
            counted_by=CountedBy.PARTS,
            expected_life=CAP_LIFE,
            material_id=self.demo.materials["PETG"],
            colour="grey",
            safety_answers=(),
        )
        done = add_pattern(self.shop, self.press(DESK), pattern)
        self.step(
            DESK,
            f"It will be asked for again, so the desk begins pattern {done.value.tag} {done.value.name}: "
            f"the shop's guess is {CAP_LIFE} parts a cap.",
            done=done,
            pattern=done.value.tag,
        )
        with self.shop.read() as uow:
            size = uow.sizes.get(self.request.size_id or 0)
        moved = change_size(
            self.shop,
            self.press(DESK),
            replace(size, pattern_id=done.value.id, name="M36 x 4", shelf_place="B3"),
        )
        self.told.size_id = moved.value.id
        self.step(
            DESK,
            f"The size of {self.request.tag} moves into the book as {done.value.name} M36 x 4.",
            done=moved,
        )

    def _count(self) -> None:
        self.desk.wait_for.add(self.request.id)
        self._reading(FIRST_DAY, "16:45")
        self._parts(FIRST_DAY, "16:50", 38)
        self.go(SECOND_DAY, "07:30")
        for copy in self._ready():
            to = To(machine_id=self.demo.machines["Bench"], counted_by=CountedBy.ADD)
            self._out(copy, "Bench", to)
            self.go_minutes(90)
            self._plus(self.told.aids[-1], 10)
        self._reading(SECOND_DAY, "12:05")
        self._reading(SECOND_DAY, "16:10")

    def _reading(self, day: int, wall: str) -> None:
        self.go(day, wall)
        counter = self.desk.days.counter("Lathe 1", self.desk.clock.moment)
        machine_id = self.demo.machines["Lathe 1"]
        done = read_counter(self.shop, self.press(RAISED_BY, "machine"), machine_id, counter)
        counted = [each for each in done.value.counted if each.aid.id in self.told.aids]
        said = ", ".join(
            f"{each.aid.tag} {each.entry.amount} more, {each.count} of about {CAP_LIFE}" for each in counted
        )
        self.step(
            RAISED_BY,
            f"{RAISED_BY} reads the part counter of Lathe 1: {counter}, {done.value.parts} parts since the "
            f"last reading; {said}.",
            done=done,
            parts=done.value.parts,
            counts={each.aid.tag: each.count for each in counted},
        )

    def _parts(self, day: int, wall: str, parts: int) -> None:
        self.go(day, wall)
        done = parts_made(self.shop, self.press("Bruno", "machine"), self.told.aids[1], parts)
        counted = done.value
        self.step(
            "Bruno",
            f"Bruno made {parts} parts on Lathe 2 with {counted.aid.tag}, {counted.aid.uses_a_part} uses a "
            f"part: {counted.entry.amount} more, {counted.count} of about {CAP_LIFE}.",
            done=done,
            counts={counted.aid.tag: counted.count},
        )

    def _plus(self, aid_id: int, amount: int) -> None:
        done = count_use(self.shop, self.press("Tarek", "machine"), aid_id, amount)
        self.step(
            "Tarek",
            f"Tarek presses +{amount} for {done.value.aid.tag} at the Bench: {done.value.count}.",
            done=done,
            counts={done.value.aid.tag: done.value.count},
        )

    def _reprint(self) -> None:
        self.go_minutes(5)
        done = raise_due_reprints(self.shop, Press(who_id=0, station="tool"))
        self.told.reprints = tuple(
            request for request in done.value if request.replaces_aid_id in self.told.aids
        )
        lines = [self._reprint_words(request) for request in self.told.reprints]
        self.step(
            "the tool",
            "By itself, the tool asks for what will be worn out before it could be printed:",
            *lines,
            done=done,
            requests=[request.tag for request in self.told.reprints],
        )

    def _reprint_words(self, request: Request) -> str:
        with self.shop.read() as uow:
            now = uow.requests.get(request.id)
            copies = uow.copies.find(is_("request_id", request.id))
            runs = uow.runs.find(among("id", {copy.run_id for copy in copies} - {None}))
        needed = now.needed_by
        where = ", ".join(
            f"run {run.number}, {self.when(run.planned_start)} to {self.when(run.planned_end)}"
            for run in runs
            if run.planned_start and run.planned_end
        )
        when = "" if needed is None else f", needed by {self.when(needed)}"
        return f"  {now.tag}: {now.reason}{when}; {now.state.value}, on {where or 'no run yet'}"

    def print_week(self) -> None:
        """The last step: the week in which the request was raised, on paper."""
        self.told.week = iso_week_text(self.desk.days.at(FIRST_DAY, "12:00"), self.desk.days.zone)
        data = week_json(week(self.shop, self.told.week))
        self.told.paper = self.shop.reports.week_pdf(data)
        self.step(
            "",
            f"The week is printed, {len(self.told.paper) / 1024:.0f} KB of PDF:",
            *(f"  {line}" for line in week_lines(data)),
            week=self.told.week,
            hours=data["hours"]["printed"],
            used_grams=data["filament"]["used_grams"],
        )
