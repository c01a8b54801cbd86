"""What logged runs teach: which count, what they change, and a fresh start that is undone."""

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, estimate, furnish

from printcrib.core.errors import NotFound, ShopError
from printcrib.core.estimating.learning import NO_PRINTS
from printcrib.core.materials import Source
from printcrib.core.people import Person
from printcrib.core.runs import Failure, Run, RunState
from printcrib.services.estimate_files import shop_nozzles
from printcrib.services.forget_learned import forget_learned
from printcrib.services.interfaces import Shop
from printcrib.services.learn_times import (
    NOTHING,
    ShopTaught,
    grams_print,
    minutes_print,
    read_taught,
    with_taught,
)
from printcrib.services.look_at_learned import LearnedLine, learned_lines
from printcrib.services.look_at_request import look_at_request
from printcrib.services.plan_runs import repair_plan
from printcrib.services.press import Press
from printcrib.services.say_when import when_ready
from printcrib.services.start_run import start_next
from printcrib.services.take_off_run import TakeOff, take_off_run
from printcrib.services.undo_press import undo


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    """The print desk."""
    return furnish(shop, clock)


def _logged(desk: PrintDesk, count: int, factor: float = 1.2, bore: int = 400, **more: object) -> None:
    """So many prints of 100 computed minutes on North, taken off in the last days."""
    with desk.shop.write(Press(who_id=0), "log") as uow:
        for at in range(count):
            run = Run(
                number=uow.next_number("run"),
                printer_id=desk.north,
                bore_um=bore,
                state=RunState.TAKEN_OFF,
                computed_minutes=100.0 + at,
                computed_start_minutes=8.0,
                computed_mg=20_000,
                minutes=(100.0 + at) * factor,
                minutes_source=Source.PANEL,
                mg=22_000,
                grams_source=Source.WEIGHED,
                taken_off_at=desk.later(-24 - at),
            )
            uow.runs.add(replace(run, **more))  # type: ignore[arg-type]
        uow.commit()


def _taught(desk: PrintDesk) -> ShopTaught:
    with desk.shop.read() as uow:
        return read_taught(uow, (desk.north, desk.south))


def _lines(desk: PrintDesk) -> dict[tuple[str, str], LearnedLine]:
    with desk.shop.read() as uow:
        return {(line.printer, line.nozzle): line for line in learned_lines(uow, desk.now())}


def test_nothing_logged_teaches_nothing(desk: PrintDesk) -> None:
    assert _taught(desk).of(desk.north, 400) is NOTHING


def test_measured_runs_teach_minutes_and_grams(desk: PrintDesk) -> None:
    _logged(desk, 6)
    taught = _taught(desk).of(desk.north, 400)
    assert (taught.minutes.count, taught.grams.count) == (6, 6)
    assert taught.minutes.likely(100.0, 8.0) == pytest.approx(120.0, rel=0.02)
    assert taught.grams.likely(20_000) == pytest.approx(22_000, rel=0.02)
    assert _taught(desk).of(desk.south, 400) is NOTHING


def test_a_nozzle_never_used_leans_on_the_printers_others(desk: PrintDesk) -> None:
    _logged(desk, 6)
    unused = _taught(desk).of(desk.north, 600)
    assert (unused.minutes.count, unused.minutes.others) == (0, 6)
    assert unused.minutes.likely(100.0, 8.0) == pytest.approx(120.0, rel=0.03)


@pytest.mark.parametrize(
    "more",
    [
        {"minutes_source": Source.ASSUMED, "grams_source": Source.ASSUMED},
        {"stopped_at_percent": 40.0},
        {"computed_minutes": 0.0, "computed_start_minutes": 0.0},
        {"state": RunState.CANCELLED},
    ],
    ids=["by the clock of presses", "stopped early", "no estimate", "never printed"],
)
def test_runs_that_teach_nothing(desk: PrintDesk, more: dict[str, object]) -> None:
    _logged(desk, 3, 1.2, 400, **more)
    assert _taught(desk).of(desk.north, 400) is NOTHING


