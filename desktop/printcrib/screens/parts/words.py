"""Text on a page: one class for every size, weight and tone."""

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from printcrib.screens.parts import lettering
from printcrib.screens.parts.lettering import Weight
from printcrib.screens.parts.tokens import Tone, current_tokens


class Words(QLabel):
    """A line or a paragraph of text.

    Args:
        text: plain text, never markup.
        points: size from the scale of lettering.py.
        weight: regular, medium or strong.
        tone: ink, second, accent or signal.
        wrap: break into lines when narrow.
        elide: cut with "..." when too narrow instead of asking for room (one line only).
    """

    def __init__(
        self,
        text: str = "",
        *,
        points: float = lettering.TEXT_PT,
        weight: Weight = "regular",
        tone: Tone = "ink",
        wrap: bool = False,
        elide: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(text, parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setFont(lettering.font(points, weight))
        self._tone: Tone = tone
        self._elide = elide
        self.setWordWrap(wrap)
        if elide:
            self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    @property
    def tone(self) -> Tone:
        """What the text means: plain, second, to press, or trouble."""
        return self._tone

    @property
    def elides(self) -> bool:
        """Whether it is cut with dots when too narrow."""
        return self._elide

    def set_tone(self, tone: Tone) -> None:
        """Change what the text means."""
        self._tone = tone
        self.update()

    def set_type(self, points: float, weight: Weight = "regular") -> None:
        """Change size and weight."""
        self.setFont(lettering.font(points, weight))

    def setText(self, text: str) -> None:  # noqa: N802
        super().setText(text)
        self._hold_height()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._hold_height()

    def _hold_height(self) -> None:
        """WORKAROUND: layouts let a wrapped label shrink to one line and paint its neighbour over it."""
        if not self.wordWrap() or self.width() <= 40:
            return
        sides = self.contentsMargins()
        room = QRect(0, 0, self.width() - sides.left() - sides.right() - 2 * self.margin(), 10_000)
        lines = self.fontMetrics().boundingRect(room, Qt.TextFlag.TextWordWrap.value, self.text())
        around = sides.top() + sides.bottom() + 2 * self.margin()
        self.setMinimumHeight(lines.height() + around if self.text() else 0)

    def minimumSizeHint(self) -> QSize:
        hint = super().minimumSizeHint()
        return QSize(40, hint.height()) if self._elide else hint

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setFont(self.font())
        painter.setPen(current_tokens().of(self._tone) if self.isEnabled() else current_tokens().ink2)
        area = self.contentsRect().adjusted(self.margin(), self.margin(), -self.margin(), -self.margin())
        text = self.text()
        flags = self.alignment().value
        if self._elide:
            text = self.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, area.width())
        elif self.wordWrap():
            flags |= Qt.TextFlag.TextWordWrap.value
        painter.drawText(area, flags, text)
        painter.end()
