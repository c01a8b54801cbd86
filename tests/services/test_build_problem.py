"""What the planner is told of the shop."""

import math
from dataclasses import replace
from datetime import timedelta

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.estimating.learning import NO_PRINTS
from printcrib.core.materials import SpoolState
from printcrib.core.patterns import Fineness
from printcrib.core.planning.problem import Problem
from printcrib.core.releases import SizeRelease
from printcrib.core.requests import HoldKind, Request
from printcrib.services.build_problem import Basis, basis_of, build_problem, whole_minute
from printcrib.services.build_tasks import NEVER_DUE
from printcrib.services.estimate_run import RunEstimate, together
from printcrib.services.interfaces import Shop
from printcrib.services.load_spool import load_spool
from printcrib.services.plan_runs import live_plan, repair_plan
from printcrib.services.read_open_work import read_open_work
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import start_next
from printcrib.services.stop_run import stop_run
from printcrib.services.write_plan import order_of


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def problem(desk: PrintDesk) -> Problem:
    with desk.shop.read() as uow:
        return build_problem(uow, desk.now())


def basis(desk: PrintDesk) -> Basis:
    with desk.shop.read() as uow:
        return basis_of(read_open_work(uow, desk.now()))


def test_printers_nozzles_and_spools(desk: PrintDesk) -> None:
    told = problem(desk)
    north, south = told.printers
    assert (north.name, north.fitted, north.loaded, north.loaded_spool) == ("North", 400, "PLA grey", "1")
    assert north.nozzles == (400, 600)
    assert south.nozzles == (600,)
    assert north.hardened == frozenset({600})
    assert "ASA black" in north.unattended
    assert north.materials is None
    assert [(s.key, s.material, s.mg) for s in told.spools or ()][:2] == [
        ("1", "PLA grey", 792_000),
        ("2", "PLA grey", 292_000),
    ]
    assert told.shifts[0].open == 0
    assert told.shifts[0].close == 600


def test_a_printer_out_of_service_is_left_out(desk: PrintDesk) -> None:
    desk.change("printers", desk.north, out_of_service=True)
    assert [printer.name for printer in problem(desk).printers] == ["South"]


def test_materials_a_printer_may_print(desk: PrintDesk) -> None:
    desk.change(
        "printers", desk.north, material_ids=(desk.asa,), fitted_nozzle_id=None, mounted_spool_id=None
    )
    desk.change("nozzles", desk.nozzles["6n"], printer_id=desk.south)
    north = problem(desk).printers[0]
    assert north.materials == frozenset({"ASA black"})
    assert (north.fitted, north.loaded) == (None, None)