def test_a_run_with_a_failed_copy_teaches_nothing(desk: PrintDesk) -> None:
    _logged(desk, 1)
    with desk.shop.write(desk.press(), "fail") as uow:
        uow.failures.add(Failure(run_id=1))
        uow.commit()
    assert _taught(desk).of(desk.north, 400) is NOTHING


@pytest.mark.parametrize("source", list(Source))
def test_which_sources_count(source: Source) -> None:
    run = Run(
        number=3,
        printer_id=1,
        bore_um=400,
        computed_minutes=50.0,
        computed_start_minutes=8.0,
        computed_mg=9000,
        minutes=60.0,
        minutes_source=source,
        mg=9500,
        grams_source=source,
    )
    assert (minutes_print(run) is not None) == (source in (Source.PANEL, Source.FILE, Source.WATCHED))
    assert (grams_print(run) is not None) == (source in (Source.PANEL, Source.FILE, Source.WEIGHED))
    assert minutes_print(replace(run, minutes=0.0)) is None
    assert minutes_print(replace(run, computed_start_minutes=50.0)) is None
    assert grams_print(replace(run, computed_mg=0)) is None


def test_minutes_and_grams_may_come_from_different_runs(desk: PrintDesk) -> None:
    _logged(desk, 2, minutes_source=Source.ASSUMED)
    _logged(desk, 3, grams_source=Source.ASSUMED)
    taught = _taught(desk).of(desk.north, 400)
    assert (taught.minutes.count, taught.grams.count) == (3, 2)


def test_an_estimate_is_said_by_what_was_learned(desk: PrintDesk) -> None:
    _logged(desk, 6)
    taught = _taught(desk).of(desk.north, 400)
    said = with_taught(estimate(1, desk.north, 400, desk.pla, 92.0, 19_000), taught)
    assert said.likely_minutes == taught.minutes.likely(100.0, 8.0)
    assert said.at_most_minutes == taught.minutes.at_most(100.0, 8.0)
    assert said.mg == round(taught.grams.likely(20_000))


def test_what_was_learned_is_in_answers_plan_and_run(desk: PrintDesk) -> None:
    request = desk.ask(minutes={400: 92.0}, printers=(desk.north,))
    before = when_ready(desk.shop, request.id)[0]
    _logged(desk, 8)
    after = when_ready(desk.shop, request.id)[0]
    assert before.likely_minutes == 100.0
    assert after.likely_minutes == pytest.approx(120.0, rel=0.02)
    assert after.at_most_minutes / after.likely_minutes < before.at_most_minutes / before.likely_minutes
    assert after.ready is not None
    assert before.ready is not None
    assert after.ready - before.ready == pytest.approx(timedelta(minutes=20), abs=timedelta(minutes=2))
    columns = look_at_request(desk.shop, request.id).estimates
    assert columns[0].minutes.startswith(("1 h 58", "1 h 59", "2 h"))
    repair_plan(desk.shop, desk.press())
    run = start_next(desk.shop, desk.press(), desk.north).value
    assert run.estimated_minutes == pytest.approx(120.0, abs=2.0)
    assert (run.computed_minutes, run.computed_start_minutes, run.computed_mg) == (100.0, 8.0, 21_000)
    assert run.at_most_minutes > run.estimated_minutes


def test_a_run_taken_off_with_its_minutes_teaches_the_next(desk: PrintDesk) -> None:
    request = desk.ask(2, minutes={400: 92.0}, printers=(desk.north,), hours=None)
    repair_plan(desk.shop, desk.press())
    run = start_next(desk.shop, desk.press(), desk.north).value
    desk.clock.move(hours=5)
    told = TakeOff(minutes=run.computed_minutes * 1.3, minutes_source=Source.WATCHED)
    done = take_off_run(desk.shop, desk.press(), run.id, told)
    taught = _taught(desk).of(desk.north, 400)
    assert taught.minutes.count == 1
    assert 1.0 < taught.minutes.factor < 1.3
    undo(desk.shop, desk.press(), done.press_number)
    assert _taught(desk).of(desk.north, 400) is NOTHING
    assert request.quantity == 2


