"""The week out of the books, as JSON, and on its screen."""

import json
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import TUESDAY_MORNING, FakeClock, FakeReports

from printcrib.core.errors import ShopError
from printcrib.core.materials import Spool, SpoolEntry, SpoolEntryKind, SpoolState, StockMinimum
from printcrib.core.requests import Hold, HoldKind
from printcrib.core.runs import Failure, Run, RunState
from printcrib.core.shop import ClosedDay
from printcrib.core.week import CauseFigures, DueRow, LowRow, RunRow, Week
from printcrib.services.count_use import count_use
from printcrib.services.finish_copy import finish_copies
from printcrib.services.hand_out_aid import To, hand_out
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_week import look_at_week, week_pictures
from printcrib.services.read_runs import doubt_of
from printcrib.services.set_aside_aid import set_aside
from printcrib.services.undo_press import undo
from printcrib.services.weekly_report import this_week, week, week_before, week_pdf
from printcrib.services.write_week import days_words, week_json


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with a pattern; it is Tuesday of week 48."""
    return aid_shop(shop, clock)


def book(desk: AidShop, kind: SpoolEntryKind, mg: int, run_id: int | None = None, spool: int = 0) -> int:
    """A booking on a spool; gives its press."""
    with desk.shop.write(desk.own.press(), "book") as uow:
        spools = uow.spools.find()
        uow.spool_entries.add(
            SpoolEntry(spool_id=spools[spool].id, kind=kind, mg=mg, who_id=uow.press.who_id, run_id=run_id)
        )
        uow.commit()
        return uow.press_number


def test_the_week_of_a_working_shop(desk: AidShop) -> None:
    copies = desk.ready(quantity=2)
    hand_out(desk.shop, desk.own.press(), copies[0].id, To(machine_id=desk.machine().id))
    run_id = copies[0].run_id
    assert run_id is not None
    book(desk, SpoolEntryKind.PRINTED, -30_000, run_id)
    book(desk, SpoolEntryKind.SCRAP, -5_000, run_id)
    wrong = book(desk, SpoolEntryKind.PRINTED, -400_000)
    undo(desk.shop, desk.own.press(), wrong)
    with desk.shop.write(desk.own.press(), "fail") as uow:
        uow.failures.add(
            Failure(run_id=run_id, cause="knocked", cause_group="desk", copy_ids=(9,), mg_lost=5_000)
        )
        uow.holds.add(Hold(request_id=copies[0].request_id, kind=HoldKind.REVIEW))
        uow.runs.add(
            Run(
                number=uow.next_number("run"),
                printer_id=desk.own.printer().id,
                bore_um=600,
                state=RunState.STARTED,
                started_at=uow.now,
            )
        )
        uow.commit()
    made = week(desk.shop)
    assert (made.week, made.shop, made.over) == ("2026-W48", "Own shop", False)
    assert (made.requests.came_in, made.requests.on_time, made.requests.reviews_open) == (1, 1, 1)
    assert (made.hours.printed, made.hours.runs, made.hours.not_taken_off) == (1.0, 1, 1)
    assert (made.used_mg, made.scrap_mg) == (35_000, 5_000)
    assert [(each.cause, each.copies) for each in made.causes] == [("knocked", 1)]
    assert [row.what for row in made.request_rows] == ["spindle stop 32 x 60"]
    assert [row.what for row in made.run_rows] == ["R 1"]
    assert week(desk.shop, "2026-W47").requests.came_in == 0
    assert json.loads(json.dumps(week_json(made)))["requests"]["came_in"] == 1


def test_what_was_entered_late_counts_for_the_week_it_happened_in(desk: AidShop) -> None:
    with desk.shop.write(desk.own.press(happened_at=TUESDAY_MORNING - timedelta(days=6)), "late") as uow:
        spool = uow.spools.find()[0]
        uow.spool_entries.add(
            SpoolEntry(spool_id=spool.id, kind=SpoolEntryKind.PRINTED, mg=-7_000, who_id=uow.press.who_id)
        )
        uow.commit()
    assert (week(desk.shop, "2026-W47").used_mg, week(desk.shop, "2026-W48").used_mg) == (7_000, 0)


def test_requests_in_words_and_of_one_off_sizes_are_named(desk: AidShop) -> None:
    desk.own.ask(file=None, words="a guard for the sight glass")
    desk.own.ask()
    made = week(desk.shop)
    assert [row.what for row in made.request_rows] == ["a guard for the sight glass", "box"]
    first = week_json(made)["request_list"][0]
    assert (first["needed_by_words"], first["ready_words"]) == ("Wed 25 Nov, 07:00", "")


def test_a_request_ready_this_week_but_asked_last_week_is_in_it(desk: AidShop) -> None:
    copies = desk.printed(needed_by=TUESDAY_MORNING + timedelta(days=20))
    desk.clock.move(days=7)
    finish_copies(desk.shop, desk.own.press(), [copies[0].id])
    made = week(desk.shop)
    assert (made.week, made.requests.came_in, made.requests.on_time) == ("2026-W49", 0, 1)


def test_a_run_that_began_before_the_week_reaches_into_it(desk: AidShop) -> None:
    with desk.shop.write(desk.own.press(), "run") as uow:
        monday = TUESDAY_MORNING - timedelta(hours=31)
        uow.runs.add(
            Run(
                number=uow.next_number("run"),
                printer_id=desk.own.printer().id,
                bore_um=600,
                state=RunState.TAKEN_OFF,
                started_at=monday - timedelta(hours=2),
                minutes=180.0,
                taken_off_at=monday + timedelta(hours=7),
            )
        )
        uow.commit()
    made = week(desk.shop)
    assert (made.hours.printed, made.hours.by_day[0], made.hours.runs) == (1.0, 1.0, 1)


def test_aids_due_within_a_fortnight(desk: AidShop) -> None:
    desk.edit_pattern(expected_life=100)
    aid = desk.in_use()
    count_use(desk.shop, desk.own.press(), aid.id, 60)
    spare = desk.in_use(to=To(machine_id=desk.machine("Mill 2").id))
    set_aside(desk.shop, desk.own.press(), spare.id, "cracked")
    (row,) = week(desk.shop).aids_due
    assert (row.tag, row.where, row.count, row.expected, row.words) == ("T-0001", "Lathe 1", 60, 120, "")
    count_use(desk.shop, desk.own.press(), spare.id, 90)
    rows = week(desk.shop).aids_due
    assert {each.tag: each.words for each in rows} == {"T-0001": "", "T-0002": "aside"}


def test_an_aid_without_a_machine_is_where_it_lies(desk: AidShop) -> None:
    desk.edit_pattern(expected_life=None, days_in_service=1)
    (copy,) = desk.ready()
    set_aside(desk.shop, desk.own.press(), copy.aid_id or 0, "dropped")
    (row,) = week(desk.shop).aids_due
    assert (row.where, row.expected) == ("shelf", None)


def low(desk: AidShop, minimum_mg: int) -> tuple[LowRow, ...]:
    """What is low when grey PLA has this minimum."""
    with desk.shop.write(desk.own.press(), "minimum") as uow:
        old = uow.stock_minimums.one()
        if old is None:
            uow.stock_minimums.add(
                StockMinimum(material_id=desk.own.material(), colour="grey", minimum_mg=minimum_mg)
            )
        else:
            uow.stock_minimums.save(replace(old, minimum_mg=minimum_mg))
        uow.commit()
    return week(desk.shop).spools_low


def test_spools_low_are_those_of_a_kind_below_its_minimum(desk: AidShop) -> None:
    assert low(desk, 1_000_000) == ()
    with desk.shop.read() as uow:
        doubts = [doubt_of(uow, spool) for spool in uow.spools.find()[:2]]
    left = sum(doubt.left_mg for doubt in doubts)
    (row,) = low(desk, left + 1)
    assert (row.name, row.tags, row.left_mg, row.minimum_mg) == ("PLA grey", ("S-1", "S-2"), left, left + 1)
    assert row.doubt_mg == round(sum(doubt.half_band_mg**2 for doubt in doubts) ** 0.5)
    assert row.lasts_until is None
    assert low(desk, left) == ()


def test_a_spool_lasts_until_its_mean_use_ends_it(desk: AidShop) -> None:
    book(desk, SpoolEntryKind.PRINTED, -1_000_000)
    undone = book(desk, SpoolEntryKind.PRINTED, -300_000)
    undo(desk.shop, desk.own.press(), undone)
    (row,) = low(desk, 1_000_000)
    assert row.left_mg == 400_000
    # 1000 g in 20 working days: 400 g last 8 of them.
    assert row.lasts_until == date(2026, 12, 4)
    with desk.shop.write(desk.own.press(), "close") as uow:
        for shift in uow.shifts.find():
            uow.shifts.save(replace(shift, void=True))
        uow.commit()
    assert week(desk.shop).spools_low[0].lasts_until is None


def test_a_shop_that_closes_for_good_names_no_day(desk: AidShop) -> None:
    book(desk, SpoolEntryKind.PRINTED, -1_000_000)
    low(desk, 1_000_000)
    with desk.shop.write(desk.own.press(), "close") as uow:
        for ahead in range(1, 450):
            uow.closed_days.add(ClosedDay(day=(date(2026, 11, 24) + timedelta(days=ahead)).isoformat()))
        uow.commit()
    assert week(desk.shop).spools_low[0].lasts_until is None


def test_spools_of_a_kind_are_sorted_by_the_day_they_end(desk: AidShop) -> None:
    with desk.shop.write(desk.own.press(), "spools") as uow:
        for colour in ("white", "black"):
            uow.spools.add(
                Spool(
                    number=uow.next_number("spool"),
                    material_id=desk.own.material(),
                    colour=colour,
                    state=SpoolState.SEALED,
                )
            )
            uow.stock_minimums.add(StockMinimum(material_id=desk.own.material(), colour=colour, minimum_mg=1))
        uow.commit()
    assert [row.name for row in week(desk.shop).spools_low] == ["PLA black", "PLA white"]


def test_weeks_beside_a_week() -> None:
    assert week_before("2027-W01", "Europe/Vienna") == "2026-W53"
    assert week_before("2026-W53", "Europe/Vienna", -1) == "2027-W01"


def test_words_that_are_no_week(desk: AidShop) -> None:
    for text in ("2026-W60", "now", "2026-48"):
        with pytest.raises(ShopError, match="is not a week"):
            week(desk.shop, text)
    assert this_week(desk.shop) == "2026-W48"


def test_the_page_of_a_week(desk: AidShop) -> None:
    page = look_at_week(desk.shop)
    assert (page.number, page.head, page.before, page.after) == (
        48,
        "Week 48 so far, as it prints.",
        "2026-W47",
        None,
    )
    assert page.days == "Mon 23 to Sun 29 November 2026"
    past = look_at_week(desk.shop, page.before)
    assert (past.head, past.after, past.file_name) == (
        "Week 47, as it prints.",
        "2026-W48",
        "print-desk-2026-W47.pdf",
    )
    assert week_pictures(desk.shop, past, 96.0) == (b"page at 96",)


def test_the_pdf_is_set_from_the_json(desk: AidShop) -> None:
    pdf = week_pdf(desk.shop, "2026-W47")
    reports = desk.shop.reports
    assert isinstance(reports, FakeReports)
    assert pdf.startswith(b"%PDF")
    assert reports.printed[-1]["week"] == "2026-W47"


@pytest.mark.parametrize(
    ("first", "words"),
    [
        (date(2026, 11, 16), "Mon 16 to Sun 22 November 2026"),
        (date(2026, 11, 30), "Mon 30 Nov to Sun 6 December 2026"),
        (date(2026, 12, 28), "Mon 28 Dec 2026 to Sun 3 January 2027"),
    ],
)
def test_days_in_words(first: date, words: str) -> None:
    assert days_words(replace(EMPTY, first=first, last=first + timedelta(days=6))) == words


EMPTY = Week(
    week="2026-W48",
    first=date(2026, 11, 23),
    last=date(2026, 11, 29),
    made_at=TUESDAY_MORNING,
    zone="Europe/Vienna",
)


def due(needed_by: timedelta | None) -> dict[str, Any]:
    """One aid due as JSON."""
    row = DueRow(
        tag="T-0001",
        name="stop",
        where="Lathe 1",
        count=3,
        expected=None,
        unit="uses",
        needed_by=None if needed_by is None else TUESDAY_MORNING + needed_by,
    )
    made: dict[str, Any] = week_json(replace(EMPTY, aids_due=(row,)))["aids_due"][0]
    return made


def test_json_of_aids_due() -> None:
    assert (due(None)["needed_by"], due(None)["needed_by_words"]) == (None, "")
    assert due(timedelta())["needed_by_words"] == "today"
    assert due(timedelta(days=-3))["needed_by_words"] == "today"
    assert due(timedelta(days=3))["needed_by_words"] == "Fri 27 Nov"
    assert due(timedelta(days=60))["needed_by_words"] == "Sat 23 Jan 2027"


def test_json_of_spools_runs_and_causes() -> None:
    made = week_json(
        replace(
            EMPTY,
            spools_low=(
                LowRow("PLA", ("S-1",), 148_000, 9_100, 200_000, date(2027, 1, 5)),
                LowRow("ASA", (), 0, 0, 1, None),
            ),
            run_rows=(
                RunRow(32, "North", "0.4", "PLA grey", "R 1", 3, 0, None, 61.6, "panel", 12_340, "weighed"),
                RunRow(33, "North", "0.4", "PLA grey", "R 1", 3, 0, 59.5, 61.6, "panel", 12_340, "weighed"),
            ),
            causes=(CauseFigures("ran out", "material", 2, 1, 420_000, 1.25),),
        )
    )
    assert [(row["left_grams"], row["lasts_until"], row["lasts_words"]) for row in made["spools_low"]] == [
        (148.0, "2027-01-05", "Tue 5 Jan 2027"),
        (0.0, None, "no use yet"),
    ]
    assert [(row["planned_minutes"], row["minutes"], row["grams"]) for row in made["run_list"]] == [
        (None, 62, 12.3),
        (60, 62, 12.3),
    ]
    assert made["failures"] == [
        {"cause": "ran out", "group": "material", "copies": 2, "runs": 1, "grams": 420.0, "hours": 1.2}
    ]
