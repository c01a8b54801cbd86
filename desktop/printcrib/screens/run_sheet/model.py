"""Columns of the run sheet's list, narrow and wide."""

from collections.abc import Sequence
from dataclasses import replace

from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.run_sheet.words import ListRow


def model() -> RecordModel[ListRow]:
    """The list's model, in its narrow columns."""
    return RecordModel(columns(wide=False), key=lambda row: row.key, search_text=_text)


def columns(*, wide: bool) -> Sequence[Column[ListRow]]:
    """Run, printer, nozzle, from and to, needed by, why; the material where there is room."""
    if wide:
        return (
            Column(
                "Run", 150, lambda row: Cell(row.number, _tags_short(row, most=2), strong=True, large=True)
            ),
            Column("Printer", 140, lambda row: Cell(row.printer)),
            Column("Nozzle", 104, lambda row: Cell(nozzle=row.bore)),
            Column("Material", 180, lambda row: Cell(row.material)),
            Column("From, to", 190, _from_to),
            Column("Needed by", 224, _needed),
            Column("Why it stands here", 0, lambda row: Cell(row.why, wrap=True)),
        )
    return (
        Column("Run", 114, lambda row: Cell(row.number, _tags_short(row), strong=True)),
        Column("On", 104, lambda row: Cell(row.printer, wrap=True)),
        Column("Nozzle", 88, lambda row: Cell(nozzle=row.bore)),
        Column("From, to", 178, _from_to),
        Column("Needed by", 174, _needed_short),
        Column("Why it stands here", 0, lambda row: Cell(row.why, wrap=True)),
    )


def _from_to(row: ListRow) -> Cell:
    if not row.ends:
        return Cell(row.starts, tone="signal" if row.request_id is not None else "ink")
    if len(row.starts) + len(row.ends) <= 10:
        return Cell(f"{row.starts} – {row.ends}")
    return Cell(row.starts, f"to {row.ends}")


def _needed(row: ListRow) -> Cell:
    return Cell(row.needed, row.spare, strong=True, second_tone="signal" if row.is_late else "second")


def _needed_short(row: ListRow) -> Cell:
    return replace(_needed(row), second=row.spare.replace(" to spare", " spare"))


def _tags_short(row: ListRow, most: int = 1) -> str:
    """ "R 78 +1" for more requests than there is room for."""
    first, *others = row.tags.split(", ")
    return f"{first} +{len(others)}" if len(others) >= most else row.tags


def _text(row: ListRow) -> str:
    return f"{row.number} {row.tags} {row.printer} {row.material} {row.why}"
