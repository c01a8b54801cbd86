"""The side list: clock, date and who stands here on top, the places as index tabs below them."""

from collections.abc import Sequence
from datetime import datetime

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPainterPath, QPaintEvent
from PySide6.QtWidgets import QPushButton, QSizePolicy, QSpacerItem, QVBoxLayout, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.focus import FocusRing
from printcrib.screens.parts.icons import paint_icon
from printcrib.screens.parts.tokens import (
    CONTROL_PX,
    RADIUS_TAB,
    SIDE_NARROW_PX,
    SIDE_WIDE_PX,
    SMALL_PX,
    current_tokens,
)
from printcrib.screens.parts.words import Words

_WRAP = Qt.TextFlag.TextWordWrap.value
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_words(moment: datetime) -> str:
    """ "Wed 25 Nov", in the shop's own words whatever the system's language."""
    return f"{_DAYS[moment.weekday()]} {moment.day} {_MONTHS[moment.month - 1]}"


class PlaceTab(QPushButton):
    """One place; the chosen one is an index tab of the page's own paper."""

    def __init__(self, words: str, icon: str, keys: str) -> None:
        super().__init__(words)
        self._icon = icon
        self._ring = FocusRing(self)
        self.setCheckable(True)
        self.setAccessibleName(words)
        self.setAccessibleDescription(keys)
        self.setToolTip(f"{words}  ({keys})")
        self.setMinimumHeight(CONTROL_PX)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(SIDE_NARROW_PX - 10, CONTROL_PX)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._ring.focused(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        elif event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            event.ignore()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.isChecked():
            painter.setPen(strokes.pen(tokens.line, 1))
            painter.setBrush(tokens.paper)
            painter.drawPath(self._tab_outline())
        colour = tokens.accent if self.isChecked() else tokens.ink
        if not self.isEnabled():
            colour = tokens.ink2
        middle = self.height() / 2
        paint_icon(painter, self._icon, QRectF(16, middle - 11, 22, 22), colour)
        painter.setFont(lettering.font(weight="strong" if self.isChecked() else "medium"))
        painter.setPen(colour)
        room = self.rect().adjusted(50, 0, -4, 0)
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter.value | _WRAP, self.text())
        self._ring.paint(painter, tokens.ink)
        painter.end()

    def _tab_outline(self) -> QPainterPath:
        """Round on the left, open on the right, where it runs into the page."""
        right, bottom, r = self.width() + 2.0, self.height() - 0.5, float(RADIUS_TAB)
        path = QPainterPath()
        path.moveTo(right, 0.5)
        path.lineTo(0.5 + r, 0.5)
        path.quadTo(0.5, 0.5, 0.5, 0.5 + r)
        path.lineTo(0.5, bottom - r)
        path.quadTo(0.5, bottom, 0.5 + r, bottom)
        path.lineTo(right, bottom)
        return path


class PersonButton(QPushButton):
    """Who stands here, quietly under the clock; a press asks who does. A long name is cut with dots."""

    def __init__(self) -> None:
        super().__init__()
        self._name = ""
        self._ring = FocusRing(self)
        self.setFixedHeight(SMALL_PX)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.set_person("")

    def set_person(self, name: str) -> None:
        """Show a name."""
        self._name = name
        self.setAccessibleName(f"who stands here: {name or 'nobody'}")
        self.setToolTip(f"{name}  (F11: somebody else stands here)")
        self.update()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._ring.focused(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        colour = tokens.accent if self.isDown() else tokens.ink2
        paint_icon(painter, "person", QRectF(14, self.height() / 2 - 11, 22, 22), colour)
        painter.setFont(lettering.font(weight="medium"))
        painter.setPen(colour)
        room = self.rect().adjusted(44, 0, -6, 0)
        name = painter.fontMetrics().elidedText(self._name, Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter.value, name)
        self._ring.paint(painter, tokens.ink)
        painter.end()


class SideList(QWidget):
    """Clock, date, who stands here, and the places.

    Args:
        places: (id, words) in order; the last one stands at the bottom when there is room.

    Signals:
        place_chosen(str): somebody pressed a place.
        person_pressed(): somebody else stands here.
    """

    place_chosen = Signal(str)
    person_pressed = Signal()

    def __init__(self, places: Sequence[tuple[str, str]], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("places")
        self.clock = Words("", points=lettering.TITLE_PT, weight="strong")
        self.date = Words("", tone="second")
        self.tabs: dict[str, PlaceTab] = {}
        column = self._column = QVBoxLayout(self)
        column.setSpacing(0)
        for line in (self.clock, self.date):
            line.setContentsMargins(14, 0, 0, 0)
            column.addWidget(line)
        self.person = PersonButton()
        self.person.clicked.connect(lambda: self.person_pressed.emit())
        column.addWidget(self.person)
        for index, (place_id, words) in enumerate(places):
            tab = PlaceTab(words, place_id, f"Ctrl+{index + 1}")
            tab.clicked.connect(lambda _down=False, one=place_id: self._pressed(one))
            self.tabs[place_id] = tab
            if index == len(places) - 1:
                column.addStretch(1)
            column.addItem(self._gap())
            column.addWidget(tab)
        self.set_wide(False)

    def set_wide(self, wide: bool) -> None:
        """Room for each place on one line, or two lines in a narrow window."""
        self.setFixedWidth(SIDE_WIDE_PX if wide else SIDE_NARROW_PX)
        self._column.setContentsMargins(14 if wide else 10, 22 if wide else 10, 0, 14 if wide else 6)

    def set_time(self, shop_time: datetime) -> None:
        """Show the shop's own wall time."""
        self.clock.setText(f"{shop_time:%H:%M}")
        self.date.setText(day_words(shop_time))

    def set_person(self, name: str) -> None:
        """Show who stands here."""
        self.person.set_person(name)

    def set_chosen(self, place_id: str) -> None:
        """Mark a place as the one that is open."""
        for one, tab in self.tabs.items():
            tab.setChecked(one == place_id)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        tabs = list(self.tabs.values())
        at = next((i for i, tab in enumerate(tabs) if tab.hasFocus()), None)
        step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()), 0)
        if at is None or not step:
            super().keyPressEvent(event)
            return
        tabs[(at + step) % len(tabs)].setFocus(Qt.FocusReason.TabFocusReason)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), current_tokens().side)
        painter.end()

    @staticmethod
    def _gap() -> QSpacerItem:
        """Room between two tabs, given up first in a low window."""
        return QSpacerItem(0, 11, QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Maximum)

    def _pressed(self, place_id: str) -> None:
        self.tabs[place_id].setChecked(True)
        self.place_chosen.emit(place_id)
