"""The story after the take-off: aids handed out, counted, printed again in time, and the week on paper."""

from dataclasses import replace

from printcrib.app.commands.week import week_lines
from printcrib.app.demo.shop import DESK
from printcrib.app.demo.telling import CAP_LIFE, FIRST_DAY, RAISED_BY, SECOND_DAY, Teller
from printcrib.core.calendar import iso_week_text
from printcrib.core.patterns import CountedBy, Pattern
from printcrib.core.requests import Copy, CopyState, Request
from printcrib.services.count_use import count_use, parts_made, read_counter
from printcrib.services.due_reprints import raise_due_reprints
from printcrib.services.edit_patterns import add_pattern, change_size
from printcrib.services.hand_out_aid import To, hand_out
from printcrib.services.interfaces import among, is_
from printcrib.services.press import Press
from printcrib.services.weekly_report import week, week_json


def hand_out_copies(t: Teller) -> None:
    machines = (("Lathe 1", CountedBy.READING, 1), ("Lathe 2", CountedBy.PARTS, 2))
    for copy, (machine, counted_by, uses) in zip(_ready(t), machines, strict=False):
        t.go_minutes(7)
        counter = None
        if counted_by is CountedBy.READING:
            counter = t.desk.days.counter(machine, t.desk.clock.moment)
        to = To(
            machine_id=t.demo.machines[machine],
            counted_by=counted_by,
            uses_a_part=uses,
            counter=counter,
        )
        _out(t, copy, machine, to)


def _ready(t: Teller) -> tuple[Copy, ...]:
    with t.shop.read() as uow:
        return uow.copies.find(
            is_("request_id", t.request.id), is_("state", CopyState.READY), order_by="ordinal"
        )


def _out(t: Teller, copy: Copy, machine: str, to: To) -> None:
    done = hand_out(t.shop, t.press(RAISED_BY, "machine"), copy.id, to)
    aid = done.value.aid
    assert aid is not None
    t.told.aids.append(aid.id)
    t.desk.left_alone.add(aid.id)
    how = {
        CountedBy.READING: f"its part counter, which shows {to.counter}",
        CountedBy.PARTS: f"parts made, {aid.uses_a_part} uses a part",
        CountedBy.ADD: "the plus buttons",
        CountedBy.CALENDAR: "the calendar",
    }[aid.counted_by]
    t.step(
        RAISED_BY,
        f"{t.request.tag}/{copy.ordinal} is handed out to {machine} as aid {aid.tag}; "
        f"its use is counted by {how}.",
        done=done,
        aid=aid.tag,
    )


def into_the_book(t: Teller) -> None:
    t.go_minutes(5)
    pattern = Pattern(
        number=0,
        name="shaft cap",
        kind="covers",
        use_unit="parts",
        counted_by=CountedBy.PARTS,
        expected_life=CAP_LIFE,
        material_id=t.demo.materials["PETG"],
        colour="grey",
        safety_answers=(),
    )
    done = add_pattern(t.shop, t.press(DESK), pattern)
    t.step(
        DESK,
        f"It will be asked for again, so the desk begins pattern {done.value.tag} {done.value.name}: "
        f"the shop's guess is {CAP_LIFE} parts a cap.",
        done=done,
        pattern=done.value.tag,
    )
    with t.shop.read() as uow:
        size = uow.sizes.get(t.request.size_id or 0)
    moved = change_size(
        t.shop,
        t.press(DESK),
        replace(size, pattern_id=done.value.id, name="M36 x 4", shelf_place="B3"),
    )
    t.told.size_id = moved.value.id
    t.step(
        DESK,
        f"The size of {t.request.tag} moves into the book as {done.value.name} M36 x 4.",
        done=moved,
    )


