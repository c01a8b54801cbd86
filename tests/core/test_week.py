"""The week's figures from records: requests, hours, filament, swaps, causes, remarks."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from printcrib.core.materials import Material, Source, Spool, SpoolEntry, SpoolEntryKind
from printcrib.core.printers import Printer
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import Copy, CopyState, Promise, Request, RequestState
from printcrib.core.runs import Failure, Run, RunOrigin, RunState
from printcrib.core.week import HourFigures, Remark, RequestFigures, SwapFigures
from printcrib.core.week_asked import is_late, request_figures, request_rows
from printcrib.core.week_made import week_of
from printcrib.core.week_printed import (
    cause_figures,
    gram_figures,
    hour_figures,
    hours_by_day,
    run_rows,
    swap_figures,
)
from printcrib.core.week_records import WeekRecords

ZONE = "Europe/Vienna"
MONDAY = datetime(2026, 11, 22, 23, 0, tzinfo=UTC)
"""Monday 23 November 2026, 00:00 in Vienna."""
MIDNIGHTS = tuple(MONDAY + timedelta(days=day) for day in range(8))
AFTER = MIDNIGHTS[-1] + timedelta(days=1)
NORTH, SOUTH = Printer(id=1, name="North"), Printer(id=2, name="South")
PLA, ASA = Material(id=1, name="PLA", density=1.24), Material(id=2, name="ASA", density=1.07)


def records(**fields: object) -> WeekRecords:
    """Records of week 48, put together on the Monday after."""
    told: dict[str, object] = {
        "midnights": MIDNIGHTS,
        "now": AFTER,
        "printers": (NORTH, SOUTH),
        "materials": {1: PLA, 2: ASA},
        "swap_minutes": 12,
        **fields,
    }
    return WeekRecords(**told)  # type: ignore[arg-type]


def at(day: int, hour: float = 8.0) -> datetime:
    """A moment of the week on the shop's wall; Monday is 0."""
    return MIDNIGHTS[day] + timedelta(hours=hour) if day < 8 else MONDAY + timedelta(days=day, hours=hour)


def request(number: int, **fields: object) -> Request:
    """An accepted request that came in on Monday."""
    told: dict[str, object] = {
        "asker_id": 5,
        "state": RequestState.ACCEPTED,
        "happened_at": at(0),
        "needed_by": at(2),
        **fields,
    }
    return Request(id=number, number=number, entered_by_id=5, **told)  # type: ignore[arg-type]


def copy(key: int, of: int, state: CopyState = CopyState.READY, **fields: object) -> Copy:
    """One copy of a request."""
    return Copy(id=key, request_id=of, ordinal=key, state=state, **fields)  # type: ignore[arg-type]


def run(key: int, day: int, hour: float, minutes: float | None, **fields: object) -> Run:
    """A run taken off when it was over."""
    began = at(day, hour)
    told: dict[str, object] = {
        "printer_id": 1,
        "bore_um": 400,
        "state": RunState.TAKEN_OFF,
        "started_at": began,
        "minutes": minutes,
        "estimated_minutes": 60.0,
        "taken_off_at": began + timedelta(minutes=minutes or 0.0),
        **fields,
    }
    return Run(id=key, number=key, **told)  # type: ignore[arg-type]


def test_an_empty_week() -> None:
    week = week_of("2026-W48", ZONE, "Shop", records())
    assert (week.requests, week.hours.printed, week.swaps) == (RequestFigures(), 0.0, SwapFigures())
    assert (week.first, week.last, week.over) == (date(2026, 11, 23), date(2026, 11, 29), True)
    assert (week.used_mg, week.purge_mg, week.scrap_mg, week.remarks) == (0, 0, 0, ())
    assert week.requests.on_time_percent is None
    assert week.hours.failed_percent is None
    assert not week_of("2026-W48", ZONE, "", records(now=at(6, 23.9))).over


