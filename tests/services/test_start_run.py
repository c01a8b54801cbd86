"""Starting a run: what is really on the printer, enough grams, what would do."""

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.errors import ShopError
from printcrib.core.materials import Source, SpoolState
from printcrib.core.requests import CopyState, HoldKind
from printcrib.core.runs import Run, RunState
from printcrib.services.interfaces import Shop
from printcrib.services.plan_runs import repair_plan
from printcrib.services.start_run import Start, next_run_on, start_next, start_run


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def planned(desk: PrintDesk, **ask: object) -> Run:
    """One request asked for and planned on North; gives its run."""
    ask.setdefault("printers", (desk.north,))
    ask.setdefault("minutes", {400: 100.0})
    desk.ask(**ask)  # type: ignore[arg-type]
    repair_plan(desk.shop, desk.press())
    return desk.runs(RunState.KEPT)[-1]


def test_start_as_planned(desk: PrintDesk) -> None:
    run = planned(desk, quantity=2)
    desk.clock.move(minutes=5)
    done = start_run(desk.shop, desk.press(), run.id)
    started = done.value
    assert started.state is RunState.STARTED
    assert started.started_at == desk.now()
    assert started.started_by_id == desk.ann
    assert started.nozzle_id == desk.nozzles["4"]
    assert started.spool_ids == (desk.spools["grey"],)
    assert started.estimated_minutes == 8 + 200 + 1
    assert started.estimated_mg == 41_000
    assert not started.swapped_nozzle
    assert not started.changed_material
    copies = desk.copies(1)
    assert {copy.state for copy in copies} == {CopyState.PRINTING}
    assert {copy.model_id for copy in copies} == {1}
    assert done.changed >= {"runs", "copies", "plans"}


def test_really_at(desk: PrintDesk) -> None:
    run = planned(desk)
    early = desk.later(-0.5)
    assert start_run(desk.shop, desk.press(early), run.id).value.started_at == early


def test_figures_of_the_print_file_keep_their_source(desk: PrintDesk) -> None:
    run = planned(desk)
    told = Start(minutes=95.0, mg=19_000, grams_source=Source.PANEL, print_file_sha="ab")
    started = start_run(desk.shop, desk.press(), run.id, told).value
    assert (started.file_minutes, started.file_minutes_source) == (95.0, Source.FILE)
    assert (started.file_mg, started.file_mg_source) == (19_000, Source.PANEL)
    assert started.estimated_minutes == 108
    assert started.planned_end is not None
    assert started.started_at is not None
    assert (started.planned_end - started.started_at).total_seconds() == 95 * 60


def test_too_few_grams_say_what_would_do(desk: PrintDesk) -> None:
    run = planned(desk, part_mg=400_000)
    desk.change("spools", desk.spools["grey2"], colour="white")
    with desk.shop.write(desk.press(), "use") as uow:
        from printcrib.core.materials import SpoolEntry, SpoolEntryKind

        uow.spool_entries.add(
            SpoolEntry(spool_id=desk.spools["grey"], kind=SpoolEntryKind.PRINTED, mg=-600_000, who_id=0)
        )
        uow.commit()
    with pytest.raises(ShopError) as told:
        start_run(desk.shop, desk.press(), run.id)
    assert told.value.what == "S-1 can give 192 g, run 1 takes 401 g"
    assert told.value.do == "Take copies off the run, open a new spool, or plan again."
    desk.change("spools", desk.spools["grey2"], colour="grey")
    with pytest.raises(ShopError) as told:
        start_run(desk.shop, desk.press(), run.id)
    assert told.value.do == "Name a second spool: S-2 (292 g)."
    started = start_run(desk.shop, desk.press(), run.id, Start(second_spool_id=desk.spools["grey2"])).value
    assert started.spool_ids == (desk.spools["grey"], desk.spools["grey2"])


def test_a_fuller_spool_is_named(desk: PrintDesk) -> None:
    run = planned(desk, part_mg=300_000)
    with desk.shop.write(desk.press(), "swap") as uow:
        from dataclasses import replace

        grey, grey2 = (uow.spools.get(desk.spools[name]) for name in ("grey", "grey2"))
        printer = uow.printers.get(desk.north)
        uow.printers.save(replace(printer, mounted_spool_id=grey2.id))
        uow.spools.save(replace(grey, state=SpoolState.SHELF))
        uow.spools.save(replace(grey2, state=SpoolState.ON_PRINTER))
        uow.commit()
    with pytest.raises(ShopError, match=r"Load S-1 \(792 g\), or name it as the second spool"):
        start_run(desk.shop, desk.press(), run.id)


def test_the_wrong_material_is_refused(desk: PrintDesk) -> None:
    run = planned(desk)
    with pytest.raises(ShopError) as told:
        start_run(desk.shop, desk.press(), run.id, Start(spool_id=desk.spools["black"]))
    assert told.value.what == "S-3 is ASA black, run 1 needs PLA grey"
    assert told.value.do == "Load S-2 (292 g)."


def test_no_other_spool_to_name(desk: PrintDesk) -> None:
    run = planned(desk)
    for name in ("grey", "grey2"):
        desk.change("spools", desk.spools[name], state=SpoolState.GONE)
    with pytest.raises(ShopError, match="No spool of PLA grey is on the rack"):
        start_run(desk.shop, desk.press(), run.id, Start(spool_id=desk.spools["carbon"]))


