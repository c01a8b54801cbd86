"""Questions that stand over one request's page: a reason, details, how many, safety, copies, the fit."""

from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QWidget

from printcrib.core.asking import needed_of
from printcrib.core.consequences import consequence_of
from printcrib.core.errors import ShopError
from printcrib.core.patterns import Fineness
from printcrib.core.requests import Purpose, Request, RequestState
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.fields import ChoiceRow, Field, NotesField, TextField
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.requests.form import form_of
from printcrib.screens.requests.form_groups import HowGroup, MoreGroup
from printcrib.screens.requests.needed import PROGRAM, at_wall, day_and_minutes
from printcrib.screens.requests.one_acts import copy_words
from printcrib.screens.requests.safety_card import SafetyQuestions
from printcrib.screens.requests.steppers import DayStepper
from printcrib.screens.requests.when_field import WhenField
from printcrib.services.decide_copies import Decision
from printcrib.services.look_at_form import FormChoices
from printcrib.services.look_at_request import RequestPage
from printcrib.services.take_request import MOST_COPIES

URGENT = (("1", "Normal"), ("2", "Important"), ("5", "Rush"))
DECISIONS = tuple((each.value, each.value.capitalize()) for each in Decision)
USUAL_FITS = ("fits", "0.1 tight", "0.2 tight", "0.1 loose", "0.2 loose")


class ActPanel(AskPanel):
    """A question that stays until its answer is taken; a refusal stands above its buttons."""

    def open_over(self, page: QWidget) -> None:
        self.body.addStretch(1)
        super().open_over(page)

    def refused(self, error: ShopError) -> None:
        """Say why; what was typed stays."""
        self.set_error(str(error))

    def over(self) -> None:
        """The answer was taken."""
        self.lay_down()
        self.deleteLater()


class ReasonPanel(ActPanel):
    """Asks for a few words.

    Signals:
        given(str): the words, when the verb is pressed.
    """

    given = Signal(str)

    def __init__(
        self, title: str, confirm: str, label: str, *, example: str = "", sentence: str = "", icon: str = ""
    ) -> None:
        super().__init__(title, confirm=confirm, sentence=sentence, stays=True, icon=icon or None)
        self.reason = NotesField(says=label, example=example, lines=3)
        self.body.addWidget(Field(label, self.reason))
        self.confirmed.connect(lambda: self.given.emit(self.reason.text()))


class WithdrawPanel(ReasonPanel):
    """Asks why; for a reprint also from when it may be raised again.

    Args:
        reprint: whether the tool raised it for an aid.
    """

    def __init__(self, tag: str, now: datetime, zone: ZoneInfo, *, reprint: bool) -> None:
        super().__init__(
            f"Withdraw {tag}?",
            "Withdraw it",
            "Why, if you like",
            example="the job is off",
            sentence="Copies not printed are cancelled; on printed ones the desk decides.",
        )
        self._zone = zone
        self._reprint = reprint
        today, _ = day_and_minutes(now, zone)
        self.not_before = DayStepper(today, "not again before")
        self.not_before.set_value(14)
        field = Field("Not raised again before", self.not_before)
        self.body.addWidget(field)
        field.setVisible(reprint)

    @property
    def not_again_before(self) -> datetime | None:
        """When a reprint may be raised again, UTC."""
        return at_wall(self.not_before.day, 0, self._zone).astimezone(UTC) if self._reprint else None


class FitPanel(ActPanel):
    """Asks how a copy fits.

    Signals:
        given(str): in words.
    """

    given = Signal(str)

    def __init__(self, tag: str) -> None:
        super().__init__(f"How does {tag} fit?", confirm="Write it down", stays=True)
        self.usual = ChoiceRow([(words, words) for words in USUAL_FITS], says="how it fits", columns=5)
        self.words = TextField(says="in your words", example="0.2 tight")
        self.body.addWidget(self.usual)
        self.body.addWidget(Field("Or in your words", self.words))
        self.usual.chosen_changed.connect(self.words.setText)
        self.confirmed.connect(lambda: self.given.emit(self.words.text()))


class QuantityPanel(ActPanel):
    """Asks how many, or which labels.

    Signals:
        given(int, object): quantity and tuple of labels.
    """

    given = Signal(int, object)

    def __init__(self, request: Request) -> None:
        super().__init__(
            "How many?",
            confirm="Change it",
            sentence="Fewer: what is not printed is cancelled first. More: new copies are wanted.",
            stays=True,
        )
        self.quantity = Stepper(request.quantity, most=MOST_COPIES, says="how many")
        self.labelled = Button("A label on each instead", kind="choice")
        self.labels = NotesField("\n".join(request.labels), says="labels, one a line", lines=5)
        self.labelled.setChecked(bool(request.labels))
        for part in (self.quantity, self.labelled, self.labels):
            self.body.addWidget(part)
        self.labelled.clicked.connect(self._arrange)
        self.confirmed.connect(self._give)
        self._arrange()

    def _arrange(self) -> None:
        self.labels.setVisible(self.labelled.isChecked())
        self.quantity.setEnabled(not self.labelled.isChecked())

    def _give(self) -> None:
        lines = self.labels.text().splitlines() if self.labelled.isChecked() else []
        labels = tuple(line.strip() for line in lines if line.strip())
        if self.labelled.isChecked() and not labels:
            self.set_error("Write one label a line, or choose a number.")
            return
        self.given.emit(self.quantity.value, labels)


