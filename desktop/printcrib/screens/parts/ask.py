"""Questions are asked in the window, on a sheet over the page; never in a box of their own."""

from PySide6.QtCore import QEvent, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QVBoxLayout, QWidget
from shiboken6 import isValid

from printcrib.screens.parts import lettering
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, Scroll
from printcrib.screens.parts.focus import FocusRing
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.tokens import CONTROL_PX, MAIN_PX, current_tokens
from printcrib.screens.parts.words import Words


class AskPanel(QWidget):
    """A sheet that stands over a page: a title, what is asked, the verb and Back.

    Put parts into `body`. Escape is Back, Enter is the verb. What was typed stays until the owner
    lets the panel go.

    Args:
        title: what is asked.
        confirm: the verb ("Weigh", "Book it"); "" for no such button.
        sentence: one line under the title.
        back: words of the way back.
        width: of the sheet, in px.
        stays: the sheet stays when the verb is pressed, until `lay_down` (for answers that may be refused).

    Signals:
        confirmed(), backed()
    """

    confirmed = Signal()
    backed = Signal()

    def __init__(
        self,
        title: str,
        *,
        confirm: str = "",
        sentence: str = "",
        back: str = "Back",
        icon: str | None = None,
        width: int = 720,
        stays: bool = False,
    ) -> None:
        super().__init__()
        self.setAccessibleName(title)
        self._stays = stays
        self._came_from: QWidget | None = None
        self._reason = Qt.FocusReason.OtherFocusReason
        self.title = Words(title, points=lettering.CARD_PT, weight="strong", wrap=True)
        self.sentence = Words(sentence, tone="second", wrap=True)
        self._error = Words("", tone="signal", weight="medium", wrap=True)
        self._error.hide()
        self.confirm_button = Button(confirm or "OK", kind="main", icon=icon)
        self.back_button = Button(back)
        self.back_button.setFixedHeight(MAIN_PX)
        self.confirm_button.clicked.connect(self._on_confirmed)
        self.back_button.clicked.connect(self._on_backed)
        self._lay_out(width)
        # only now: a part without a parent would stand as a window of its own for a moment
        if not sentence:  # never shown before it has a parent: it would flash as a window of its own
            self.sentence.hide()
        if not confirm:
            self.confirm_button.hide()

    def open_over(self, page: QWidget) -> None:
        """Stand over the page this widget belongs to."""
        self._came_from = QApplication.focusWidget()
        ring = getattr(self._came_from, "ring", None)
        by_keys = isinstance(ring, FocusRing) and ring.shown
        self._reason = Qt.FocusReason.TabFocusReason if by_keys else Qt.FocusReason.OtherFocusReason
        frame = page if isinstance(page, PageFrame) else page_of(page)
        self._stand_at_the_top()
        frame.stand_over(self)
        self.focus_first()

    def open_once(self, page: QWidget) -> None:
        """Stand over the page, and be gone for good once it is answered or laid down."""
        self.confirmed.connect(self.deleteLater)
        self.backed.connect(self.deleteLater)
        self.open_over(page)

    def lay_down(self) -> None:
        """Go away; the focus returns to where it came from, else to the page."""
        if self.isHidden():
            return
        page, back = self.parentWidget(), self._came_from
        self.hide()
        if back is None or not isValid(back) or not back.isVisible() or not back.isEnabled():
            # what was pressed is gone or off meanwhile, as a line that led here and is done
            back = next(iter(tab_stops(page)), None) if page is not None else None
        if back is not None:
            back.setFocus(self._reason)

    def set_error(self, sentence: str) -> None:
        """Say above the buttons why the answer was refused; the panel stays."""
        self._error.setText(sentence)
        self._error.setVisible(bool(sentence))

    def focus_first(self) -> None:
        """Put the focus on the first control of the sheet."""
        stops = self._stops()
        if stops:
            stops[0].setFocus(self._reason)

    def bring_into_view(self, part: QWidget) -> None:
        """Scroll what is asked to this part of it, where its layout is to be."""
        self.body.activate()
        if self._scroll.isAncestorOf(part):
            self._scroll.ensureWidgetVisible(part, 0, CONTROL_PX)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self._on_backed()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not self.confirm_button.isHidden():
            self.confirm_button.click()
        else:
            event.accept()

    def mousePressEvent(self, event: QEvent) -> None:
        event.accept()

    def focusNextPrevChild(self, forward: bool) -> bool:  # noqa: N802
        stops = self._stops()
        if not stops:
            return True
        now = QApplication.focusWidget()
        at = stops.index(now) if now in stops else -1
        to = (at + (1 if forward else -1)) % len(stops)
        reason = Qt.FocusReason.TabFocusReason if forward else Qt.FocusReason.BacktabFocusReason
        stops[to].setFocus(reason)
        self.bring_into_view(stops[to])  # a text field would tell only its cursor
        return True

    def paintEvent(self, event: QPaintEvent) -> None:
        veil = QColor(current_tokens().paper)
        veil.setAlpha(225)
        painter = QPainter(self)
        painter.fillRect(QRectF(self.rect()), veil)
        painter.end()

    def _stand_at_the_top(self) -> None:
        """What is asked follows the title; in a high window the room is below it, not in between."""
        taken = any(self.body.stretch(index) for index in range(self.body.count()))
        if not taken and not self.body.expandingDirections() & Qt.Orientation.Vertical:
            self.body.addStretch(1)

    def _stops(self) -> list[QWidget]:
        """Where Tab stops, inside this sheet only: what is asked, then the verb, then Back."""
        stops = tab_stops(self)
        last = [button for button in (self.confirm_button, self.back_button) if button in stops]
        return [stop for stop in stops if stop not in last] + last

    def _lay_out(self, width: int) -> None:
        outer = QHBoxLayout(self)
        outer.setContentsMargins(16, 12, 16, 12)
        self.card = card = Card(padding=24, strong=True)
        card.setMaximumWidth(width)
        card.setMinimumWidth(min(width, 600))
        card.title.hide()
        card.add(self.title, self.sentence)
        self._scroll = Scroll(margins=(0, 4, 0, 4))
        self.body = self._scroll.body
        self._scroll.setSizeAdjustPolicy(Scroll.SizeAdjustPolicy.AdjustToContents)
        card.body.addWidget(self._scroll, 1)
        card.add(self._error)
        buttons = QHBoxLayout()
        buttons.setSpacing(16)
        buttons.addWidget(self.back_button)
        buttons.addStretch(1)
        buttons.addWidget(self.confirm_button)
        card.body.addLayout(buttons)
        column = QVBoxLayout()
        column.addStretch(1)
        column.addWidget(card, 60)
        column.addStretch(1)
        outer.addStretch(1)
        outer.addLayout(column, 20)
        outer.addStretch(1)

    def _on_confirmed(self) -> None:
        self.set_error("")
        if not self._stays:
            self.lay_down()
        self.confirmed.emit()

    def _on_backed(self) -> None:
        self.lay_down()
        self.backed.emit()


def tab_stops(within: QWidget) -> list[QWidget]:
    """Where Tab stops inside a widget, in order."""
    stops: list[QWidget] = []
    widget = within.nextInFocusChain()
    while widget is not within and widget is not None:
        tabbed = widget.focusPolicy().value & Qt.FocusPolicy.TabFocus.value
        if tabbed and within.isAncestorOf(widget) and widget.isVisible() and widget.isEnabled():
            stops.append(widget)
        widget = widget.nextInFocusChain()
    return stops


def page_of(widget: QWidget) -> PageFrame:
    """The page a widget stands on."""
    at: QWidget | None = widget
    while at is not None:
        if isinstance(at, PageFrame):
            return at
        at = at.parentWidget()
    raise LookupError("a question needs a page to stand over")
