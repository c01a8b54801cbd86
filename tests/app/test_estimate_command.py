"""`printcrib estimate`: what it prints of models, what it refuses, and with which exit code."""

import json
from dataclasses import fields
from pathlib import Path

import pytest
from tests.app.answers import answered
from tests.core.estimating.solids import box, t_bridge, without

from printcrib.app.command_line import main
from printcrib.core.estimating.settings import PrintSettings
from printcrib.core.shapes import Mesh
from printcrib.meshes.made import cable_comb, caliper_rest, collet_tray
from printcrib.meshes.writer import write_3mf, write_stl


@pytest.fixture
def comb(tmp_path: Path) -> Path:
    """A cable comb as STL."""
    file = tmp_path / "comb.stl"
    file.write_bytes(write_stl(cable_comb()))
    return file


def test_an_estimate_answers_as_promised_without_a_shop(
    comb: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["estimate", str(comb), "--json"]) == 0
    (told,) = answered(capsys)
    assert list(told) == ["file", "model", "nozzles", "recommended"]
    assert told["file"] == str(comb)
    assert list(told["model"]) == ["triangles", "volume_cm3", "extents_mm", "trustworthy", "findings"]
    assert told["model"]["triangles"] == len(cable_comb().faces)
    assert told["model"]["extents_mm"] == pytest.approx([94, 18, 12], abs=0.01)
    assert told["model"]["findings"] == []
    assert [each["nozzle_mm"] for each in told["nozzles"]] == ["0.4", "0.6", "0.8", "1.0"]
    for each in told["nozzles"]:
        assert list(each) == [
            "printer", "nozzle_mm", "minutes", "grams", "cost", "allowed",
            "minutes_p50", "minutes_p90", "grams_p90", "tier", "support_grams",
            "lost_percent", "recommended", "minutes_range", "grams_range",
        ]  # fmt: skip
        assert (each["minutes_range"], each["grams_range"]) == (None, None)
        assert each["minutes_p50"] == each["minutes"] < each["minutes_p90"]
        assert each["grams"] < each["grams_p90"]
        assert (each["tier"], each["support_grams"]) == (1, 0)
        assert each["minutes"] > 0
        assert each["grams"] > 0
        assert each["cost"] is None
    minutes = [each["minutes"] for each in told["nozzles"]]
    assert minutes == sorted(minutes, reverse=True)
    assert [each["allowed"] for each in told["nozzles"]] == [True, True, False, False]
    assert [each["lost_percent"] for each in told["nozzles"]] == [0, 0, 0, 0]
    why = "Use 0.6: it keeps every feature and is done soonest."
    assert told["recommended"] == {"nozzle_mm": "0.6", "why": why}


