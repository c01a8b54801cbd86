"""The side list: clock, date and who stands here on top, the places as index tabs below them."""

from collections.abc import Sequence

from PySide6.QtCore import QRect, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QSpacerItem, QWidget

from printcrib.screens.parts import lettering
from printcrib.screens.parts.icons import paint_icon
from printcrib.screens.parts.pressed import Pressed
from printcrib.screens.parts.tokens import SMALL_PX, Tokens, current_tokens
from printcrib.screens.shell.clock_side import ClockSide, IndexTab

_ICON_PX = 22


class PlaceTab(IndexTab):
    """One place, with its icon."""

    def __init__(self, words: str, icon: str, keys: str) -> None:
        super().__init__(words, mark_px=50)
        self._icon = icon
        self.setAccessibleName(words)
        self.setAccessibleDescription(keys)
        self.setToolTip(f"{words}  ({keys})")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            event.ignore()  # the side list goes round itself
        else:
            super().keyPressEvent(event)

    def paint_mark(self, painter: QPainter, room: QRect, colour: QColor, tokens: Tokens) -> None:
        box = QRectF(16, room.height() / 2 - _ICON_PX / 2, _ICON_PX, _ICON_PX)
        paint_icon(painter, self._icon, box, colour)


class PersonButton(Pressed):
    """Who stands here, quietly under the clock; a press asks who does. A long name is cut with dots."""

    def __init__(self) -> None:
        super().__init__()
        self._name = ""
        self.setFixedHeight(SMALL_PX)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.set_person("")

    def set_person(self, name: str) -> None:
        """Show a name."""
        self._name = name
        self.setAccessibleName(f"who stands here: {name or 'nobody'}")
        self.setToolTip(f"{name}  (F11: somebody else stands here)")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        colour = tokens.accent if self.isDown() else tokens.ink2
        box = QRectF(14, self.height() / 2 - _ICON_PX / 2, _ICON_PX, _ICON_PX)
        paint_icon(painter, "person", box, colour)
        painter.setFont(lettering.font(weight="medium"))
        painter.setPen(colour)
        room = self.rect().adjusted(44, 0, -6, 0)
        name = painter.fontMetrics().elidedText(self._name, Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter.value, name)
        self.ring.paint(painter, tokens.ink)
        painter.end()


class SideList(ClockSide):
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
        super().__init__("places", least_margins=(10, 6), parent=parent)
        self.tabs: dict[str, PlaceTab] = {}
        self.person = PersonButton()
        self.person.clicked.connect(lambda: self.person_pressed.emit())
        self.column.addWidget(self.person)
        for index, (place_id, words) in enumerate(places):
            tab = PlaceTab(words, place_id, f"Ctrl+{index + 1}")
            tab.clicked.connect(lambda _down=False, one=place_id: self._pressed(one))
            self.tabs[place_id] = tab
            if index == len(places) - 1:
                self.column.addStretch(1)
            self.column.addItem(self._gap())
            self.column.addWidget(tab)

    def set_person(self, name: str) -> None:
        """Show who stands here."""
        self.person.set_person(name)

    def set_chosen(self, place_id: str) -> None:
        """Mark a place as the one that is open.

        Tab stops at this one only and goes on into the page; the arrows go to the others.
        """
        for one, tab in self.tabs.items():
            tab.setChecked(one == place_id)
            stops = one == place_id
            tab.setFocusPolicy(Qt.FocusPolicy.StrongFocus if stops else Qt.FocusPolicy.ClickFocus)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        tabs = list(self.tabs.values())
        at = next((i for i, tab in enumerate(tabs) if tab.hasFocus()), None)
        step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()), 0)
        if at is None or not step:
            super().keyPressEvent(event)
            return
        tabs[(at + step) % len(tabs)].setFocus(Qt.FocusReason.TabFocusReason)

    @staticmethod
    def _gap() -> QSpacerItem:
        """Room between two tabs, given up first in a low window."""
        return QSpacerItem(0, 11, QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Maximum)

    def _pressed(self, place_id: str) -> None:
        self.tabs[place_id].setChecked(True)
        self.place_chosen.emit(place_id)
