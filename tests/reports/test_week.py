"""The weekly report on paper: tagged, the same bytes for the same figures, whole with odd data."""

import json
import shutil
import subprocess
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from printcrib.core.errors import ShopError
from printcrib.core.week import (
    CauseFigures,
    DueRow,
    GramsOf,
    HourFigures,
    LowRow,
    NamedHours,
    Remark,
    RequestFigures,
    RequestRow,
    RunRow,
    SwapFigures,
    Week,
)
from printcrib.reports.week import PaperReports
from printcrib.services.write_week import week_json

RESOURCES = Path(__file__).parents[2] / "resources"
NOW = datetime(2026, 11, 25, 8, 42, tzinfo=UTC)
LONG = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft" * 2
MARKUP = '* _x_ #let y = 1 $z$ <label> @ref `raw` \\ // note "q" {{7*7}} <b>'

EMPTY = Week(
    week="2026-W48", first=date(2026, 11, 23), last=date(2026, 11, 29), made_at=NOW, zone="Europe/Vienna"
)
GREY = GramsOf("S-121", 4_210_400, 101_000, 310_500)
RUN = RunRow(32, "North", "0.6", "PLA grey", "R 214", 3, 1, 131.0, 128.0, "panel", 61_200, "assumed")
USUAL = replace(
    EMPTY,
    over=False,
    shop="Own shop",
    requests=RequestFigures(44, 6, 41, 38, 3, 1, 30, 33, 2),
    hours=HourFigures(
        168.2,
        171.0,
        3.2,
        (30.0, 36.0, 32.2, 27.0, 21.0, 15.0, 7.0),
        (NamedHours("North", 100.0, (15.0,) * 7), NamedHours("South", 68.2, (9.0,) * 7)),
        (NamedHours("0.4", 60.1, (1.0,) * 7),),
        63,
        4,
        1,
    ),
    grams=(
        GramsOf("PLA grey", 4_210_400, 101_000, 310_500, 0, (GramsOf("S-121", 4_210_400, 101_000, 310_500),)),
    ),
    swaps=SwapFigures(9, 14, 168),
    causes=(
        CauseFigures("corner lifted", "machine", 3, 2, 140_000, 4.5),
        CauseFigures("not known yet", "not known yet", 2, 2, 92_000, 1.0),
    ),
    aids_due=(
        DueRow("T-0397", "Soft jaws, pair", "Mill 2", 318, 300, "clamp cycles", NOW, "aside"),
        DueRow(
            "T-0412", "Spindle stop 32", "Lathe 2", 13_547, 29_000, "clamp cycles", NOW + timedelta(days=2)
        ),
    ),
    spools_low=(LowRow("PLA grey", ("S-121",), 148_000, 9_000, 200_000, date(2026, 11, 25)),),
    request_rows=(RequestRow("R 214", "caliper rest", "Ann", 4, NOW, NOW, "done", True),),
    run_rows=(
        RunRow(32, "North", "0.6", "PLA grey", "R 214", 3, 1, 131.0, 128.0, "panel", 61_200, "assumed"),
    ),
    remarks=(Remark("Corner lifted: 3", "All on North, first on Thu."),),
)
MANY = replace(
    USUAL,
    shop=LONG,
    hours=replace(
        USUAL.hours,
        by_day=(1204.6, 9.4, 0.0, 0.2, 0.0, 0.0, 0.0),
        by_printer=tuple(NamedHours(f"{LONG}{index}", 1200.4, (170.0,) * 7) for index in range(8)),
    ),
    causes=(
        *(CauseFigures(f"{LONG}{index}", "machine", 9 - index, 1, 1_000 * index, 0.1) for index in range(9)),
        *USUAL.causes,
    ),
    aids_due=tuple(
        DueRow(f"T-{number:04d}", LONG, LONG, 1_234_567, 9_999_999, LONG, NOW) for number in range(40)
    ),
    spools_low=tuple(
        LowRow(LONG, tuple(f"S-{n}" for n in range(12)), 12_345_678, 999_999, 1, None) for _ in range(30)
    ),
    request_rows=tuple(
        RequestRow(f"R {number}", f"{MARKUP} {LONG}", MARKUP, 3, None, None, MARKUP, False)
        for number in range(120)
    ),
    run_rows=tuple(
        RunRow(number, LONG, "0.4", LONG, ", ".join(f"R {n}" for n in range(60)), 3, 0, None, 1, "", 1, "")
        for number in range(90)
    ),
    remarks=(Remark(LONG, LONG),),
)
HOSTILE = replace(
    USUAL,
    shop=MARKUP,
    causes=(CauseFigures(MARKUP, "", 1, 1, 0, 0.0),),
    aids_due=(DueRow("T-0001", MARKUP, MARKUP, 0, None, MARKUP, None),),
    spools_low=(LowRow(MARKUP, (), 0, 0, 1),),
)


