"""The message strip at the bottom: icon, one sentence, the button that answers it; right: the next swap."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QRect, QSize, Qt, QTimer
from PySide6.QtGui import QAccessible, QAccessibleEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from printcrib.core.errors import ShopError
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.lettering import Weight
from printcrib.screens.parts.marks import IconMark
from printcrib.screens.parts.tokens import STRIP_PX, Tone, current_tokens
from printcrib.screens.parts.words import Words
from printcrib.screens.shell.messages import Answer

BUSY_AFTER_MS = 600
"""Work shorter than this shows nothing, so that the strip does not flicker."""


class TwoLines(Words):
    """One sentence as wide as it needs; in two lines where there is less room, cut only after them."""

    def __init__(self, text: str = "", *, weight: Weight = "regular") -> None:
        super().__init__(text, weight=weight, elide=True)
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        measure = self.fontMetrics()
        return QSize(measure.horizontalAdvance(self.text()) + 6, 2 * measure.lineSpacing() + 2)

    def minimumSizeHint(self) -> QSize:
        return QSize(min(160, self.sizeHint().width()), self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setFont(self.font())
        painter.setPen(current_tokens().of(self.tone))
        flags = Qt.AlignmentFlag.AlignVCenter.value | Qt.TextFlag.TextWordWrap.value
        painter.drawText(self.rect(), flags, self.fitted(self.width()))
        painter.end()

    def fitted(self, width: int) -> str:
        """The text that fits into two lines of a width."""
        measure = self.fontMetrics()
        words = self.text().split(" ")
        room = QRect(0, 0, width, 10_000)
        for count in range(len(words), 0, -1):
            text = " ".join(words[:count]) + ("" if count == len(words) else " …")
            if measure.boundingRect(room, Qt.TextFlag.TextWordWrap.value, text).height() <= self.height():
                return text
        return measure.elidedText(self.text(), Qt.TextElideMode.ElideRight, width)


@dataclass(frozen=True)
class _Said:
    sentence: str = ""
    answer: Answer | None = None
    icon: str = "done"
    tone: Tone = "ink"


class MessageStrip(QWidget):
    """Always there, 68 px; a problem turns it signal tint with a rule above."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedHeight(STRIP_PX)
        self._said = _Said()
        self._busy: _Said | None = None
        self._late = QTimer(self, singleShot=True, interval=BUSY_AFTER_MS)
        self._late.timeout.connect(self._show)
        self.icon = IconMark("done")
        self.sentence = TwoLines("", weight="medium")
        self.answer_button = Button("Answer")
        self.answer_button.clicked.connect(self._on_answered)
        self._next_icon = IconMark("clock", "second")
        self.next_words = Words("", tone="second")
        row = QHBoxLayout(self)
        row.setContentsMargins(25, 0, 20, 0)
        row.setSpacing(15)
        row.addWidget(self.icon)
        row.addWidget(self.sentence)
        row.addWidget(self.answer_button)
        row.addStretch(1)
        row.addWidget(self._next_icon)
        row.addWidget(self.next_words)
        self.set_next("")
        self._show()

    def say(self, sentence: str, answer: Answer | None = None, icon: str = "done") -> None:
        """Something was done, or is so."""
        self._said = _Said(sentence, answer, icon)
        self._show()

    def problem(self, error: ShopError | str, answer: Answer | None = None) -> None:
        """Something cannot be done: one sentence with what to do."""
        self._said = _Said(str(error), answer, "problem", "signal")
        self._show()

    def busy(
        self,
        words: str,
        percent: int | None = None,
        left: str = "",
        cancel: Callable[[], None] | None = None,
    ) -> None:
        """Something takes long; shown after 0.6 s."""
        told = ", ".join(
            [words, *([f"{percent} %"] if percent is not None else []), *([left] if left else [])]
        )
        started = self._busy is None
        self._busy = _Said(told, Answer("Cancel", cancel) if cancel else None, "clock")
        if started:
            self._late.start()
        elif not self._late.isActive():
            self._show()

    def idle(self) -> None:
        """What took long is over."""
        self._busy = None
        self._late.stop()
        self._show()

    def set_next(self, words: str) -> None:
        """What the right end tells: "Next swap 10:02, North"."""
        self.next_words.setText(words)
        self._next_icon.setVisible(bool(words))

    @property
    def shown(self) -> str:
        """The sentence on the strip now."""
        return self.sentence.text()

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        trouble = self._now().tone == "signal"
        painter = QPainter(self)
        painter.fillRect(self.rect(), tokens.signal_tint if trouble else tokens.well)
        rule = 2 if trouble else 1
        painter.fillRect(0, 0, self.width(), rule, tokens.signal if trouble else tokens.line)
        painter.end()

    def _now(self) -> _Said:
        return self._busy if self._busy is not None and not self._late.isActive() else self._said

    def _show(self) -> None:
        said = self._now()
        self.icon.show_icon(said.icon, said.tone)
        self.icon.setVisible(bool(said.sentence))
        self.sentence.setText(said.sentence)
        self.sentence.set_tone(said.tone)
        self.sentence.setToolTip(said.sentence)
        self.next_words.set_tone("ink" if said.tone == "signal" else "second")
        self.answer_button.setVisible(said.answer is not None)
        if said.answer is not None:
            self.answer_button.set_words(said.answer.words)
            self.answer_button.set_icon(said.answer.icon)
        self.setAccessibleName(said.sentence)
        if said.sentence and QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.Alert))
        self.update()

    def _on_answered(self) -> None:
        said = self._now()
        if said.answer is None:
            return
        if said is self._said:
            self._said = _Said()
        self._show()
        said.answer.call()
        self.answer_button.clearFocus()

    def focus_answer(self) -> None:
        """Put the focus on the button that answers the message, by keyboard."""
        if self.answer_button.isVisible():
            self.answer_button.setFocus(Qt.FocusReason.ShortcutFocusReason)
