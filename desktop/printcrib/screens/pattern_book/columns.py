"""Columns of the book's list."""

from collections.abc import Sequence

from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.pattern_book.words import life_words
from printcrib.services.look_at_patterns import PatternRow


def pattern_columns(wide: bool) -> Sequence[Column[PatternRow]]:
    """What the list shows; a narrow page leaves out what the card says anyway."""
    columns: list[Column[PatternRow]] = [
        Column("Pattern", 0, _name, sort_key=lambda row: row.name.casefold()),
        Column("Spares", 120, _spares, sort_key=lambda row: row.spares, right=True),
    ]
    if wide:
        columns[1:1] = [
            Column("Made of", 144, _made, sort_key=lambda row: row.material),
            Column("Expected life", 190, _life, sort_key=lambda row: row.pattern.expected_life or 0),
            Column(
                "In use", 96, lambda row: Cell(str(row.in_use)), sort_key=lambda row: row.in_use, right=True
            ),
        ]
    return columns


def pattern_model(wide: bool = False) -> RecordModel[PatternRow]:
    """The book, by name; the service searches, so that sizes are found too."""
    return RecordModel(pattern_columns(wide), key=lambda row: row.pattern.id)


def _name(row: PatternRow) -> Cell:
    sizes = "1 size" if row.sizes == 1 else f"{row.sizes} sizes"
    return Cell(row.name, f"{row.tag}, {sizes}", strong=True)


def _made(row: PatternRow) -> Cell:
    return Cell(row.material or "any", row.how_fine)


def _life(row: PatternRow) -> Cell:
    words, _, second = life_words(row.pattern).partition(" in service")
    if not words:
        return Cell("not known", tone="second")
    return Cell(words, "" if row.pattern.expected_life else f"in service{second}")


def _spares(row: PatternRow) -> Cell:
    short = f"{row.short} short" if row.short else ""
    return Cell(str(row.spares), short, tone="signal" if row.short else "ink", second_tone="signal")