def test_requests_in_done_on_time_and_late() -> None:
    asked = (
        request(1, done_at=at(1, 12.0), state=RequestState.DONE),  # ready in time
        request(2, needed_by=at(1)),  # ready late
        request(3, needed_by=None),  # ready, but nobody said by when
        request(4, needed_by=at(3)),  # not ready and late
        request(5, needed_by=at(9)),  # not ready, needed next week
        request(6, state=RequestState.DRAFT),
        request(7, asker_id=THE_TOOL, needed_by=at(9)),
        request(8, happened_at=MONDAY - timedelta(seconds=1), needed_by=at(9)),  # came in last week
        request(9, state=RequestState.WITHDRAWN, needed_by=at(1)),
        request(10, state=RequestState.SENT_BACK, needed_by=at(1)),
    )
    copies = {
        1: (copy(1, 1, CopyState.HANDED_OUT, ready_at=at(1, 11.0)),),
        2: (copy(2, 2, ready_at=at(1, 9.0)),),
        3: (copy(3, 3, ready_at=at(1)),),
        4: (copy(4, 4, CopyState.PRINTING),),
        9: (copy(9, 9, ready_at=at(1, 9.0)),),
    }
    made = records(requests=asked, copies=copies, reviews_open=2)
    figures = request_figures(made)
    assert figures == RequestFigures(
        came_in=8, by_the_tool=1, done=1, on_time=1, late=1, still_open_late=1, reviews_open=2
    )
    assert (figures.ready, figures.on_time_percent) == (2, 50)
    assert [each.number for each in asked if is_late(made, each)] == [2, 4]


def test_late_is_judged_when_the_last_wanted_copy_is_ready() -> None:
    one = request(1, quantity=3, needed_by=at(2))
    copies = (
        copy(1, 1, ready_at=at(1)),
        copy(2, 1, CopyState.FAILED),
        copy(3, 1, replaces_id=2, ready_at=at(2, 9.0)),
        copy(4, 1, ready_at=at(1)),
    )
    assert request_figures(records(requests=(one,), copies={1: copies})).late == 1
    in_time = (*copies[:2], replace(copies[2], ready_at=at(2, 8.0)), copies[3])
    assert request_figures(records(requests=(one,), copies={1: in_time})).on_time == 1


def test_an_open_request_is_late_only_once_the_time_has_come() -> None:
    one = request(1, needed_by=at(3))
    assert not is_late(records(requests=(one,), now=at(2)), one)
    assert is_late(records(requests=(one,), now=at(4)), one)


def test_the_first_promise_to_a_person_counts() -> None:
    def promise(key: int, of: int, outcome: str, to: int = 5) -> Promise:
        return Promise(
            id=key,
            request_id=of,
            to_person_id=to,
            said_at=at(0),
            likely=at(1),
            at_most=at(2),
            outcome=outcome,
        )

    asked = tuple(request(number) for number in (1, 2, 3, 4, 5))
    copies = {each.number: (copy(each.number, each.number, ready_at=at(1)),) for each in asked[:4]}
    promises = (
        promise(1, 1, "kept"),
        promise(2, 1, "not kept"),
        promise(3, 2, "not kept"),
        promise(4, 3, "void"),
        promise(5, 4, "kept", THE_TOOL),
        promise(6, 5, "kept"),
    )
    figures = request_figures(records(requests=asked, copies=copies, promises=promises))
    assert (figures.promises_kept, figures.promises_judged) == (1, 2)


def test_the_request_list() -> None:
    asked = (
        request(2, needed_by=at(1), quantity=4),
        request(1, asker_id=THE_TOOL),
        request(3, state=RequestState.DRAFT),
    )
    copies = {2: (copy(1, 2, ready_at=at(1)), *(copy(key, 2, CopyState.WANTED) for key in (2, 3, 4)))}
    first, second = request_rows(
        records(requests=asked, copies=copies, names={2: "collet tray"}, people={5: "Ann"})
    )
    assert (first.tag, first.asker, first.what, first.ready_at) == ("R 1", "the tool", "", None)
    assert (second.asker, second.what, second.copies, second.state, second.late) == (
        "Ann",
        "collet tray",
        4,
        "1 of 4 ready",
        True,
    )