def test_open_runs_are_frozen_and_their_grams_promised(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    run = start_next(desk.shop, desk.press(), desk.north).value
    run_by_hand(desk.shop, desk.press(), desk.south, desk.later(2))
    desk.clock.move(minutes=10)
    told = problem(desk)
    north, south = (printer.frozen for printer in told.printers)
    assert north is not None
    assert south is not None
    assert (north.key, north.ends, north.starts, north.by_hand) == ("1", 50, -10, False)
    assert (south.ends, south.by_hand) == (110, True)
    assert (told.spools or ())[0].mg == 792_000 - 21_000
    stop_run(desk.shop, desk.press(), run.id)
    desk.change("runs", run.id, stopped_at=None, started_at=None, planned_end=None)
    frozen = problem(desk).printers[0].frozen
    assert frozen is not None
    assert (frozen.ends, frozen.starts) == (0, None)


def test_spools_that_are_not_used(desk: PrintDesk) -> None:
    desk.change("spools", desk.spools["grey2"], state=SpoolState.SEALED)
    desk.change("spools", desk.spools["carbon"], state=SpoolState.DRYER)
    desk.change("spools", desk.spools["black"], damp=True)
    assert [spool.key for spool in problem(desk).spools or ()] == ["1"]
    desk.ask(colour="grey", part_mg=900_000)
    desk.ask(material="asa", colour="black")
    plan = repair_plan(desk.shop, desk.press()).value
    words = dict(plan.unplanned)
    assert words[1] == "no spool of PLA grey with 901 g left (S-2 is sealed)"
    assert words[2] == "no spool of ASA black with 21 g left (S-3 is damp)"


def test_tasks_are_copies_that_stay_together(desk: PrintDesk) -> None:
    request = desk.ask(30, size_mm=(60, 60, 10), minutes={400: 10.0, 600: 6.0}, part_mg=5000)
    told = basis(desk)
    sizes = [len(made.copies) for made in told.tasks.values()]
    assert sizes == [8, 8, 8, 6]
    first = told.problem.tasks[0]
    assert first.name == request.tag
    assert first.minutes == {400: 87, 600: 55}
    assert first.mg == {400: 40_000, 600: 40_000}
    assert first.footprints == ((60.0, 60.0),) * 8
    assert first.due == 480
    assert (told.problem.start_mg, told.problem.travel) == (1000, 1)
    assert [p.setups.heat_up for p in told.problem.printers if p.setups] == [8, 8]


def test_what_must_not_run_alone_fits_into_a_shift(shop: Shop, clock: FakeClock) -> None:
    desk = furnish(shop, clock, unattended=False)
    desk.ask(12, minutes={400: 100.0}, part_mg=1000)
    assert [len(made.copies) for made in basis(desk).tasks.values()] == [5, 5, 2]
    desk.ask(2, minutes={400: 800.0})
    assert repair_plan(desk.shop, desk.press()).value.unplanned == ((2, "needs 808 min with nobody in"),)


def test_a_spool_holds_what_stays_together(desk: PrintDesk) -> None:
    desk.ask(5, minutes={400: 10.0}, part_mg=300_000)
    assert [len(made.copies) for made in basis(desk).tasks.values()] == [2, 2, 1]


def test_copies_without_grams_only_need_room(desk: PrintDesk) -> None:
    desk.ask(2, minutes={400: 10.0}, part_mg=0)
    desk.ask(2, minutes={400: 10.0}, part_mg=5_000_000)
    assert [len(made.copies) for made in basis(desk).tasks.values()] == [2, 2]


def test_what_fits_no_platform_is_named(desk: PrintDesk) -> None:
    desk.ask(2, minutes={400: 10.0}, size_mm=(300, 300, 10))
    desk.ask(1, minutes={400: 10.0}, size_mm=(30, 30, 300))
    words = dict(repair_plan(desk.shop, desk.press()).value.unplanned)
    assert words == {
        1: "its copies do not fit on a platform together",
        2: "has no estimate on a nozzle it may use",
    }


def test_nozzles_by_how_fine_and_by_choice(desk: PrintDesk) -> None:
    desk.ask(how_fine=Fineness.FINE)
    desk.ask(bore_um=600)
    desk.ask(how_fine=Fineness.ROUGH, hours=None)
    fine, chosen, rough = problem(desk).tasks
    assert set(fine.minutes) == {400}
    assert set(chosen.minutes) == {600}
    assert set(rough.minutes) == {400, 600}
    assert rough.due == NEVER_DUE


def test_holds_that_stop_printing(desk: PrintDesk) -> None:
    for kind in HoldKind:
        desk.hold(desk.ask().id, kind)
    waits = desk.ask(wait_for_release=True)
    desk.hold(waits.id, HoldKind.REVIEW)
    told = basis(desk)
    assert {made.request.number for made in told.tasks.values()} == {3}
    assert dict(told.held)[waits.id] == "held: review open"


def test_what_is_missing_is_said(desk: PrintDesk) -> None:
    bare = desk.ask(material_id=None)
    no_size = desk.ask(size_id=None, words="a thing")
    no_model = desk.ask()
    desk.change("sizes", no_model.size_id or 0, model_id=None)
    told = dict(basis(desk).held)
    assert told == {bare.id: "needs a material", no_size.id: "needs a model", no_model.id: "needs a model"}


def test_any_colour_takes_what_is_on_a_printer_or_fullest(desk: PrintDesk) -> None:
    desk.ask(colour="")
    desk.change("spools", desk.spools["grey2"], colour="white")
    assert problem(desk).tasks[0].material == "PLA grey"
    load_spool(desk.shop, desk.press(), desk.north, desk.spools["grey2"])
    assert problem(desk).tasks[0].material == "PLA white"
    load_spool(desk.shop, desk.press(), desk.north, None)
    assert problem(desk).tasks[0].material == "PLA grey"
    for name in ("grey", "grey2"):
        desk.change("spools", desk.spools[name], damp=True)
    assert problem(desk).tasks[0].material == "PLA"


def release(desk: PrintDesk, request: Request, **terms: object) -> None:
    with desk.shop.write(desk.press(), "release") as uow:
        made = SizeRelease(
            size_id=request.size_id or 0,
            model_id=1,
            answers=(2,),
            material_ids=(desk.pla,),
            bores_um=(600,),
            valid_from=desk.now(),
        )
        uow.releases.add(replace(made, **terms))  # type: ignore[arg-type]
        uow.commit()


def test_only_released_nozzles_where_a_release_exists(desk: PrintDesk) -> None:
    request = desk.ask(answers=(2,))
    assert set(problem(desk).tasks[0].minutes) == {400, 600}
    release(desk, request, model_id=1, until=desk.later(1))
    assert set(problem(desk).tasks[0].minutes) == {600}
    desk.clock.move(hours=2)
    assert set(problem(desk).tasks[0].minutes) == {400, 600}


def test_what_its_release_does_not_name(desk: PrintDesk) -> None:
    request = desk.ask(answers=(2,))
    release(desk, request, material_ids=(desk.asa,))
    assert basis(desk).held == ((1, "its release does not name this material"),)
    release(desk, request, bores_um=(800,))
    assert basis(desk).held == ((1, "its release names no nozzle it may use"),)


def test_a_task_told_to_wait_stays_off_the_runs(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0})
    repair_plan(desk.shop, desk.press())
    with desk.shop.write(desk.press(), "wait") as uow:
        plan = live_plan(uow)
        assert plan is not None
        lanes = tuple(
            replace(lane, slots=tuple(replace(slot, waiting=True) for slot in lane.slots))
            for lane in plan.lanes
        )
        uow.plans.save(replace(plan, lanes=lanes))
        uow.commit()
    plan = repair_plan(desk.shop, desk.press()).value
    assert plan.unplanned == ((1, "waits, as the desk said"),)
    assert [slot.waiting for lane in plan.lanes for slot in lane.slots] == [True]
    plan = repair_plan(desk.shop, desk.press()).value
    assert [slot.waiting for lane in plan.lanes for slot in lane.slots] == [True]


