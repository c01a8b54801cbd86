"""Why a task that no plan can hold is not planned, in the shop's words."""

from typing import Any

import pytest
from tests.core.planning.problems import printer, problem, task

from printcrib.core.planning.decoder import decode
from printcrib.core.planning.problem import PlanPrinter, PlanSpool, PlanTask
from printcrib.core.planning.tables import NO_PRINTER, tables_of
from printcrib.core.planning.timeline import Plan

SPOOL = PlanSpool("S1", "ASA grey", 239_999)


@pytest.mark.parametrize(
    ("made", "machine", "more", "reason"),
    [
        (task("1", {400: 10}, waits=True), printer(), {}, "waits, as the desk said"),
        (
            task("1", {400: 10}, printers=frozenset({"P9"})),
            printer(),
            {},
            NO_PRINTER,
        ),
        (task("1", {400: 10}), printer(materials=frozenset({"PLA red"})), {}, "no printer may use ASA grey"),
        (task("1", {250: 10}), printer(), {}, "no printer has a nozzle it may use"),
        (task("1", {}), printer(), {}, "no printer has a nozzle it may use"),
        (task("1", {400: 10}, abrasive=True), printer(), {}, "no printer has a nozzle it may use"),
        (
            task("1", {400: 10}, footprints=((210.0, 10.0),)),
            printer(),
            {},
            "its copies do not fit on a platform together",
        ),
        (
            task("1", {400: 10}, footprints=((95.0, 95.0),) * 4),
            printer(),
            {},
            "its copies do not fit on a platform together",
        ),
        (
            task("1", {400: 10}, mg={400: 239_500}),
            printer(),
            {"spools": (SPOOL,), "start_mg": 501},
            "no spool of ASA grey with 241 g left",
        ),
        (
            task("1", {400: 10}),
            printer(),
            {"spools": (), "start_mg": 1000},
            "no spool of ASA grey with 1 g left",
        ),
        (
            task("1", {400: 900, 600: 762}),
            printer(unattended=frozenset()),
            {},
            "needs 770 min with nobody in",
        ),
    ],
)
def test_reasons_in_words(made: PlanTask, machine: PlanPrinter, more: dict[str, Any], reason: str) -> None:
    shop = problem(made, printers=(machine,), **more)
    assert [left.reason for left in decode(shop, Plan()).unplanned] == [reason]


def test_the_reason_is_that_of_the_printer_that_came_nearest() -> None:
    wrong = printer("P1", materials=frozenset({"PLA red"}))
    shop = problem(task("1", {250: 10}), printers=(wrong, printer("P2"), wrong))
    assert tables_of(shop).barred == {0: "no printer has a nozzle it may use"}


def test_a_single_large_copy_may_exceed_the_fill_limit() -> None:
    assert tables_of(problem(task("1", {400: 10}, footprints=((199.0, 199.0),)))).barred == {}


def test_a_hardened_nozzle_prints_what_is_abrasive() -> None:
    shop = problem(
        task("1", {400: 10, 600: 8}, abrasive=True), printers=(printer(hardened=frozenset({600})),)
    )
    assert tables_of(shop).options[0][0] == {600: 8}


def test_a_printer_may_need_its_own_minutes() -> None:
    slow = task("1", {400: 10}, printer_minutes={"P2": {400: 20, 600: 12}})
    tables = tables_of(problem(slow, printers=(printer("P1"), printer("P2"))))
    assert [options[0] for options in tables.options] == [{400: 10}, {400: 20, 600: 12}]


def test_only_nozzles_with_enough_filament_are_open() -> None:
    shop = problem(task("1", {400: 10, 600: 8}, mg={400: 100_000, 600: 300_000}), spools=(SPOOL,))
    assert tables_of(shop).options[0][0] == {400: 10}


def test_tables_are_made_once_for_a_problem() -> None:
    shop = problem(task("1", {400: 10}))
    assert tables_of(shop) is tables_of(shop)


def test_things_are_called_by_their_names() -> None:
    assert (task("1", {}).called, task("1", {}, name="").called) == ("R 1", "1")
    assert (printer().called, printer(name="left one").called) == ("P1", "left one")