def test_hours_are_cut_at_the_shops_midnights() -> None:
    night = run(1, 0, 22.0, 300.0)
    assert hours_by_day(MIDNIGHTS, night) == [2.0, 3.0, 0, 0, 0, 0, 0]
    before = run(2, 0, -1.0, 120.0)
    assert hours_by_day(MIDNIGHTS, before) == [1.0, 0, 0, 0, 0, 0, 0]
    after = run(3, 6, 23.0, 120.0)
    assert hours_by_day(MIDNIGHTS, after) == [0, 0, 0, 0, 0, 0, 1.0]
    for odd in (
        replace(night, started_at=None),
        replace(night, minutes=None),
        replace(night, state=RunState.STARTED),
    ):
        assert hours_by_day(MIDNIGHTS, odd) == [0.0] * 7


def test_hours_of_a_week_with_a_clock_change() -> None:
    """The last Sunday of October has 25 hours in Vienna."""
    monday = datetime(2026, 10, 18, 22, 0, tzinfo=UTC)
    midnights = (
        *(monday + timedelta(days=day) for day in range(7)),
        datetime(2026, 10, 25, 23, 0, tzinfo=UTC),
    )
    whole = replace(run(1, 0, 0.0, 8 * 24 * 60.0), started_at=monday)
    assert hours_by_day(midnights, whole) == [24.0] * 6 + [25.0]


def test_hours_planned_and_printed_by_printer_and_nozzle() -> None:
    runs = (
        run(1, 0, 8.0, 120.0, estimated_minutes=90.0),
        run(2, 0, 8.0, 60.0, printer_id=2, bore_um=600),
        run(3, 6, 23.0, 120.0, estimated_minutes=60.0),  # half of it next week
        run(4, 1, 8.0, 180.0, origin=RunOrigin.BY_HAND, estimated_minutes=0.0),
        run(5, 1, 8.0, None),
    )
    failure = Failure(id=1, run_id=2, happened_at=at(0))
    figures = hour_figures(records(runs=runs, failures=(failure,), open_runs=1))
    assert figures.printed == pytest.approx(2 + 1 + 1 + 3)
    assert figures.planned == pytest.approx(1.5 + 1 + 0.5)
    assert figures.by_hand == pytest.approx(3.0)
    assert [round(each, 9) for each in figures.by_day] == [3.0, 3.0, 0, 0, 0, 0, 1.0]
    assert [(each.name, each.hours) for each in figures.by_printer] == [("North", 6.0), ("South", 1.0)]
    assert [(each.name, each.hours) for each in figures.by_nozzle] == [("0.4", 6.0), ("0.6", 1.0)]
    assert list(figures.by_printer[1].by_day) == [1.0, 0, 0, 0, 0, 0, 0]
    assert (figures.runs, figures.failed_runs, figures.failed_percent) == (4, 1, 25)
    assert figures.not_taken_off == 1
    assert sum(each.hours for each in figures.by_printer) == pytest.approx(figures.printed)


def test_a_printer_given_away_is_left_out_of_an_empty_week() -> None:
    gone = replace(SOUTH, active=False)
    assert [each.name for each in hour_figures(records(printers=(NORTH, gone))).by_printer] == ["North"]
    assert hour_figures(records(printers=())) == HourFigures()
    worked = hour_figures(records(printers=(NORTH, gone), runs=(run(1, 0, 8.0, 60.0, printer_id=2),)))
    assert [(each.name, each.hours) for each in worked.by_printer] == [("North", 0.0), ("South", 1.0)]


