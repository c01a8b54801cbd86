"""The run sheet as it is drawn and listed."""

from datetime import timedelta

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.services.interfaces import Shop
from printcrib.services.look_at_runs import look_at_runs
from printcrib.services.plan_runs import propose_plan, repair_plan
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import Start, start_next
from printcrib.services.stop_run import stop_run
from printcrib.services.take_off_run import take_off_run


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def test_an_empty_sheet(desk: PrintDesk) -> None:
    sheet = look_at_runs(desk.shop)
    assert (sheet.plan, sheet.is_proposal, sheet.proposal_id) == (None, False, None)
    assert sheet.planned == "Nothing is planned yet."
    assert sheet.saving == "As good as first come, first served."
    assert sheet.rows == ()
    assert sheet.starts == desk.now()
    assert len(sheet.open_spans) == 2
    assert [lane.printer.name for lane in sheet.lanes] == ["North", "South"]
    assert [(f.bore, f.starts, f.ends) for f in sheet.lanes[0].fitted] == [("0.4", desk.now(), None)]


def test_lanes_and_rows(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0}, printers=(desk.north,), hours=0.5, size_mm=(150, 150, 20))
    desk.ask(minutes={600: 60.0}, printers=(desk.north,), material="asa", colour="black", hours=None)
    desk.ask(2, minutes={600: 60.0}, printers=(desk.north,), hours=30)
    repair_plan(desk.shop, desk.press())
    sheet = look_at_runs(desk.shop)
    north = sheet.lanes[0]
    assert [bar.kind for bar in north.bars] == ["planned"] * len(north.bars)
    assert [bar.label for bar in north.bars] == [str(bar.number) for bar in north.bars]
    assert [block.is_swap for block in north.hands_on] == [True, False]
    assert [line.bore for line in north.fitted] == ["0.4", "0.6"]
    assert north.fitted[0].ends == north.fitted[1].starts
    late = {mark.tag: (mark.late_minutes, mark.words) for mark in north.marks}
    assert late["R 1"] == (30, "R 1, 30 min late")
    assert late["R 3"] == (0, "R 3")
    assert "R 2" not in late
    rows = {row.requests: row for row in sheet.rows}
    first = rows[("R 1",)]
    assert (first.printer, first.bore, first.material, first.copies) == ("North", "0.4", "PLA grey", 1)
    assert (first.from_to, first.needed, first.spare, first.is_late) == (
        "07:00 – 08:00",
        "07:30",
        "30 min late",
        True,
    )
    assert "Printed first of all it is ready at 08:00, after it is needed." in first.why
    assert (rows[("R 2",)].needed, rows[("R 2",)].spare) == ("", "")
    assert rows[("R 3",)].copies == 2
    assert rows[("R 3",)].spare.endswith("to spare")
    assert sheet.planned == f"Planned 07:00: {len(north.bars)} runs, 1 late, 1 swap left."
    assert sheet.unplanned == ()


def test_what_is_on_the_printers_and_what_was(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0}, printers=(desk.north,))
    desk.ask(minutes={600: 82.0}, printers=(desk.south,), material="asa", colour="black", hours=4)
    repair_plan(desk.shop, desk.press())
    north = start_next(desk.shop, desk.press(), desk.north).value
    start_next(desk.shop, desk.press(), desk.south)
    desk.clock.move(minutes=75)
    take_off_run(desk.shop, desk.press(), north.id)
    run_by_hand(desk.shop, desk.press(), desk.north, desk.later(1), name="vase")
    sheet = look_at_runs(desk.shop)
    first, second = sheet.lanes
    assert sheet.starts == desk.later(-1.25)
    assert [(bar.label, bar.kind) for bar in first.bars] == [("1", "taken off"), ("vase", "printing")]
    assert first.bars[0].ends == desk.later(-0.25)
    assert second.bars[0].done_until == desk.now()
    assert [(row.from_to, row.why, row.needed) for row in sheet.rows] == [
        ("to 08:30", "Started.", "11:00"),
        ("to 09:15", "Started by hand.", ""),
    ]
    desk.clock.move(minutes=30)
    sheet = look_at_runs(desk.shop)
    assert sheet.lanes[1].bars[0].kind == "over"
    assert sheet.rows[0].why == "Over; take it off."
    assert [line.bore for line in sheet.lanes[0].fitted] == ["0.4"]


