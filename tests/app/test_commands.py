"""Runs, week, check and demo on the command line: answers, refusals and exit codes."""

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from tests.app.answers import answered, one_sentence

from printcrib.app.command_line import main

WORKED_EXAMPLE = {
    "shifts": [[420 + day * 1440, 1020 + day * 1440] for day in range(5)],
    "unattended": True,
    "setups": {"clear": 3, "nozzle": 12, "material": 4, "heat_up": 8},
    "gap_mm": 0,
    "fill_limit": 1.0,
    "printers": [
        {
            "name": "P1",
            "platform_mm": [245, 150],
            "nozzles": ["0.4", "0.6"],
            "fitted": "0.6",
            "loaded": "A black",
            "materials": ["A black", "B"],
        }
    ],
    "tasks": [
        {
            "name": name,
            "minutes": minutes,
            "material": material,
            "footprint_mm": [100, 150],
            "due": due,
            "weight": weight,
        }
        for name, material, minutes, due, weight in (
            ("J1", "A black", {"0.4": 120}, 720, 2),
            ("J2", "A black", {"0.4": 150, "0.6": 93}, 900, 1),
            ("J3", "A black", {"0.6": 60}, 660, 1),
            ("J4", "B", {"0.4": 200}, 2040, 1),
            ("J5", "A black", {"0.4": 90, "0.6": 56}, 1020, 1),
        )
    ],
}
"""One printer, five tasks; first come costs 1,091,665 and due-date order 1248, each proved by hand."""


def test_runs_tells_what_prints_and_what_follows(
    shop_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["runs", "--shop", str(shop_folder), "--json"]) == 0
    told = answered(capsys)
    (printing,) = told["printing"]
    assert printing["printer"] == "South"
    assert printing["state"] == "started"
    planned = " ".join(each["what"] for each in told["runs"])
    for tag in ("R 1", "R 2"):
        assert (tag in printing["what"]) != (tag in planned)
    for each in told["runs"]:
        assert each["hands_on_from"] <= each["starts"] < each["ends"] <= each["ready"]
        assert each["grams"] > 0
    assert told["not_planned"] == []


def test_runs_in_words(shop_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--shop", str(shop_folder), "runs"]) == 0
    first, *_ = capsys.readouterr().out.splitlines()
    assert first.startswith("South: run 1 is on it, R ")


def problem_file(tmp_path: Path, data: object) -> Path:
    """A planning problem in a file."""
    file = tmp_path / "problem.json"
    file.write_text(json.dumps(data))
    return file


@pytest.mark.parametrize(
    ("method", "cost"), [("first-come", 1_091_665), ("due-date", 1248), ("dispatch", 1143)]
)
def test_a_problem_is_answered_with_what_its_plan_costs(
    method: str, cost: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = problem_file(tmp_path, WORKED_EXAMPLE)
    assert main(["runs", "--problem", str(file), "--method", method, "--json"]) == 0
    told = answered(capsys)
    assert told["cost"] == cost
    assert told["method"] == method
    assert sorted(task["name"] for task in told["tasks"]) == ["J1", "J2", "J3", "J4", "J5"]


def test_a_problem_in_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["runs", "--problem", str(problem_file(tmp_path, WORKED_EXAMPLE))]) == 0
    *_, last = capsys.readouterr().out.splitlines()
    assert last.startswith("cost 1143, late 0,")


@pytest.mark.parametrize(
    ("content", "method", "said"),
    [
        ("{", "dispatch", "is not JSON"),
        ("{}", "dispatch", '"shifts" is missing'),
        (json.dumps(WORKED_EXAMPLE), "guess", "There is no way of planning"),
    ],
)
def test_a_problem_that_makes_no_sense_is_refused(
    content: str, method: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "problem.json"
    file.write_text(content)
    assert main(["runs", "--problem", str(file), "--method", method]) == 2
    assert said in one_sentence(capsys)


def test_a_problem_that_is_not_there_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["runs", "--problem", str(tmp_path / "none.json")]) == 2
    assert "cannot be read" in one_sentence(capsys)


def test_the_week_in_figures_and_on_paper(
    shop_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    paper = tmp_path / "week.pdf"
    assert main(["week", "2026-W48", "-o", str(paper), "--shop", str(shop_folder), "--json"]) == 0
    told = answered(capsys)
    assert told["week"] == "2026-W48"
    assert told["requests"]["came_in"] == 2
    assert told["hours"]["not_taken_off"] == 1
    assert paper.read_bytes().startswith(b"%PDF-")


def test_the_week_in_words(shop_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["week", "2026-W48", "--shop", str(shop_folder)]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0] == "Demo shop, week 2026-W48, Mon 23 to Sun 29 November 2026"
    assert said[1].startswith("Requests: 2 in (0 by the tool)")


@pytest.mark.parametrize("week", ["2026-48", "2025-W53", "next", "2026-W00"])
def test_a_week_there_is_not_is_refused(
    week: str, shop_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["week", week, "--shop", str(shop_folder)]) == 2
    assert f'"{week}" is not a week.' in one_sentence(capsys)


def test_paper_that_cannot_be_written_is_refused(
    shop_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    there = tmp_path / "none" / "week.pdf"
    assert main(["week", "2026-W48", "-o", str(there), "--shop", str(shop_folder)]) == 2
    assert "cannot be written" in one_sentence(capsys)


def test_sound_books_are_whole(shop_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--shop", str(shop_folder)]) == 0
    assert capsys.readouterr().out == "Everything is whole.\n"
    assert main(["check", "--shop", str(shop_folder), "--json"]) == 0
    assert answered(capsys) == {"whole": True, "faults": []}


def test_altered_books_are_told_with_exit_1(
    shop_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(shop_folder, copy)
    with closing(sqlite3.connect(copy / "shop.db")) as database:
        database.execute("update requests set quantity = 99 where number = 1")
        database.commit()
    next(iter((copy / "files").iterdir())).unlink()
    assert main(["check", "--shop", str(copy), "--json"]) == 1
    told = answered(capsys)
    assert told["whole"] is False
    assert any("Somebody altered" in fault for fault in told["faults"])
    assert any("file" in fault for fault in told["faults"])
    assert main(["check", "--shop", str(copy)]) == 1
    assert len(capsys.readouterr().out.splitlines()) == len(told["faults"])


@pytest.mark.parametrize("command", [["runs"], ["week"], ["check"], ["estimate", "x.stl"]])
def test_a_folder_without_a_shop_is_refused(
    command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*command, "--shop", str(tmp_path / "nowhere")]) == 2
    assert "There is no shop in" in one_sentence(capsys)
    assert not (tmp_path / "nowhere").exists()


def test_no_shop_at_all_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PRINTCRIB_CONFIG", str(tmp_path))
    assert main(["check"]) == 2
    assert "No shop is named." in one_sentence(capsys)


def test_the_demo_leaves_a_shop_that_is_there_alone(
    shop_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = (shop_folder / "shop.db").read_bytes()
    for folder in (shop_folder, shop_folder.parent):
        assert main(["demo", str(folder)]) == 2
        assert f"There is a shop in {folder} already." in one_sentence(capsys)
    assert (shop_folder / "shop.db").read_bytes() == before


def test_the_demo_refuses_a_folder_that_cannot_be(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("in the way")
    assert main(["demo", str(tmp_path / "file")]) == 2
    assert "cannot be made" in one_sentence(capsys)
