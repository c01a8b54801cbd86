"""Columns of the list of aids, and the bar of a life."""

from collections.abc import Sequence
from dataclasses import replace

from printcrib.core.aids import AidState
from printcrib.screens.parts.bars import LifeBar
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.parts.tokens import Tone
from printcrib.services.look_at_aid import HistoryLine
from printcrib.services.look_at_aids import AidRow
from printcrib.services.look_at_aids import LifeBar as Life

ROOM = 16
"""Letters that fit above a bar on a narrow page."""


def bar_of(life: Life) -> LifeBar | None:
    """The bar of an aid's life; None while the shop has no guess how long it lasts."""
    if life.wears_from is None or life.middle is None or life.wears_to is None:
        return None
    return LifeBar(life.count, life.wears_from, life.middle, life.wears_to, life.scale)


def aid_columns(wide: bool) -> Sequence[Column[AidRow]]:
    """What the list shows; a wide page gives place and unit columns of their own."""
    columns: list[Column[AidRow]] = [
        Column("Aid", 0, _name if wide else _name_where, sort_key=lambda row: row.name),
    ]
    if wide:
        columns.append(Column("Where", 140, _where, sort_key=lambda row: row.where))
    heading = "Count, and expected life" if wide else "Count, life"
    columns.append(Column(heading, 290 if wide else 206, _life if wide else _life_short, sort_key=_share))
    if wide:
        columns.append(Column("Unit", 150, lambda row: Cell(row.unit, tone="second")))
    columns.append(Column("Reprint by", 176 if wide else 150, _reprint, sort_key=_reprint_key))
    columns.append(Column("Spares", 98, _spares, sort_key=lambda row: row.spares, right=True))
    return columns


def aid_model(wide: bool = False) -> RecordModel[AidRow]:
    """Every aid, what is set aside and what is needed soonest on top."""
    return RecordModel(aid_columns(wide), key=lambda row: row.aid_id, search_text=lambda row: row.search)


def found_columns() -> Sequence[Column[AidRow]]:
    """The list that narrows while a tag or a name is typed."""
    return (
        Column("Tag", 130, lambda row: Cell(row.tag, strong=True)),
        Column("Aid", 0, lambda row: Cell(row.name, row.where)),
        Column("Count", 240, lambda row: Cell(row.count_words, row.unit)),
    )


def found_model() -> RecordModel[AidRow]:
    """Aids to choose from by tag, name or machine."""
    return RecordModel(found_columns(), key=lambda row: row.aid_id, search_text=lambda row: row.search)


def history_model() -> RecordModel[HistoryLine]:
    """What happened to an aid, newest first."""
    return RecordModel(
        [
            Column("When", 180, lambda line: Cell(line.when, tone="second")),
            Column("What", 0, lambda line: Cell(line.words, strong=True)),
            Column("Who", 180, lambda line: Cell(line.who, tone="second")),
        ],
        key=id,
    )


def _name(row: AidRow) -> Cell:
    return Cell(row.name, row.tag, strong=True)


def _name_where(row: AidRow) -> Cell:
    return Cell(row.name, f"{row.tag}, {row.where}", strong=True)


def _where(row: AidRow) -> Cell:
    return Cell(row.where, "shelf" if row.state is AidState.SHELF and row.where != "shelf" else "")


def _life(row: AidRow) -> Cell:
    bar = bar_of(row.bar)
    if bar is None:
        return Cell(f"{row.count_words} {row.unit}", "no life known yet", strong=True)
    tone: Tone = "signal" if bar.past or row.bar.past else "ink"
    return Cell(row.count_words, bar=bar, tone=tone)


def _life_short(row: AidRow) -> Cell:
    """In a narrow column long numbers go before "about"; the bar shows the doubt."""
    cell = _life(row)
    return replace(cell, text=cell.text.replace(" of about ", " of ")) if len(cell.text) > ROOM else cell


def _share(row: AidRow) -> float:
    """How much of its expected life is used."""
    return row.count / row.expected if row.expected else 0.0


def _reprint(row: AidRow) -> Cell:
    return Cell(row.reprint_words, row.note, strong=True, second_tone="signal" if row.note_bad else "second")


def _reprint_key(row: AidRow) -> float:
    return row.needed_by.timestamp() if row.needed_by else float("inf")


def _spares(row: AidRow) -> Cell:
    return Cell(str(row.spares), strong=True, tone="signal" if row.note == "no spare" else "ink")