def entry(spool_id: int, kind: SpoolEntryKind, mg: int, day: int = 0) -> SpoolEntry:
    """A booking on a spool."""
    return SpoolEntry(
        spool_id=spool_id, kind=kind, mg=mg, who_id=1, source=Source.WEIGHED, happened_at=at(day)
    )


def test_filament_by_material_and_spool() -> None:
    spools = {
        1: Spool(id=1, number=11, material_id=1, colour="grey"),
        2: Spool(id=2, number=12, material_id=1, colour="grey"),
        3: Spool(id=3, number=13, material_id=2, colour=""),
        4: Spool(id=4, number=14, material_id=2, colour="red"),
    }
    entries = (
        entry(1, SpoolEntryKind.PRINTED, -40_000),
        entry(1, SpoolEntryKind.PURGE, -1_500),
        entry(1, SpoolEntryKind.SCRAP, -10_000),
        entry(1, SpoolEntryKind.WEIGHED, -3_000),
        entry(2, SpoolEntryKind.PRINTED, -60_000, 6),
        entry(2, SpoolEntryKind.PRINTED, -99_000, 7),  # next week
        entry(3, SpoolEntryKind.THROWN_AWAY, -8_000),
        entry(4, SpoolEntryKind.RECEIVED, 1_000_000),
    )
    made = records(spool_entries=entries, spools=spools)
    grey, asa = gram_figures(made)
    assert (grey.name, grey.used, grey.purge, grey.scrap) == ("PLA grey", 111_500, 1_500, 10_000)
    assert [(each.name, each.used) for each in grey.spools] == [("S-12", 60_000), ("S-11", 51_500)]
    assert (asa.name, asa.used, asa.thrown_away) == ("ASA", 0, 8_000)
    week = week_of("2026-W48", ZONE, "", made)
    assert (week.used_mg, week.purge_mg, week.scrap_mg) == (111_500, 1_500, 10_000)


