"""Pictures of every shared part, light and dark: `python -m tests.bench.parts_gallery OUT_DIR`.

Three sheets in each theme: the table of colours, buttons, bars and marks; the run sheet with its table;
a spool with its charts, a model and the fields. Everything on them is invented.
"""

import os
import sys
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path
from tempfile import TemporaryDirectory

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from printcrib.app.resources import resource_folder
from printcrib.core.errors import ShopError
from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.bars import Bar, BarView, EstimateBar, LifeBar, MaterialBar, TimeBar
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, FactRow
from printcrib.screens.parts.charts import (
    Cause,
    ColumnsChart,
    ParetoChart,
    Series,
    StepDown,
    StepDownChart,
)
from printcrib.screens.parts.fields import ChoiceRow, Field, TextField, TickList
from printcrib.screens.parts.icons import ICONS
from printcrib.screens.parts.legend import SPOOL_SIGNS, Legend
from printcrib.screens.parts.marks import IconMark, NozzleMark, SpoolChip
from printcrib.screens.parts.model_view import ModelPanel
from printcrib.screens.parts.numbers import KeypadPanel, Stepper
from printcrib.screens.parts.page import PageFrame, column_of, row_of
from printcrib.screens.parts.pick import Pick, PickPanel
from printcrib.screens.parts.record_table import BAR_ROW_PX, RecordTable
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.parts.time_line import TimeLinePanel
from printcrib.screens.parts.time_line_data import (
    Closed,
    FittedNozzle,
    LaneData,
    NeededBy,
    RunBlock,
    SetUp,
    TimeLineData,
)
from printcrib.screens.parts.tokens import contrast, current_tokens
from printcrib.screens.parts.words import Words
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.messages import Answer
from printcrib.screens.shell.places import PLACE_WORDS, Place
from printcrib.screens.shell.strip import MessageStrip
from printcrib.screens.shell.theme import Theme
from printcrib.screens.shell.window import ShopWindow

ZONE = timezone(timedelta(hours=1))
SpoolRow = tuple[str, str, str, MaterialBar, str, str, str]
NOW = datetime(2026, 11, 25, 9, 42, tzinfo=ZONE)


def _nothing() -> None:
    return None


