"""The Trouble log."""

from datetime import timedelta

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.services.interfaces import Shop
from printcrib.services.judge_copies import Outcome, Verdict
from printcrib.services.log_failure import Trouble, log_failure
from printcrib.services.look_at_trouble import look_at_trouble
from printcrib.services.plan_runs import repair_plan
from printcrib.services.press import Press
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import start_next
from printcrib.services.take_off_run import TakeOff, take_off_run


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def test_nothing_failed(desk: PrintDesk) -> None:
    log = look_at_trouble(desk.shop)
    assert (log.words, log.rows, log.pareto) == ("0 failures.", (), ())
    assert [(rate.printer, rate.failed, rate.runs) for rate in log.rates] == [
        ("North", 0, 0),
        ("South", 0, 0),
    ]


def test_failures_and_their_pareto(desk: PrintDesk) -> None:
    desk.ask(2, minutes={400: 92.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    run = start_next(desk.shop, desk.press(), desk.north).value
    first, second = (copy.id for copy in desk.copies(1))
    verdicts = {first: Verdict(Outcome.FAILED, "damp"), second: Verdict(Outcome.FAILED)}
    take_off_run(desk.shop, desk.press(), run.id, TakeOff(verdicts=verdicts))
    by_hand = run_by_hand(desk.shop, desk.press(), desk.south, desk.later(1)).value.run
    desk.clock.move(minutes=1)
    log_failure(desk.shop, Press(who_id=0), by_hand.id, Trouble(cause="power cut"))
    log = look_at_trouble(desk.shop)
    assert log.words == "3 failures."
    assert [(row.failure.cause, row.copies, row.who) for row in log.rows] == [
        ("power cut", (), "the tool"),
        ("not known yet", ("R 1/2",), "Ann"),
        ("damp", ("R 1/1",), "Ann"),
    ]
    row = log.rows[2]
    assert (row.run_number, row.printer, row.bore, row.material, row.when_words) == (
        1,
        "North",
        "0.4",
        "PLA grey",
        "07:00",
    )
    assert (log.rows[0].bore, log.rows[0].material) == ("0.6", "")
    assert [bar.cause for bar in log.pareto] == ["damp", "power cut", "not known yet"]
    assert (log.mg_lost, log.minutes_lost) == (41_000, 193.0)
    assert [(rate.failed, rate.runs) for rate in log.rates] == [(1, 1), (0, 0)]
    assert not any(row.overdue for row in log.rows)
    desk.clock.move(days=8)
    log = look_at_trouble(desk.shop)
    assert [row.overdue for row in log.rows] == [False, True, False]
    assert look_at_trouble(desk.shop, desk.now() - timedelta(days=1)).rows == ()


def test_something_changed_on_a_printer(desk: PrintDesk) -> None:
    for _ in range(3):
        run = run_by_hand(desk.shop, desk.press(), desk.north, desk.later(1)).value.run
        desk.change("printers", desk.north, fitted_nozzle_id=None)
        log_failure(desk.shop, desk.press(), run.id, Trouble())
        take_off_run(desk.shop, desk.press(), run.id)
        desk.clock.move(minutes=5)
    log = look_at_trouble(desk.shop)
    assert log.words == "3 failures. Something changed on North."
    assert log.rows[0].bore == ""
