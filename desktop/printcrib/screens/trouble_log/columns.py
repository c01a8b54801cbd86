"""Columns of the list of failures."""

from collections.abc import Sequence

from printcrib.core.units import duration_words, grams_words
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.services.look_at_trouble import TroubleRow


def trouble_columns(wide: bool) -> Sequence[Column[TroubleRow]]:
    """What the list shows; a narrow page leaves out who logged it and what was done."""
    columns: list[Column[TroubleRow]] = [
        Column("When", 150, _when, sort_key=lambda row: row.when.timestamp()),
        Column("Why", 0, _why, sort_key=lambda row: row.failure.cause),
        Column("On", 150, _where, sort_key=lambda row: row.printer),
        Column("Lost", 116, _lost, sort_key=lambda row: row.failure.mg_lost),
    ]
    if wide:
        columns.append(Column("Done about it", 270, _done))
    return columns


def trouble_model(wide: bool = False) -> RecordModel[TroubleRow]:
    """The list, newest first."""
    return RecordModel(trouble_columns(wide), key=lambda row: row.failure.id)


def _when(row: TroubleRow) -> Cell:
    return Cell(row.when_words, f"run {row.run_number}", strong=True)


def _why(row: TroubleRow) -> Cell:
    copies = ", ".join(row.copies)
    second = "name the cause" if row.overdue else copies
    return Cell(row.failure.cause, second, strong=True, second_tone="signal" if row.overdue else "second")


def _where(row: TroubleRow) -> Cell:
    bore = f"nozzle {row.bore}" if row.bore else ""
    return Cell(row.printer, bore)


def _lost(row: TroubleRow) -> Cell:
    minutes = row.failure.minutes_lost
    return Cell(grams_words(row.failure.mg_lost), duration_words(round(minutes)) if minutes else "")


def _done(row: TroubleRow) -> Cell:
    return Cell(row.failure.done_about_it or "nothing told", row.who, tone="ink", wrap=False)
