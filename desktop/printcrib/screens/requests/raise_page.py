"""Raise a request: model, questions and safety side by side, or in three steps on a narrow page."""

from datetime import datetime

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QWidget

from printcrib.core.consequences import Consequence
from printcrib.core.people import Role
from printcrib.core.requests import Request
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.cards import Card, Scroll
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.parts.words import Words
from printcrib.screens.requests.answer_card import AnswerCard
from printcrib.screens.requests.columns import NozzleColumn
from printcrib.screens.requests.form import Form
from printcrib.screens.requests.form_groups import HowGroup, MoreGroup, side_by_side
from printcrib.screens.requests.raise_presenter import RaisePresenter
from printcrib.screens.requests.safety_card import SafetyQuestions
from printcrib.screens.requests.what_card import WhatCard
from printcrib.screens.requests.when_field import WhenField
from printcrib.screens.shell.standing import Standing
from printcrib.services.answer_form import FormModel
from printcrib.services.look_at_form import FormChoices

STEPS = ("what", "when and where", "what it will do")
KEEP_AFTER_MS = 800
WHAT_PX, SAFETY_PX, MOST_PX = 384, 616, 16_777_215


class RaisePage(PageFrame):
    """The form.

    Signals:
        taken_in(int): key of the request raised or kept as a draft. left(): back to the list.
        form_kept(): the half-filled form is to be written down.
    """

    taken_in = Signal(int)
    left = Signal()
    form_kept = Signal()
    _progressed = Signal(int, int)

    def __init__(self, standing: Standing) -> None:
        self._step = 0
        super().__init__(
            "Raise a request",
            main=Action("raise", "Raise request", self._on_main, shortcut="Ctrl+Return"),
            others=[
                Action("back", "Back", self._on_back, "back", "Alt+Left"),
                Action("draft", "Keep as draft", self._on_draft, shortcut="Ctrl+S"),
            ],
            unseen=[Action("over", "Start over", self._on_over)],
        )
        self._summary = ""
        self.what = WhatCard()
        self.how, self.more = HowGroup(), MoreGroup()
        self.when = WhenField(standing.zone, standing.now())
        self.really_at = ReallyAt(lambda: standing.local(standing.now()))
        self.more.add_field("Really asked at", self.really_at)
        self.safety = SafetyQuestions()
        self.answer = AnswerCard(pressable=standing.person.may(Role.DESK))
        self._error = Words("", tone="signal", weight="medium", wrap=True)
        self._keeping = QTimer(self, singleShot=True, interval=KEEP_AFTER_MS)
        self.presenter = RaisePresenter(standing, self)
        self._now = standing.now
        self._lay_out()
        self._connect()
        self._arrange()

    def arrived(self) -> None:
        self.presenter.begin()

    def begin(self, by: Qt.FocusReason, **fields: object) -> None:
        """Come to the front, with something filled in already when it is told.

        Args:
            by: how somebody came here; the keyboard shows where it is.
        """
        if fields:
            self._step = 0
            self.presenter.fill(**fields)
        self._arrange()
        self.presenter.begin()
        self._focus_first(by)

    # The presenter's view

    def show_choices(self, choices: FormChoices) -> None:
        for part in (self.what, self.how, self.more):
            part.show_choices(choices)

    def show_form(self, form: Form) -> None:
        for part in (self.what, self.how, self.more):
            part.show_form(form)
        self.when.show_form(form, self._now())

    def show_model(self, shown: FormModel | None, name: str, waiting: str) -> None:
        self.what.show_model(shown, name, waiting)

    def show_name(self, name: str) -> None:
        self.what.set_name(name)

    def show_photo(self, content: bytes | None) -> bool:
        return self.what.show_photo(content)

    def show_busy(self, words: str) -> None:
        self.what.set_busy(words)

    def show_errors(self, errors: dict[str, str]) -> None:
        self.what.set_error(errors.get("what", ""))
        self.when.field.set_error(errors.get("when", ""))
        self.how.set_error(errors.get("labels", ""))
        whole = errors.get("", "")
        self._error.setText(whole)
        self._error.setVisible(bool(whole))
        steps = {"what": 0, "labels": 0, "when": 1}
        wrong = [step for name, step in steps.items() if errors.get(name)]
        if wrong and not self.wide and self._step not in wrong:
            self._go_to_step(min(wrong))

    def show_answer(self, columns: tuple[NozzleColumn, ...], sentence: str, minutes_words: str) -> None:
        if columns:
            self.answer.set_columns(columns, minutes_words)
        else:
            self.answer.set_sentence(sentence)

    def show_summary(self, sentence: str) -> None:
        self._summary = sentence
        self._show_subtitle()

    def show_safety(
        self,
        safety: tuple[int, ...] | None,
        same_use: bool | None,
        release: str,
        consequence: Consequence,
    ) -> None:
        self.safety.show_answer(safety, same_use, release, consequence)

    def tell_progress(self, done: int, whole: int) -> None:
        self._progressed.emit(done, whole)

    def form_changed(self) -> None:
        self._keeping.start()

    def taken(self, request: Request) -> None:
        self._step = 0
        self.really_at.clear()
        self._arrange()
        self.taken_in.emit(request.id)

    # Layout

    def _lay_out(self) -> None:
        self._questions = Card(padding=0)
        scroll = Scroll(margins=(14, 14, 14, 14), spacing=20)
        inner = QWidget()
        self._inner = QBoxLayout(QBoxLayout.Direction.TopToBottom, inner)
        self._inner.setContentsMargins(0, 0, 0, 0)
        self._inner.setSpacing(20)
        for part in (self.how, self.when, self.more):
            self._inner.addWidget(part, 1)
        scroll.add(inner)
        self._questions.body.addWidget(scroll)
        self._safety_card = Card(padding=0)
        asked = Scroll(margins=(14, 10, 14, 10))
        asked.add(self.safety)
        self._safety_card.body.addWidget(asked)
        self._row = QHBoxLayout()
        self._row.addWidget(self.what)
        self._row.addWidget(self._questions)
        self._row.addWidget(self._safety_card)
        self.body.addWidget(self._error)
        self.body.addLayout(self._row, 1)
        self.body.addWidget(self.answer)
        self._line = Words("", weight="medium", wrap=True)
        self.body.addWidget(self._line)
        self._error.hide()

    def _arrange(self) -> None:
        """Everything at once when wide; one of three steps when narrow."""
        wide, step = self.wide, self._step
        self._row.setSpacing(20 if wide else 12)
        shown = {
            self.what: wide or step == 0,
            self._questions: wide or step < 2,
            self.how: wide or step == 0,
            self.when: wide or step == 1,
            self.more: wide or step == 1,
            self._safety_card: wide or step == 2,
        }
        for part, visible in shown.items():
            part.setVisible(visible)
        for part, width in ((self.what, WHAT_PX), (self._safety_card, SAFETY_PX)):
            part.setMinimumWidth(width if wide else 0)
            part.setMaximumWidth(width if wide else MOST_PX)
        for index, stretch in enumerate((0, 1, 0) if wide else (33, 73, 100)):
            self._row.setStretch(index, stretch)
        side_by_side(self._inner, not wide)
        self.answer.set_roomy(wide)
        self.what.set_roomy(wide)
        self.answer.setVisible(wide or step < 2)
        if self.main_button is not None:
            last = wide or step == len(STEPS) - 1
            self.main_button.set_words("Raise request" if last else f"Next: {STEPS[step + 1]}")
        self._show_subtitle()

    def _show_subtitle(self) -> None:
        last = self._step == len(STEPS) - 1
        self._line.setText(self._summary)
        self._line.setVisible(not self.wide and last and bool(self._summary))
        if self.wide:
            self.set_subtitle(self._summary or "Who, what and by when is enough; the rest may come later.")
        else:
            self.set_subtitle(f"{self._step + 1} of {len(STEPS)}: {STEPS[self._step]}")

    def _go_to_step(self, step: int) -> None:
        by = reason_of(self.main_button)
        self._step = step
        self._arrange()
        self._focus_first(by)

    def _focus_first(self, by: Qt.FocusReason) -> None:
        rows = (self.what.kinds, self.when.choices, self.safety.first_row())
        buttons = list(rows[self._step].buttons.values())
        now = next((button for button in buttons if button.isChecked()), buttons[0])
        now.setFocus(by)

    def _connect(self) -> None:
        for part in (self.what, self.how, self.more, self.when):
            part.edited.connect(self.presenter.change)
        self.safety.answered.connect(self.presenter.change)
        self.what.file_given.connect(self.presenter.choose_file)
        self.what.photo_given.connect(self.presenter.choose_photo)
        self.what.cancelled.connect(self.presenter.cancel_reading)
        self.answer.nozzle_pressed.connect(self.presenter.choose_nozzle)
        self._progressed.connect(self._on_progress)
        self.really_at.changed.connect(self._on_really_at)
        self._keeping.timeout.connect(self.form_kept.emit)
        self.width_changed.connect(lambda _wide: self._arrange())

    @Slot(int, int)
    def _on_progress(self, done: int, whole: int) -> None:
        self.what.set_busy(f"Estimating, nozzle {done + 1} of {whole}")

    def _on_really_at(self, moment: datetime | None) -> None:
        self.presenter.really_at = moment

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self._on_back()
        else:
            super().keyPressEvent(event)

    def _on_main(self) -> None:
        if self.standing_over is not None:
            return
        if not self.wide and self._step < len(STEPS) - 1:
            self._go_to_step(self._step + 1)
        else:
            self.presenter.raise_it()

    def _on_back(self) -> None:
        if not self.wide and self._step:
            self._go_to_step(self._step - 1)
        else:
            self.left.emit()

    def _on_draft(self) -> None:
        if self.standing_over is None:
            self.presenter.keep_draft()

    def _on_over(self) -> None:
        self._step = 0
        self.presenter.start_over()
        self._arrange()


def reason_of(button: QWidget | None) -> Qt.FocusReason:
    """A press with the mouse leaves the focus on the button; a key leaves it elsewhere."""
    pressed = button is not None and button.hasFocus()
    return Qt.FocusReason.OtherFocusReason if pressed else Qt.FocusReason.TabFocusReason
