"""The answer: a column a nozzle, minutes as bars on one scale."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.bars import EstimateBar
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, emptied
from printcrib.screens.parts.lettering import Weight
from printcrib.screens.parts.marks import NOZZLE_SIZE, paint_nozzle
from printcrib.screens.parts.pressed import Pressed
from printcrib.screens.parts.tokens import RADIUS, Tone, current_tokens
from printcrib.screens.parts.words import Words
from printcrib.screens.requests.columns import NozzleColumn

PAD_PX = 14
LINE_PX = 27
BAR_PX = 24
MARK_PX = 42


class NozzleView(Pressed):
    """One nozzle's answer; a press chooses it where the person may."""

    def __init__(
        self,
        column: NozzleColumn,
        *,
        roomy: bool,
        pressable: bool,
        late_below: bool = False,
        with_lost: bool = False,
    ) -> None:
        super().__init__()
        self._column, self._roomy, self._late_below = column, roomy, late_below
        self._with_lost = with_lost
        self.setAccessibleName(f"nozzle {column.nozzle}: {column.words}{_mark_words(column)}")
        self.setToolTip(column.lost_words)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._pressable = pressable and column.allowed
        if not self._pressable:
            self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def sizeHint(self) -> QSize:
        lines = 2 + self._roomy + self._late_below + self._with_lost
        return QSize(200, MARK_PX + LINE_PX * lines + BAR_PX + 20)

    def minimumSizeHint(self) -> QSize:
        return QSize(150, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens, column = current_tokens(), self._column
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if column.mark or self.isDown():
            border = strokes.pen(tokens.accent, 2)
            strokes.box(painter, QRectF(self.rect()), RADIUS, tokens.tint, border)
        elif self._pressable:
            strokes.box(painter, QRectF(self.rect()), RADIUS, None, strokes.pen(tokens.line, 1))
        mark = QRectF(PAD_PX, 9, NOZZLE_SIZE.width(), NOZZLE_SIZE.height())
        paint_nozzle(painter, mark, column.nozzle, tokens)
        if column.mark:
            room = QRectF(mark.right() + 4, 9, self.width() - mark.right() - 12, mark.height())
            self._line(painter, room, column.mark, "accent", "medium", right=True)
        y = 9.0 + MARK_PX
        for text, tone, weight in self._above():
            y = self._put(painter, y, text, tone, weight)
        self._bar(painter, y)
        y += BAR_PX
        if self._with_lost:
            y = self._put(painter, y, *self._features())
        for text, tone, weight in self._below():
            y = self._put(painter, y, text, tone, weight)
        self.ring.paint(painter, tokens.ink)
        painter.end()

    def _features(self) -> tuple[str, Tone, Weight]:
        lost = self._column.lost
        return (lost, "signal", "medium") if lost else ("keeps all", "second", "regular")

    def _above(self) -> list[tuple[str, Tone, Weight]]:
        column = self._column
        tone: Tone = "ink" if column.allowed else "second"
        return [(column.minutes if self._roomy else f"{column.minutes}, {column.grams}", tone, "strong")]

    def _below(self) -> list[tuple[str, Tone, Weight]]:
        column = self._column
        tone: Tone = "ink" if column.allowed else "second"
        lines: list[tuple[str, Tone, Weight]] = [(self._grams(), tone, "regular")] if self._roomy else []
        if not column.by:
            return [*lines, (column.why_not, "second", "regular")]
        if not column.late:
            return [*lines, (f"by {column.by}", "ink", "strong" if self._roomy else "regular")]
        if self._late_below:
            return [*lines, (f"by {column.by}", "signal", "medium"), (column.late, "signal", "medium")]
        return [*lines, (f"by {column.by_short}, {column.late}", "signal", "medium")]

    def _grams(self) -> str:
        """Grams, cost and printer, as far as there is room for them."""
        column, room = self._column, self.width() - 2 * PAD_PX
        where = column.where if column.allowed else ""
        for parts in ((column.grams, column.cost, where), (column.grams, where)):
            words = ", ".join(part for part in parts if part)
            if lettering.metrics().horizontalAdvance(words) <= room:
                return words
        return column.grams

    def _bar(self, painter: QPainter, y: float) -> None:
        column = self._column
        bar = EstimateBar(column.likely, column.at_most, column.scale_to, on_tint=bool(column.mark))
        bar.paint(painter, QRectF(PAD_PX, y + 2, self.width() - 2 * PAD_PX, bar.height), current_tokens())

    def _put(self, painter: QPainter, y: float, text: str, tone: Tone, weight: Weight) -> float:
        self._line(painter, QRectF(PAD_PX, y, self.width() - 2 * PAD_PX, LINE_PX), text, tone, weight)
        return y + LINE_PX

    def _line(
        self, painter: QPainter, room: QRectF, text: str, tone: Tone, weight: Weight, *, right: bool = False
    ) -> None:
        font = lettering.font(lettering.TEXT_PT, weight)
        painter.setFont(font)
        painter.setPen(current_tokens().of(tone))
        shown = QFontMetrics(font).elidedText(text, Qt.TextElideMode.ElideRight, int(room.width()))
        side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
        painter.drawText(room, side | Qt.AlignmentFlag.AlignVCenter, shown)


def _mark_words(column: NozzleColumn) -> str:
    return f", {column.mark}" if column.mark else ""


class AnswerCard(Card):
    """All nozzles side by side; before there is an answer, one sentence on what is missing.

    Args:
        roomy: one line more a column, and the names of the lines before them.
        late_below: columns are narrow; how late it is stands on a line of its own.

    Signals:
        nozzle_pressed(int): bore in micrometres, where the person may choose.
        turn_pressed(): the person wants to choose how the model lies.
    """

    nozzle_pressed = Signal(int)
    turn_pressed = Signal()

    def __init__(self, *, roomy: bool = False, pressable: bool = False, late_below: bool = False) -> None:
        super().__init__(padding=8)
        self._roomy, self._pressable, self._late_below = roomy, pressable, late_below
        self._columns: tuple[NozzleColumn, ...] = ()
        self._minutes_words = "Minutes"
        self._sentence = Words("", tone="second", wrap=True)
        self._sentence.setContentsMargins(10, 6, 10, 6)
        self._row = QHBoxLayout()
        self._row.setSpacing(8)
        self.body.addWidget(self._sentence)
        self.body.addLayout(self._row)
        self.body.addWidget(self._advised())
        self.views: list[NozzleView] = []

    def set_roomy(self, roomy: bool) -> None:
        """Say more lines a column (wide pages) or fewer."""
        if roomy != self._roomy:
            self._roomy = roomy
            self._fill()

    def set_pressable(self, pressable: bool) -> None:
        """Whether the person may choose a nozzle by a press."""
        self._pressable = pressable

    def set_advice(self, nozzle: str, lies: str, *, may_turn: bool) -> None:
        """Say which nozzle is recommended and why, and how the model best lies; "" says nothing."""
        self._nozzle_words.setText(nozzle)
        self._nozzle_words.setVisible(bool(nozzle))
        self._lies.setText(lies)
        self._lies.setVisible(bool(lies))
        self.turn_button.setVisible(may_turn)
        self._advice.setVisible(bool(nozzle or lies))

    def _advised(self) -> QWidget:
        self._advice = QWidget()
        row = QHBoxLayout(self._advice)
        row.setContentsMargins(10, 2, 6, 4)
        row.setSpacing(12)
        said = QVBoxLayout()
        said.setSpacing(2)
        self._nozzle_words = Words("", weight="medium", wrap=True)
        self._lies = Words("", tone="second", wrap=True)
        said.addWidget(self._nozzle_words)
        said.addWidget(self._lies)
        self.turn_button = Button("Turn it")
        self.turn_button.clicked.connect(self.turn_pressed.emit)
        row.addLayout(said, 1)
        row.addWidget(self.turn_button, 0, Qt.AlignmentFlag.AlignBottom)
        self._advice.hide()
        return self._advice

    def set_sentence(self, sentence: str) -> None:
        """No answer, and why."""
        self._columns = ()
        self._sentence.setText(sentence)
        self._fill()

    def set_columns(self, columns: Sequence[NozzleColumn], minutes_words: str = "Minutes") -> None:
        """Show the answer."""
        self._columns = tuple(columns)
        self._minutes_words = minutes_words
        self._fill()

    def _fill(self) -> None:
        focused = next((view._column.bore_um for view in self.views if view.hasFocus()), None)
        emptied(self._row)
        self.views = []
        self._sentence.setVisible(not self._columns)
        if not self._columns:
            return
        with_lost = any(column.lost for column in self._columns)
        if self._roomy and not self._late_below:
            self._row.addWidget(self._names(with_lost))
        for column in self._columns:
            view = NozzleView(
                column,
                roomy=self._roomy,
                pressable=self._pressable,
                late_below=self._late_below,
                with_lost=with_lost,
            )
            view.clicked.connect(lambda _down=False, bore=column.bore_um: self.nozzle_pressed.emit(bore))
            self.views.append(view)
            self._row.addWidget(view, 1, Qt.AlignmentFlag.AlignTop)
            if column.bore_um == focused:
                view.setFocus(Qt.FocusReason.TabFocusReason)

    def _names(self, with_lost: bool) -> QWidget:
        names = QWidget()
        column = QVBoxLayout(names)
        column.setContentsMargins(14, 9, 14, 9)
        column.setSpacing(0)
        title = Words("The answer", points=lettering.CARD_PT, weight="strong")
        title.setFixedHeight(MARK_PX)
        column.addWidget(title)
        for text, height in (
            (self._minutes_words, LINE_PX + BAR_PX),
            *((("Features", LINE_PX),) if with_lost else ()),
            ("Material", LINE_PX),
            ("Can be ready by", LINE_PX),
        ):
            line = Words(text, tone="second")
            line.setFixedHeight(height)
            line.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
            column.addWidget(line)
        return names