def test_the_nozzle_of_the_run_on_the_printer_is_fitted_since_its_start(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    first = start_next(desk.shop, desk.press(), desk.north).value
    desk.clock.move(minutes=60)
    take_off_run(desk.shop, desk.press(), first.id)
    desk.ask(minutes={600: 200.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    desk.clock.move(minutes=30)
    second = start_next(desk.shop, desk.press(), desk.north, Start(nozzle_id=desk.nozzles["6n"])).value
    desk.clock.move(minutes=60)
    (old, new) = look_at_runs(desk.shop).lanes[0].fitted
    assert second.started_at is not None
    assert (old.bore, old.starts, old.ends) == ("0.4", first.started_at, second.started_at)
    assert (new.bore, new.starts, new.ends) == ("0.6", second.started_at, None)
    desk.change("runs", first.id, taken_off_at=desk.later(-13))
    (only,) = look_at_runs(desk.shop).lanes[0].fitted
    assert (only.bore, only.starts) == ("0.6", second.started_at)


def test_a_stopped_run_ends_where_it_stopped(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    run = start_next(desk.shop, desk.press(), desk.north).value
    desk.clock.move(minutes=20)
    stop_run(desk.shop, desk.press(), run.id)
    desk.clock.move(minutes=20)
    take_off_run(desk.shop, desk.press(), run.id)
    desk.change("runs", run.id, minutes=None)
    bar = look_at_runs(desk.shop).lanes[0].bars[0]
    assert bar.ends - bar.starts == timedelta(minutes=20)


def test_runs_that_were_never_started_are_not_drawn(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    run = start_next(desk.shop, desk.press(), desk.north).value
    desk.change("runs", run.id, estimated_minutes=0.0, planned_end=None)
    assert look_at_runs(desk.shop).rows[0].from_to == ""
    desk.change("printers", desk.north, fitted_nozzle_id=None)
    take_off_run(desk.shop, desk.press(), run.id)
    desk.change("runs", run.id, started_at=None)
    sheet = look_at_runs(desk.shop)
    assert sheet.lanes[0].bars == ()
    assert sheet.lanes[0].fitted == ()


def test_a_run_by_hand_with_a_known_spool(desk: PrintDesk) -> None:
    desk.change("printers", desk.south, fitted_nozzle_id=None)
    run_by_hand(desk.shop, desk.press(), desk.south, desk.later(1), spool_id=desk.spools["black"])
    (row,) = look_at_runs(desk.shop).rows
    assert (row.bore, row.material, row.copies) == ("", "ASA black", 0)


def test_a_proposal_is_shown_beside_the_kept_plan(desk: PrintDesk) -> None:
    for hours in (30, 20, 10):
        desk.ask(minutes={400: 52.0}, printers=(desk.north,), hours=hours, size_mm=(150, 150, 20))
    repair_plan(desk.shop, desk.press())
    desk.ask(colour="pink")
    proposed = propose_plan(desk.shop, desk.press()).value
    kept = look_at_runs(desk.shop)
    assert (kept.is_proposal, kept.proposal_id) == (False, proposed.id)
    shown = look_at_runs(desk.shop, proposed.id)
    assert shown.is_proposal
    assert len(shown.rows) == 3
    assert shown.unplanned[0][1:] == ("R 4", "no spool of PLA pink with 21 g left")
    repair_plan(desk.shop, desk.press())
    assert look_at_runs(desk.shop).proposal_id is None


def test_a_new_run_of_a_proposal_has_no_number(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0}, printers=(desk.north,))
    proposed = propose_plan(desk.shop, desk.press()).value
    assert look_at_runs(desk.shop, proposed.id).lanes[0].bars[0].label == "new"


def test_lanes_and_list_call_a_run_by_the_same_key(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    desk.ask(minutes={600: 60.0}, printers=(desk.south,), material="asa", colour="black")
    proposal = propose_plan(desk.shop, desk.press()).value
    sheet = look_at_runs(desk.shop, proposal.id)
    drawn = {bar.key for lane in sheet.lanes for bar in lane.bars}
    listed = {row.key for row in sheet.rows}
    assert drawn == listed
    assert {key > 0 for key in listed} == {True, False}
    assert all((row.key > 0) == (row.run_id is not None) for row in sheet.rows)