def test_a_file_estimated_with_a_shop_uses_it(desk: PrintDesk) -> None:
    _logged(desk, 6)
    with desk.shop.read() as uow:
        asked = {(each.printer, each.bore_um): each for each in shop_nozzles(uow)}
    assert asked["North", 400].of_minutes.count == 6
    assert asked["South", 400].of_minutes is NOTHING.minutes


def test_the_lead_has_it_forgotten_and_takes_that_back(desk: PrintDesk) -> None:
    _logged(desk, 4)
    done = forget_learned(desk.shop, desk.press(), desk.north, 400)
    assert done.changed >= {"fresh_starts"}
    assert _taught(desk).of(desk.north, 400) is NOTHING
    assert _lines(desk)["North", "0.4"].since == "Forgotten on Tue 24 Nov by Ann"
    _logged(desk, 1, taken_off_at=desk.later(1))
    assert _taught(desk).of(desk.north, 400).minutes.count == 1
    undo(desk.shop, desk.press(), done.press_number)
    assert _taught(desk).of(desk.north, 400).minutes.count == 5


def test_only_the_lead_has_it_forgotten(desk: PrintDesk) -> None:
    with desk.shop.write(desk.press(), "person") as uow:
        max_id = uow.people.add(Person(name="Max")).id
        uow.commit()
    with pytest.raises(ShopError, match="Only the lead may"):
        forget_learned(desk.shop, Press(who_id=max_id), desk.north, 400)
    with pytest.raises(NotFound):
        forget_learned(desk.shop, desk.press(), 99, 400)


def test_a_look_at_what_was_learned(desk: PrintDesk) -> None:
    _logged(desk, 7)
    _logged(desk, 1, factor=4.0)
    lines = _lines(desk)
    assert list(lines)[:2] == [("North", "0.4"), ("North", "0.6")]
    line = lines["North", "0.4"]
    assert (line.count, line.grams_count, line.basis) == (8, 8, "from 8 prints")
    assert line.minutes.endswith("% longer")
    assert line.grams == "10 % more" or line.grams == "9 % more"
    assert [each.odd for each in line.prints].count(True) == 1
    (odd,) = (each for each in line.prints if each.odd)
    assert odd.run == 8
    assert odd.words.startswith("6 h 40, likely 2 h 0")
    assert line.line[0][0] == pytest.approx(60.0)
    assert line.line[-1][0] == pytest.approx(106.0 * 1.08)
    assert all(likely < at_most for _, likely, at_most in line.line)
    assert line.forget.startswith("8 prints no longer count. An hour computed, now said as ")
    assert lines["North", "0.6"].basis == "by other nozzles"
    assert lines["North", "0.6"].forget == ""
    empty = lines["South", "0.6"]
    assert (empty.minutes, empty.start, empty.grams, empty.basis) == ("", "", "", "nothing learned yet")
    assert (empty.prints, empty.since) == ((), "")


def test_words_for_one_print_and_for_as_computed(desk: PrintDesk) -> None:
    _logged(desk, 1, factor=1.0, mg=20_000)
    line = _lines(desk)["North", "0.4"]
    assert (line.minutes, line.start, line.grams, line.basis) == (
        "as computed",
        "as set",
        "as computed",
        "from 1 print",
    )
    assert line.forget.startswith("1 print no longer counts.")


def test_words_for_a_shop_that_is_quicker_and_starts_later(desk: PrintDesk) -> None:
    for computed, took in ((12.0, 15.0), (14.0, 17.0), (20.0, 22.0), (400.0, 355.0), (500.0, 444.0)):
        for _ in range(4):
            _logged(desk, 1, computed_minutes=computed, minutes=took, mg=18_000)
    line = _lines(desk)["North", "0.4"]
    assert line.minutes.endswith("% shorter")
    assert line.start.endswith("min longer")
    assert line.grams.endswith("% less")
    for _ in range(30):
        _logged(desk, 1, computed_minutes=12.0, minutes=9.0)
    assert _lines(desk)["North", "0.4"].start.endswith("min shorter")


def test_at_most_before_any_print_is_that_of_no_prints(desk: PrintDesk) -> None:
    request = desk.ask(minutes={400: 92.0}, printers=(desk.north,))
    assert when_ready(desk.shop, request.id)[0].at_most_minutes == NO_PRINTS.at_most(100.0, 8.0)
