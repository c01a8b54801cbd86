"""Reading what a command printed."""

import json
from typing import Any

import pytest


def answered(capsys: pytest.CaptureFixture[str]) -> Any:
    """What a command printed as JSON."""
    return json.loads(capsys.readouterr().out)


def one_sentence(capsys: pytest.CaptureFixture[str]) -> str:
    """The one line on stderr; nothing else was printed."""
    said = capsys.readouterr()
    lines = said.err.splitlines()
    assert len(lines) == 1
    assert lines[0].endswith(".")
    assert "Traceback" not in said.err
    return lines[0]
