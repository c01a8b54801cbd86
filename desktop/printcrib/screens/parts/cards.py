"""Sheets of paper on the desk: cards, headings, hairlines and rows of a name with its value."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.tokens import RADIUS, Tone, current_tokens
from printcrib.screens.parts.words import Words


class Card(QWidget):
    """A sheet with a hairline border; put parts into `body`.

    Args:
        padding: room between border and content, 16 to 32 px.
        title: a card title (20 pt), optional.
        strong: a 2 px accent border (the Desk's step card, a suggested answer).
        ground: "sheet", "tint" or "signal" (a caution).
    """

    def __init__(
        self,
        *,
        padding: int = 16,
        title: str = "",
        strong: bool = False,
        ground: str = "sheet",
        spacing: int = 12,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._strong = strong
        self._ground = ground
        self.body = QVBoxLayout(self)
        self.body.setContentsMargins(padding, padding, padding, padding)
        self.body.setSpacing(spacing)
        self.title = Words(title, points=lettering.CARD_PT, weight="strong", wrap=True)
        self.body.addWidget(self.title)
        self.title.setVisible(bool(title))

    def set_title(self, title: str) -> None:
        """Change or take away the title."""
        self.title.setText(title)
        self.title.setVisible(bool(title))

    def set_ground(self, ground: str, strong: bool = False) -> None:
        """Change the ground: "sheet", "tint" (chosen) or "signal" (a caution)."""
        self._ground, self._strong = ground, strong
        self.update()

    def add(self, *widgets: QWidget) -> None:
        """Put widgets under each other into the card."""
        for widget in widgets:
            self.body.addWidget(widget)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        fill = {"sheet": tokens.sheet, "tint": tokens.tint, "signal": tokens.signal_tint}[self._ground]
        edge = strokes.pen(tokens.accent, 2) if self._strong else strokes.pen(tokens.line, 1)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        strokes.box(painter, QRectF(self.rect()), RADIUS, fill, None if self._ground == "signal" else edge)
        painter.end()


class Hairline(QWidget):
    """A thin rule between rows or, upright, between columns."""

    def __init__(self, upright: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        if upright:
            self.setFixedWidth(1)
        else:
            self.setFixedHeight(1)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), current_tokens().line)
        painter.end()


class FactRow(QWidget):
    """A name on the left, its value on the right, a hairline below."""

    def __init__(self, name: str, value: str = "", tone: Tone = "ink", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(0)
        row = QHBoxLayout()
        row.setContentsMargins(0, 10, 0, 10)
        row.setSpacing(12)
        self.name = Words(name, tone="second")
        self.value = Words(value, weight="strong", tone=tone, wrap=True)
        self.value.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.value.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        row.addWidget(self.name)
        row.addWidget(self.value, 1)
        outer.addLayout(row)
        outer.addWidget(Hairline())

    def set_value(self, value: str, tone: Tone = "ink") -> None:
        """Change the value."""
        self.value.setText(value)
        self.value.set_tone(tone)


class Scroll(QScrollArea):
    """A column that scrolls when the window is low; put parts into `body`."""

    def __init__(self, margins: tuple[int, int, int, int] = (0, 0, 0, 0), spacing: int = 12) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        inner = QWidget()
        self.body = QVBoxLayout(inner)
        self.body.setContentsMargins(*margins)
        self.body.setSpacing(spacing)
        self.setWidget(inner)
        for ground in (self.viewport(), inner):
            ground.setAutoFillBackground(False)

    def add(self, *widgets: QWidget) -> None:
        """Put widgets under each other."""
        for widget in widgets:
            self.body.addWidget(widget)


def emptied(layout: QLayout) -> QLayout:
    """Take everything out of a layout, to fill it anew from fresh records."""
    while layout.count():
        item = layout.takeAt(0)
        if item is None:
            break
        widget, inner = item.widget(), item.layout()
        if widget is not None:
            widget.hide()
            widget.setParent(None)
            widget.deleteLater()
        elif inner is not None:
            emptied(inner)
            inner.deleteLater()
    return layout