def test_tasks_that_went_apart_keep_their_place(desk: PrintDesk) -> None:
    desk.ask(4, minutes={400: 52.0}, printers=(desk.north,), size_mm=(90, 90, 10))
    repair_plan(desk.shop, desk.press())
    desk.change("settings", 1, fill_limit=0.5)
    with desk.shop.read() as uow:
        work = read_open_work(uow, desk.now())
    assert work.plan is not None
    told = basis_of(work, keep=work.plan)
    assert [len(made.copies) for made in told.tasks.values()] == [2, 2]
    lane = order_of(told, work.plan).lanes[str(desk.north)]
    assert [slot.joins for slot in lane] == [False, False]


def test_at_most_minutes_leave_the_grouping(desk: PrintDesk) -> None:
    desk.ask(3, minutes={400: 100.0})
    with desk.shop.read() as uow:
        work = read_open_work(uow, desk.now())
    likely, at_most = basis_of(work), basis_of(work, at_most=True)
    assert likely.tasks.keys() == at_most.tasks.keys()
    assert likely.problem.tasks[0].minutes == {400: 302}
    assert at_most.problem.tasks[0].minutes == {400: math.ceil(NO_PRINTS.at_most(310.0, 8.0) - 8.0)}


def test_a_plan_starts_at_a_whole_minute(desk: PrintDesk) -> None:
    assert whole_minute(desk.now()) == desk.now()
    later = desk.now() + timedelta(seconds=1)
    assert whole_minute(later) == desk.now() + timedelta(minutes=1)


def test_a_run_without_copies_takes_nothing() -> None:
    assert together([]) == RunEstimate()


def test_names_of_what_is_asked(desk: PrintDesk) -> None:
    listed = desk.ask()
    unlisted = desk.ask(words="gauge block holder")
    words = desk.ask(size_id=None, words="a thing")
    desk.change("patterns", 2, listed=False)
    with desk.shop.read() as uow:
        work = read_open_work(uow, desk.now())
    assert work.name_of(listed) == "collet tray ER32"
    assert work.name_of(unlisted) == "gauge block holder"
    assert work.name_of(replace(unlisted, words="")) == "ER32"
    assert work.name_of(words) == "a thing"
