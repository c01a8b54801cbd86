"""`printcrib life`: what it answers, what it refuses, and with which exit code."""

import json
from pathlib import Path

import pytest

from printcrib.app.command_line import main

ROWS = "count,failed\n54,1\n187,1\n216,1\n240,1\n244,1\n335,1\n361,1\n373,1\n375,1\n386,1\n" + "500,0\n" * 10


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Ten failures of twenty units (NIST/SEMATECH e-Handbook 8.4.1.3)."""
    kept = tmp_path / "lives.csv"
    kept.write_text(ROWS)
    return kept


def test_it_answers_as_promised(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["life", str(file), "--json", "--expected", "500", "--at", "500", "--worth", "1"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert list(told) == ["n", "failures", "mle", "forecast", "remaining", "at"]
    assert (told["n"], told["failures"]) == (20, 10)
    assert told["mle"]["shape"] == pytest.approx(1.7208, abs=1e-4)
    assert told["mle"]["scale"] == pytest.approx(606.5280, abs=1e-3)
    assert list(told["mle"]) == ["shape", "scale", "shape_90", "scale_90"]
    assert list(told["forecast"]) == ["median", "b10", "b10_90", "shape_median"]
    assert told["forecast"]["b10_90"][0] < told["forecast"]["b10"] < told["forecast"]["b10_90"][1]
    assert [each["row"] for each in told["remaining"]] == list(range(11, 21))
    assert list(told["remaining"][0]) == ["row", "count", "q80", "q90", "q99"]
    assert told["at"]["count"] == 500
    assert 0.4 < told["at"]["reliability"] < 0.6


def test_without_a_guess_it_says_why(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    few = tmp_path / "few.csv"
    few.write_text("count,failed,weight\n5,1,0.5\n7,0,\n")
    assert main(["life", str(few), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["n"], told["mle"], told["forecast"], told["remaining"]) == (1.5, None, None, [])
    assert "four failures" in told["why"]
    assert "expected life" in told["why"]


def test_bad_rows_are_told_and_the_others_answered(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_text(ROWS + "oops,0\n0,1\n")
    assert main(["life", str(file), "--json"]) == 2
    out, err = capsys.readouterr()
    assert json.loads(out)["n"] == 21
    first, second = err.splitlines()
    assert first.startswith("Line 22: count is")
    assert second.startswith("Row 22 failed at no use")


def test_what_cannot_be_read_is_one_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    empty = tmp_path / "empty.csv"
    empty.write_text("")
    for file in (tmp_path / "none.csv", empty):
        assert main(["life", str(file)]) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert err.count("\n") == 1


def test_in_words(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["life", str(file), "--expected", "500", "--at", "500"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "20 aids, 10 of them failed."
    assert lines[1].startswith("Half of them reach")
    assert lines[2].startswith("Without a guess: shape 1.721")
    assert lines[3].startswith("Row 11 at 500: ")
    assert lines[-1].startswith("A new one reaches 500 with ")
    assert main(["life", str(file)]) == 0
    assert "there is no forecast" in capsys.readouterr().out
