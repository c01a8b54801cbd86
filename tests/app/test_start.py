"""The window starts at once; whatever else is asked for goes to the command line."""

import subprocess
import sys
from pathlib import Path

import pytest

from printcrib.app import start

LIGHT = "import sys, printcrib.app.start; print('typer' in sys.modules or 'PySide6' in sys.modules)"


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ([], True),
        (["--shop", "/shops/ours"], True),
        (["--shop=/shops/ours"], True),
        (["--shop"], False),
        (["--shop", "--help"], False),
        (["--help"], False),
        (["--shop", "/shops/ours", "runs"], False),
        (["check"], False),
    ],
)
def test_only_a_shop_or_nothing_asks_for_the_window(words: list[str], wanted: bool) -> None:
    assert start.asks_for_the_window(words) is wanted


@pytest.mark.parametrize(
    ("words", "place"),
    [([], None), (["--shop", "/a"], "/a"), (["--shop=postgresql://b/c"], "postgresql://b/c")],
)
def test_the_window_gets_the_shop(
    words: list[str], place: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str | None] = []

    def opened(told: str | None) -> int:
        asked.append(told)
        return 7

    monkeypatch.setattr(start, "open_the_window", opened)
    assert start.main(words) == 7
    assert asked == [place]


def test_a_shop_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "printcrib", "--shop", str(tmp_path / "none")]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1
    assert "shop" in done.stderr


def test_everything_else_goes_to_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert start.main(["--help"]) == 0
    assert "estimate" in capsys.readouterr().out


def test_the_start_loads_neither_the_command_line_nor_qt() -> None:
    done = subprocess.run([sys.executable, "-c", LIGHT], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