class Swatch(QWidget):
    """One colour of the table."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._name = name
        self.setFixedSize(84, 33)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        edge = strokes.pen(tokens.edge, 1)
        strokes.box(painter, QRectF(self.rect()), 3, tokens.named()[self._name], edge)
        painter.end()


class NowSample(QWidget):
    """The dash-dot line that means now."""

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        y = self.height() / 2
        strokes.now_line(painter, QLineF(QPointF(0, y), QPointF(self.width(), y)), current_tokens().ink)
        painter.end()


def colour_column() -> QVBoxLayout:
    column = column_of(
        Words("Colours, contrast on sheet", points=lettering.CARD_PT, weight="strong"), spacing=6
    )
    for name, colour in current_tokens().named().items():
        ratio = contrast(colour, current_tokens().sheet)
        row = row_of(
            Swatch(name),
            Words(name.replace("_", " "), weight="medium"),
            Words(colour.name().upper(), tone="second"),
            Words(f"{ratio:.1f}", tone="second"),
            stretch=(0, 3, 2, 1),
        )
        column.addLayout(row)
    column.addWidget(Words("340 cycles", points=lettering.COUNT_NARROW_PT, weight="strong"))
    column.addWidget(Words("Do next on North", points=lettering.DESK_PT, weight="strong"))
    column.addWidget(Words("Run sheet", points=lettering.TITLE_PT, weight="strong"))
    column.addWidget(Words("Fit nozzle 0.6", points=lettering.CARD_PT, weight="strong"))
    column.addWidget(Words("ends 10:54, R 214 at 16:00"))
    column.addStretch(1)
    return column


def button_column() -> QVBoxLayout:
    column = column_of(Words("Buttons", points=lettering.CARD_PT, weight="strong"))
    later = Button("Start run 32", kind="main")
    later.setEnabled(False)
    chosen = ChoiceRow([("fine", "Fine"), ("normal", "Normal"), ("rough", "Rough")], chosen="normal")
    ticks = TickList([("2", "hold or locate\nthe work"), ("4", "lift a load\nor a person")], says="safety")
    ticks.set_ticked(frozenset({"2"}))
    for widget in (
        Button("Scan a tag", kind="main", icon="scan"),
        later,
    ):
        column.addWidget(widget)
    column.addLayout(row_of(Button("Plan again"), Button("Print another", icon="plus"), stretch=(1, 1)))
    column.addWidget(chosen)
    column.addWidget(ticks)
    counts = [Button(words, kind="count") for words in ("+1", "+10", "+100")]
    column.addLayout(row_of(*counts, stretch=(1, 1, 1)))
    wrong = Field("For", TextField("Lathe 22"))
    wrong.set_error("There is no machine Lathe 22. Pick one, or add it in Shop settings.")
    column.addWidget(wrong)
    column.addWidget(Stepper(5, unit="hours", says="hours until it is needed"))
    for tell in (_tell_count, _tell_problem, _tell_busy):
        strip = MessageStrip()
        tell(strip)
        column.addWidget(strip)
    column.addStretch(1)
    return column


def _tell_count(strip: MessageStrip) -> None:
    strip.say("Counted 10 on T-0412, now 340.", Answer("Undo", _nothing, "undo"))


def _tell_problem(strip: MessageStrip) -> None:
    strip.problem(ShopError("The drawer scale does not answer"), Answer("Weigh by hand", _nothing))


def _tell_busy(strip: MessageStrip) -> None:
    strip.say("Planning, 40 %, about 8 s left", Answer("Cancel", _nothing), "clock")


def mark_column() -> QVBoxLayout:
    column = column_of(Words("Bars and marks", points=lettering.CARD_PT, weight="strong"), spacing=14)
    bars: tuple[tuple[Bar, str], ...] = (
        (MaterialBar(1000, 640, 388, 150, 44), "grams: free, promised"),
        (MaterialBar(1000, 148, 208, None, 0), "grams: short"),
        (TimeBar(0.68), "time: thin"),
        (LifeBar(340, 470, 600, 790), "life: count, wear-out"),
        (LifeBar(318, 260, 300, 380), "life: past its middle"),
        (EstimateBar(48, 57, 120), "estimate: likely, at most"),
    )
    for bar, words in bars:
        column.addLayout(row_of(BarView(bar), Words(words, tone="second"), stretch=(3, 2), spacing=20))
    marks = row_of(NozzleMark("0.4"), NozzleMark("0.6"), SpoolChip("#8A8C90", 50), SpoolChip("#F5F3EC", 50))
    marks.addStretch(1)
    column.addLayout(marks)
    sample = NowSample()
    sample.setFixedHeight(20)
    column.addWidget(sample)
    column.addWidget(Legend())
    column.addWidget(Legend(SPOOL_SIGNS))
    grid = QGridLayout()
    for index, name in enumerate(ICONS):
        grid.addWidget(IconMark(name), index // 10, index % 10)
    column.addLayout(grid)
    column.addStretch(1)
    return column


def parts_sheet() -> QWidget:
    """All tokens, buttons, bars and marks on one sheet."""
    sheet = QWidget()
    columns = QHBoxLayout(sheet)
    columns.setContentsMargins(32, 24, 32, 24)
    columns.setSpacing(48)
    for column in (colour_column(), button_column(), mark_column()):
        columns.addLayout(column, 1)
    return sheet


def _at(hours: float) -> datetime:
    return NOW.replace(minute=0) - timedelta(hours=9) + timedelta(hours=hours)


def plan() -> TimeLineData:
    """An invented plan of three printers over two days."""
    north = LaneData(
        "North",
        (
            RunBlock(31, "31", _at(7.9), _at(9.63), "over", "run 31, done 09:38"),
            RunBlock(32, "32", _at(10.03), _at(15.08)),
            RunBlock(35, "35", _at(15.2), _at(16.4)),
            RunBlock(40, "40", _at(16.58), _at(27.1)),
            RunBlock(43, "43", _at(31.2), _at(36.3)),
        ),
        (
            SetUp(_at(9.7), _at(10.03), swap=True),
            SetUp(_at(15.1), _at(15.2)),
            SetUp(_at(16.45), _at(16.58)),
            SetUp(_at(31), _at(31.2)),
        ),
        (NeededBy(_at(15.08), _at(16), "R 214"), NeededBy(_at(27.1), _at(33), "R 221")),
        (FittedNozzle("0.4", _at(7), _at(9.7)), FittedNozzle("0.6", _at(10))),
    )
    south = LaneData(
        "South",
        (
            RunBlock(33, "33", _at(7.3), _at(10.9), "printing"),
            RunBlock(36, "36", _at(11), _at(13.25)),
            RunBlock(39, "39", _at(13.5), _at(16.65)),
            RunBlock(41, "41", _at(16.8), _at(29.7)),
            RunBlock(44, "44", _at(31.2), _at(35.5)),
        ),
        (SetUp(_at(10.9), _at(11)), SetUp(_at(13.25), _at(13.5), swap=True), SetUp(_at(16.65), _at(16.8))),
        (NeededBy(_at(13.25), _at(13.58), "R 205 tight", "tight"), NeededBy(_at(29.7), _at(31.6), "R 217")),
        (FittedNozzle("0.6", _at(7), _at(13.25)), FittedNozzle("0.4", _at(13.5))),
    )
    east = LaneData(
        "East",
        (
            RunBlock(34, "34", _at(7), _at(13.53), "printing"),
            RunBlock(38, "38", _at(13.8), _at(16.5)),
            RunBlock(42, "42", _at(16.7), _at(30.2)),
            RunBlock(45, "45", _at(31.1), _at(39.3)),
        ),
        (SetUp(_at(13.53), _at(13.8)), SetUp(_at(16.5), _at(16.7)), SetUp(_at(31), _at(31.1))),
        (NeededBy(_at(13.53), _at(12), "R 198, 1 h 32 late", "late"),),
        (FittedNozzle("0.8", _at(7)),),
    )
    closed = (Closed(_at(17), _at(31), "nobody in, 17:00 to 07:00"), Closed(_at(41), _at(55)))
    return TimeLineData(NOW, (north, south, east), closed)


def run_sheet() -> PageFrame:
    """The run sheet's place as the parts make it."""
    rows = (
        (
            "34",
            "East",
            "0.8",
            "to 13:32",
            "12:00",
            "1 h 32 late",
            "Started before R 198 was raised; only East has 0.8",
        ),
        (
            "32",
            "North",
            "0.6",
            "10:02 – 15:05",
            "16:00",
            "R 214",
            "Shares nozzle 0.6 and ASA grey with 35 and 40",
        ),
        (
            "36",
            "South",
            "0.6",
            "10:58 – 13:15",
            "13:35",
            "20 min spare",
            "Ahead of 39: R 205 would be 3 h late after it",
        ),
    )
    columns = (
        Column[tuple[str, ...]]("Run", 72, lambda r: Cell(r[0], strong=True, large=True), lambda r: r[0]),
        Column[tuple[str, ...]]("On", 90, lambda r: Cell(r[1])),
        Column[tuple[str, ...]]("Nozzle", 96, lambda r: Cell(nozzle=r[2])),
        Column[tuple[str, ...]]("From, to", 182, lambda r: Cell(r[3])),
        Column[tuple[str, ...]](
            "Needed by",
            160,
            lambda r: Cell(r[4], r[5], strong=True, second_tone="signal" if "late" in r[5] else "second"),
        ),
        Column[tuple[str, ...]]("Why it stands here", 0, lambda r: Cell(r[6], wrap=True)),
    )
    page = PageFrame(
        "Run sheet",
        "Grouping saves 5 nozzle swaps and 1 h 10 hands-on against first come, first served.",
        main=Action("keep", "Keep this plan", _nothing),
        others=[Action("again", "Plan again", _nothing)],
    )
    table = RecordTable(RecordModel(columns, key=lambda r: r[0]), says="runs")
    table.set_records(rows)
    table.choose("32")
    panel = TimeLinePanel(plan(), legend=True)
    panel.line.choose(32)
    page.body.addWidget(panel, 5)
    page.body.addWidget(table, 4)
    return page


