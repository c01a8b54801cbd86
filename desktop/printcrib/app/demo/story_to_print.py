"""The story up to the take-off: asked for with a file, accepted, grouped, printed, and one copy lost."""

from printcrib.app.demo.shop import DESK, NORTH, SOUTH, model_file
from printcrib.app.demo.telling import FIRST_DAY, RAISED_BY, Teller, copies_words
from printcrib.core.materials import Source, SpoolEntryKind
from printcrib.core.requests import Request
from printcrib.core.runs import Run, RunState
from printcrib.core.units import duration_words, grams_words
from printcrib.meshes import made
from printcrib.services.estimate_task import estimate_request
from printcrib.services.interfaces import among, is_
from printcrib.services.judge_copies import Outcome, Verdict
from printcrib.services.look_at_request import look_at_request
from printcrib.services.plan_runs import compare_with_first_come, keep_plan, propose_plan
from printcrib.services.read_runs import doubt_of, kind_words
from printcrib.services.say_when import when_ready
from printcrib.services.start_run import Start, start_next
from printcrib.services.take_off_run import TakeOff, take_off_run
from printcrib.services.take_request import NewRequest

CAP = "shaft cap M36 x 4"


def ask(t: Teller) -> None:
    cap = made.thread_cap(36.0, 4.0, 18.0)
    ask = NewRequest(
        asker_id=t.demo.people[RAISED_BY],
        file=model_file(t.shop, cap, "shaft-cap-m36.stl"),
        words=CAP,
        material_id=t.demo.materials["PETG"],
        colour="grey",
        quantity=3,
        needed_by=t.desk.days.at(FIRST_DAY, "10:30"),
        machine_id=t.demo.machines["Lathe 1"],
        job="J-2310",
        touches="washed shaft ends",
        safety_answers=(),
    )
    done = t.asking.put_done(ask)
    t.told.request = done.value
    page = look_at_request(t.shop, done.value.id)
    assert page.model is not None
    found = "; ".join(page.model.findings) or "nothing wrong with it"
    t.step(
        RAISED_BY,
        f"{RAISED_BY} raises {t.request.tag} at the form: {t.request.quantity} copies of {CAP} for "
        f"Lathe 1, needed by {t.when(ask.needed_by or t.desk.clock.moment)}, with a model file.",
        f"The file is read: {page.model.model.triangles} triangles, {page.model.size}, "
        f"{page.model.model.volume_cm3:.1f} cm3, revision {page.model.revision}; {found}. "
        f"Of the ten safety questions: {page.safety}.",
        done=done,
        request=t.request.tag,
        triangles=page.model.model.triangles,
    )
    _ask_others(t)


def _ask_others(t: Teller) -> None:
    """Others ask for things of the book meanwhile: of the same filament, of another, finer ones."""
    wishes = (
        ("Tarek", "cable comb 6 x 7", 2, "Mill 1", 27),
        ("Bruno", "thread cap M24 x 3", 2, "Lathe 2", 8),
        ("Tarek", "numbered tag 46 x 24", 4, "Bench", 30),
        ("Petra", "cable comb 4 x 9", 1, "Mill 2", 29),
    )
    for who, size, quantity, machine, hours in wishes:
        t.go_minutes(4)
        done = t.asking.put_done(t.asking.ask(size, by=who, quantity=quantity, machine=machine, hours=hours))
        t.told.others.append(done.value)
        t.step(
            who,
            f"{who} asks for {copies_words(quantity)} of {size} from the pattern book: {done.value.tag}, "
            f"needed by {t.when(done.value.needed_by or t.desk.clock.moment)}.",
            done=done,
            request=done.value.tag,
        )


