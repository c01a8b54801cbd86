"""A run saved for whatever makes the print file."""

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.errors import ShopError
from printcrib.core.requests import CopyState
from printcrib.services.interfaces import Shop
from printcrib.services.plan_runs import repair_plan
from printcrib.services.save_run_files import run_3mf, run_folder
from printcrib.services.start_run import start_next


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def test_copies_stand_in_rows_with_their_names(desk: PrintDesk) -> None:
    desk.ask(2, minutes={400: 52.0}, printers=(desk.north,), size_mm=(100, 60, 20))
    desk.ask(1, minutes={400: 52.0}, printers=(desk.north,), size_mm=(50, 50, 20))
    desk.change("copies", 1, label="A7")
    repair_plan(desk.shop, desk.press())
    (run,) = desk.runs()
    places = run_3mf(desk.shop, run.id).decode().splitlines()
    assert [place.split(" at ")[0] for place in places] == ["R 1/1 A7", "R 1/2", "R 2/1"]
    assert places[0] == "R 1/1 A7 at 0,0 12"
    assert places[1] == "R 1/2 at 105,0 12"


def test_a_copy_is_turned_where_the_row_wants_it(desk: PrintDesk) -> None:
    desk.ask(1, minutes={400: 52.0}, printers=(desk.north,), size_mm=(30, 150, 20))
    repair_plan(desk.shop, desk.press())
    desk.change("printers", desk.north, platform_mm=(160.0, 40.0))
    assert run_3mf(desk.shop, 1).decode() == "R 1/1 at 0,0 12"


def test_a_folder_of_models(desk: PrintDesk) -> None:
    desk.ask(2, minutes={400: 52.0}, printers=(desk.north,))
    desk.change("copies", 1, label="A7/é")
    repair_plan(desk.shop, desk.press())
    start_next(desk.shop, desk.press(), desk.north)
    files = run_folder(desk.shop, 1)
    assert sorted(files) == ["R 1-1 A7-é.stl", "R 1-2.stl"]
    assert set(files.values()) == {b"stl 12"}


def test_what_cannot_be_saved(desk: PrintDesk) -> None:
    desk.ask(2, minutes={400: 52.0}, printers=(desk.north,), size_mm=(100, 60, 20))
    repair_plan(desk.shop, desk.press())
    desk.change("printers", desk.north, platform_mm=(100.0, 60.0))
    with pytest.raises(ShopError, match="do not stand together"):
        run_3mf(desk.shop, 1)
    desk.change("sizes", 1, model_id=None)
    with pytest.raises(ShopError, match="has no model"):
        run_folder(desk.shop, 1)
    for copy in desk.copies(1):
        desk.change("copies", copy.id, state=CopyState.CANCELLED)
    with pytest.raises(ShopError, match="Run 1 has no copies"):
        run_folder(desk.shop, 1)