def test_the_wrong_nozzle_is_refused(desk: PrintDesk) -> None:
    run = planned(desk)
    with pytest.raises(ShopError, match=r"North has 0\.6 fitted, run 1 needs 0\.4"):
        start_run(desk.shop, desk.press(), run.id, Start(nozzle_id=desk.nozzles["6n"]))
    desk.change("printers", desk.north, fitted_nozzle_id=None)
    with pytest.raises(ShopError, match="North has no nozzle fitted"):
        start_run(desk.shop, desk.press(), run.id)


def test_abrasive_material_needs_a_hardened_nozzle(desk: PrintDesk) -> None:
    run = planned(desk, material="carbon", colour="black", minutes={600: 60.0})
    brass = Start(nozzle_id=desk.nozzles["6n"], spool_id=desk.spools["carbon"])
    with pytest.raises(ShopError, match="not hardened"):
        start_run(desk.shop, desk.press(), run.id, brass)
    started = start_next(desk.shop, desk.press(), desk.north).value
    assert started.nozzle_id == desk.nozzles["6h"]
    assert started.swapped_nozzle
    assert started.changed_material


def test_a_busy_printer_and_a_started_run_are_refused(desk: PrintDesk) -> None:
    first = planned(desk, hours=4)
    second = planned(desk, hours=90, material="asa", colour="black")
    assert first.id != second.id
    start_run(desk.shop, desk.press(), first.id)
    with pytest.raises(ShopError, match="Run 1 is started"):
        start_run(desk.shop, desk.press(), first.id)
    with pytest.raises(ShopError, match="Run 1 is still on North"):
        start_run(desk.shop, desk.press(), second.id)
    with pytest.raises(ShopError, match="Run 1 is still on North"):
        start_next(desk.shop, desk.press(), desk.north)


def test_a_held_request_is_not_started(desk: PrintDesk) -> None:
    run = planned(desk)
    hold = desk.hold(1, HoldKind.QUESTION)
    with pytest.raises(ShopError, match="R 1 on run 1 is held: question open"):
        start_run(desk.shop, desk.press(), run.id)
    desk.change("holds", hold.id, kind=HoldKind.REVIEW)
    start_run(desk.shop, desk.press(), run.id)


def test_an_empty_run_is_not_started(desk: PrintDesk) -> None:
    run = planned(desk)
    desk.change("copies", 1, state=CopyState.CANCELLED)
    with pytest.raises(ShopError, match="Nothing is on run 1 any more"):
        start_run(desk.shop, desk.press(), run.id)


def test_a_printer_without_spool(desk: PrintDesk) -> None:
    run = planned(desk)
    desk.change("printers", desk.north, mounted_spool_id=None)
    with pytest.raises(ShopError, match="Load PLA grey, then start run 1"):
        start_run(desk.shop, desk.press(), run.id)


def test_start_next_fits_loads_and_starts_in_one_press(desk: PrintDesk) -> None:
    run = planned(desk, material="asa", colour="black", minutes={600: 60.0}, printers=(desk.north,))
    done = start_next(desk.shop, desk.press(), desk.north)
    assert done.value.id == run.id
    with desk.shop.read() as uow:
        north, south = uow.printers.get(desk.north), uow.printers.get(desk.south)
        assert north.fitted_nozzle_id == desk.nozzles["6n"]
        assert north.mounted_spool_id == desk.spools["black"]
        assert south.mounted_spool_id is None
        assert uow.spools.get(desk.spools["grey"]).state is SpoolState.SHELF
        press = [change.verb for change in uow.changes.of_press(done.press_number)]
    assert set(press) == {"start next run"}
    with pytest.raises(ShopError, match="Nothing is planned on South"):
        start_next(desk.shop, desk.press(), desk.south)


def test_start_next_takes_the_persons_word(desk: PrintDesk) -> None:
    planned(desk)
    told = Start(spool_id=desk.spools["grey2"], nozzle_id=desk.nozzles["4"])
    assert start_next(desk.shop, desk.press(), desk.north, told).value.spool_ids == (desk.spools["grey2"],)


def test_without_a_plan_nothing_is_next(desk: PrintDesk) -> None:
    with pytest.raises(ShopError, match="Nothing is planned on North"):
        start_next(desk.shop, desk.press(), desk.north)


def test_a_platform_that_needed_clearing_is_clear(desk: PrintDesk) -> None:
    run = planned(desk)
    desk.change("printers", desk.north, needs_clearing=True)
    start_run(desk.shop, desk.press(), run.id)
    with desk.shop.read() as uow:
        assert not uow.printers.get(desk.north).needs_clearing


def test_copies_without_estimate_leave_the_plans_figure(desk: PrintDesk) -> None:
    run = planned(desk)
    with desk.shop.write(desk.press(), "forget") as uow:
        from dataclasses import replace

        for known in uow.estimates.find():
            uow.estimates.save(replace(known, void=True))
        uow.commit()
    assert start_run(desk.shop, desk.press(), run.id).value.estimated_minutes == run.estimated_minutes


def test_a_run_without_material_takes_any_spool(desk: PrintDesk) -> None:
    run = planned(desk)
    desk.change("runs", run.id, material_id=None, colour="", estimated_mg=9_000_000)
    with pytest.raises(ShopError, match="S-1 can give 792 g, run 1 takes 9000 g"):
        start_run(desk.shop, desk.press(), run.id)


def test_a_run_that_left_the_plan_is_passed_over(desk: PrintDesk) -> None:
    planned(desk, size_mm=(150, 150, 20))
    planned(desk, size_mm=(150, 150, 20))
    with desk.shop.read() as uow:
        first = next_run_on(uow, uow.printers.get(desk.north))
    desk.change("runs", first.id, state=RunState.CANCELLED)
    assert start_next(desk.shop, desk.press(), desk.north).value.id != first.id