def spool_rack() -> PageFrame:
    """The spool rack as the parts make it."""
    page = PageFrame(
        "Spool rack",
        "17 spools. 1 will not last its run, 1 below minimum, 1 to dry.",
        main=Action("weigh", "Weigh a spool", _nothing, icon="weigh"),
    )
    spools = (
        (
            "PLA grey",
            "S-121, on East",
            "#8A8C90",
            MaterialBar(1000, 148, 208, 200),
            "148 g",
            "± 9",
            "12:50 today",
        ),
        (
            "PETG black",
            "S-104, on South",
            "#26272A",
            MaterialBar(1000, 412, 264, 150),
            "412 g",
            "± 12",
            "Mon 30 Nov",
        ),
        (
            "PLA white",
            "S-117, on North",
            "#F5F3EC",
            MaterialBar(1000, 310, 96, 200, 36),
            "310 g",
            "± 36",
            "Tue 1 Dec",
        ),
        ("TPU blue", "S-123, shelf 2", "#3B6BA5", MaterialBar(1000, 92, 0, 100), "92 g", "± 6", "no use yet"),
    )
    columns = (
        Column[SpoolRow]("Spool", 220, lambda r: Cell(r[0], r[1], strong=True, chip=r[2]), lambda r: r[0]),
        Column[SpoolRow]("Of 1,000 g", 0, lambda r: Cell(bar=r[3])),
        Column[SpoolRow]("Left", 100, lambda r: Cell(r[4], r[5], strong=True)),
        Column[SpoolRow]("Lasts until", 150, lambda r: Cell(r[6], strong=True)),
    )
    table = RecordTable(RecordModel(columns, key=lambda r: r[1]), says="spools", row_px=BAR_ROW_PX)
    table.set_records(spools)
    table.choose("S-104, on South")
    card = Card(padding=18, title="PETG black", spacing=4)
    chart = StepDownChart()
    chart.set_data(
        StepDown(
            412,
            ((0.5, 316, "36"), (0.85, 258, "39"), (1.2, 148, "41")),
            ((1.2, 148, 148, 160), (2, 70, 110, 135), (3, 0, 60, 100), (4.0, 0, 0, 70), (5.0, 0, 0, 28)),
            150,
            (2.9, 3.9, 5.0),
            ((0.4, "Wed"), (1.4, "Thu"), (2.4, "Fri"), (3.4, "Mon"), (4.4, "Tue")),
            5.0,
        )
    )
    card.add(Words("S-104 on South, lot 7731", tone="second"), Words("Out about Mon 30 Nov", weight="strong"))
    card.body.addWidget(chart, 1)
    card.add(FactRow("Use", "58 g a working day"), FactRow("Last weighed", "Mon 23 Nov, 07:10"))
    page.body.addLayout(row_of(table, card, stretch=(5, 3), spacing=14))
    return page