def test_a_model_not_to_be_trusted_is_answered_by_ranges(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = cable_comb()
    file = tmp_path / "open.stl"
    file.write_bytes(write_stl(Mesh(whole.vertices, whole.faces[::2])))
    assert main(["estimate", str(file), "--json"]) == 0
    (told,) = answered(capsys)
    assert told["model"]["trustworthy"] is False
    assert [finding["code"] for finding in told["model"]["findings"]] == ["open_surface"]
    for each in told["nozzles"]:
        low, high = each["minutes_range"]
        assert low < each["minutes"] < high
        low, high = each["grams_range"]
        assert low < each["grams"] < high
    assert main(["estimate", str(file)]) == 0
    assert " to " in capsys.readouterr().out


@pytest.mark.parametrize(
    ("fine", "allowed"),
    [("fine", ["0.4"]), ("normal", ["0.4", "0.6"]), ("rough", ["0.4", "0.6", "0.8", "1.0"])],
)
def test_how_fine_decides_the_nozzles(
    comb: Path, fine: str, allowed: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["estimate", str(comb), "--fine", fine, "--json"]) == 0
    (told,) = answered(capsys)
    assert [each["nozzle_mm"] for each in told["nozzles"] if each["allowed"]] == allowed


def test_settings_are_printed_whole_and_read_again(
    comb: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["estimate", "--settings", "default", "--nozzle", "0.6", "--walls", "4"]) == 0
    held = answered(capsys)
    assert set(held) == {field.name for field in fields(PrintSettings)}
    assert (held["bore_um"], held["walls"]) == (600, 4)
    file = tmp_path / "own.json"
    file.write_text(json.dumps({**held, "acceleration_mm_s2": 300}))
    assert main(["estimate", str(comb), "--settings", str(file), "--json"]) == 0
    (slow,) = answered(capsys)[0]["nozzles"]
    assert main(["estimate", str(comb), "--nozzle", "0.6", "--walls", "4", "--json"]) == 0
    (usual,) = answered(capsys)[0]["nozzles"]
    assert slow["nozzle_mm"] == usual["nozzle_mm"] == "0.6"
    assert slow["minutes"] > usual["minutes"]
    assert slow["grams"] == usual["grams"]


def test_options_change_what_is_answered(comb: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def told(*options: str) -> dict[str, float]:
        assert main(["estimate", str(comb), "--nozzle", "0.4", "--json", *options]) == 0
        (nozzle,) = answered(capsys)[0]["nozzles"]
        assert isinstance(nozzle, dict)
        return nozzle

    usual = told()
    assert told("--fill", "20") == told("--fill", "0.2") == told("--fill", "20%") == usual
    assert told("--fill", "90%")["grams"] > usual["grams"]
    assert told("--walls", "1")["grams"] < usual["grams"]
    assert told("--material", "petg")["grams"] > usual["grams"]
    assert told("--tier", "2")["tier"] == 2
    assert told("--support", "off") == usual


def test_supports_are_told_where_something_hangs_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "t.stl"
    file.write_bytes(write_stl(t_bridge()))
    assert main(["estimate", str(file), "--nozzle", "0.4", "--support", "on", "--json"]) == 0
    (told,) = answered(capsys)[0]["nozzles"]
    assert told["support_grams"] > 0.15 * 4 * 1.24 * 49 / 50


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--material", "wood"], "There is no material called wood."),
        (["--fill", "much"], "much is not a number."),
        (["--fill", "120%"], "fill is 1.2."),
        (["--walls", "99"], "walls is 99."),
        (["--support", "maybe"], "Supports are maybe. Say on or off."),
        (["--nozzle", "x"], ""),
        (["--tier", "3"], "There is no tier 3."),
        (["--settings", "{comb}"], "holds no settings."),
        (["--settings", "nowhere.json"], "nowhere.json cannot be read."),
        (["--settings", "default", "--fill", "much"], "much is not a number."),
        (["--fill", ""], "An empty fill is not a number."),
        (["--fill", "nan"], "fill is nan."),
        (["--walls", "-1"], "walls is -1."),
        (["--walls", "two"], "walls"),
        (["--nozzle", "nan"], "is not a nozzle bore."),
        (["--fine", "very"], "fine"),
    ],
)
def test_options_that_make_no_sense_are_one_sentence(
    options: list[str], words: str, comb: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    options = [option.format(comb=comb) for option in options]
    assert main(["estimate", str(comb), *options, "--json"]) == 2
    said = capsys.readouterr()
    assert words in said.err
    assert len(said.err.splitlines()) == 1
    assert said.out == ""


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("{", "holds no settings."),
        ("[1]", "holds no settings."),
        ('{"colour": 1}', "There is no setting called colour."),
        ('{"line_width_um": 440}', "There is no setting called line_width_um."),
        ('{"fill": "0.2"}', "fill is not a number."),
        ('{"fill": null}', "fill is not a number."),
        ('{"fill": NaN}', "fill is nan."),
        ('{"acceleration_mm_s2": 0}', "acceleration is 0. Give a value between 10 and 100000."),
        ('{"walls": NaN}', "walls is nan."),
        ('{"walls": 1e400}', "walls is out of reach."),
        ('{"walls": ' + 400 * "9" + "}", "walls is out of reach."),
        ('{"bore_um": "500"}', "bore is not a number."),
        ('{"bore_um": 0}', "bore is 0."),
    ],
)
def test_settings_that_make_no_sense_are_one_sentence(
    content: str, words: str, comb: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "settings.json"
    file.write_text(content)
    assert main(["estimate", str(comb), "--settings", str(file), "--json"]) == 2
    said = capsys.readouterr()
    assert words in said.err
    assert len(said.err.splitlines()) == 1
    assert said.out == ""


def test_settings_that_name_their_bore_answer_for_it_once(
    comb: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "settings.json"
    for bore in ("500", "500.0"):
        file.write_text('{"bore_um": ' + bore + "}")
        assert main(["estimate", str(comb), "--settings", str(file), "--json"]) == 0
        assert [each["nozzle_mm"] for each in answered(capsys)[0]["nozzles"]] == ["0.5"]
    assert main(["estimate", str(comb), "--nozzle", "0.4", "--nozzle", "0,4", "--json"]) == 0
    assert len(answered(capsys)[0]["nozzles"]) == 1


@pytest.mark.parametrize("tier", ["1", "2"])
def test_a_solid_block_weighs_its_volume_without_what_comes_once_a_run(
    tier: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Within 1 % of volume times density."""
    file, settings = tmp_path / "block.stl", tmp_path / "settings.json"
    file.write_bytes(write_stl(box(40, 30, 20)))
    settings.write_text('{"purge_grams": 0, "first_line_grams": 0}')
    asked = ["estimate", str(file), "--fill", "100", "--settings", str(settings), "--tier", tier, "--json"]
    assert main(asked) == 0
    (told,) = answered(capsys)
    assert told["model"]["volume_cm3"] == pytest.approx(24.0)
    assert [each["grams"] for each in told["nozzles"]] == pytest.approx([24.0 * 1.24] * 4, rel=0.01)


@pytest.mark.parametrize(
    "options", [["--fill", "0"], ["--walls", "0"], ["--fill", "0", "--walls", "0"], ["--fill", "100"]]
)
@pytest.mark.parametrize("tier", ["1", "2"])
def test_no_walls_and_no_fill_are_answered_with_numbers(
    tier: str, options: list[str], comb: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    torn = tmp_path / "torn.stl"
    torn.write_bytes(write_stl(without(box(40, 30, 20), 2, 3)))
    asked = ["estimate", str(comb), str(torn), "--tier", tier, *options, "--nozzle", "0.8", "--json"]
    assert main(asked) == 0
    said = capsys.readouterr().out
    assert "NaN" not in said
    assert "Infinity" not in said
    sound, doubtful = (each["nozzles"][0] for each in json.loads(said))
    assert sound["minutes_range"] is None
    for told in (sound, doubtful):
        assert 0 < told["minutes"] == told["minutes_p50"] < told["minutes_p90"]
        assert 0 < told["grams"] < told["grams_p90"]
        assert told["tier"] == int(tier)
    low, high = doubtful["minutes_range"]
    assert low < doubtful["minutes"]
    assert high == doubtful["minutes_p90"]


def test_the_recommended_nozzle_is_marked(comb: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["estimate", str(comb), "--json"]) == 0
    (told,) = answered(capsys)
    marked = [each["nozzle_mm"] for each in told["nozzles"] if each["recommended"]]
    assert marked == [told["recommended"]["nozzle_mm"]]


def test_without_a_file_there_is_nothing_to_estimate(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["estimate"]) == 2
    assert "Name a model file." in capsys.readouterr().err


def test_a_refused_file_leaves_the_others_answered(
    comb: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    empty = tmp_path / "empty.stl"
    empty.write_bytes(b"")
    missing = tmp_path / "missing.stl"
    tray = tmp_path / "tray.3mf"
    tray.write_bytes(write_3mf([("tray", collet_tray(), (0.0, 0.0))]))
    assert main(["estimate", str(empty), str(comb), str(missing), str(tray), "--json"]) == 2
    said = capsys.readouterr()
    assert [each["file"] for each in json.loads(said.out)] == [str(comb), str(tray)]
    assert len(said.err.splitlines()) == 2
    assert f"{missing} cannot be read." in said.err


def test_every_file_refused_gives_an_empty_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wrong = tmp_path / "note.stl"
    wrong.write_text("this is no model")
    assert main(["estimate", str(wrong), "--json"]) == 2
    said = capsys.readouterr()
    assert json.loads(said.out) == []
    assert len(said.err.splitlines()) == 1


def test_a_shops_own_printers_and_prices_answer(
    comb: Path, shop_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["estimate", str(comb), "--shop", str(shop_folder), "--json"]) == 0
    (told,) = answered(capsys)
    printers = [(each["printer"], each["nozzle_mm"]) for each in told["nozzles"]]
    assert printers == [
        ("North", "0.4"),
        ("North", "0.6"),
        ("South", "0.4"),
        ("South", "0.6"),
        ("South", "0.8"),
    ]
    assert all(each["cost"] > 0 for each in told["nozzles"])


def test_an_estimate_in_words_names_size_and_nozzles(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "rest.stl"
    file.write_bytes(write_stl(caliper_rest()))
    assert main(["estimate", str(file)]) == 0
    said = capsys.readouterr().out
    assert f"{file}: 165.0 x 62.0 x 45.9 mm" in said
    assert "0.8" in said
    assert "not for this request" in said
