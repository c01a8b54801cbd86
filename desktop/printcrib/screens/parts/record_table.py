"""A table on a card: fixed rows, two-line cells, hairlines, the chosen row on tint with an accent bar."""

from collections.abc import Sequence
from typing import Generic, TypeVar

from PySide6.QtCore import QEvent, QModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.cards import Card
from printcrib.screens.parts.cell_paint import CellDelegate
from printcrib.screens.parts.focus import FocusRing
from printcrib.screens.parts.icons import paint_icon
from printcrib.screens.parts.records import Column, RecordModel
from printcrib.screens.parts.tokens import current_tokens
from printcrib.screens.parts.words import Words

T = TypeVar("T")

HEADER_PX = 44
ROW_PX = 64
BAR_ROW_PX = 84
CELL_PAD_PX = 14


class _Header(QHeaderView):
    """Headings in second ink; a press sorts, where sorting makes sense."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setSectionsClickable(True)
        self.setFixedHeight(HEADER_PX)
        self.setMinimumSectionSize(40)
        self.setAccessibleName("headings")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def sizeHint(self) -> QSize:
        return QSize(super().sizeHint().width(), HEADER_PX)

    def paintSection(self, painter: QPainter, rect: QRect, section: int) -> None:  # noqa: N802
        model = self.model()
        if not isinstance(model, RecordModel):
            return
        column = model.columns[section]
        tokens = current_tokens()
        painter.save()
        painter.setFont(lettering.font())
        painter.setPen(tokens.ink2)
        room = rect.adjusted(CELL_PAD_PX, 0, -4, 0)
        side = Qt.AlignmentFlag.AlignRight if column.right else Qt.AlignmentFlag.AlignLeft
        if column.right:
            room.setRight(rect.right() - CELL_PAD_PX)
        flags = (side | Qt.AlignmentFlag.AlignVCenter).value
        painter.drawText(room, flags, column.heading)
        if model.sorted_by is not None and model.sorted_by[0] == section:
            used = lettering.metrics().boundingRect(room, flags, column.heading)
            left = used.left() - 20 if column.right else used.right() + 4
            arrow = QRect(left, rect.center().y() - 7, 16, 16)
            paint_icon(painter, "down" if model.sorted_by[1] else "up", arrow.toRectF(), tokens.ink2)
        painter.fillRect(rect.left(), rect.bottom(), rect.width(), 1, tokens.line)
        painter.restore()


class _View(QTableView):
    """The rows."""

    def __init__(self, row_px: int) -> None:
        super().__init__()
        self.ring = FocusRing(self)
        self.setHorizontalHeader(_Header(self))
        self.verticalHeader().hide()
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.verticalHeader().setMinimumSectionSize(row_px)
        self.verticalHeader().setDefaultSectionSize(row_px)
        self.setShowGrid(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerItem)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTabKeyNavigation(False)
        self.setCornerButtonEnabled(False)
        self.viewport().setAutoFillBackground(False)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.ring.focused(event)
        if not self.currentIndex().isValid() and self.model() is not None and self.model().rowCount():
            self.selectRow(0)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.viewport().update()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        index = self.currentIndex()
        if not self.ring.shown or not index.isValid():
            return
        row = self.visualRect(index)
        row.setLeft(0)
        row.setRight(self.viewport().width() - 1)
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ring = row.toRectF().adjusted(2, 2, -2, -3)
        strokes.box(painter, ring, 3, None, strokes.pen(current_tokens().ink, 3))
        painter.end()


class RecordTable(Card, Generic[T]):
    """A table of frozen records on a card.

    Keys: up, down, page keys, Home and End move; Enter opens; Alt+Left and Alt+Right sort by the column
    before or after, Alt+Down turns the order round.

    Args:
        model: the records.
        says: what the table lists, for a screen reader.
        row_px: height of a row; ROW_PX for two lines, BAR_ROW_PX with a bar.
        empty: the sentence shown when there is nothing.

    Signals:
        chosen_changed(object): the record now chosen, or None.
        opened(object): Enter on a record, or a press on the one already chosen.
    """

    chosen_changed = Signal(object)
    opened = Signal(object)

    def __init__(
        self,
        model: RecordModel[T],
        *,
        says: str,
        row_px: int = ROW_PX,
        empty: str = "Nothing here yet.",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(padding=1, spacing=0, parent=parent)
        self.model = model
        self._told: object = None
        self._clicked_before: object = None
        self._empty = Words(empty, tone="second", wrap=True)
        self._empty.setContentsMargins(CELL_PAD_PX + 2, 16, CELL_PAD_PX, 16)
        self.view = _View(row_px)
        self.view.setAccessibleName(says)
        self.view.setModel(model)
        self.view.setItemDelegate(CellDelegate(self.view))
        self.view.installEventFilter(self)
        self.body.addWidget(self._empty)
        self.body.addWidget(self.view, 1)
        self._was_chosen: object = None
        self.view.horizontalHeader().sectionClicked.connect(self._on_heading)
        self.view.selectionModel().currentRowChanged.connect(lambda *_: self._tell())
        self.view.clicked.connect(self._on_clicked)
        model.modelAboutToBeReset.connect(self._on_reset_begins)
        model.modelReset.connect(self._on_reset_ends)
        self._on_reset_ends()
        self.setFocusProxy(self.view)

    @property
    def chosen(self) -> T | None:
        """The record chosen."""
        index = self.view.currentIndex()
        return self.model.record_at(index.row()) if index.isValid() else None

    def choose(self, key: object) -> bool:
        """Choose the record with this key; False when it is not shown."""
        row = self.model.row_of(key)
        if row is None:
            return False
        self.view.selectRow(row)
        self.view.scrollTo(self.model.index(row, 0))
        return True

    def choose_none(self) -> None:
        """Let go of what is chosen; something beside the list is chosen instead."""
        self.view.clearSelection()
        self.view.setCurrentIndex(QModelIndex())

    def set_records(self, records: Sequence[T]) -> None:
        """Show other records; what is chosen and the place in the list stay."""
        at = self.view.verticalScrollBar().value()
        self.model.set_records(records)
        self.view.verticalScrollBar().setValue(at)

    def search(self, text: str) -> None:
        """Show only what has these words."""
        self.model.search(text)

    def set_columns(self, columns: Sequence[Column[T]]) -> None:
        """Show other columns."""
        self.model.set_columns(columns)
        self._fit_columns()

    def set_empty_words(self, sentence: str) -> None:
        """What stands here when there is nothing."""
        self._empty.setText(sentence)

    def set_row_px(self, row_px: int) -> None:
        """Other row height (a wide or a narrow page)."""
        self.view.verticalHeader().setDefaultSectionSize(row_px)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_columns()

    def eventFilter(self, watched: QWidget, event: QEvent) -> bool:  # type: ignore[override] # noqa: N802
        if watched is self.view and isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            return self._on_key(event)
        return False

    def _on_key(self, event: QKeyEvent) -> bool:
        alt = bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
        if alt and event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Down):
            self._sort_by_key(Qt.Key(event.key()))
            return True
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.chosen is not None:
                self.opened.emit(self.chosen)
            return True
        if event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            self.view.ring.typed()
        return False

    def _sort_by_key(self, key: Qt.Key) -> None:
        able = [i for i, column in enumerate(self.model.columns) if column.sort_key is not None]
        now = self.model.sorted_by
        if not able:
            return
        if now is None or now[0] not in able:
            self._sort(able[0], False)
        elif key == Qt.Key.Key_Down:
            self._sort(now[0], not now[1])
        else:
            step = 1 if key == Qt.Key.Key_Right else -1
            self._sort(able[(able.index(now[0]) + step) % len(able)], now[1])

    def _on_heading(self, section: int) -> None:
        if self.model.columns[section].sort_key is None:
            return
        now = self.model.sorted_by
        self._sort(section, now is not None and now[0] == section and not now[1])

    def _sort(self, section: int, largest_first: bool) -> None:
        order = Qt.SortOrder.DescendingOrder if largest_first else Qt.SortOrder.AscendingOrder
        self.model.sort(section, order)
        self.view.horizontalHeader().viewport().update()

    def _on_clicked(self) -> None:
        chosen = self.chosen
        if chosen is not None and self.model.key(chosen) == self._clicked_before:
            self.opened.emit(chosen)
        self._clicked_before = None if chosen is None else self.model.key(chosen)

    def _tell(self) -> None:
        self._clicked_before = None  # another one is chosen now: the next press chooses, and does not open
        chosen = self.chosen
        self._told = None if chosen is None else self.model.key(chosen)
        self.chosen_changed.emit(chosen)

    def _on_reset_begins(self) -> None:
        self._was_chosen = self._told

    def _on_reset_ends(self) -> None:
        self._fit_columns()
        empty = self.model.rowCount() == 0
        self._empty.setVisible(empty)
        self.view.setVisible(not empty)
        row = self.model.row_of(self._was_chosen) if self._was_chosen is not None else None
        if row is not None:
            self.view.selectRow(row)
        elif self._told is not None:
            self._tell()

    def _fit_columns(self) -> None:
        columns = self.model.columns
        room = self.width() - 2 - sum(column.width for column in columns)
        if self._scrolls():
            room -= 20
        sharing = max(1, sum(1 for column in columns if not column.width))
        for index, column in enumerate(columns):
            self.view.setColumnWidth(index, column.width or max(120, room // sharing))

    def _scrolls(self) -> bool:
        row = self.view.verticalHeader().defaultSectionSize()
        header = 2 if self.view.horizontalHeader().isHidden() else HEADER_PX
        return self.model.rowCount() * row > self.height() - header
