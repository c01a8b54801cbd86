"""The side column: short lists, each line leading to its place."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy

from printcrib.screens.desk.words import SideItem, SideList, fitting
from printcrib.screens.parts import lettering
from printcrib.screens.parts.cards import Card, Hairline, Scroll, emptied
from printcrib.screens.parts.icons import paint_icon
from printcrib.screens.parts.pressed import Pressed
from printcrib.screens.parts.tokens import current_tokens
from printcrib.screens.parts.words import Words

ITEM_PX = 54
ITEM_GAP_PX = 8
HEADING_PX = 46
NOTHING_PX = 38
_ICON_PX = 22


class SideLine(Pressed):
    """One line that leads somewhere: an icon, a name, a word below."""

    def __init__(self, item: SideItem) -> None:
        super().__init__()
        self.item = item
        self.setAccessibleName(f"{item.name}, {item.words}")
        self.setToolTip(f"{item.name}, {item.words}")
        self.setFixedHeight(ITEM_PX)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(240, ITEM_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.isDown():
            painter.fillRect(self.rect(), tokens.tint)
        trouble = self.item.tone == "signal"
        icon = QRectF(2, 4, _ICON_PX, _ICON_PX)
        paint_icon(painter, self.item.icon, icon, tokens.signal if trouble else tokens.ink)
        strong, plain = lettering.font(weight="strong"), lettering.font()
        room = QRectF(38, 1, self.width() - 40, self.height() / 2 - 1)
        painter.setPen(tokens.ink)
        for font, words in ((strong, self.item.name), (plain, self.item.words)):
            painter.setFont(font)
            shown = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, room.width())
            painter.drawText(room, Qt.AlignmentFlag.AlignVCenter.value, shown)
            painter.setPen(tokens.of(self.item.tone))
            room.moveTop(self.height() / 2)
        self.ring.paint(painter, tokens.ink, inset=0)
        painter.end()


class SideColumn(Card):
    """Late or at risk, aids due, spools that will not last; and what lies off the printers.

    Signals:
        followed(object): the SideItem pressed.
    """

    followed = Signal(object)

    def __init__(self) -> None:
        super().__init__(padding=12, spacing=0)
        self.scroller = Scroll(spacing=0)
        self.body.addWidget(self.scroller, 1)
        self.body.setContentsMargins(18, 8, 14, 8)
        self.lines: list[SideLine] = []
        self._lists: tuple[SideList, ...] = ()
        self._filled: tuple[object, ...] = ()

    def set_lists(self, lists: Sequence[SideList]) -> None:
        """Show other lists."""
        self._lists = tuple(lists)
        self._fill()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fill()

    def _fill(self) -> None:
        """As many lines as there is room for; headings tell how many there are."""
        quiet = sum(1 for each in self._lists if not each.items)
        room = self.height() - 16 - HEADING_PX * len(self._lists) - NOTHING_PX * quiet
        rows = max(room, 0) // (ITEM_PX + ITEM_GAP_PX)
        shown = fitting([len(each.items) for each in self._lists], rows)
        if (self._lists, shown) == self._filled:
            return
        self._filled = (self._lists, shown)
        focused = next((line.item for line in self.lines if line.hasFocus()), None)
        emptied(self.scroller.body)
        self.lines = []
        for index, (each, count) in enumerate(zip(self._lists, shown, strict=True)):
            self._add_list(each, count, first=index == 0)
        self.scroller.body.addStretch(1)
        for line in self.lines:
            if line.item == focused:
                line.setFocus()

    def _add_list(self, each: SideList, count: int, *, first: bool) -> None:
        if not first:
            self.scroller.body.addWidget(Hairline())
        more = len(each.items) > count
        heading = Words(f"{each.title}, {count} of {len(each.items)}" if more else each.title, elide=True)
        heading.set_tone("second")
        heading.setContentsMargins(0, 8, 0, 4)
        heading.setFixedHeight(HEADING_PX - 9)
        self.scroller.body.addWidget(heading)
        if not each.items:
            nothing = Words(each.nothing)
            nothing.setFixedHeight(NOTHING_PX - 6)
            nothing.setAlignment(Qt.AlignmentFlag.AlignTop)
            self.scroller.body.addWidget(nothing)
            self.scroller.body.addSpacing(6)
        for item in each.items[:count]:
            line = SideLine(item)
            line.clicked.connect(lambda _down=False, one=item: self.followed.emit(one))
            self.lines.append(line)
            self.scroller.body.addWidget(line)
            self.scroller.body.addSpacing(ITEM_GAP_PX)