def grouped(*order: tuple[int, int, bool]) -> WeekRecords:
    """Runs on North one after another: request, bore, swapped before it."""
    runs = tuple(
        run(key, key // 3, 8.0 + key % 3, 30.0, bore_um=bore, swapped_nozzle=swapped)
        for key, (_, bore, swapped) in enumerate(order, 1)
    )
    asked = {number: request(number, accepted_at=at(0, number / 10)) for number, _, _ in order if number}
    copies = {key: (copy(key, number),) for key, (number, _, _) in enumerate(order, 1) if number}
    return records(runs=runs, asked=asked, run_copies=copies)


def test_swaps_avoided_against_the_order_they_were_asked_in() -> None:
    """Asked 0.4, 0.6, 0.4, 0.6; printed both 0.4 first: one swap instead of three."""
    made = swap_figures(grouped((1, 400, False), (3, 400, False), (2, 600, True), (4, 600, False)))
    assert made == SwapFigures(made=1, avoided=2, minutes_avoided=24)


def test_the_first_swap_of_the_week_would_have_been_made_anyway() -> None:
    assert swap_figures(grouped((1, 400, True), (2, 600, True))) == SwapFigures(2, 0, 0)
    assert swap_figures(grouped((2, 400, False), (1, 600, True))) == SwapFigures(1, 1, 12)


def test_runs_by_hand_stand_where_they_were_started() -> None:
    assert swap_figures(grouped((1, 400, False), (0, 800, True), (2, 400, True))) == SwapFigures(2, 0, 0)
    assert swap_figures(records(runs=(run(1, 9, 8.0, 5.0, swapped_nozzle=True),))) == SwapFigures()
    never = replace(run(1, 0, 8.0, 5.0), started_at=None)
    assert swap_figures(records(runs=(never,))) == SwapFigures()


def failure(key: int, cause: str, group: str, run_id: int = 1, copies: int = 1, mg: int = 0) -> Failure:
    """A failure on Monday."""
    return Failure(
        id=key,
        run_id=run_id,
        cause=cause,
        cause_group=group,
        copy_ids=tuple(range(copies)),
        mg_lost=mg,
        minutes_lost=30.0,
        happened_at=at(key % 5),
    )


FAILURES = (
    failure(1, "not known yet", "not known yet", copies=9),
    failure(2, "ran out", "material", run_id=2, mg=420_000, copies=2),
    failure(3, "first layer let go", "machine", copies=3, mg=200_000),
    failure(4, "first layer let go", "machine", run_id=2, mg=110_000),
    failure(5, "knocked", "desk", copies=0),
)


def test_causes_by_copies_grams_and_hours_with_the_unknown_last() -> None:
    rows = cause_figures(records(failures=FAILURES))
    assert [(row.cause, row.copies, row.runs) for row in rows] == [
        ("first layer let go", 4, 2),
        ("ran out", 2, 1),
        ("knocked", 1, 1),
        ("not known yet", 9, 1),
    ]
    assert (rows[0].mg, rows[0].hours, rows[0].group) == (310_000, 1.0, "machine")


def test_what_is_worth_a_look() -> None:
    runs = (run(1, 0, 8.0, 60.0), run(2, 0, 9.0, 60.0, printer_id=2))
    late = request(1, needed_by=at(1))
    week = week_of("2026-W48", ZONE, "", records(failures=FAILURES, runs=runs, requests=(late,)))
    assert week.remarks == (
        Remark("First layer let go: 4", "1 of 2 failures on North, first on Thu."),
        Remark("1 request is late", "Needed by now and not ready yet."),
        Remark("Ran out cost most", "420 g lost in 1 run."),
        Remark("9 failures have no cause yet", "Name it within 7 days."),
    )


def test_grouping_is_worth_a_look_too() -> None:
    made = grouped((1, 400, False), (3, 400, False), (2, 600, True), (4, 600, False))
    assert week_of("2026-W48", ZONE, "", made).remarks == (
        Remark("Grouping saved 2 swaps", "That is 24 min by hand."),
    )


def test_a_cause_on_one_printer_alone_or_on_a_run_of_another_week() -> None:
    mine = (failure(2, "ran out", "material", run_id=1, mg=5000),)
    runs = (run(1, 0, 8.0, 60.0),)
    assert week_of("2026-W48", ZONE, "", records(failures=mine, runs=runs)).remarks == (
        Remark("Ran out: 1", "All on North, first on Wed."),
    )
    assert week_of("2026-W48", ZONE, "", records(failures=mine)).remarks == (
        Remark("Ran out: 1", "First on Wed."),
    )
    unnamed = records(failures=mine, runs=runs, printers=())
    assert week_of("2026-W48", ZONE, "", unnamed).remarks[0].words == "All on one printer, first on Wed."


def test_the_run_list() -> None:
    runs = (
        run(2, 0, 8.0, 60.0, material_id=1, colour="grey", mg=41_000, minutes_source=Source.PANEL),
        run(1, 0, 9.0, 90.0, origin=RunOrigin.BY_HAND, name="a vice key", printer_id=9),
        run(3, 0, 11.0, 30.0),
        run(4, 9, 11.0, 30.0),
    )
    copies = {
        2: (copy(1, 7), copy(2, 8, CopyState.FAILED), copy(3, 7)),
    }
    made = records(runs=runs, run_copies=copies, asked={7: request(7), 8: request(8)})
    by_hand, planned, nothing = run_rows(made)
    assert (by_hand.number, by_hand.what, by_hand.planned_minutes, by_hand.printer) == (
        1,
        "a vice key",
        None,
        "",
    )
    assert (planned.what, planned.good, planned.failed, planned.material) == ("R 7, R 8", 2, 1, "PLA grey")
    assert (planned.planned_minutes, planned.mg, planned.minutes_source) == (60.0, 41_000, "panel")
    assert (nothing.what, nothing.mg, nothing.grams_source) == ("nothing to keep", 0, "")
