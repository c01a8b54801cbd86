"""The Desk: the next hands-on step, every printer, what is at risk."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.materials import SpoolEntry, SpoolEntryKind, StockMinimum
from printcrib.core.requests import CopyState
from printcrib.core.runs import RunState
from printcrib.services.find_next_steps import StepKind
from printcrib.services.interfaces import Shop, UnitOfWork
from printcrib.services.look_at_desk import DeskAid, look_at_desk
from printcrib.services.look_at_requests import Asked, look_at_requests
from printcrib.services.plan_runs import repair_plan
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import Start, start_next
from printcrib.services.stop_run import stop_run
from printcrib.services.take_off_run import all_to_check, take_off_run


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def use(desk: PrintDesk, spool: str, mg: int) -> None:
    with desk.shop.write(desk.press(), "use") as uow:
        kind = SpoolEntryKind.PRINTED
        uow.spool_entries.add(SpoolEntry(spool_id=desk.spools[spool], kind=kind, mg=-mg, who_id=0))
        uow.commit()


def test_an_empty_desk(desk: PrintDesk) -> None:
    view = look_at_desk(desk.shop)
    assert view.next is None
    assert (view.at_risk, view.aids_due, view.not_lasting, view.to_check) == ((), (), (), ())
    assert (view.next_swap, view.next_swap_at) == ("", None)
    north, south = view.printers
    assert (north.printer.name, north.nozzle, north.nozzle_tag) == ("North", "0.4", "N-1")
    assert north.run is None
    assert north.next_runs == ()
    assert north.spool is not None
    assert (north.spool.words, north.spool.left_mg, north.spool.promised_mg) == ("PLA grey", 800_000, 0)
    assert south.spool is not None
    assert south.spool.words == "ASA black"


def test_bare_printers(desk: PrintDesk) -> None:
    desk.change("printers", desk.north, fitted_nozzle_id=None, mounted_spool_id=None)
    north = look_at_desk(desk.shop).printers[0]
    assert (north.nozzle, north.nozzle_tag, north.spool) == ("", "", None)
    desk.ask(minutes={400: 52.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    step = look_at_desk(desk.shop).next
    assert step is not None
    assert [s.words for s in step.steps] == ["Fit nozzle 0.4", "Load PLA grey", "Start run 1"]
    assert [s.detail for s in step.steps] == ["none is on it", "spool S-2", "ends 08:16"]


def test_the_step_card(desk: PrintDesk) -> None:
    desk.ask(3, minutes={400: 30.0}, printers=(desk.north,), hours=3)
    repair_plan(desk.shop, desk.press())
    first = start_next(desk.shop, desk.press(), desk.north).value
    desk.ask(1, minutes={600: 60.0}, printers=(desk.north,), material="asa", colour="black", hours=9)
    repair_plan(desk.shop, desk.press())
    card = look_at_desk(desk.shop).next
    assert card is not None
    assert card.from_when == desk.now() + timedelta(minutes=100)
    desk.clock.move(minutes=101)
    view = look_at_desk(desk.shop)
    card = view.next
    assert card is not None
    assert (card.printer_name, card.press, card.press_words) == (
        "North",
        StepKind.TAKE_OFF,
        "Take off run 1",
    )
    assert [(s.number, s.words, s.detail) for s in card.steps] == [
        (10, "Take off run 1", "3 copies"),
        (20, "Fit nozzle 0.6", "0.4 comes off"),
        (30, "Load ASA black", "spool S-3"),
        (40, "Start run 2", "ends 10:08"),
    ]
    assert card.run_id == first.id
    assert card.hands_on_minutes == 3 + 12 + 4
    assert card.words == "Start by 14:33, for R 2 at 16:00 · 19 min by hand"
    assert view.next_swap == "08:41, North"
    take_off_run(desk.shop, desk.press(), first.id)
    card = look_at_desk(desk.shop).next
    assert card is not None
    assert (card.press, card.press_words, card.run_id) == (StepKind.START, "Start run 2", None)
    assert [s.number for s in card.steps] == [10, 20, 30]
    assert card.next_run_id == desk.runs(RunState.KEPT)[0].id


def test_a_run_over_goes_before_a_start(desk: PrintDesk) -> None:
    run_by_hand(desk.shop, desk.press(), desk.south, desk.later(1), name="gauge")
    desk.ask(minutes={400: 60.0}, printers=(desk.north,), hours=None)
    repair_plan(desk.shop, desk.press())
    card = look_at_desk(desk.shop).next
    assert card is not None
    assert (card.printer_name, card.start_by, card.words) == ("North", None, "")
    desk.clock.move(hours=2)
    card = look_at_desk(desk.shop).next
    assert card is not None
    assert card.printer_name == "South"
    assert [(s.words, s.detail) for s in card.steps] == [("Take off run 1", "gauge")]
    assert card.next_run_id is None


def test_what_is_on_the_printers(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 92.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    run = start_next(desk.shop, desk.press(), desk.north).value
    run_by_hand(desk.shop, desk.press(), desk.south, desk.later(2))
    desk.clock.move(minutes=25)
    north, south = look_at_desk(desk.shop).printers
    assert north.run is not None
    assert south.run is not None
    assert (north.run.number, north.run.percent, north.run.minutes_left) == (1, 25.0, 75)
    assert (north.run.side, north.run.below) == ("1 h 15 left", "ends 08:40")
    assert (south.run.by_hand, len(south.run.copies), len(north.run.copies)) == (True, 0, 1)
    desk.clock.move(minutes=80)
    north = look_at_desk(desk.shop).printers[0]
    assert north.run is not None
    assert (north.run.over, north.run.side, north.run.below) == (True, "done 08:40", "take it off")
    assert desk.run(run.id).state is RunState.STARTED
    stop_run(desk.shop, desk.press(), run.id)
    north = look_at_desk(desk.shop).printers[0]
    assert north.run is not None
    assert (north.run.stopped, north.run.side) == (True, "stopped 08:45")


def test_a_run_nobody_knows_the_end_of(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 92.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    run = start_next(desk.shop, desk.press(), desk.north).value
    desk.change("runs", run.id, estimated_minutes=0.0)
    north = look_at_desk(desk.shop).printers[0]
    assert north.run is not None
    assert (north.run.over, north.run.side, north.run.below, north.run.percent) == (False, "", "", None)


def test_next_runs_are_three(desk: PrintDesk) -> None:
    for number in range(5):
        desk.ask(minutes={400: 60.0 + number}, printers=(desk.north,), size_mm=(150, 150, 20))
    repair_plan(desk.shop, desk.press())
    north = look_at_desk(desk.shop).printers[0]
    assert len(north.next_runs) == 3
    assert north.next_runs[0].words == "07:00"
    assert [run.number for run in north.next_runs] == [1, 2, 3]


def test_late_and_at_risk(desk: PrintDesk) -> None:
    late = desk.ask(minutes={400: 60.0}, printers=(desk.north,), hours=-1, size_mm=(150, 150, 20))
    tight = desk.ask(minutes={600: 60.0}, printers=(desk.south,), hours=1.5, material="asa", colour="black")
    risky = desk.ask(minutes={400: 200.0}, printers=(desk.north,), hours=6.2, size_mm=(150, 150, 20))
    fine = desk.ask(minutes={400: 60.0}, printers=(desk.north,), hours=90, size_mm=(150, 150, 20))
    gone = desk.ask(material="carbon", colour="white", hours=-2)
    repair_plan(desk.shop, desk.press())
    rows = look_at_desk(desk.shop).at_risk
    shown = {row.request_id: (row.words, row.is_late) for row in rows}
    assert shown[late.id] == ("2 h 08 late", True)
    assert shown[gone.id][1]
    assert shown[tight.id] == ("22 min to spare", False)
    assert not shown[risky.id][1]
    assert fine.id not in shown
    assert [row.is_late for row in rows] == sorted((row.is_late for row in rows), reverse=True)
    assert rows[0].tag == "R 1"
    assert rows[0].name == "collet tray ER32"


def test_the_list_of_requests_says_the_same_lateness(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 60.0}, printers=(desk.north,), hours=-1, size_mm=(150, 150, 20))
    desk.change("patterns", 1, finishing_steps=("deburr", "press the magnets in"))
    repair_plan(desk.shop, desk.press())
    (row,) = look_at_desk(desk.shop).at_risk
    (listed,) = look_at_requests(desk.shop, Asked()).rows
    assert row.words == "2 h 28 late"  # 20 minutes by hand in it
    assert listed.timing == "late 2 h 28 min"


def test_spools_that_will_not_last(desk: PrintDesk) -> None:
    use(desk, "grey", 700_000)
    desk.ask(minutes={400: 92.0}, part_mg=59_000, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    start_next(desk.shop, desk.press(), desk.north, Start(spool_id=desk.spools["grey"]))
    (row,) = look_at_desk(desk.shop).not_lasting
    assert (row.name, row.words, row.out_at) == ("PLA grey on North", "may run out on run 1", None)
    use(desk, "grey", 62_000)
    with desk.shop.write(desk.press(), "minimum") as uow:
        uow.stock_minimums.add(StockMinimum(material_id=desk.pla, colour="grey", minimum_mg=150_000))
        uow.commit()
    view = look_at_desk(desk.shop)
    (row,) = view.not_lasting
    assert row.words == "out at 07:50"
    spool = view.printers[0].spool
    assert spool is not None
    assert (spool.left_mg, spool.promised_mg, spool.short_mg) == (38_000, 60_000, 30_000)
    assert spool.below_minimum


def test_a_spool_on_the_rack_that_will_not_last(desk: PrintDesk) -> None:
    desk.change("spools", desk.spools["grey"], damp=True)
    desk.ask(minutes={400: 92.0}, part_mg=280_000, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    (row,) = look_at_desk(desk.shop).not_lasting
    assert (row.name, row.words) == ("PLA grey S-2", "may run out on run 1")


def test_copies_to_check(desk: PrintDesk) -> None:
    desk.ask(2, minutes={400: 60.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    run = start_next(desk.shop, desk.press(), desk.north).value
    take_off_run(desk.shop, desk.press(), run.id, all_to_check(desk.copies(1)))
    (row,) = look_at_desk(desk.shop).to_check
    assert (row.run_number, row.words) == (1, "2 copies of run 1 to check")
    desk.change("copies", desk.copies(1)[0].id, state=CopyState.SCRAP)
    assert look_at_desk(desk.shop).to_check[0].words == "1 copy of run 1 to check"


def test_a_plan_without_rows_still_shows(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 60.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    desk.change("runs", 1, state=RunState.CANCELLED)
    card = look_at_desk(desk.shop).next
    assert card is not None
    assert (card.next_run_id, card.press_words) == (None, "Start run")


def test_late_for_the_next_run_is_start_at_once(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 60.0}, printers=(desk.north,), hours=0.5)
    repair_plan(desk.shop, desk.press())
    card = look_at_desk(desk.shop).next
    assert card is not None
    assert card.words == "Start at once, for R 1 at 07:30"


def test_a_planned_spool_that_was_thrown_away(desk: PrintDesk) -> None:
    from printcrib.core.materials import SpoolState
    from printcrib.services.find_next_steps import _set_up
    from printcrib.services.read_open_work import read_open_work
    from printcrib.services.read_timeline import timeline_of

    desk.ask(minutes={600: 60.0}, printers=(desk.north,), material="asa", colour="black")
    repair_plan(desk.shop, desk.press())
    with desk.shop.read() as uow:
        work = read_open_work(uow, desk.now())
    planned = timeline_of(work).runs[0]
    bare = replace(work, spools=tuple(s for s in work.spools if s.state is SpoolState.SHELF))
    words = [step[1:] for step in _set_up(bare, work.printers[0], planned)]
    assert ("Load ASA black", "") in words


def test_aids_due(desk: PrintDesk) -> None:
    from printcrib.core.aids import Aid, AidState, Machine

    asked = desk.ask(2, hours=None)
    desk.change("patterns", 1, days_in_service=60)
    with desk.shop.write(desk.press(), "aids") as uow:
        lathe = uow.machines.add(Machine(name="Lathe 2"))
        for number, copy in enumerate(desk_copies := uow.copies.find(), start=1):
            uow.aids.add(
                Aid(
                    number=number,
                    copy_id=copy.id,
                    request_id=asked.id,
                    size_id=asked.size_id or 0,
                    state=AidState.IN_USE,
                    machine_id=lathe.id if number == 1 else None,
                    since=desk.now(),
                    in_use_since=desk.later(-24 * 60) if number == 1 else desk.now(),
                )
            )
        assert len(desk_copies) == 2
        uow.commit()
    view = look_at_desk(desk.shop)
    (row,) = view.aids_due
    assert (row.tag, row.name) == ("T-0001", "collet tray ER32, Lathe 2")
    assert row.words.startswith("print by ")
    assert row.is_due
    desk.change("patterns", 1, listed=False)
    (row,) = look_at_desk(desk.shop).aids_due
    assert row.name == "ER32, Lathe 2"  # what was asked for once has no pattern's name before it


def test_aids_are_worked_out_anew_only_when_something_changed(
    desk: PrintDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []

    def counting(uow: UnitOfWork, now: datetime) -> tuple[DeskAid, ...]:
        asked.append(1)
        return ()

    monkeypatch.setattr("printcrib.services.look_at_desk._aids", counting)
    view = look_at_desk(desk.shop)
    view = look_at_desk(desk.shop, view)
    desk.change("spools", desk.spools["grey"], lot="7")
    view = look_at_desk(desk.shop, view)
    assert len(asked) == 1
    desk.ask()
    view = look_at_desk(desk.shop, view)
    assert len(asked) == 2
    desk.clock.move(hours=1)
    look_at_desk(desk.shop, view)
    assert len(asked) == 3