def stop_model() -> tuple[list[tuple[float, float, float]], list[tuple[int, int, int]]]:
    """A turned stop with a flange and a bore, from rings of points."""
    import math

    profile = ((8, 0), (28, 0), (28, 6), (26, 8), (15, 8), (15, 57), (12, 60), (8, 60))
    count, points, faces = 72, [], []
    for radius, z in profile:
        for step in range(count):
            angle = 2 * math.pi * step / count
            points.append((radius * math.cos(angle), radius * math.sin(angle), float(z)))
    for ring in range(len(profile)):
        for step in range(count):
            a, b = ring * count + step, ring * count + (step + 1) % count
            c, d = (
                ((ring + 1) % len(profile)) * count + step,
                ((ring + 1) % len(profile)) * count + (step + 1) % count,
            )
            faces += [(a, b, d), (a, d, c)]
    return points, faces


def other_parts() -> PageFrame:
    """A model, charts and fields on a place's frame."""
    page = PageFrame(
        "Raise a request",
        "On 0.6 about 48 min and 31 g for two; can be ready by 13:40, an hour early.",
        main=Action("raise", "Raise request", _nothing),
        others=[Action("draft", "Keep as draft", _nothing)],
    )
    model = ModelPanel()
    points, faces = stop_model()
    model.view.set_model(points, faces, "60 mm")
    left = Card(padding=16)
    left.body.addWidget(model, 1)
    left.add(Words("Spindle stop, 32 mm bore", weight="strong"))
    right = Card(padding=20, spacing=14)
    right.add(
        Field("How fine", ChoiceRow([("f", "Fine"), ("n", "Normal"), ("r", "Rough")], chosen="n")),
        Field(
            "What for",
            ChoiceRow([("u", "For use"), ("t", "To try the fit"), ("l", "To look at"), ("p", "Private")]),
        ),
        Field("For", TextField("Lathe 2")),
    )
    right.body.addStretch(1)
    hours = ColumnsChart("printer hours by day")
    hours.set_columns(
        ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"),
        (
            Series("North", (12, 14, 10, 13, 9, 6, 0)),
            Series("South", (9, 11, 12, 8, 8, 5, 4), "hatch"),
            Series("East", (9, 11, 10, 6, 4, 4, 2), "tint"),
        ),
    )
    causes = ParetoChart("why copies failed", ("copies", "grams lost"))
    causes.set_causes(
        (
            Cause("first layer let go", (5, 310)),
            Cause("corner lifted", (3, 140)),
            Cause("ran out", (2, 420)),
            Cause("not known yet", (2, 92), known=False),
        )
    )
    one, two = Card(padding=16), Card(padding=16)
    one.body.addWidget(hours)
    two.body.addWidget(causes)
    page.body.addLayout(row_of(left, right, stretch=(1, 2), spacing=14), 3)
    page.body.addLayout(row_of(one, two, stretch=(1, 1), spacing=14), 2)
    return page


