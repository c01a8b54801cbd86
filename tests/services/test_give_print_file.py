"""A run takes its print file: read and kept for the start, or given to a run on its printer."""

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.core.estimating.print_files import tower
from tests.services.fake import FakeClock, fake_shop
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.errors import ShopError
from printcrib.core.materials import Source
from printcrib.core.running import expected_end
from printcrib.services.give_print_file import RunFile, give_print_file, read_for_run
from printcrib.services.plan_runs import repair_plan
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import Start, start_next
from printcrib.services.take_off_run import take_off_run
from printcrib.services.undo_press import undo

CONTENT = tower(100)
FILE = RunFile(name="run 1.nc", sha256="ab" * 32, minutes=95.0, mg=19_000, words="95 min")


@pytest.fixture
def desk() -> PrintDesk:
    """Run 1 of two copies is next on North, nozzle 0.4."""
    clock = FakeClock()
    desk = furnish(fake_shop(clock=clock), clock)
    desk.ask(2, printers=(desk.north,), minutes={400: 30.0})
    repair_plan(desk.shop, desk.press())
    return desk


def test_a_file_is_read_kept_and_put_beside_the_run(desk: PrintDesk) -> None:
    told: list[float] = []
    file = read_for_run(desk.shop, 1, CONTENT, "run 1.nc", told.append)
    assert told[-1] == 1.0
    assert desk.shop.files.get(file.sha256) == CONTENT
    assert file.mg == pytest.approx((100 * 40 * 0.11 + 1.5) * 2.9825, abs=2)
    assert file.words == "7 min, 1.3 g, 100 layers, 20.0 mm high"
    assert file.doubts == (
        "The file takes 7 min, the run was estimated at 1 h 09.",
        "The file takes 1.3 g, the run was estimated at 41 g.",
    )
    assert desk.run(1).file_minutes is None


def test_without_a_worker_it_is_read_here(desk: PrintDesk) -> None:
    file = read_for_run(replace(desk.shop, worker=None), 1, CONTENT, "run 1.nc")
    assert file == read_for_run(desk.shop, 1, CONTENT, "run 1.nc")


def test_one_layer_of_a_run_by_hand(desk: PrintDesk) -> None:
    run = run_by_hand(desk.shop, desk.press(), desk.south, desk.later(1)).value.run
    file = read_for_run(desk.shop, run.id, tower(1), "ring.nc")
    assert file.words.endswith("1 layer, 0.2 mm high")


def test_what_pushes_no_filament_is_not_the_file_of_a_run(desk: PrintDesk) -> None:
    with pytest.raises(ShopError, match="pushes no filament"):
        read_for_run(desk.shop, 1, b"G1 X50 F600", "probe.nc")
    with pytest.raises(ShopError, match="holds no moves"):
        read_for_run(desk.shop, 1, b"solid ball", "ball.stl")


def test_a_copy_without_a_model_has_no_height(desk: PrintDesk) -> None:
    size_id = desk.copies(1)[0].size_id
    assert size_id is not None
    desk.change("sizes", size_id, model_id=None)
    file = read_for_run(desk.shop, 1, tower(400), "run 1.nc")
    assert not any("high" in doubt for doubt in file.doubts)


def test_the_start_takes_it_and_the_plan_goes_by_it(desk: PrintDesk) -> None:
    told = Start(minutes=FILE.minutes, mg=FILE.mg, print_file_sha=FILE.sha256)
    start_next(desk.shop, desk.press(), desk.north, told)
    run = desk.run(1)
    assert (run.print_file_sha, run.file_minutes, run.file_minutes_source) == (FILE.sha256, 95.0, Source.FILE)
    assert expected_end(run) == desk.now() + timedelta(minutes=95)


def test_a_run_on_its_printer_takes_it_later(desk: PrintDesk) -> None:
    start_next(desk.shop, desk.press(), desk.north)
    desk.ask(1, printers=(desk.north,), minutes={400: 30.0})
    repair_plan(desk.shop, desk.press())
    next_start = desk.run(2).planned_start
    done = give_print_file(desk.shop, desk.press(), 1, replace(FILE, minutes=200.0))
    run = desk.run(1)
    assert done.value == run
    assert (run.file_minutes, run.file_mg, run.print_file_sha) == (200.0, 19_000, FILE.sha256)
    assert run.planned_end == desk.now() + timedelta(minutes=200)
    later = desk.run(2).planned_start
    assert next_start is not None
    assert later is not None
    assert later - next_start > timedelta(minutes=100)
    taken = take_off_run(desk.shop, desk.press(), 1).value.run
    assert (taken.minutes, taken.minutes_source) == (200.0, Source.FILE)
    assert (taken.mg, taken.grams_source) == (19_000, Source.FILE)


def test_undo_takes_it_back(desk: PrintDesk) -> None:
    start_next(desk.shop, desk.press(), desk.north)
    before = desk.run(1)
    done = give_print_file(desk.shop, desk.press(), 1, FILE)
    undo(desk.shop, desk.press(), done.press_number)
    after = desk.run(1)
    assert (after.file_minutes, after.file_mg, after.print_file_sha) == (None, None, "")
    assert after.planned_end == before.planned_end


def test_a_run_that_has_not_begun_takes_it_at_its_start(desk: PrintDesk) -> None:
    with pytest.raises(ShopError, match="Give it the file when it is started"):
        give_print_file(desk.shop, desk.press(), 1, FILE)
