"""Columns of the rack, and the chart of one spool."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from printcrib.core.calendar import WEEKDAYS
from printcrib.core.units import grams_words
from printcrib.screens.parts.bars import MaterialBar
from printcrib.screens.parts.charts import StepDown
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.parts.spool_colours import swatch_of
from printcrib.screens.parts.tokens import Tone
from printcrib.services.look_at_spools import InsertRow, SpoolRow, SpoolStory

FULL_G = 1000.0
DAY_S = 86_400.0
LONGEST_DAYS = 28.0
_WEEKDAY = re.compile(rf"\b(?:{'|'.join(WEEKDAYS)}) (?=\d)")
LEAST_SHARE = 0.25  # left of that there is no room for the words beside the bracket


def spool_columns(wide: bool) -> Sequence[Column[SpoolRow]]:
    """What the rack shows; a wide page adds lot and what is promised."""
    columns: list[Column[SpoolRow]] = [
        Column("Spool", 0, _spool, sort_key=lambda row: row.words),
        Column("Of 1,000 g", 220 if wide else 150, _bar, sort_key=lambda row: row.left_mg),
        Column("Left", 112, _left, sort_key=lambda row: row.left_mg),
    ]
    if wide:
        columns.append(Column("Promised", 124, _promised, sort_key=lambda row: row.promised_mg))
    columns.append(
        Column("Lasts until", 290 if wide else 204, _lasts if wide else _lasts_short, sort_key=_lasts_key)
    )
    return columns


def spool_model(wide: bool = False) -> RecordModel[SpoolRow]:
    """The rack, what runs out first on top."""
    return RecordModel(spool_columns(wide), key=lambda row: row.spool.id, search_text=_search)


def insert_model() -> RecordModel[InsertRow]:
    """Magnets, bushings, screws."""
    return RecordModel(
        [
            Column("Insert", 0, lambda row: Cell(row.insert.name, strong=True)),
            Column("Left", 124, _insert_left, right=True),
        ],
        key=lambda row: row.insert.id,
    )


def chart_of(story: SpoolStory, zone: ZoneInfo) -> StepDown:
    """The spool's grams from now: down with each planned run, then at the kind's usual use."""
    now = story.steps[0][0]
    row = story.row
    steps = tuple((_days(now, when), mg / 1000, label) for when, mg, label in story.steps[1:])
    last_day, last_g = (steps[-1][0], steps[-1][1]) if steps else (0.0, row.left_mg / 1000)
    runs_out = _runs_out(now, row)
    until = max([last_day, 4.0, *(runs_out or ())])
    span = min(until * 1.1, LONGEST_DAYS)
    fan = _fan(last_day, last_g, row.half_band_mg / 1000, runs_out) if runs_out else ()
    return StepDown(
        grams=row.left_mg / 1000,
        steps=steps,
        forecast=fan,
        minimum=row.minimum_mg / 1000 if row.minimum_mg else None,
        runs_out=runs_out if runs_out is not None and _shows(runs_out, span) else None,
        days=_day_marks(now, zone, span),
        span=span,
    )


def _shows(runs_out: tuple[float, float, float], span: float) -> bool:
    """Whether early, likely and late lie apart far enough on the chart to be told apart."""
    early, _, late = runs_out
    return span * LEAST_SHARE <= early and late - early >= 1 and late <= span


def _fan(
    start: float, grams: float, band: float, runs_out: tuple[float, float, float]
) -> tuple[tuple[float, float, float, float], ...]:
    """(day, low, likely, high) from the last planned run until the latest day it may run out."""
    early, likely, late = runs_out
    days = [start, *sorted({day for day in runs_out if day > start})]
    return tuple(
        (
            day,
            _at(day, start, grams - band, early),
            _at(day, start, grams, likely),
            _at(day, start, grams + band, late),
        )
        for day in days
    )


def _at(day: float, start: float, grams: float, out: float) -> float:
    if out <= start:
        return max(0.0, grams) if day <= start else 0.0
    return max(0.0, grams * (1 - (day - start) / (out - start)))


def _runs_out(now: datetime, row: SpoolRow) -> tuple[float, float, float] | None:
    if row.from_day is None or row.lasts_until is None or row.to_day is None:
        return None
    return _days(now, row.from_day), _days(now, row.lasts_until), _days(now, row.to_day)


def _days(now: datetime, when: datetime) -> float:
    return max(0.0, (when - now).total_seconds() / DAY_S)


def _day_marks(now: datetime, zone: ZoneInfo, span: float) -> tuple[tuple[float, str], ...]:
    """Names of some days below the chart, at noon of each."""
    local = now.astimezone(zone)
    noon = (12 - local.hour - local.minute / 60) / 24
    every = max(1, round(span / 4))
    marks = []
    for ahead in range(0, int(span) + 1, every):
        at = ahead + noon
        if 0 <= at <= span:
            marks.append((at, WEEKDAYS[(local.weekday() + ahead) % 7]))
    return tuple(marks)


def _spool(row: SpoolRow) -> Cell:
    return Cell(row.words, f"{row.spool.tag}, {row.place}", strong=True, chip=swatch_of(row.spool.colour))


def _bar(row: SpoolRow) -> Cell:
    full = max(FULL_G, row.left_mg / 1000)
    bar = MaterialBar(
        full=full,
        left=row.left_mg / 1000,
        promised=row.promised_mg / 1000,
        minimum=row.minimum_mg / 1000 if row.minimum_mg else None,
        plus_minus=row.half_band_mg / 1000,
    )
    return Cell(bar=bar)


def _left(row: SpoolRow) -> Cell:
    tone: Tone = "signal" if row.will_not_last else "ink"
    return Cell(grams_words(row.left_mg), f"± {round(row.half_band_mg / 1000)} g", strong=True, tone=tone)


def _promised(row: SpoolRow) -> Cell:
    if not row.promised_mg:
        return Cell("none", tone="second")
    runs = len(row.draws)
    return Cell(grams_words(row.promised_mg), f"{runs} run{'' if runs == 1 else 's'}")


def _lasts(row: SpoolRow) -> Cell:
    trouble = row.will_not_last or row.spool.damp
    note = "below minimum" if row.below_minimum and not row.will_not_last and not row.note else row.note
    return Cell(row.lasts, note, strong=True, second_tone="signal" if trouble else "second")


def _lasts_short(row: SpoolRow) -> Cell:
    """A narrow column has no room for both days of the week: "3 Dec to 7 Dec"."""
    cell = _lasts(row)
    return replace(cell, second=without_weekdays(cell.second))


def without_weekdays(words: str) -> str:
    """ "Thu 3 Dec to Mon 7 Dec" as "3 Dec to 7 Dec"; other words as they are."""
    return _WEEKDAY.sub("", words)


def _lasts_key(row: SpoolRow) -> float:
    return row.lasts_until.timestamp() if row.lasts_until else float("inf")


def _search(row: SpoolRow) -> str:
    return f"{row.words} {row.spool.tag} {row.spool.lot} {row.place}"


def _insert_left(row: InsertRow) -> Cell:
    below = f"below minimum {row.insert.minimum}" if row.below_minimum else ""
    return Cell(str(row.left), below, strong=True, second_tone="signal")