def count(t: Teller) -> None:
    t.desk.wait_for.add(t.request.id)
    _reading(t, FIRST_DAY, "16:45")
    _parts_made(t, FIRST_DAY, "16:50", 38)
    t.go(SECOND_DAY, "07:30")
    for copy in _ready(t):
        to = To(machine_id=t.demo.machines["Bench"], counted_by=CountedBy.ADD)
        _out(t, copy, "Bench", to)
        t.go_minutes(90)
        _plus(t, t.told.aids[-1], 10)
    _reading(t, SECOND_DAY, "12:05")
    _reading(t, SECOND_DAY, "16:10")


def _reading(t: Teller, day: int, wall: str) -> None:
    t.go(day, wall)
    counter = t.desk.days.counter("Lathe 1", t.desk.clock.moment)
    machine_id = t.demo.machines["Lathe 1"]
    done = read_counter(t.shop, t.press(RAISED_BY, "machine"), machine_id, counter)
    counted = [each for each in done.value.counted if each.aid.id in t.told.aids]
    said = ", ".join(
        f"{each.aid.tag} {each.entry.amount} more, {each.count} of about {CAP_LIFE}" for each in counted
    )
    t.step(
        RAISED_BY,
        f"{RAISED_BY} reads the part counter of Lathe 1: {counter}, {done.value.parts} parts since the "
        f"last reading; {said}.",
        done=done,
        parts=done.value.parts,
        counts={each.aid.tag: each.count for each in counted},
    )


def _parts_made(t: Teller, day: int, wall: str, parts: int) -> None:
    t.go(day, wall)
    done = parts_made(t.shop, t.press("Bruno", "machine"), t.told.aids[1], parts)
    counted = done.value
    t.step(
        "Bruno",
        f"Bruno made {parts} parts on Lathe 2 with {counted.aid.tag}, {counted.aid.uses_a_part} uses a "
        f"part: {counted.entry.amount} more, {counted.count} of about {CAP_LIFE}.",
        done=done,
        counts={counted.aid.tag: counted.count},
    )


def _plus(t: Teller, aid_id: int, amount: int) -> None:
    done = count_use(t.shop, t.press("Tarek", "machine"), aid_id, amount)
    t.step(
        "Tarek",
        f"Tarek presses +{amount} for {done.value.aid.tag} at the Bench: {done.value.count}.",
        done=done,
        counts={done.value.aid.tag: done.value.count},
    )


def reprint(t: Teller) -> None:
    t.go_minutes(5)
    done = raise_due_reprints(t.shop, Press(who_id=0, station="tool"))
    with t.shop.read() as uow:
        t.told.reprints = uow.requests.find(among("replaces_aid_id", t.told.aids))
    lines = [_reprint_words(t, request) for request in t.told.reprints]
    t.step(
        "the tool",
        "By itself, the tool asks for what will be worn out before it could be printed:",
        *lines,
        done=done,
        requests=[request.tag for request in t.told.reprints],
    )


def _reprint_words(t: Teller, request: Request) -> str:
    with t.shop.read() as uow:
        now = uow.requests.get(request.id)
        copies = uow.copies.find(is_("request_id", request.id))
        runs = uow.runs.find(among("id", {copy.run_id for copy in copies} - {None}))
    needed = now.needed_by
    where = ", ".join(
        f"run {run.number}, {t.when(run.planned_start)} to {t.when(run.planned_end)}"
        for run in runs
        if run.planned_start and run.planned_end
    )
    when = "" if needed is None else f", needed by {t.when(needed)}"
    return f"  {now.tag}: {now.reason}{when}; {now.state.value}, on {where or 'no run yet'}"


def print_week(t: Teller) -> None:
    """The last step: the week in which the request was raised, on paper."""
    t.told.week = iso_week_text(t.desk.days.at(FIRST_DAY, "12:00"), t.desk.days.zone)
    data = week_json(week(t.shop, t.told.week))
    t.told.paper = t.shop.reports.week_pdf(data)
    t.step(
        "",
        f"The week is printed, {len(t.told.paper) / 1024:.0f} KB of PDF:",
        *(f"  {line}" for line in week_lines(data)),
        week=t.told.week,
        hours=data["hours"]["printed"],
        used_grams=data["filament"]["used_grams"],
    )