def weighing() -> PageFrame:
    """The spool rack with a question over it."""
    page = spool_rack()
    panel = KeypadPanel(
        "Weigh S-104, PETG black", "g", sentence="Spool and all, as the scale shows it.", confirm="Book it"
    )
    panel.open_over(page)
    for key in "612":
        panel.keypad.press(key)
    return page


def picking() -> PageFrame:
    """The run sheet with a list over it."""
    page = run_sheet()
    machines = [
        Pick(f"m{n}", f"{kind} {n}", f"{kind.lower()}, bay {n}")
        for kind in ("Lathe", "Mill")
        for n in range(1, 7)
    ]
    panel = PickPanel("Machine", machines, confirm="Take this one", chosen="m2")
    panel.open_over(page)
    panel.table.view.setFocus(Qt.FocusReason.TabFocusReason)
    return page


def _grab(widget: QWidget, size: tuple[int, int], path: Path) -> None:
    widget.resize(*size)
    widget.show()
    QApplication.sendPostedEvents()
    widget.grab().save(str(path))
    widget.hide()
    print(path)


def _in_window(theme: Theme, home: Path, place_id: str, page: Callable[[], PageFrame]) -> ShopWindow:
    places = [Place(one, words, page) for one, words in PLACE_WORDS]
    window = ShopWindow(places, theme, Memory(home / f"{place_id}.ini"), lambda: NOW)
    window.strip.say("Planned 09:40: 14 runs, 1 late, 2 swaps left.", Answer("Undo", _nothing, "undo"))
    window.strip.set_next("Next swap 10:02, North")
    window.open_place(place_id)
    return window


def main(out: Path) -> None:
    """Make all pictures."""
    out.mkdir(parents=True, exist_ok=True)
    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    theme = Theme(app, resource_folder())
    pages = {
        "run_sheet": run_sheet,
        "spool_rack": spool_rack,
        "requests": other_parts,
        "desk": weighing,
        "aids": picking,
    }
    with TemporaryDirectory() as home:
        for dark in (False, True):
            theme.set_dark(dark)
            name = "dark" if dark else "light"
            _grab(parts_sheet(), (1920, 1080), out / f"parts_{name}.png")
            for place_id, page in pages.items():
                for size in ((1280, 720), (1920, 1080)):
                    window = _in_window(theme, Path(home), place_id, page)
                    _grab(window, size, out / f"{place_id}_{size[0]}_{name}.png")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