def accept(t: Teller) -> None:
    t.go_minutes(3)
    done = estimate_request(t.shop, t.press(DESK), t.request)
    answers = when_ready(t.shop, t.request.id)
    t.step(
        DESK,
        f"The desk opens {t.request.tag} and sees minutes and grams of its "
        f"{copies_words(t.request.quantity)} as one run on every nozzle the shop owns:",
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
    for request in (t.request, *t.told.others):
        t.go_minutes(1)
        accepted = t.asking.accept_done(request.id, weight=2 if request is t.request else None)
        promise = accepted.value.promise
        said = accepted.value.trouble
        if promise is not None:
            said = f"ready by {t.when(promise.likely)} is promised, at most {t.when(promise.at_most)}"
        t.step(DESK, f"The desk accepts {request.tag}: {said}.", done=accepted, request=request.tag)


def plan(t: Teller) -> None:
    t.go_minutes(2)
    proposed = propose_plan(t.shop, t.press(DESK))
    compared = compare_with_first_come(t.shop, proposed.value.id)
    t.step(DESK, f"The desk plans again. {compared.words}", done=proposed)
    kept = keep_plan(t.shop, t.press(DESK), proposed.value.id)
    t.told.plan_id = kept.value.id
    runs = _kept_runs(t)
    t.step(
        DESK,
        "The plan is kept; these are its runs:",
        *(f"  {_run_words(t, run)}" for run in runs),
        done=kept,
        runs=[run.number for run in runs],
        saves=compared.words,
    )


def _kept_runs(t: Teller) -> tuple[Run, ...]:
    with t.shop.read() as uow:
        return uow.runs.find(is_("state", RunState.KEPT), order_by="planned_start")


def _run_words(t: Teller, run: Run) -> str:
    with t.shop.read() as uow:
        copies = uow.copies.find(is_("run_id", run.id))
        requests = uow.requests.find(among("id", {copy.request_id for copy in copies}))
        kind = kind_words(uow.materials.get(run.material_id or 0), run.colour)
        printer = uow.printers.get(run.printer_id).name
    tags = ", ".join(
        f"{request.tag} ({copies_words(sum(copy.request_id == request.id for copy in copies))})"
        for request in requests
    )
    starts, ends = run.planned_start, run.planned_end
    assert starts is not None
    assert ends is not None
    return (
        f"run {run.number} on {printer}, nozzle {run.bore_um / 1000:g}, {kind}: {tags}; "
        f"{t.when(starts)} to {t.when(ends)}, {grams_words(run.estimated_mg)}"
    )


def print_one(t: Teller) -> None:
    run = _start_the_run_with(t, t.request)
    with t.shop.read() as uow:
        spool = uow.spools.get(run.spool_ids[0])
        before = doubt_of(uow, spool).left_mg
        copies = uow.copies.find(is_("run_id", run.id))
    t.desk.until(t.desk.really_over(run))
    t.go_minutes(4)
    failed = next(copy for copy in copies if copy.request_id == t.request.id)
    verdicts = {copy.id: Verdict() for copy in copies}
    verdicts[failed.id] = Verdict(Outcome.FAILED, "corner lifted")
    assert run.started_at is not None
    took = round((t.desk.really_over(run) - run.started_at).total_seconds() / 60)
    told = TakeOff(verdicts=verdicts, minutes=took, minutes_source=Source.PANEL)
    done = take_off_run(t.shop, t.press(DESK), run.id, told)
    t.desk.go_on_with(done.value.judged.good)
    t.told.failed = list(done.value.judged.failed)
    with t.shop.read() as uow:
        after = doubt_of(uow, spool).left_mg
        entries = uow.spool_entries.find(is_("run_id", run.id))
    booked = {
        kind.value: -sum(entry.mg for entry in entries if entry.kind is kind)
        for kind in (SpoolEntryKind.PRINTED, SpoolEntryKind.SCRAP, SpoolEntryKind.PURGE)
    }
    grams = ", ".join(f"{grams_words(mg)} {kind}" for kind, mg in booked.items() if mg)
    new = ", ".join(f"{t.request.tag}/{copy.ordinal}" for copy in done.value.judged.new)
    t.step(
        DESK,
        f"{done.value.words} {t.request.tag}/{failed.ordinal} lost a corner; {new} is wanted in its place.",
        f"Booked on {spool.tag}: {grams}; it had {grams_words(before)}, it has {grams_words(after)}. "
        f"The printer's panel says {duration_words(took)}.",
        done=done,
        run=run.number,
        booked_mg=booked,
        left_before_mg=before,
        left_after_mg=after,
    )


def _start_the_run_with(t: Teller, request: Request) -> Run:
    """Start runs until the request's copies are printing; the other printer gets its next one too."""
    ours: Run | None = None
    for name in (SOUTH, NORTH):
        with t.shop.read() as uow:
            kept = uow.runs.find(
                is_("state", RunState.KEPT),
                is_("printer_id", t.demo.printers[name]),
                order_by="planned_hands_on",
                limit=1,
            )
            mine = {copy.run_id for copy in uow.copies.find(is_("request_id", request.id))}
        if not kept:
            continue
        t.desk.until(max(kept[0].planned_start or t.desk.clock.moment, t.desk.clock.moment))
        run = _start(t, name, kept[0])
        if run.id in mine:
            ours = run
    assert ours is not None, "the plan begins with the request that is needed soonest"
    return ours


def _start(t: Teller, printer: str, kept: Run) -> Run:
    told = Start(minutes=float(round(kept.estimated_minutes * 1.03)), mg=round(kept.estimated_mg * 1.02))
    done = start_next(t.shop, t.press(DESK), t.demo.printers[printer], told)
    run = done.value
    t.desk.expect(run)
    t.told.runs.append(run.id)
    with t.shop.read() as uow:
        nozzle = uow.nozzles.get(run.nozzle_id or 0)
        spool = uow.spools.get(run.spool_ids[0])
    assert run.planned_end is not None
    t.step(
        DESK,
        f"Run {run.number} is started on {printer} with nozzle {nozzle.tag} ({run.bore_um / 1000:g}) and "
        f"spool {spool.tag}; the print file says {duration_words(round(run.file_minutes or 0))} and "
        f"{grams_words(run.file_mg or 0)}, so it ends {t.when(run.planned_end)}.",
        done=done,
        run=run.number,
    )
    return run
