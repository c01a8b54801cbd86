"""A planning problem as JSON, so that others can check the plans."""

import json
from typing import Any

import pytest

from printcrib.core.errors import ShopError
from printcrib.core.planning.problem import Costs, SetupMinutes, Shift
from printcrib.core.planning.problem_json import METHODS, answer, parse

EXAMPLE = json.loads(
    """
{"shifts": [[420, 1020], [1860, 2460]],
 "setups": {"clear": 3, "nozzle": 12, "material": 4, "heat_up": 8},
 "printers": [{"name": "P", "platform_mm": [250, 210], "nozzles": ["0.4", "0.6"], "fitted": "0.6",
               "materials": ["A black", "B"], "loaded": "A black"}],
 "tasks": [
  {"name": "J1", "minutes": {"0.4": 120}, "material": "A black", "footprint_mm": [145, 95],
   "due": 720, "weight": 2},
  {"name": "J2", "minutes": {"0.4": 150, "0.6": 93}, "material": "A black", "footprint_mm": [145, 95],
   "due": 900},
  {"name": "J3", "minutes": {"0.6": 60}, "material": "A black", "footprint_mm": [145, 95],
   "due": 660},
  {"name": "J4", "minutes": {"0.4": 200}, "material": "B", "footprint_mm": [145, 95],
   "due": 2040},
  {"name": "J5", "minutes": {"0.4": 90, "0.6": 56}, "material": "A black", "footprint_mm": [145, 95],
   "due": 1020}],
 "gap_mm": 5, "fill_limit": 0.7, "unattended": true}
"""
)


def _with(path: list[Any], value: object) -> Any:
    """The example with one value changed, or without the key if the value is None."""
    changed = json.loads(json.dumps(EXAMPLE))
    at = changed
    for step in path[:-1]:
        at = at[step]
    if value is None:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return changed


def test_what_is_left_out_has_its_defaults() -> None:
    found = parse(EXAMPLE)
    assert found.tasks[1].release == found.start == 420
    assert (found.tasks[1].weight, found.tasks[1].alone, found.persons) == (1, False, 1)
    assert found.costs == Costs(1000, 20, 1)
    assert found.setups == SetupMinutes(3, 12, 4, 8)
    assert found.shifts[1] == Shift(1860, 2460)
    assert found.tasks[1].minutes == {400: 150, 600: 93}
    assert found.printers[0].unattended == {"A black", "B"}
    assert parse(_with(["unattended"], False)).printers[0].unattended == frozenset()
    assert parse(_with(["costs"], {"late": 5})).costs == Costs(5, 20, 1)
    assert parse(_with(["tasks", 0, "weight"], 3.0)).tasks[0].weight == 3


def test_a_printer_may_stand_there_without_nozzle_and_spool() -> None:
    empty = json.loads(json.dumps(EXAMPLE))
    empty["printers"][0] |= {"fitted": None, "loaded": None}
    assert (parse(empty).printers[0].fitted, parse(empty).printers[0].loaded) == (None, None)


@pytest.mark.parametrize(
    ("method", "cost"), [("first-come", 1_091_665), ("due-date", 1248), ("dispatch", 1143)]
)
def test_the_answer_has_every_key_of_the_format(method: str, cost: int) -> None:
    found = parse(EXAMPLE)
    told = answer(found, METHODS[method](found), method, 0.25)
    assert json.loads(json.dumps(told)) == told
    assert list(told) == [
        "cost",
        "late_weighted",
        "nozzle_swaps",
        "material_swaps",
        "setup_minutes",
        "makespan",
        "runs",
        "tasks",
        "seconds",
        "method",
    ]
    assert (told["cost"], told["seconds"], told["method"]) == (cost, 0.25, method)


def test_runs_and_tasks_of_the_answer() -> None:
    found = parse(EXAMPLE)
    told: Any = answer(found, METHODS["due-date"](found), "due-date", 0.0)
    assert told["runs"][0] == {
        "printer": "P",
        "nozzle": "0.6",
        "material": "A black",
        "tasks": ["J3"],
        "hands_on_from": 420,
        "starts": 420,
        "ends": 488,
    }
    assert told["tasks"][3] == {"name": "J4", "ready": 1860, "late": 0}


