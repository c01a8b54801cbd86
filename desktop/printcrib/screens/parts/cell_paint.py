"""Paints the cells of a table: lines of text, bars, nozzle marks, swatches."""

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from printcrib.screens.parts import lettering
from printcrib.screens.parts.icons import paint_icon
from printcrib.screens.parts.marks import NOZZLE_SIZE, paint_chip, paint_nozzle
from printcrib.screens.parts.records import CELL_ROLE, Cell, RecordModel
from printcrib.screens.parts.tokens import Tokens, current_tokens

PAD_PX = 14
_ACCENT_BAR_PX = 5
_BAR_GAP_PX = 4


class CellDelegate(QStyledItemDelegate):
    """Paints one cell of a RecordTable."""

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        return QSize(80, 64)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        cell = index.data(CELL_ROLE)
        model = index.model()
        if not isinstance(cell, Cell) or not isinstance(model, RecordModel):
            return
        tokens = current_tokens()
        rect: QRect = option.rect
        state: QStyle.StateFlag = option.state
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, tokens.tint)
            if index.column() == 0:
                painter.fillRect(rect.left(), rect.top(), _ACCENT_BAR_PX, rect.height(), tokens.accent)
        painter.fillRect(rect.left(), rect.bottom(), rect.width(), 1, tokens.line)
        right = model.columns[index.column()].right
        paint_cell(painter, rect.adjusted(PAD_PX, 0, -PAD_PX if right else -8, -1), cell, tokens, right=right)
        painter.restore()


def paint_cell(painter: QPainter, room: QRect, cell: Cell, tokens: Tokens, *, right: bool = False) -> None:
    """Paint one cell's content into a room."""
    if cell.nozzle:
        top = room.center().y() - NOZZLE_SIZE.height() / 2
        mark = QRectF(room.left(), top, NOZZLE_SIZE.width(), NOZZLE_SIZE.height())
        paint_nozzle(painter, mark, cell.nozzle, tokens)
        return
    if cell.chip:
        chip = QRectF(room.left(), room.center().y() - 24, 11, 48)
        paint_chip(painter, chip, QColor(cell.chip), tokens)
        room = room.adjusted(26, 0, 0, 0)
    if cell.icon:
        paint_icon(
            painter, cell.icon, QRectF(room.left(), room.center().y() - 11, 22, 22), tokens.of(cell.tone)
        )
        room = room.adjusted(36, 0, 0, 0)
    if cell.bar is not None:
        _paint_bar(painter, room, cell, tokens)
    else:
        _paint_lines(painter, room, cell, tokens, right)


def _paint_bar(painter: QPainter, room: QRect, cell: Cell, tokens: Tokens) -> None:
    bar = cell.bar
    assert bar is not None
    if not cell.text:
        top = room.center().y() - bar.height / 2 + 4
        bar.paint(painter, QRectF(room.left(), top, room.width() - 4, bar.height), tokens)
        return
    measure = lettering.metrics(lettering.TEXT_PT, "medium")
    whole = measure.height() + _BAR_GAP_PX + bar.height
    top = room.top() + (room.height() - whole) / 2
    line = QRect(room.left(), round(top), room.width(), measure.height())
    _paint_line(painter, line, cell.text, cell, tokens, right=False)
    bar.paint(
        painter,
        QRectF(room.left(), top + measure.height() + _BAR_GAP_PX, room.width() - 4, bar.height),
        tokens,
    )


def _paint_lines(painter: QPainter, room: QRect, cell: Cell, tokens: Tokens, right: bool) -> None:
    side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
    font = lettering.font(
        lettering.CELL_PT if cell.large else lettering.TEXT_PT, "strong" if cell.strong else "regular"
    )
    measure = QFontMetrics(font)
    if cell.wrap and not cell.second and measure.horizontalAdvance(cell.text) > room.width():
        painter.setFont(font)
        painter.setPen(tokens.of(cell.tone))
        flags = side.value | Qt.AlignmentFlag.AlignVCenter.value | Qt.TextFlag.TextWordWrap.value
        painter.drawText(room, flags, fitted(cell.text, measure, room, flags))
        return
    if not cell.second:
        _paint_line(painter, room, cell.text, cell, tokens, right=right)
        return
    height = measure.height() - 1
    below = lettering.metrics().height() - 1
    top = room.top() + (room.height() - height - below) // 2
    _paint_line(painter, QRect(room.left(), top, room.width(), height), cell.text, cell, tokens, right=right)
    painter.setFont(lettering.font())
    painter.setPen(tokens.of(cell.second_tone))
    second = lettering.metrics().elidedText(cell.second, Qt.TextElideMode.ElideRight, room.width())
    line = QRect(room.left(), top + height, room.width(), below)
    painter.drawText(line, (side | Qt.AlignmentFlag.AlignVCenter).value, second)


def fitted(text: str, measure: QFontMetrics, room: QRect, flags: int) -> str:
    """As much of a text as fits into a room in lines; dots say that there is more."""
    if measure.boundingRect(QRect(0, 0, room.width(), 10_000), flags, text).height() <= room.height():
        return text
    words = text.split(" ")
    fits, too_many = 1, len(words)
    while too_many - fits > 1:
        middle = (fits + too_many) // 2
        cut = " ".join(words[:middle]) + " …"
        high = measure.boundingRect(QRect(0, 0, room.width(), 10_000), flags, cut).height()
        fits, too_many = (middle, too_many) if high <= room.height() else (fits, middle)
    return " ".join(words[:fits]) + " …"


def _paint_line(
    painter: QPainter, room: QRect, text: str, cell: Cell, tokens: Tokens, *, right: bool
) -> None:
    side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
    strong = cell.strong or cell.bar is not None
    font = lettering.font(
        lettering.CELL_PT if cell.large else lettering.TEXT_PT, "strong" if strong else "regular"
    )
    painter.setFont(font)
    painter.setPen(tokens.of(cell.tone))
    shown = QFontMetrics(font).elidedText(text, Qt.TextElideMode.ElideRight, room.width())
    painter.drawText(room, (side | Qt.AlignmentFlag.AlignVCenter).value, shown)