@pytest.fixture(scope="module")
def reports() -> PaperReports:
    """The templates of this clone."""
    return PaperReports(RESOURCES)


def words_of(pdf: bytes, tmp_path: Path) -> str:
    """The text of a PDF, where a reader for it is installed."""
    reader = shutil.which("pdftotext")
    if reader is None:
        pytest.skip("no pdftotext here")
    file = tmp_path / "week.pdf"
    file.write_bytes(pdf)
    done = subprocess.run([reader, "-raw", file, "-"], capture_output=True, check=True)
    return done.stdout.decode()


@pytest.mark.parametrize("made", [EMPTY, USUAL, MANY, HOSTILE], ids=["empty", "usual", "many", "hostile"])
def test_any_week_gives_a_tagged_pdf_of_the_same_bytes(reports: PaperReports, made: Week) -> None:
    pdf = reports.week_pdf(week_json(made))
    assert pdf.startswith(b"%PDF-1.7")
    assert b"/StructTreeRoot" in pdf
    assert b"pdfuaid" in pdf
    assert reports.week_pdf(week_json(made)) == pdf


def test_the_figures_stand_on_it(reports: PaperReports, tmp_path: Path) -> None:
    words = words_of(reports.week_pdf(week_json(USUAL)), tmp_path)
    for said in (
        "Print desk, week 48 so far",
        "Mon 23 to Sun 29 November 2026",
        "41 done",
        "44 requests came in",
        "38 of 41",
        "ready on time, 93 %",
        "promises kept: 30 of 33",
        "168 h",
        "printed, 171 planned",
        "4.2 kg",
        "used, 311 g of it scrap",
        "9 swaps",
        "of nozzles, 14 avoided",
        "4 of 63",
        "corner lifted",
        "Soft jaws, pair",
        "318 of 300",
        "13547 of 29000",
        "set aside",
        "Fri 27 Nov",
        "148 g ± 9",
        "Local codes and licensed practice come first. 2 reviews open.",
        "done, late",
        "61.2 assumed",
    ):
        assert said in words, said


def test_an_empty_week_says_so(reports: PaperReports, tmp_path: Path) -> None:
    words = words_of(reports.week_pdf(week_json(replace(EMPTY, over=True))), tmp_path)
    for said in (
        "0 done",
        "none due",
        "No run was taken off in these days.",
        "No copy failed.",
        "No aid is due in the next two weeks.",
        "No material is below its minimum.",
        "page 1 of 2",
    ):
        assert said in words, said


def test_many_rows_go_on_behind_page_1(reports: PaperReports, tmp_path: Path) -> None:
    words = words_of(reports.week_pdf(week_json(MANY)), tmp_path)
    first, second, *_ = words.split("\f")
    assert "and 34 more, on the last page" in first
    assert "and 24 more, on the last page" in first
    assert "6 other causes" in first
    assert "not known yet" in first
    assert second.lstrip().startswith("Print desk, week 48 so far")
    assert "T-0039" in words


def test_markup_in_names_stays_text(reports: PaperReports, tmp_path: Path) -> None:
    words = words_of(reports.week_pdf(week_json(HOSTILE)), tmp_path)
    assert '* _x_ #let y = 1 $z$ <label> @ref `raw` \\ // note "q"' in words


def test_pages_for_the_screen(reports: PaperReports) -> None:
    few, many = (reports.week_pages(week_json(USUAL), each) for each in (40.0, 80.0))
    assert len(few) == len(many) == 2
    assert all(page.startswith(b"\x89PNG") for page in (*few, *many))
    assert [int.from_bytes(pages[0][16:20], "big") for pages in (few, many)] == [468, 935]


def test_every_letter_of_the_report_is_in_the_shops_own_font(reports: PaperReports, tmp_path: Path) -> None:
    lister = shutil.which("pdffonts")
    if lister is None:
        pytest.skip("no pdffonts here")
    file = tmp_path / "week.pdf"
    file.write_bytes(reports.week_pdf(week_json(USUAL)))
    listed = subprocess.run([lister, file], capture_output=True, check=True).stdout.decode()
    fonts = [line.split()[0] for line in listed.splitlines()[2:]]
    assert fonts
    assert all("Inter" in font for font in fonts)


def test_a_program_folder_with_files_missing_says_so(tmp_path: Path) -> None:
    with pytest.raises(ShopError, match="The report could not be set"):
        PaperReports(tmp_path).week_pdf(week_json(EMPTY))


def test_the_json_is_all_the_template_needs() -> None:
    """What crosses to the template is plain values."""
    data: dict[str, Any] = week_json(USUAL)
    assert json.loads(json.dumps(data)) == data