MISSING = [
    (["shifts"], "shifts"),
    (["setups"], "setups"),
    (["setups", "heat_up"], "setups.heat_up"),
    (["printers"], "printers"),
    (["printers", 0, "fitted"], "printers[0].fitted"),
    (["printers", 0, "materials"], "printers[0].materials"),
    (["tasks"], "tasks"),
    (["tasks", 2, "due"], "tasks[2].due"),
    (["tasks", 2, "name"], "tasks[2].name"),
    (["tasks", 2, "footprint_mm"], "tasks[2].footprint_mm"),
    (["gap_mm"], "gap_mm"),
    (["fill_limit"], "fill_limit"),
]

WRONG = [
    (["shifts"], [], "shifts"),
    (["shifts", 0], [420], "shifts[0]"),
    (["shifts", 0], [420, 420], "shifts[0]"),
    (["shifts", 1], [1000, 2000], "shifts[1]"),
    (["shifts", 1], [1860, "late"], "shifts[1]"),
    (["setups"], [3, 12], "setups"),
    (["setups", "clear"], -1, "setups.clear"),
    (["setups", "clear"], 2.5, "setups.clear"),
    (["setups", "clear"], True, "setups.clear"),
    (["printers"], [], "printers"),
    (["printers"], {}, "printers"),
    (["printers", 0, "nozzles"], [0.4], "printers[0].nozzles"),
    (["printers", 0, "nozzles"], ["fine"], "printers[0].nozzles"),
    (["printers", 0, "platform_mm"], [250], "printers[0].platform_mm"),
    (["printers", 0, "platform_mm"], [250, 0], "printers[0].platform_mm"),
    (["tasks", 1], "J2", "tasks[1]"),
    (["tasks", 1, "name"], "J1", "tasks"),
    (["tasks", 1, "name"], "", "tasks[1].name"),
    (["tasks", 1, "minutes"], {}, "tasks[1].minutes"),
    (["tasks", 1, "minutes"], {"0.4": "long"}, "tasks[1].minutes"),
    (["tasks", 1, "alone"], "no", "tasks[1].alone"),
    (["gap_mm"], "five", "gap_mm"),
    (["gap_mm"], -5, "gap_mm"),
    (["persons"], 0, "persons"),
]


@pytest.mark.parametrize(("path", "key"), MISSING)
def test_what_is_missing_is_named(path: list[Any], key: str) -> None:
    with pytest.raises(ShopError) as refused:
        parse(_with(path, None))
    assert refused.value.what == f'"{key}" is missing'


@pytest.mark.parametrize(("path", "value", "key"), WRONG)
def test_what_is_wrong_is_named(path: list[Any], value: object, key: str) -> None:
    with pytest.raises(ShopError) as refused:
        parse(_with(path, value))
    assert refused.value.what.startswith(f'"{key}" ')


def test_what_is_no_object_is_refused() -> None:
    with pytest.raises(ShopError, match="must be an object"):
        parse([])


@pytest.mark.parametrize(
    ("path", "value", "key"),
    [
        (["shifts"], [[420, 600]], "shifts"),
        (["unattended"], False, "shifts"),
        (["tasks", 1, "material"], "C", "tasks[1].material"),
        (["tasks", 1, "minutes"], {"0.8": 10}, "tasks[1].minutes"),
        (["tasks", 1, "footprint_mm"], [300, 10], "tasks[1].footprint_mm"),
    ],
)
def test_a_task_without_a_place_is_refused_naming_the_key(path: list[Any], value: object, key: str) -> None:
    changed = _with(path, value)
    if key == "shifts":
        changed["tasks"][3]["minutes"] = {"0.4": 700}
    found = parse(changed)
    with pytest.raises(ShopError) as refused:
        answer(found, METHODS["due-date"](found), "due-date", 0.0)
    assert refused.value.what.startswith(f'"{key}" leaves task "J')
