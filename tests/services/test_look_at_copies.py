"""Copies off the printers: to check, in finishing, ready."""

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.aids import Machine
from printcrib.core.requests import CopyState, Purpose, RequestState
from printcrib.services.finish_copy import finish_step
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_copies import look_at_copies
from printcrib.services.look_at_desk import look_at_desk
from printcrib.services.plan_runs import repair_plan
from printcrib.services.start_run import start_next
from printcrib.services.take_off_run import ALL_GOOD, TakeOff, all_to_check, take_off_run


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def printed(desk: PrintDesk, quantity: int = 1, told: TakeOff | None = ALL_GOOD, **ask: object) -> None:
    desk.ask(quantity, printers=(desk.north,), **ask)  # type: ignore[arg-type]
    repair_plan(desk.shop, desk.press())
    run = start_next(desk.shop, desk.press(), desk.north).value
    desk.clock.move(hours=4)
    copies = desk.copies(len(desk.runs()))
    take_off_run(desk.shop, desk.press(), run.id, told or all_to_check(copies))


def machine(desk: PrintDesk, name: str = "Mill 2") -> int:
    with desk.shop.write(desk.press(), "machine") as uow:
        key = uow.machines.add(Machine(name=name)).id
        uow.commit()
    return key


def test_an_empty_bench(desk: PrintDesk) -> None:
    assert look_at_copies(desk.shop).count == 0


def test_copies_to_check(desk: PrintDesk) -> None:
    printed(desk, 2, None)
    seen = look_at_copies(desk.shop)
    assert [(copy.tag, copy.name, copy.words) for copy in seen.to_check] == [
        ("R 1/1", "collet tray ER32", "to check"),
        ("R 1/2", "collet tray ER32", "to check"),
    ]
    assert seen.count == 2


def test_finishing_steps_one_by_one(desk: PrintDesk) -> None:
    printed(desk, steps=("deburr", "press in the magnets"), machine_id=machine(desk))
    first = look_at_copies(desk.shop).to_finish[0]
    assert (first.tag, first.step, first.step_words) == ("R 1/1", "deburr", "1 of 2")
    finish_step(desk.shop, desk.press(), first.copy_id)
    second = look_at_copies(desk.shop).to_finish[0]
    assert (second.step, second.step_words) == ("press in the magnets", "2 of 2")
    finish_step(desk.shop, desk.press(), first.copy_id)
    seen = look_at_copies(desk.shop)
    assert seen.to_finish == ()
    ready = seen.ready[0]
    assert (ready.to, ready.needs_machine, ready.why_not) == ("Mill 2", False, "")
    assert ready.aid_tag.startswith("T-")


def test_a_copy_that_waits_for_its_safety_answers(desk: PrintDesk) -> None:
    printed(desk, answers=None)
    waiting = look_at_copies(desk.shop).to_finish[0]
    assert (waiting.step, waiting.step_words) == ("", "")
    desk.change("requests", 1, size_id=None, words="a shim")
    waiting = look_at_copies(desk.shop).to_finish[0]
    assert (waiting.name, waiting.step) == ("a shim", "")


def test_ready_copies_say_where_they_go(desk: PrintDesk) -> None:
    printed(desk)
    printed(desk, purpose=Purpose.TRY_FIT, answers=None)
    printed(desk, answers=(2,), machine_id=machine(desk))
    aid, to_try, held = look_at_copies(desk.shop).ready
    assert (aid.to, aid.needs_machine) == ("Ann", True)
    assert (to_try.to, to_try.aid_id, to_try.aid_tag, to_try.needs_machine) == ("Ann", None, "", False)
    assert held.to == "Mill 2"
    assert held.why_not


def test_the_desk_counts_what_waits_to_be_accepted(desk: PrintDesk) -> None:
    desk.ask()
    assert look_at_desk(desk.shop).to_accept == 0
    desk.change("requests", 1, state=RequestState.RAISED)
    assert look_at_desk(desk.shop).to_accept == 1
    assert desk.states(1) == [CopyState.WANTED]


def test_every_printer_has_steps_of_its_own(desk: PrintDesk) -> None:
    desk.ask(printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    view = look_at_desk(desk.shop)
    north, south = view.printers
    assert north.steps == view.next
    assert south.steps is None
    assert [(run.bore, run.swaps) for run in north.next_runs] == [("0.4", False)]
