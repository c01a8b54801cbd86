"""Runs a failure may be logged on: those on printers, and those whose copies are still at the desk."""

from dataclasses import replace

from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock

from printcrib.core.runs import RunState
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_failable import look_at_failable


def _restate(desk: AidShop, run_id: int, state: RunState) -> None:
    with desk.shop.write(desk.own.press(), "edit for a test") as uow:
        uow.runs.save(replace(uow.runs.get(run_id), state=state, taken_off_at=None))
        uow.commit()


def test_an_empty_shop_has_none(shop: Shop, clock: FakeClock) -> None:
    assert look_at_failable(aid_shop(shop, clock).shop) == ()


def test_copies_at_the_desk_are_named(shop: Shop, clock: FakeClock) -> None:
    desk = aid_shop(shop, clock)
    copy, _ = desk.printed(quantity=2)
    (found,) = look_at_failable(desk.shop)
    assert not found.on_printer
    assert [tag for _, tag in found.copies] == ["R 1/1", "R 1/2"]
    assert found.run.id == copy.run_id
    assert "taken off" in found.where


def test_a_run_on_its_printer_comes_first(shop: Shop, clock: FakeClock) -> None:
    desk = aid_shop(shop, clock)
    (first,) = desk.printed()
    assert first.run_id is not None
    _restate(desk, first.run_id, RunState.STARTED)
    desk.printed()
    on, off = look_at_failable(desk.shop)
    assert (on.on_printer, off.on_printer) == (True, False)
    assert on.copies == ()


def test_a_run_whose_copies_are_handed_out_is_left_out(shop: Shop, clock: FakeClock) -> None:
    desk = aid_shop(shop, clock)
    desk.in_use()
    assert look_at_failable(desk.shop) == ()
