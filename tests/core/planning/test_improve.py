"""The short search around a plan."""

from tests.core.planning.problems import printer, problem, task

from printcrib.core.planning.decoder import cost_of
from printcrib.core.planning.improve import improve
from printcrib.core.planning.rules import Lanes, first_come_lanes
from printcrib.core.planning.tables import tables_of


def _search(tries: int | None = None, stop_at_once: bool = False) -> tuple[int, int, int, Lanes]:
    shop = problem(
        *(task(str(n), {400: 60 + 7 * n, 600: 40}, 500 + 70 * (n % 5)) for n in range(9)),
        printers=(printer("P1"), printer("P2", nozzles=(600,), fitted=600)),
    )
    tables = tables_of(shop)
    lanes = first_come_lanes(tables)
    before = cost_of(tables, list(lanes))
    told: list[float] = []
    found = improve(tables, lanes, before, told.append, lambda: stop_at_once, tries)
    return before, cost_of(tables, list(found)), len(told), found


def test_it_finds_a_cheaper_plan_and_the_same_one_every_time() -> None:
    before, after, told, found = _search(300)
    assert after < before
    assert told == 15
    assert _search(300)[3] == found
    assert _search()[1] <= after


def test_it_stops_when_asked_and_gives_what_it_has() -> None:
    before, after, told, _ = _search(stop_at_once=True)
    assert (before, told) == (after, 1)


def test_a_task_moved_to_a_printer_without_its_bore_takes_one_it_has() -> None:
    shop = problem(
        task("1", {400: 90, 800: 30}, 500),
        task("2", {400: 60, 800: 20}, 560),
        task("3", {400: 60, 800: 20}, 620),
        printers=(printer("P1", nozzles=(400,)), printer("P2", nozzles=(600, 800), fitted=600)),
    )
    tables = tables_of(shop)
    lanes = first_come_lanes(tables)
    found = improve(tables, lanes, cost_of(tables, list(lanes)), lambda _: None, lambda: False, 200)
    assert {bore for _, bore, _ in found[1]} <= {800}
