"""`printcrib moves`: what it prints of a print file, what it refuses, and with which exit code."""

from pathlib import Path

import pytest
from tests.app.answers import answered
from tests.core.estimating.print_files import tower

from printcrib.app.command_line import main
from printcrib.core.estimating.moves import MOST_BYTES


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A ring of two layers, and nothing to heat."""
    kept = tmp_path / "ring.nc"
    kept.write_bytes(b"G28\n" + tower(2).partition(b"G28\n")[2])
    return kept


def test_a_print_file_answers_as_promised(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["moves", str(file), "--json"]) == 0
    told = answered(capsys)
    names = ["file", "minutes", "grams", "metres", "layers", "moves", "heat_minutes", "wait_minutes", "notes"]
    assert list(told) == names
    assert told["file"] == str(file)
    assert told["metres"] == pytest.approx((80 * 0.11 + 1.5) / 1000)
    assert told["grams"] == pytest.approx(told["metres"] * 2.98250, rel=1e-4)  # pi 1.75^2/4 1.24 g/m
    assert (told["layers"], told["moves"], told["heat_minutes"], told["notes"]) == (2, 2 * 43, 0, [])
    assert 80 * 3.1 / 40 / 60 < told["minutes"] < 1


def test_settings_and_material_count(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["moves", str(file), "--json"]) == 0
    usual = answered(capsys)
    settings = tmp_path / "settings.json"
    settings.write_text('{"acceleration_mm_s2": 100000, "filament_mm": 2.85}')
    assert main(["moves", str(file), "--json", "--settings", str(settings), "--material", "PETG"]) == 0
    told = answered(capsys)
    assert told["metres"] == usual["metres"]
    assert told["grams"] == pytest.approx(usual["grams"] * (2.85 / 1.75) ** 2 * 1.27 / 1.24, rel=1e-4)


def test_the_settings_of_a_printer_of_the_shop(
    shop_folder: Path, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop = ["--shop", str(shop_folder)]
    assert main(["moves", str(file), "--json", "--printer", "south", *shop]) == 0
    assert answered(capsys)["layers"] == 2
    assert main(["moves", str(file), "--printer", "west", *shop]) == 2
    said = capsys.readouterr().err
    assert said.startswith("No printer for this is called west. Printers: ")
    assert said.count("\n") == 1


def test_default_prints_the_settings_whole(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["moves", "--settings", "default", "--nozzle", "0.8"]) == 0
    told = answered(capsys)
    assert (told["bore_um"], told["filament_mm"], told["g4_p_in_seconds"]) == (800, 1.75, 0)


def test_in_words(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_bytes(file.read_bytes() + b"what is this?\n")
    assert main(["moves", str(file)]) == 0
    first, note = capsys.readouterr().out.splitlines()
    assert first.endswith("0.03 g, 0.01 m of filament, 2 layers")
    assert note == "  1 line holds words nobody here knows; they count for nothing."
    file.write_bytes(b"M83\nG1 X100 E9 F600")
    assert main(["moves", str(file)]) == 0
    assert capsys.readouterr().out.endswith("1 layer\n")


@pytest.mark.parametrize(
    "content", [b"", b"\0\1\2", b"no moves", b"G1 X1", b"G1 XNaN F600", b"\xff\xfe\n\xe9"]
)
def test_a_refusal_is_one_sentence_and_exit_2(
    content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wrong = tmp_path / "wrong.nc"
    wrong.write_bytes(content)
    assert main(["moves", str(wrong), "--json"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert "wrong.nc" in said.err


def test_a_file_that_is_not_there_or_far_too_large(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["moves", str(tmp_path / "missing.nc")]) == 2
    assert "cannot be read" in capsys.readouterr().err
    large = tmp_path / "large.nc"
    with large.open("wb") as hole:
        hole.truncate(MOST_BYTES + 1)
    assert main(["moves", str(large)]) == 2
    assert capsys.readouterr().err.startswith("large.nc is larger than 256 MB.")
    assert main(["moves"]) == 2
    assert "Name a print file." in capsys.readouterr().err