class DecidePanel(ActPanel):
    """Asks of each printed copy: keep, spare or scrap.

    Signals:
        given(object): {copy key: Decision}.
    """

    given = Signal(object)

    def __init__(self, page: RequestPage) -> None:
        super().__init__(
            "What becomes of the printed copies?",
            confirm="Decide",
            sentence="Keep: it counts. Spare: to the shelf. Scrap: a new copy is wanted if one is missing.",
            stays=True,
            width=860,
        )
        lines = {line.copy.id: line for line in page.copies}
        self.rows: dict[int, ChoiceRow] = {}
        for copy in page.to_decide:
            line = lines[copy.id]
            self.rows[copy.id] = ChoiceRow(DECISIONS, says=f"what becomes of {line.tag}")
            self.body.addWidget(Field(f"{line.tag}, {copy_words(page, line)}", self.rows[copy.id]))
        self.confirmed.connect(self._give)

    def _give(self) -> None:
        chosen = {key: row.chosen for key, row in self.rows.items()}
        decided = {key: Decision(one) for key, one in chosen.items() if one is not None}
        if not decided:
            self.set_error("Say of at least one copy what becomes of it.")
            return
        self.given.emit(decided)


class SafetyPanel(ActPanel):
    """Asks the ten questions, or "same use as released?".

    Signals:
        given(object, object): ids or None, same use or None.
    """

    given = Signal(object, object)

    def __init__(self, page: RequestPage, release: str) -> None:
        super().__init__("What will it do?", confirm="Answer", stays=True, width=1060)
        self._page, self._release = page, release
        self._safety = page.request.safety_answers
        self._same_use = page.request.same_use
        self.questions = SafetyQuestions()
        self.body.addWidget(self.questions)
        self.questions.answered.connect(self._on_answered)
        self.confirmed.connect(lambda: self.given.emit(self._safety, self._same_use))
        self._show()

    def _on_answered(self, fields: dict[str, object]) -> None:
        if "same_use" in fields:
            self._same_use = bool(fields["same_use"])
        safety = fields["safety"]
        self._safety = safety if isinstance(safety, tuple) else None
        if self._safety is not None:
            self._same_use = None if not self._release else False
        self._show()

    def _show(self) -> None:
        pattern = self._page.pattern.safety_answers if self._page.pattern else None
        consequence = consequence_of(self._page.request.purpose, self._safety, pattern)
        self.questions.show_answer(self._safety, self._same_use, self._release, consequence)


class ChangePanel(ActPanel):
    """Asks for other details: when, where, from what, how fine, what for; the desk also how urgent.

    Signals:
        given(object): the edited Request.
    """

    given = Signal(object)

    def __init__(
        self, request: Request, choices: FormChoices | None, zone: ZoneInfo, now: datetime, *, desk: bool
    ) -> None:
        super().__init__(f"Change {request.tag}", confirm="Change it", stays=True, width=1060)
        self._request, self._now = request, now
        self.form = form_of(request)
        self.how, self.more = HowGroup(count=False), MoreGroup(whole=False)
        self.when = WhenField(zone, now, columns=3)
        self.urgent = ChoiceRow(URGENT, chosen=str(request.weight), says="how urgent")
        self.wait = Button("Do not print before it is released", kind="choice")
        self.wait.setChecked(request.wait_for_release)
        self._unnamed = request.state is RequestState.RAISED and request.material_id is None
        parts = (self.more, self.how, self.when) if self._unnamed else (self.how, self.when, self.more)
        for part in parts:
            self.body.addWidget(part)
            part.edited.connect(self._on_edited)
        urgent = Field("How urgent", self.urgent)
        for widget in (urgent, self.wait):
            self.body.addWidget(widget)
            widget.setVisible(desk)
        if choices is not None:
            self.how.show_choices(choices)
            self.more.show_choices(choices)
        self.confirmed.connect(lambda: self.given.emit(self.edited()))
        self._show()

    def focus_first(self) -> None:
        """On the material where that is what it waits for."""
        if self._unnamed:
            self.more.material.button.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            super().focus_first()

    def edited(self) -> Request:
        """The request with what was changed."""
        form, request = self.form, self._request
        needed = form.needed_by(self._now)
        return replace(
            request,
            needed_by=needed,
            program_ready_at=self._program_ready(needed),
            how_fine=Fineness(form.how_fine),
            purpose=Purpose(form.purpose),
            machine_id=form.machine_id,
            material_id=form.material_id,
            colour=form.colour,
            job=form.job,
            job_revision=form.job_revision,
            touches=form.touches,
            critical_sizes=form.critical_sizes,
            reason=form.reason,
            weight=int(self.urgent.chosen or request.weight),
            wait_for_release=self.wait.isChecked(),
        )

    def _program_ready(self, needed: datetime | None) -> datetime | None:
        """Left as it was while nobody said another time."""
        if self.form.when == PROGRAM:
            return needed
        return self._request.program_ready_at if needed == needed_of(self._request) else None

    def _on_edited(self, fields: dict[str, object]) -> None:
        self.form = replace(self.form, **fields)  # type: ignore[arg-type]
        self._show()

    def _show(self) -> None:
        self.how.show_form(self.form)
        self.when.show_form(self.form, self._now)
        self.more.show_form(self.form)
