"""Long lists: a read-only table model over frozen records, which sorts and filters by itself.

No proxy model: over 100,000 rows a proxy took tens of seconds to sort, a list takes milliseconds.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from printcrib.screens.parts.bars import Bar
from printcrib.screens.parts.tokens import Tone

T = TypeVar("T")
Index = QModelIndex | QPersistentModelIndex

CELL_ROLE = Qt.ItemDataRole.UserRole + 1
RECORD_ROLE = Qt.ItemDataRole.UserRole + 2
_NO_PARENT = QModelIndex()


@dataclass(frozen=True)
class Cell:
    """What stands in one cell: up to two lines, and perhaps a mark or a bar.

    Attributes:
        text: first line. second: second line, "" for none.
        strong: first line in weight 600.
        tone, second_tone: of the lines.
        bar: painted below the first line (or alone when there is no text).
        nozzle: a nozzle number instead of text.
        chip: colour of a spool's swatch left of the text ("#1A1A1A"), "" for none.
        icon: name of an icon left of the text, "" for none.
        wrap: let the first line wrap into two when there is no second.
        large: first line in the 18 pt cell size.
    """

    text: str = ""
    second: str = ""
    strong: bool = False
    tone: Tone = "ink"
    second_tone: Tone = "second"
    bar: Bar | None = None
    nozzle: str = ""
    chip: str = ""
    icon: str = ""
    wrap: bool = False
    large: bool = False

    @property
    def words(self) -> str:
        """Everything in the cell as words, for a screen reader."""
        nozzle = f"nozzle {self.nozzle}" if self.nozzle else ""
        bar = self.bar.words if self.bar and not self.text else ""
        return ", ".join(part for part in (self.text, nozzle, bar, self.second) if part)


@dataclass(frozen=True)
class Column(Generic[T]):
    """One column of a table.

    Attributes:
        heading: shown above.
        width: px; 0 shares what is left.
        cell: what a record shows here.
        sort_key: what to sort by when the heading is pressed; None where sorting makes no sense.
        right: numbers stand at the right edge.
    """

    heading: str
    width: int
    cell: Callable[[T], Cell]
    sort_key: Callable[[T], Any] | None = None
    right: bool = False


class RecordModel(QAbstractTableModel, Generic[T]):
    """Frozen records as rows.

    Args:
        columns: what to show.
        key: tells records apart over a refresh, so that the chosen one stays chosen.
        search_text: the words a record is found by; None for no search.
    """

    def __init__(
        self,
        columns: Sequence[Column[T]],
        key: Callable[[T], object],
        *,
        search_text: Callable[[T], str] | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._columns = tuple(columns)
        self.key = key
        self._search_text = search_text
        self._all: tuple[T, ...] = ()
        self._lowered: list[str] | None = None
        self._rows: list[T] = []
        self._needle = ""
        self._sorted_by: tuple[int, bool] | None = None

    @property
    def columns(self) -> tuple[Column[T], ...]:
        """The columns now."""
        return self._columns

    @property
    def sorted_by(self) -> tuple[int, bool] | None:
        """Column and whether largest first; None in the order given."""
        return self._sorted_by

    @property
    def rows(self) -> Sequence[T]:
        """The records shown, in order."""
        return self._rows

    def set_columns(self, columns: Sequence[Column[T]]) -> None:
        """Show other columns (a wide or a narrow page)."""
        self.beginResetModel()
        self._columns = tuple(columns)
        self._sorted_by = None
        self.endResetModel()

    def set_records(self, records: Sequence[T]) -> None:
        """Show other records; search and order stay."""
        self.beginResetModel()
        self._all = tuple(records)
        self._lowered = None
        self._arrange()
        self.endResetModel()

    def search(self, text: str) -> None:
        """Show only records in which every word of the text occurs."""
        self.beginResetModel()
        self._needle = text.lower().strip()
        self._arrange()
        self.endResetModel()

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        """Sort by a column; -1 gives the order of the records back."""
        if not -1 <= column < len(self._columns):
            return
        self.layoutAboutToBeChanged.emit()
        before = self._rows
        self._sorted_by = None if column < 0 else (column, order == Qt.SortOrder.DescendingOrder)
        self._arrange()
        self._move_indexes(before)
        self.layoutChanged.emit()

    def row_of(self, key: object) -> int | None:
        """Row of the record with this key, None when it is not shown."""
        return next((row for row, record in enumerate(self._rows) if self.key(record) == key), None)

    def record_at(self, row: int) -> T | None:
        """The record of a row."""
        return self._rows[row] if 0 <= row < len(self._rows) else None

    def rowCount(self, parent: Index = _NO_PARENT) -> int:
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = _NO_PARENT) -> int:
        return 0 if parent.isValid() else len(self._columns)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid() or index.row() >= len(self._rows):
            return None
        record = self._rows[index.row()]
        if role == RECORD_ROLE:
            return record
        if role not in (CELL_ROLE, Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return None
        cell = self._columns[index.column()].cell(record)
        return cell if role == CELL_ROLE else cell.words

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        if orientation == Qt.Orientation.Horizontal and 0 <= section < len(self._columns):
            return self._columns[section].heading
        return None

    def _arrange(self) -> None:
        self._rows = self._found()
        if self._sorted_by is None:
            return
        column, largest_first = self._sorted_by
        sort_key = self._columns[column].sort_key
        if sort_key is not None:
            self._rows.sort(key=sort_key, reverse=largest_first)

    def _found(self) -> list[T]:
        if not self._needle or self._search_text is None:
            return list(self._all)
        if self._lowered is None:
            self._lowered = [self._search_text(record).lower() for record in self._all]
        first, *rest = self._needle.split()
        hits = [i for i, text in enumerate(self._lowered) if first in text]
        for word in rest:
            hits = [i for i in hits if word in self._lowered[i]]
        return [self._all[i] for i in hits]

    def _move_indexes(self, before: list[T]) -> None:
        kept = self.persistentIndexList()
        if not kept:
            return
        rows = {self.key(record): row for row, record in enumerate(self._rows)}
        moved = [self.index(rows.get(self.key(before[i.row()]), -1), i.column()) for i in kept]
        self.changePersistentIndexList(kept, moved)
