"""The weekly questions on aids nobody counted: same as usual, none, or a number."""

from collections.abc import Callable, Sequence
from datetime import datetime
from decimal import Decimal

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.screens.aids.words import usual_words
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Hairline, emptied
from printcrib.screens.parts.numbers import KeypadPanel
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.parts.tokens import GAP_PX
from printcrib.screens.parts.words import Words
from printcrib.services.ask_weekly import Question

MOST = 20


class QuestionsPanel(AskPanel):
    """A row a question; what is answered goes away, the sheet goes with the last one.

    Signals:
        usual(object), none(object): the Question. number(object, int): with the number told.
        counter(object): its machine's part counter is to be read.
    """

    usual = Signal(object)
    none = Signal(object)
    number = Signal(object, int)
    counter = Signal(object)

    def __init__(self, questions: Sequence[Question], now: Callable[[], datetime]) -> None:
        super().__init__(
            "How much were they used?",
            sentence="Nobody counted these for five working days. No answer stays unknown, it is not zero.",
            width=1060,
            back="Later",
        )
        self.buttons: dict[str, Button] = {}
        self._rows = QVBoxLayout()
        self._rows.setSpacing(8)
        self.really_at = ReallyAt(now)
        when = QHBoxLayout()
        when.addWidget(Words("The answers hold until", tone="second"))
        when.addWidget(self.really_at)
        when.addStretch(1)
        self.body.addLayout(self._rows)
        self.body.addLayout(when)
        self.body.addStretch(1)
        self.set_questions(questions)

    def set_questions(self, questions: Sequence[Question]) -> None:
        """Ask these."""
        emptied(self._rows)
        self.buttons = {}
        for question in questions[:MOST]:
            if self._rows.count():
                self._rows.addWidget(Hairline())
            self._rows.addLayout(self._row(question))
        if len(questions) > MOST:
            self._rows.addWidget(Words(f"{len(questions) - MOST} more after these.", tone="second"))

    def _row(self, question: Question) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(GAP_PX)
        texts = QVBoxLayout()
        texts.setSpacing(0)
        first = question.asked[:1].upper() + question.asked[1:]
        texts.addWidget(Words(first, weight="strong", elide=True))
        texts.addWidget(Words(f"{question.tag} {question.name}", tone="second", elide=True))
        row.addLayout(texts, 1)
        for widget in self._answers(question):
            row.addWidget(widget)
        return row

    def _answers(self, question: Question) -> Sequence[QWidget]:
        if question.machine_id is not None:
            return (
                self._button("counter", question, "Read the counter", lambda: self.counter.emit(question)),
            )
        answers = []
        if usual_words(question):
            answers.append(
                self._button("usual", question, usual_words(question), lambda: self.usual.emit(question))
            )
        answers.append(self._button("none", question, "None", lambda: self.none.emit(question)))
        answers.append(self._button("number", question, "A number", lambda: self._ask_number(question)))
        return answers

    def _button(self, key: str, question: Question, words: str, call: Callable[[], None]) -> Button:
        button = Button(words, says=f"{question.tag}: {words}")
        button.clicked.connect(lambda _down=False: call())
        self.buttons[f"{key} {question.aid_id}"] = button
        return button

    def _ask_number(self, question: Question) -> None:
        title = f"{question.tag}: {question.asked}"
        panel = KeypadPanel(title, confirm="Book it")
        panel.entered.connect(lambda number: self._on_number(question, number))
        panel.open_once(self)

    def _on_number(self, question: Question, number: Decimal) -> None:
        self.number.emit(question, int(number))
