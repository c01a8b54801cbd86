"""Fitting a nozzle and loading a spool."""

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.errors import ShopError
from printcrib.core.materials import SpoolState
from printcrib.core.printers import Printer
from printcrib.core.runs import RunState
from printcrib.services.fit_nozzle import fit_nozzle, nozzle_for
from printcrib.services.interfaces import Shop
from printcrib.services.load_spool import load_spool
from printcrib.services.plan_runs import repair_plan
from printcrib.services.start_run import start_next


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def printer(desk: PrintDesk, key: int) -> Printer:
    with desk.shop.read() as uow:
        return uow.printers.get(key)


def test_fit_and_take_off_a_nozzle(desk: PrintDesk) -> None:
    desk.ask(minutes={600: 60.0}, printers=(desk.north,))
    done = fit_nozzle(desk.shop, desk.press(), desk.north, desk.nozzles["6n"])
    assert done.value.fitted_nozzle_id == desk.nozzles["6n"]
    assert done.changed >= {"printers", "plans"}
    assert not desk.runs(RunState.KEPT)[0].swapped_nozzle
    version = printer(desk, desk.north).version
    assert fit_nozzle(desk.shop, desk.press(), desk.north, desk.nozzles["6n"]).value.version == version
    assert fit_nozzle(desk.shop, desk.press(), desk.north, None).value.fitted_nozzle_id is None


def test_nozzles_that_cannot_be_fitted(desk: PrintDesk) -> None:
    with pytest.raises(ShopError, match=r"Nozzle N-2 \(0\.6\) is fitted on South"):
        fit_nozzle(desk.shop, desk.press(), desk.north, desk.nozzles["6"])
    desk.change("nozzles", desk.nozzles["6n"], printer_id=desk.south)
    with pytest.raises(ShopError, match="is kept for South"):
        fit_nozzle(desk.shop, desk.press(), desk.north, desk.nozzles["6n"])
    desk.change("nozzles", desk.nozzles["6h"], retired=True)
    with pytest.raises(ShopError, match="is retired"):
        fit_nozzle(desk.shop, desk.press(), desk.north, desk.nozzles["6h"])


def test_the_nozzle_for_a_bore(desk: PrintDesk) -> None:
    north, south = printer(desk, desk.north), printer(desk, desk.south)
    desk.change("nozzles", desk.nozzles["6n"], mg_used=5)
    with desk.shop.read() as uow:
        assert nozzle_for(uow, south, 600, abrasive=False).id == desk.nozzles["6"]
        assert nozzle_for(uow, north, 600, abrasive=False).id == desk.nozzles["6h"]
        assert nozzle_for(uow, south, 600, abrasive=True).id == desk.nozzles["6h"]
        with pytest.raises(ShopError, match=r"No hardened nozzle 0\.4 is free for North"):
            nozzle_for(uow, north, 400, abrasive=True)
        with pytest.raises(ShopError, match=r"No nozzle 0\.8 is free"):
            nozzle_for(uow, north, 800, abrasive=False)


def test_a_printer_with_a_run_on_it_is_left_alone(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 60.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    start_next(desk.shop, desk.press(), desk.north)
    with pytest.raises(ShopError, match="Run 1 is still on North"):
        fit_nozzle(desk.shop, desk.press(), desk.north, None)
    with pytest.raises(ShopError, match="Run 1 is still on North"):
        load_spool(desk.shop, desk.press(), desk.north, None)
    with pytest.raises(ShopError, match="Spool S-1 feeds run 1 on North"):
        load_spool(desk.shop, desk.press(), desk.south, desk.spools["grey"])


def test_load_another_spool(desk: PrintDesk) -> None:
    done = load_spool(desk.shop, desk.press(), desk.north, desk.spools["grey2"])
    assert done.value.mounted_spool_id == desk.spools["grey2"]
    again = load_spool(desk.shop, desk.press(), desk.north, desk.spools["grey2"])
    assert again.value.version == done.value.version
    with desk.shop.read() as uow:
        new = uow.spools.get(desk.spools["grey2"])
        assert (new.state, new.opened_at) == (SpoolState.ON_PRINTER, desk.now())
        assert uow.spools.get(desk.spools["grey"]).state is SpoolState.SHELF
    load_spool(desk.shop, desk.press(), desk.north, None, old_is_empty=True)
    with desk.shop.read() as uow:
        assert uow.spools.get(desk.spools["grey2"]).state is SpoolState.EMPTY
    with pytest.raises(ShopError, match="Spool S-2 is empty"):
        load_spool(desk.shop, desk.press(), desk.north, desk.spools["grey2"])


def test_what_is_really_here_is_not_there(desk: PrintDesk) -> None:
    load_spool(desk.shop, desk.press(), desk.north, desk.spools["black"])
    assert printer(desk, desk.south).mounted_spool_id is None
    assert printer(desk, desk.north).mounted_spool_id == desk.spools["black"]


def test_a_spool_that_is_gone_stays_gone(desk: PrintDesk) -> None:
    desk.change("spools", desk.spools["grey"], state=SpoolState.GONE)
    load_spool(desk.shop, desk.press(), desk.north, desk.spools["grey2"])
    with desk.shop.read() as uow:
        assert uow.spools.get(desk.spools["grey"]).state is SpoolState.GONE


def test_a_bare_printer_is_loaded(desk: PrintDesk) -> None:
    desk.change("printers", desk.north, mounted_spool_id=None)
    assert load_spool(desk.shop, desk.press(), desk.north, None).value.mounted_spool_id is None
    assert load_spool(desk.shop, desk.press(), desk.north, desk.spools["grey2"]).value.mounted_spool_id == 2
